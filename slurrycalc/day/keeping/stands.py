"""Where each enclosure stands by the record: its last bench day, computed anew."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from slurrycalc.day.gathered import badness
from slurrycalc.day.keeping.events import SHIFTS
from slurrycalc.day.keeping.slurries import ALIKE, limits_of, shares
from slurrycalc.day.limits import chosen_limits
from slurrycalc.day.planning.bench_state import BenchState, is_steady
from slurrycalc.day.planning.series import uncollected
from slurrycalc.day.shares import Shares
from slurrycalc.deciding.judgement import Judgement, judge
from slurrycalc.deciding.steady import SteadyDay
from slurrycalc.logbook.latest import last_events
from slurrycalc.logbook.past import OWN_DAYS, Expectations, Replicates, jars, replicates
from slurrycalc.logbook.readings import Readings
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.things import Thing
from slurrycalc.logbook.windows import windows
from slurrycalc.measuring.slurry import SlurryResult, slurry_ph
from slurrycalc.metrology.remark import Remark


@dataclass(frozen=True)
class Stands:
    """One enclosure's last bench day."""

    name: str
    day: str
    """Year, month, day."""
    slurry: SlurryResult
    judgement: Judgement
    shares: Shares
    changed: str | None
    """The day since on which something was done that changes its pH, if any."""
    bench: tuple[Remark, ...] = ()
    """What the steady jars of that day say of it."""

    @property
    def act(self) -> bool:
        """Whether it is sure enough to be acted on, by readings that are not in doubt."""
        return self.judgement.ready and self.changed is None


@dataclass(frozen=True)
class Steadily:
    """A steady jar's last bench day."""

    name: str
    said: SteadyDay
    doubts: tuple[Remark, ...] = ()
    """Why its own reading is in doubt."""


@dataclass(frozen=True)
class AllStand:
    """Where every enclosure in use stands."""

    stands: tuple[Stands, ...]
    """By the last day of each, the worst first; a tub of fresh mix has nowhere to stand."""
    unread: tuple[str, ...]
    """Names of those that were not read yet."""
    steady: tuple[Steadily, ...]
    """The steady jars, which have no range and no floor."""


@dataclass(frozen=True, eq=False)
class Background:
    """What many enclosures of a record have in common, looked for once."""

    recall: Recall
    bench: BenchState
    past: Expectations
    readings: Readings
    """Among which are those of their last days."""
    done: Mapping[tuple[int, str], datetime.date]
    """Number of an enclosure and a kind of event, to its last day."""


def _background(recall: Recall, past: Expectations, readings: Readings) -> Background:
    done = last_events(recall, SHIFTS, datetime.date.max)
    return Background(recall, BenchState(recall), past, readings, done)


def stands_on(recall: Recall, enclosure: Thing, day: datetime.date, p: float = 0.95) -> Stands | None:
    """Say where an enclosure stood on a day.

    Parameters
    ----------
    recall : Recall
        The record.
    enclosure : Thing
        Which one.
    day : date
        The day.
    p : float
        Coverage probability of the decisions. [1]

    Returns
    -------
    Stands or None
        By all its slurries of that day that stand; None without any.

    Raises
    ------
    Refusal
        If the points of a calibration cannot stand.
    """
    readings = recall.readings(enclosure, since=day, until=day)
    mine = [i for i, row in enumerate(readings.rows) if row.mixed == ALIKE]
    background = _background(recall, Expectations(recall), readings)
    return _advised(_stands(background, enclosure, mine, p), enclosure, p) if mine else None


def _stands(background: Background, enclosure: Thing, mine: Sequence[int], p: float) -> Stands:
    """Say where an enclosure stood on a day, by the places of its readings; not yet what would settle it."""
    recall, readings = background.recall, background.readings
    rows = [readings.rows[i] for i in mine]
    day = datetime.date.fromisoformat(rows[0].day)
    under = {row.calibration for row in rows}
    place = under.pop() if len(under) == 1 else None
    known = background.past.of(enclosure, day)
    slurries = jars(readings, mine)
    slurry = slurry_ph(
        None if place is None else recall.calibration(place),
        [jar.ph for jar in slurries],
        spots=[jar.spot.casefold() if jar.spot else None for jar in slurries],
        expected=known.scatter,
    )
    said = background.bench.remarks(day)
    doubted = (jar.doubt for jar in slurries if jar.doubt is not None)
    slurry = replace(slurry, remarks=tuple(dict.fromkeys((*said, *doubted, *slurry.remarks))))
    standing = judge(slurry.ph, *chosen_limits(limits_of(enclosure)), p, doubted=slurry.remarks)
    changed = _changed_since(background, enclosure, day)
    return Stands(enclosure.name, day.isoformat(), slurry, standing, shares(slurry, known), changed, said)


def _advised(one: Stands, enclosure: Thing, p: float) -> Stands:
    """Add what would settle an open question: to find it takes ten times as long as the answers."""
    limits = chosen_limits(limits_of(enclosure))
    return replace(one, judgement=judge(one.slurry, *limits, p, on_record=True))


def _changed_since(background: Background, enclosure: Thing, day: datetime.date) -> str | None:
    """Give the last day, from one on, on which something was done that changes a pH, if there is one."""
    done = [background.done[enclosure.id, kind] for kind in SHIFTS if (enclosure.id, kind) in background.done]
    last = max(done, default=None)
    return None if last is None or last < day else last.isoformat()


def where_all_stand(recall: Recall, p: float = 0.95, *, advised: int | None = None) -> AllStand:
    """Say where every enclosure in use stands.

    Parameters
    ----------
    recall : Recall
        The record.
    p : float
        Coverage probability of the decisions. [1]
    advised : int, optional
        What would settle an open question is found for so many, the worst; for all unless given.

    Returns
    -------
    AllStand
        By the last bench day of each.

    Raises
    ------
    Refusal
        If the points of a calibration cannot stand.
    """
    found, unread, steady = [], [], []
    enclosures = [one for one in recall.things.of("enclosure") if not one.get("fresh")]
    readings = _newest(recall, {one.id for one in enclosures})
    last = _last_days(readings)
    own: dict[int, list[Replicates]] = {}
    for replicate in replicates(readings):
        own.setdefault(replicate.enclosure or 0, []).append(replicate)
    background = _background(recall, Expectations(recall, own), readings)
    for enclosure in enclosures:
        mine = last.get(enclosure.id)
        if mine is None:
            unread.append(enclosure.name)
        elif is_steady(enclosure):
            day = datetime.date.fromisoformat(readings.rows[mine[0]].day)
            doubts = dict.fromkeys(doubt for doubt in map(readings.doubt, mine) if doubt is not None)
            said = background.bench.on(day)[enclosure.uid]
            steady.append(Steadily(enclosure.name, said, tuple(doubts)))
        else:
            found.append((_stands(background, enclosure, mine, p), enclosure))
    found.sort(key=lambda each: badness(each[0].judgement, each[0].name))
    worst = len(found) if advised is None else advised
    stands = [_advised(one, enclosure, p) for one, enclosure in found[:worst]]
    stands += [one for one, _ in found[worst:]]
    return AllStand(tuple(stands), tuple(unread), tuple(steady))


def _newest(recall: Recall, enclosures: Collection[int]) -> Readings:
    """Give the readings of the newest days of each enclosure, from one walk through the record."""
    with recall.book.snapshot(), uncollected():
        since = windows(recall, OWN_DAYS + 1, ALIKE)
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
