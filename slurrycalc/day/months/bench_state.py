"""What the steady jars said of the bench, on any day of the record."""

from __future__ import annotations

import datetime

from slurrycalc.day.months.series import series_of
from slurrycalc.day.record.slurries import slurries
from slurrycalc.deciding.steady import SteadyDay, steady
from slurrycalc.deciding.trend import DayPH, day_ph
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.things import Thing, is_steady
from slurrycalc.metrology.remark import Remark


class BenchState:
    """The steady jars of a record, each day judged once, by what was known until then.

    Parameters
    ----------
    recall : Recall
        The record.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> BenchState(Recall(in_memory())).on(datetime.date(2024, 5, 4))
    {}
    """

    def __init__(self, recall: Recall) -> None:
        self._recall = recall
        self._records: dict[int, _Record] = {}
        self._judged: dict[datetime.date, dict[str, SteadyDay]] = {}

    def on(self, day: datetime.date) -> dict[str, SteadyDay]:
        """Judge the steady jars of a day.

        Parameters
        ----------
        day : date
            The bench day.

        Returns
        -------
        dict
            Uid to what it says of the bench, of each steady jar that was read on that day.

        Raises
        ------
        Refusal
            If the points of a calibration cannot stand.
        """
        if day not in self._judged:
            jars = [jar for jar in self._recall.things.of("enclosure", day) if is_steady(jar)]
            judged = {jar.uid: self._record(jar).judged(day) for jar in jars}
            self._judged[day] = {uid: said for uid, said in judged.items() if said is not None}
        return self._judged[day]

    def remarks(self, day: datetime.date) -> tuple[Remark, ...]:
        """Give what every result of a day must say of the bench.

        Parameters
        ----------
        day : date
            The bench day.

        Returns
        -------
        tuple of Remark
            Empty where the bench is steady, or no steady jar was read.

        Raises
        ------
        Refusal
            As for `on`.
        """
        return tuple(remark for each in self.on(day).values() for remark in each.remarks)

    def _record(self, jar: Thing) -> _Record:
        if jar.id not in self._records:
            self._records[jar.id] = _Record(self._recall, jar)
        return self._records[jar.id]


class _Record:
    """The days of one steady jar."""

    def __init__(self, recall: Recall, jar: Thing) -> None:
        # All its days and not the newest alone: the mean that a day is held against must not wander after it.
        series = series_of(recall, jar, since=datetime.date.min)
        self.days: tuple[datetime.date, ...] = ()
        self.ph: list[DayPH] = []
        self.filled: tuple[datetime.date, ...] = ()
        if series is not None:
            self.days = series.days
            self.ph = [series.ph.number(i) for i in range(len(series.days))]
            self.filled = tuple(step.on for step in series.steps)
            for day in _calibrated_again(recall, jar):
                # Of such a day only what was read under its last calibration counts.
                read = slurries(recall, jar, day)
                if read is not None and day in self.days:
                    self.ph[self.days.index(day)] = day_ph(read.slurry)

    def judged(self, day: datetime.date) -> SteadyDay | None:
        """Judge one day by those before it, since the jar was last filled; None where it was not read."""
        if day not in self.days:
            return None
        # As for a trend, a reading of the day of filling counts as taken before.
        since = max((on for on in self.filled if on < day), default=datetime.date.min)
        until = [i for i, on in enumerate(self.days) if since < on <= day]
        return steady([self.days[i] for i in until], [self.ph[i] for i in until], newest_only=True)[0]


def _calibrated_again(recall: Recall, jar: Thing) -> list[datetime.date]:
    """Give the days on which a jar was read under more than one calibration."""
    rows = recall.book.rows(
        "SELECT e.day FROM slurry s JOIN reading r ON r.slurry_entry = s.entry AND r.slurry_n = s.n "
        "JOIN entry e ON e.id = r.entry WHERE s.enclosure = ? GROUP BY e.day "
        "HAVING count(DISTINCT r.calibration_entry || '.' || r.calibration_n) > 1",
        (jar.id,),
    )
    return [datetime.date.fromisoformat(row[0]) for row in rows]
