"""An enclosure's bench days as the record has them, and what was done between them."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from operator import itemgetter

import numpy as np

from slurrycalc.data.assumed import ODD_FEWEST, TREND_DAYS
from slurrycalc.day.months.shifts import all_tried, happenings
from slurrycalc.day.months.teaching import Lessons
from slurrycalc.day.record.slurries import ALIKE
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.trend import TooFewDays, Trend, trend
from slurrycalc.logbook.calibrations import Place
from slurrycalc.logbook.past import Expectations
from slurrycalc.logbook.readings import KeptReading, Readings
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.replicates import Replicates, replicates
from slurrycalc.logbook.shifts import shifts_of
from slurrycalc.logbook.things import Thing
from slurrycalc.logbook.uncollected import uncollected
from slurrycalc.logbook.windows import windows
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.metrology.batch import Batch
from slurrycalc.metrology.batches import means, numbered, split
from slurrycalc.metrology.remark import Remark

_Day = tuple[int | None, str]
"""Number of an enclosure, and a day."""

MOST_DAYS = round(TREND_DAYS.value)
"""Newest bench days that a trend takes in unless told otherwise."""


@dataclass(frozen=True, eq=False)
class Series(Lessons):
    """One enclosure's bench days, from the earliest on."""

    enclosure: Thing
    earlier: int
    """Days before the first that were read too."""
    doubted: bool = False
    """Whether the last bench day was read under a calibration in doubt."""
    left_out: tuple[datetime.date, ...] = ()
    """Earlier days that were, which are no part of the others."""
    apart: bool = field(default=False, kw_only=True)
    """Whether a jar of the last bench day lies apart from the others, perhaps by chance."""

    @property
    def perhaps_odd(self) -> bool:
        """Whether something of its own may put its last bench day in doubt."""
        return self.doubted or self.apart


def series_of(
    recall: Recall,
    enclosure: Thing,
    *,
    since: datetime.date | None = None,
    until: datetime.date | None = None,
) -> Series | None:
    """Give an enclosure's bench days.

    Parameters
    ----------
    recall : Recall
        The record.
    enclosure : Thing
        Which one.
    since : date, optional
        From that day on; the newest 36 unless given.
    until : date, optional
        Up to that day, as if nothing later were on record.

    Returns
    -------
    Series or None
        None where it was not read.

    Raises
    ------
    Refusal
        If the points of a calibration cannot stand.
    """
    return series_of_many(recall, [enclosure], since=since, until=until).get(enclosure.id)


def all_series(
    recall: Recall, *, since: datetime.date | None = None, until: datetime.date | None = None
) -> dict[int, Series]:
    """Give the bench days of every enclosure in use.

    Parameters
    ----------
    recall : Recall
        The record.
    since : date, optional
        From that day on; the newest 36 of each unless given.
    until : date, optional
        Up to that day, as if nothing later were on record.

    Returns
    -------
    dict
        Number of each enclosure that was read, to its bench days.

    Raises
    ------
    Refusal
        If the points of a calibration cannot stand.
    """
    return series_of_many(recall, recall.things.of("enclosure", until), since=since, until=until)


def series_of_many(
    recall: Recall,
    enclosures: Sequence[Thing],
    *,
    since: datetime.date | None = None,
    until: datetime.date | None = None,
) -> dict[int, Series]:
    """Give the bench days of several enclosures in one pass through the record.

    Parameters
    ----------
    recall : Recall
        The record.
    enclosures : sequence of Thing
        Which ones.
    since : date, optional
        From that day on; the newest 36 of each unless given.
    until : date, optional
        Up to that day, as if nothing later were on record.

    Returns
    -------
    dict
        Number of each enclosure that was read, to its bench days.

    Raises
    ------
    Refusal
        If the points of a calibration cannot stand.
    """
    wanted = {enclosure.id: enclosure for enclosure in enclosures}
    if not wanted:
        return {}
    with recall.book.snapshot(), uncollected():
        only = wanted if len(wanted) == 1 else None
        found = windows(recall, MOST_DAYS, ALIKE, since=since, until=until, enclosures=only)
        found = {number: window for number, window in found.items() if number in wanted}
        if not found:
            return {}
        asked = {number: (window.since, window.entry) for number, window in found.items()}
        readings = recall.readings(windows=asked)
        done = shifts_of(recall, found)
        last = until or datetime.date.max
        doubted = {
            (row.enclosure, row.day)
            for i, row in enumerate(readings.rows if readings.doubted else ())
            if row.mixed == ALIKE and readings.doubt(i) is not None
        }
        passed = _passed(readings, last, doubted) if doubted else frozenset()
        odd, apart = _odd(recall, readings, wanted, last)
        left_out: dict[int | None, list[datetime.date]] = {}
        for whose, day in sorted(passed, key=itemgetter(1)):
            left_out.setdefault(whose, []).append(datetime.date.fromisoformat(day))
        moved: dict[int, dict[datetime.date, float]] = {}
        for whose, on, moves in odd.values():
            moved.setdefault(whose, {})[on] = moves
        tried = all_tried(recall, wanted, until)
        return {
            number: Series(
                days,
                ph,
                slurries,
                squares,
                happenings(
                    recall,
                    wanted[number],
                    [each for each in done.get(number, ()) if days[0] <= each.day <= last],
                ),
                tried.get(number),
                wanted[number],
                found[number].earlier,
                (number, days[-1].isoformat()) in doubted,
                tuple(left_out.get(number, ())),
                apart=(number, days[-1].isoformat()) in apart,
                odd={day: by for day, by in moved.get(number, {}).items() if day in days},
            )
            for number, days, ph, slurries, squares in _gathered(readings, last, passed, odd)
        }


def drift_of(
    series: Series,
    *,
    without: Collection[str] = (),
    expected: Expected = DEFAULT,
    today: datetime.date | None = None,
) -> Trend:
    """Draw a line through an enclosure's bench days.

    Parameters
    ----------
    series : Series
        At least two days.
    without : collection of str
        Names of steps that are switched off.
    expected : Scatter, DEFAULT or None
        What is known of the scatter of bench days about the line beforehand.
    today : date, optional
        A day after it is refused.

    Returns
    -------
    Trend
        As `slurrycalc.deciding.trend.trend` gives it.

    Raises
    ------
    TooFewDays
        If there are too few days for a line and its steps.
    Refusal
        If a name to switch off is not among the steps.
    """
    drift = trend(series.days, series.ph, series.steps, expected, without=without, today=today)
    if not series.left_out:
        return drift
    return replace(drift, remarks=(*drift.remarks, Remark("days-in-doubt", _left_out(series.left_out))))


def drift_or_why(
    series: Series,
    *,
    without: Collection[str] = (),
    expected: Expected = DEFAULT,
    today: datetime.date | None = None,
) -> Trend | str:
    """Draw a line through an enclosure's bench days, or say why there is none yet.

    Parameters
    ----------
    series : Series
        Any number of days.
    without : collection of str
        Names of steps that are switched off.
    expected : Scatter, DEFAULT or None
        What is known of the scatter of bench days about the line beforehand.
    today : date, optional
        A day after it is refused.

    Returns
    -------
    Trend or str
        A sentence where there are too few bench days for a line and its steps.

    Raises
    ------
    Refusal
        If a name to switch off is not among the steps.
    """
    try:
        return drift_of(series, without=without, expected=expected, today=today)
    except TooFewDays as why:
        return f"{why.sentence} {_left_out(series.left_out)}" if series.left_out else why.sentence


def _left_out(days: Sequence[datetime.date]) -> str:
    """Say which days are no part of a line."""
    said = ", ".join(spoken(day) for day in days)
    return f"Left out, since the calibration was in doubt: {said}."


def _passed(readings: Readings, last: datetime.date, doubted: Collection[_Day]) -> frozenset[_Day]:
    """Give the days in doubt that a later one follows: the last one stays, to be read again."""
    until = last.isoformat()
    newest: dict[int | None, str] = {}
    for row in readings.rows:
        if row.mixed == ALIKE and row.day <= until:
            newest[row.enclosure] = max(row.day, newest.get(row.enclosure, row.day))
    return frozenset((whose, day) for whose, day in doubted if day < newest.get(whose, ""))


def _odd(
    recall: Recall, readings: Readings, things: Mapping[int, Thing], last: datetime.date
) -> tuple[dict[Place, tuple[int, datetime.date, float]], set[_Day]]:
    """Give the jars that lay by themselves: of which enclosure and day, and how far each moved its mean.

    And the days on which a jar lay apart from the others, by more than chance or not.
    """
    if max(Counter((row.enclosure, row.day) for row in readings.rows).values(), default=0) < ODD_FEWEST.value:
        return {}, set()
    by_enclosure: dict[int, list[Replicates]] = {}
    for day in replicates(readings):
        if day.enclosure is not None and day.enclosure in things and day.day <= last.isoformat():
            by_enclosure.setdefault(day.enclosure, []).append(day)
    past, alike = Expectations(recall), {row.slurry for row in readings.rows if row.mixed == ALIKE}
    apart: set[_Day] = {
        (number, day.day) for number, days in by_enclosure.items() for day in days if day.far is not None
    }
    found = {
        place: (number, datetime.date.fromisoformat(day.day), abs(day.far.moves))
        for number, days in by_enclosure.items()
        if any(day.far is not None for day in days)
        for day in past.odd(things[number], days)
        if day.far is not None
        for place in day.far_jars
        if place in alike
    }
    return found, apart


def _gathered(
    readings: Readings, last: datetime.date, passed: Collection[_Day] = (), odd: Collection[Place] = ()
) -> Iterable[tuple[int, tuple[datetime.date, ...], Batch, tuple[int, ...], tuple[float, ...]]]:
    """Average readings into slurries, slurries into spots, spots into days; then part them by enclosure.

    Without days that are passed over, and without jars that lay by themselves.
    """
    until = last.isoformat()
    alike = np.array(
        [
            row.mixed == ALIKE
            and row.day <= until
            and (row.enclosure, row.day) not in passed
            and row.slurry not in odd
            for row in readings.rows
        ],
        np.bool_,
    )
    rows = [row for row, is_alike in zip(readings.rows, alike.tolist(), strict=True) if is_alike]
    if not rows:
        return
    batch = (
        readings.batch
        if alike.all()
        else split(readings.batch, numbered(alike.tolist())[0])[0 if alike[0] else 1]
    )
    jar, first = numbered([row.slurry for row in rows])
    jars = [rows[i] for i in first]
    spot, first = numbered([_spot(row) for row in jars])
    spots = [jars[i] for i in first]
    day, first = numbered([(row.enclosure, row.day) for row in spots])
    values = batch.values
    for group in (jar, spot, day):
        values = batch.values
        # A jar is mostly read once and from spots of its own, and then its mean is itself.
        if not np.array_equal(group, np.arange(len(batch))):
            batch = means(batch, group)
    squares = np.bincount(day, (values - batch.values[day]) ** 2, len(first)).tolist()
    slurries = np.bincount(day[spot], minlength=len(first)).tolist()
    days = [spots[i] for i in first]
    owner, first = numbered([row.enclosure for row in days])
    places = np.split(np.argsort(owner, kind="stable"), np.cumsum(np.bincount(owner))[:-1])
    for part, its in zip(split(batch, owner), places, strict=True):
        mine = its.tolist()
        number = days[mine[0]].enclosure
        assert number is not None
        yield (
            number,
            tuple(datetime.date.fromisoformat(days[i].day) for i in mine),
            part,
            tuple(slurries[i] for i in mine),
            tuple(squares[i] for i in mine),
        )


def _spot(row: KeptReading) -> Hashable:
    """Mark where a slurry comes from; without a mark it has spots of its own."""
    return (row.enclosure, row.day, row.spot.casefold()) if row.spot else row.slurry
