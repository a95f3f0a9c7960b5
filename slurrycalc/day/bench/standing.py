"""Where enclosures stand by the record: what each read on a day, judged, on a bench that is steady or not."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from slurrycalc.data.events import SHIFTS
from slurrycalc.day.bench.places import Places
from slurrycalc.day.bench.result import EnclosureResult, FreshResult, SteadyResult, in_short
from slurrycalc.day.record.limits import NO_LIMITS, Limits, chosen_limits, limits_of
from slurrycalc.day.record.slurries import ALIKE, DaySlurries, Slurries
from slurrycalc.day.record.tubs import untried
from slurrycalc.deciding.judgement import judge
from slurrycalc.logbook.latest import last_events
from slurrycalc.logbook.past import OWN_DAYS
from slurrycalc.logbook.readings import Readings
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.replicates import Replicates, replicates
from slurrycalc.logbook.things import Thing, is_steady
from slurrycalc.logbook.uncollected import uncollected
from slurrycalc.logbook.windows import windows
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Result
from slurrycalc.metrology.watch import Watch, unwatched

if TYPE_CHECKING:
    from slurrycalc.day.months.bench_state import BenchState

_ORDER = {"no": 0, "not settled": 1, "yes": 2}


@dataclass(frozen=True)
class Standing(Result):
    """Where enclosures stand, by the bench day of each."""

    enclosures: tuple[EnclosureResult, ...]
    """The worst first."""
    steady: tuple[SteadyResult, ...] = ()
    """The steady jars, which have no range and no floor."""
    fresh: tuple[FreshResult, ...] = ()
    """The tubs of fresh mix, which have none either."""
    unread: tuple[str, ...] = ()
    """Names of enclosures in use that were not read yet."""

    def _body(self) -> str:
        return in_short((*self.enclosures, *self.steady, *self.fresh))



@dataclass(frozen=True)
class JudgedBy:
    """What a step says of how its slurries are to be judged."""

    limits: Limits = NO_LIMITS
    """Target and floor that count before an enclosure's own. [pH]"""
    expected: Expected = DEFAULT
    """What is known of the scatter of slurries; by default what the record teaches. [pH]"""
    p: float = 0.95
    """Coverage probability of decisions. [1]"""


NOTHING_ASKED = JudgedBy()
FEW = 100
"""So many enclosures are looked for one by one, and not in a walk through the whole record."""


def standing(recall: Recall, p: float = 0.95, *, of: Collection[int] | None = None) -> Standing:
    """Say where every enclosure in use stands, by its last bench day.

    Parameters
    ----------
    recall : Recall
        The record.
    p : float
        Coverage probability of the decisions. [1]
    of : collection of int, optional
        Numbers of the enclosures that are asked for; all unless given.

    Returns
    -------
    Standing
        Tubs of fresh mix left out.

    Raises
    ------
    Refusal
        If the points of a calibration cannot stand.
    """
    enclosures = [
        one
        for one in recall.things.of("enclosure")
        if not one.get("fresh") and (of is None or one.id in of)
    ]
    readings = _newest(recall, {one.id for one in enclosures})
    last = _last_days(readings)
    look = _Look(recall, JudgedBy(p=p), _by_owner(readings))
    beds, jars, unread = [], [], []
    for enclosure in enclosures:
        mine = last.get(enclosure.id)
        if mine is None:
            unread.append(enclosure.name)
            continue
        day = look.slurries.of(enclosure, readings, mine)
        if is_steady(enclosure):
            jars.append(look.steady(day))
        else:
            beds.append(look.bed(day))
    return Standing(tuple(sorted(beds, key=_badness)), tuple(jars), (), tuple(unread))


def standing_on(
    recall: Recall,
    day: datetime.date,
    enclosures: Sequence[Thing | None],
    *,
    entry: int | None = None,
    asked: JudgedBy = NOTHING_ASKED,
    kept: bool = True,
    saves: bool = True,
    places: Mapping[int, tuple[Places, tuple[str | int, ...]]] | None = None,
    watch: Watch = unwatched,
) -> Standing:
    """Say where enclosures stood on a bench day.

    Parameters
    ----------
    recall : Recall
        The record, the day among it.
    day : date
        The bench day.
    enclosures : sequence of Thing or None
        Which ones; None for the nameless one of a step.
    entry : int, optional
        Number of the step that is being made; jars of the day that others hold were on record already.
    asked : JudgedBy
        How they are to be judged.
    kept : bool
        Whether somebody keeps the record, so that a further day can be counted on.
    saves : bool
        Whether the day is on record afterwards, so that a jar of it can be struck out.
    places : mapping, optional
        Where an enclosure stands in what was declared, by its number; 0 for a nameless one.
    watch : Watch
        What the enclosures are handed to on their way.

    Returns
    -------
    Standing
        Of those that were read on that day.

    Raises
    ------
    Refusal
        If the points of a calibration cannot stand, or a single slurry shall show its own scatter.
    """
    named = {one.id for one in enclosures if one is not None}
    # Few are asked for their past one by one.
    own = _by_owner(_newest(recall, named, day)) if kept and len(named) >= FEW else None
    look = _Look(recall, asked, own, kept=kept, saves=saves)
    beds, jars, tubs = [], [], []
    with uncollected():
        readings = recall.readings(since=day, until=day)
        by_enclosure = _by_enclosure(readings, entry)
        for enclosure in watch(enclosures, len(enclosures)):
            number = 0 if enclosure is None else enclosure.id
            mine = by_enclosure.get(number)
            if mine is None:
                continue
            where, path = (places or {}).get(number, (Places(), ()))
            with where.around(*path):
                read = look.slurries.of(enclosure, readings, mine, asked.expected)
                earlier = sum(entry is not None and jar.ids[0].entry != entry for jar in read.jars)
                if is_steady(enclosure):
                    jars.append(look.steady(read, earlier))
                elif enclosure is not None and enclosure.get("fresh"):
                    tubs.append(look.fresh(read, earlier))
                else:
                    beds.append((look.bed(read, earlier), enclosure))
    apart = [(one.name, "the steady jar, which shows how the bench is and") for one in jars]
    apart += [(one.name, "a tub of fresh mix, which") for one in tubs]
    if asked.limits != NO_LIMITS and apart and not beds:
        name, what = apart[0]
        raise Refusal(f"{quoted(name)} is {what} has no range or floor: leave --target and --floor out.")
    tasked = [enclosure for _, enclosure in beds if enclosure is not None] if kept else []
    found = _with_tasks(recall, day, beds, tasked, asked.limits)
    return Standing(tuple(sorted(found, key=_badness)), tuple(jars), tuple(tubs))


def _with_tasks(
    recall: Recall,
    day: datetime.date,
    beds: Sequence[tuple[EnclosureResult, Thing | None]],
    named: Sequence[Thing],
    limits: Limits,
) -> list[EnclosureResult]:
    """Say of each bed that is on record by when it is read again, and what comes first."""
    if not named:
        return [one for one, _ in beds]
    from slurrycalc.day.months.duties import duties  # noqa: PLC0415  only with the record
    from slurrycalc.day.months.reading_again import read_again  # noqa: PLC0415
    from slurrycalc.day.months.series import series_of_many  # noqa: PLC0415

    series = series_of_many(recall, named, until=day)
    again = read_again(series, day, named, limits)
    of = [thing for thing in named if thing.retired is None or thing.retired > day]
    first = duties(recall, day, of=of, asked=limits, series=series).first if of else {}
    return [
        one if thing is None else replace(one, again=again.get(thing.id), first=first.get(thing.name))
        for one, thing in beds
    ]


def stood_on(recall: Recall, enclosure: Thing, day: datetime.date, p: float = 0.95) -> EnclosureResult | None:
    """Say where one enclosure stood on a day; None where it was not read on it."""
    found = standing_on(recall, day, [enclosure], asked=JudgedBy(p=p)).enclosures
    return found[0] if found else None


class _Look:
    """What many enclosures of a record have in common, looked for once."""

    def __init__(
        self,
        recall: Recall,
        asked: JudgedBy,
        own: Mapping[int, Sequence[Replicates]] | None = None,
        *,
        kept: bool = True,
        saves: bool = True,
    ) -> None:
        self.slurries = Slurries(recall, own, saves=kept and saves)
        self._asked = asked
        self._kept = kept
        self._recall = recall
        self._done = last_events(recall, SHIFTS, datetime.date.max)

    @cached_property
    def _bench(self) -> BenchState:
        from slurrycalc.day.months.bench_state import BenchState  # noqa: PLC0415  only with the record

        return BenchState(self._recall)

    @cached_property
    def _has_steady(self) -> bool:
        return any(is_steady(thing) for thing in self._recall.things.of("enclosure", retired=True))

    def _doubts(self, day: datetime.date) -> tuple[Remark, ...]:
        """Say what the steady jars say of a day."""
        return tuple(self._bench.remarks(day)) if self._has_steady else ()

    def bed(self, read: DaySlurries, earlier: int = 0) -> EnclosureResult:
        """Judge a bed, or what somebody read without a name."""
        bench, slurry, thing = self._doubts(read.day), read.slurry, read.enclosure
        limits = chosen_limits(self._asked.limits, limits_of(thing))
        on_record = self._kept and thing is not None
        judgement = judge(slurry, *limits, self._asked.p, on_record=on_record, doubted=bench)
        return EnclosureResult(
            name=None if thing is None else thing.name,
            day=read.day.isoformat(),
            slurry=replace(slurry, remarks=_once(bench, slurry.remarks)),
            judgement=judgement,
            jars=_labels(read),
            note="",
            remarks=_once(bench, judgement.remarks, slurry.remarks),
            earlier=earlier,
            shares=read.shares if self._kept else None,
            usual=any(
                asked is None and own is None
                for asked, own in zip(self._asked.limits, limits_of(thing), strict=True)
            ),
            changed=None if thing is None else self._changed_since(thing, read.day),
        )

    def steady(self, read: DaySlurries, earlier: int = 0) -> SteadyResult:
        """Take a steady jar's day for what it says of the bench."""
        thing = read.enclosure
        assert thing is not None
        said = self._bench.on(read.day)[thing.uid]
        remarks = _once(said.remarks, read.slurry.remarks)
        return SteadyResult(
            name=thing.name,
            day=read.day.isoformat(),
            slurry=read.slurry,
            said=said,
            jars=_labels(read),
            note="",
            remarks=remarks,
            earlier=earlier,
            shares=read.shares,
        )

    def fresh(self, read: DaySlurries, earlier: int = 0) -> FreshResult:
        """Take a tub of fresh mix's day, which no limit is held against."""
        bench, thing = self._doubts(read.day), read.enclosure
        assert thing is not None
        lime = untried(self.slurries.recall, thing, until=read.day)
        slurry = replace(read.slurry, remarks=_once(bench, read.slurry.remarks, lime))
        return FreshResult(
            name=thing.name,
            day=read.day.isoformat(),
            slurry=slurry,
            jars=_labels(read),
            note="",
            remarks=slurry.remarks,
            earlier=earlier,
            shares=read.shares,
        )

    def _changed_since(self, enclosure: Thing, day: datetime.date) -> str | None:
        """Give the last day, from one on, on which something was done that changes a pH, if there is one."""
        done = [self._done[enclosure.id, kind] for kind in SHIFTS if (enclosure.id, kind) in self._done]
        last = max(done, default=None)
        return None if last is None or last < day else last.isoformat()


def _by_enclosure(readings: Readings, entry: int | None) -> dict[int, list[int]]:
    """Give the places of a day's readings by number of enclosure; at 0 the nameless ones of one step."""
    found: dict[int, list[int]] = {}
    for i, row in enumerate(readings.rows):
        if row.mixed == ALIKE and (row.enclosure is not None or row.entry == entry):
            found.setdefault(row.enclosure or 0, []).append(i)
    return found


def _once(*some: Iterable[Remark]) -> tuple[Remark, ...]:
    return tuple(dict.fromkeys(each for one in some for each in one))


def _labels(read: DaySlurries) -> tuple[str, ...]:
    return tuple(jar.label for jar in read.jars if jar.label is not None)


def _badness(one: EnclosureResult) -> tuple[int, int, float, float, str]:
    """Sort the worst first: what is surely below its floor, then what is surely outside its range."""
    floor, target = one.judgement.above_floor, one.judgement.in_range
    return _ORDER[floor.state], _ORDER[target.state], floor.probability, target.probability, one.name or ""


def _by_owner(readings: Readings) -> dict[int, list[Replicates]]:
    """Give the days of each enclosure, by its number."""
    own: dict[int, list[Replicates]] = {}
    for replicate in replicates(readings):
        own.setdefault(replicate.enclosure or 0, []).append(replicate)
    return own


def _newest(recall: Recall, enclosures: Collection[int], until: datetime.date | None = None) -> Readings:
    """Give the readings of the newest days of each enclosure by a day, from one walk through the record.

    What was read later may be among them.
    """
    some = enclosures if len(enclosures) < FEW else None
    with recall.book.snapshot(), uncollected():
        since = windows(recall, OWN_DAYS + 1, ALIKE, until=until, enclosures=some)
        return recall.readings(
            windows={key: (one.since, one.entry) for key, one in since.items() if key in enclosures}
        )


def _last_days(readings: Readings) -> dict[int, list[int]]:
    """Give for each enclosure the places of its readings of its last day."""
    last: dict[int, list[int]] = {}
    for i, row in enumerate(readings.rows):
        if row.mixed == ALIKE and row.enclosure is not None:
            mine = last.setdefault(row.enclosure, [])
            if mine and readings.rows[mine[0]].day != row.day:
                mine.clear()
            mine.append(i)
    return last
