"""What is due, by date, for all enclosures, bottles and probes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from math import isfinite

from slurrycalc.data.assumed import (
    BOTTLE_OPEN,
    PROBE_CHECK,
    TENDING_WAITS,
    Assumed,
    Known,
)
from slurrycalc.deciding.agenda import COMES_OUT, ITS_UPKEEP, Asked, BedState, Rank, asked_by, doubted_by
from slurrycalc.deciding.days import DAYS_PER_MONTH, LONGEST, Day, as_day, not_after, spoken
from slurrycalc.deciding.tasks import SHORT, TO_DO, UNREAD, USUAL, Task
from slurrycalc.deciding.trend.crossing import Retest
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.results import Result


@dataclass(frozen=True, slots=True)
class InUse:
    """What a record says of one enclosure that is in use."""

    name: str
    last_read: date | None = None
    """Last bench day."""
    retest: Retest | None = None
    """From its trend; None where there is none yet."""
    last: Mapping[Task, date] = field(default_factory=dict)
    """When leaf litter was last topped up, and charcoal renewed."""
    every: Mapping[Task, float | None] = field(default_factory=dict)
    """Intervals set by the keeper [d]; None: never, and a retest is not asked for by the trend either."""
    stages: tuple[date, ...] = ()
    """Of an exchange that is planned and not done."""
    steady: bool = False
    """Whether it is the steady jar."""
    state: BedState | None = None
    """What its months come to; None where it was not read yet, or has no range."""
    since: date | None = None
    """When its record began."""
    rests: date | None = None
    """Until when it is not exchanged again."""
    turn: date | None = None
    """When the next exchange of its upkeep has its turn."""
    upkeep: date | None = None
    """The same, where it was read for it."""


@dataclass(frozen=True, slots=True)
class OpenBottle:
    """A buffer bottle in use."""

    name: str
    opened: date | None = None
    expires: date | None = None
    """As printed on it."""


@dataclass(frozen=True, slots=True)
class ProbeInUse:
    """A soil probe in use."""

    name: str
    last_read: date | None = None
    """Alone or beside a slurry."""
    every: float | None = PROBE_CHECK.value
    """[d]; None: never."""


@dataclass(frozen=True, slots=True)
class DueItem(Result, says=("text",)):
    """One thing to do."""

    on: date
    task: Task
    subject: str
    """Which enclosure, bottle or probe."""
    days: int
    """From today; negative where it is overdue."""
    known: Known
    """How its day is known: given where the keeper set it, computed where it follows from readings."""
    what: str
    """What to do, in a few words."""
    when: str
    """How many days ahead or overdue, in words."""
    why: str
    """What its day rests on, in a few words."""
    rank: int = Rank.TEND
    """How much it matters, 0 the most: the bench in doubt, below the floor, perhaps below it, below the
    range, above it, as planned, to be read again, tending."""

    @property
    def text(self) -> str:
        """The sentence that a person reads."""
        return f"{spoken(self.on)}: {self.what}, {self.when} ({self.why})."

    @property
    def in_short(self) -> str:
        """What to do in a word or three, without of what."""
        short = SHORT[self.task]
        return short if self.days <= 0 else f"{short} by {self.on.day} {self.on:%b}"


@dataclass(frozen=True)
class Due(Result):
    """What is due: what is to be done by today first, by how much it matters; then what comes, by day."""

    today: date
    items: tuple[DueItem, ...]

    def _body(self) -> str:
        return f"{len(self.items)} to do. {self.items[0].text}" if self.items else "nothing to do"

    @property
    def overdue(self) -> tuple[DueItem, ...]:
        """What should have been done before today."""
        return tuple(item for item in self.items if item.days < 0)


def due(
    enclosures: Sequence[InUse],
    today: Day,
    *,
    bottles: Sequence[OpenBottle] = (),
    probes: Sequence[ProbeInUse] = (),
    ahead: int | None = None,
) -> Due:
    """Say what is due, and on which day.

    Leaf litter and charcoal are asked for only where they were done once, or an interval is set for them.

    Parameters
    ----------
    enclosures : sequence, array or Series of InUse
        Those in use.
    today : date, datetime64 or str
        The day on which it is asked.
    bottles : sequence of OpenBottle
        Those in use.
    probes : sequence of ProbeInUse
        Those in use.
    ahead : int, optional
        How far to look; None: to the last. [d]

    Returns
    -------
    Due
        Each with its day. What is to be done by today comes first, by how much it matters, late first; what
        comes later follows by day.

    Raises
    ------
    Refusal
        If a day cannot be meant, something was done after today, an interval is not positive, or one is set
        for no such task.

    Examples
    --------
    >>> atlas = InUse("atlas", date(2024, 5, 4), last={"leaf-litter": date(2024, 3, 1)})
    >>> for item in due([atlas], date(2024, 6, 1)).items:
    ...     print(item.text)
    31 May 2024: top up the leaf litter of atlas, 1 day overdue (every 91 days, common practice).
    3 June 2024: read atlas, in 2 days (every 30 days, common practice).
    """
    today = as_day(today)
    items = [
        *(item for each in enclosures for item in _of_enclosure(_with_days(each), today)),
        *(item for each in bottles for item in _of_bottle(each, today)),
        *(item for each in probes for item in _of_probe(each, today)),
    ]
    wanted = [item for item in items if ahead is None or item.days <= ahead]
    return Due(today, tuple(sorted(wanted, key=_in_order)))


def _in_order(item: DueItem) -> tuple[bool, int, date, int, str, str]:
    now = item.days <= 0
    return not now, item.rank if now else 0, item.on, item.rank, item.subject, item.task


def _with_days(each: InUse) -> InUse:
    """Take its days in, which may come from a table; most are plain already."""
    if all(type(day) is date for day in (each.last_read, each.since, *each.last.values()) if day is not None):
        return each
    read, since = (None if day is None else as_day(day) for day in (each.last_read, each.since))
    last = {task: as_day(day) for task, day in each.last.items()}
    return replace(each, last_read=read, since=since, last=last)


def _of_enclosure(each: InUse, today: date) -> Iterator[DueItem]:
    _check(each, today)
    stages = sorted(as_day(stage) for stage in each.stages)
    reading = list(_reading(each, today))
    read = min((item.on for item in reading), default=None)
    stage = min(stages, default=None)
    asked = None
    if each.state is not None:
        asked = asked_by(each.state, today, stage, read, each.rests, upkeep=each.upkeep)
    if asked is not None:
        yield _item(
            asked.on, asked.need, each.name, today=today, known="computed", why=asked.why, rank=asked.rank
        )
    if asked is None or (asked.need in COMES_OUT and (read is None or read > today)):
        # Whatever else a bed asks for now ends in a reading.
        yield from reading
    tasks: tuple[Task, ...] = ("leaf-litter", "charcoal")
    for task in tasks:
        start = each.last.get(task) or (each.since or today if task in each.every else None)
        if start is not None:
            for item in _from_last(task, each.name, start, each.every, today):
                yield _after_exchange(item, asked, today)
    if each.turn is not None and each.upkeep is None and each.turn > today:
        why = "its turn, once it is read"
        yield _item(each.turn, "upkeep", each.name, today=today, known="given", why=why)
    first = asked is not None and asked.need == "exchange-stage"
    for stage in stages[1 if first else 0 :]:
        # A stage waits where something is to be found out first, or what was done is not read yet.
        unread = each.state is not None and each.state.unread
        waits = not first and each.state is not None and (stage <= today or unread)
        why, rank = ("as planned, once it is read", Rank.TEND) if waits else ("as planned", Rank.PLANNED)
        on = max(stage, read) if unread and read is not None else stage
        yield _item(on, "exchange-stage", each.name, today=today, known="given", why=why, rank=rank)


def _reading(each: InUse, today: date) -> Iterator[DueItem]:
    """Say when it is to be read."""
    if each.steady:
        yield from _from_last("steady-jar", each.name, each.last_read or today, each.every, today)
    elif "retest" in each.every and each.every["retest"] is None:
        pass
    elif each.last_read is None:
        yield _item(today, "retest", each.name, today=today, known="given", why=UNREAD, rank=Rank.READ)
    elif each.retest is None:
        yield from _from_last("retest", each.name, each.last_read, each.every, today)
    else:
        yield from _retest(each, each.retest, each.last_read, today)


def _after_exchange(item: DueItem, asked: Asked | None, today: date) -> DueItem:
    """Let tending wait where the bed comes out before it, or about then."""
    if asked is None or asked.need not in COMES_OUT:
        return item
    wait = timedelta(days=TENDING_WAITS.value)
    if asked.on > max(item.on, today) + wait:
        return item
    on = max(item.on, asked.on + wait)
    return item if on == item.on else _item(
        on, item.task, item.subject, today=today, known=item.known, why=f"{item.why}; after the exchange"
    )


def _retest(each: InUse, by_trend: Retest, last: date, today: date) -> Iterator[DueItem]:
    """By the trend, or by the keeper's own interval where that is earlier."""
    own = list(_from_last("retest", each.name, last, each.every, today)) if each.every.get("retest") else []
    doubt = "" if each.state is None else doubted_by(each.state)
    why = {
        "limit": "it may then reach its limit",
        "at once": "it may be past its limit already",
        "longest": "its record grows stale",
        "first reading": "one bench day shows no drift",
        "step": "it was not read since something was done",
        "upkeep": f"{ITS_UPKEEP} is then",
        "in doubt": "its last reading is in doubt, see to the meter first",
    }[by_trend.reason]
    computed = by_trend.reason in ("limit", "at once", "in doubt", "upkeep")
    known: Known = "computed" if computed else "common practice"
    by = _item(by_trend.by, "retest", each.name, today=today, known=known, why=why, rank=Rank.READ)
    sooner = min([*own, by], key=lambda item: item.on)
    yield replace(sooner, why=f"{sooner.why}; {doubt}") if doubt else sooner


def _of_bottle(each: OpenBottle, today: date) -> Iterator[DueItem]:
    ends: list[tuple[date, Known, str]] = []
    if each.expires is not None:
        ends.append((as_day(each.expires), "given", "its label's date"))
    if each.opened is not None:
        start = not_after(as_day(each.opened), today)
        why = f"opened {spoken(start)}, {BOTTLE_OPEN.value:g} months at most, {BOTTLE_OPEN.known}"
        ends.append((start + timedelta(days=_days(BOTTLE_OPEN)), BOTTLE_OPEN.known, why))
    if ends:
        on, known, why = min(ends, key=lambda end: end[0])
        yield _item(on, "buffer-bottle", each.name, today=today, known=known, why=why)


def _of_probe(each: ProbeInUse, today: date) -> Iterator[DueItem]:
    read = None if each.last_read is None else not_after(as_day(each.last_read), today)
    own: dict[Task, float | None] = {} if each.every == PROBE_CHECK.value else {"probe-check": each.every}
    _positive(each.name, own)
    start = read if read is not None else today - timedelta(days=_days(PROBE_CHECK))
    yield from _from_last("probe-check", each.name, start, own, today)


def _from_last(
    task: Task, name: str, last: date, every: Mapping[Task, float | None], today: date
) -> Iterator[DueItem]:
    """Count from when it was last done, by the interval that is set or the usual one."""
    own = every.get(task)
    if task in every and own is None:
        return
    days, known = (_days(USUAL[task]), USUAL[task].known) if own is None else (round(own), "given")
    said = f"every {days} day{'s' if days > 1 else ''}"
    why = said if own is not None else f"{said}, {known}"
    rank = Rank.READ if task == "retest" else Rank.TEND
    yield _item(last + timedelta(days=days), task, name, today=today, known=known, why=why, rank=rank)


def _item(
    on: date, task: Task, name: str, *, today: date, known: Known, why: str, rank: int = Rank.TEND
) -> DueItem:
    days = (on - today).days
    plural = "" if abs(days) == 1 else "s"
    when = "today" if days == 0 else f"in {days} day{plural}" if days > 0 else f"{-days} day{plural} overdue"
    return DueItem(on, task, name, days, known, TO_DO[task].format(name), when, why, int(rank))


def _check(each: InUse, today: date) -> None:
    for day in (each.last_read, each.since, *each.last.values()):
        if day is not None:
            not_after(day, today)
    _positive(each.name, each.every)


def _positive(name: str, every: Mapping[Task, float | None]) -> None:
    for task, days in every.items():
        if task not in USUAL:
            raise Refusal(
                f"{quoted(task)} of {name} is nothing that comes due; set one of {', '.join(USUAL)}."
            )
        if days is not None and not (isfinite(days) and 1.0 <= days <= LONGEST):
            raise Refusal(
                f"`{days:g}` days for the {task} of {name} is no interval; give 1 or more, or none."
            )


def _days(usual: Assumed) -> int:
    return round(usual.value * (DAYS_PER_MONTH if usual.unit == "month" else 1.0))
