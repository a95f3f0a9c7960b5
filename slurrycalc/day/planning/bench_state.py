"""What the steady jars said of the bench, on any day of the record."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from slurrycalc.day.planning.series import series_of
from slurrycalc.deciding.steady import SteadyDay, steady
from slurrycalc.deciding.trend import DayPH
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.slurry import SlurryResult
from slurrycalc.metrology.remark import Remark

NOTHING: Mapping[str, SlurryResult] = {}


def is_steady(thing: Thing | None) -> bool:
    """Tell whether an enclosure is a steady jar."""
    return thing is not None and bool(thing.get("steady"))


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

    def on(
        self, day: datetime.date, read: Mapping[str, SlurryResult] = NOTHING
    ) -> dict[str, SteadyDay]:
        """Judge the steady jars of a day.

        Parameters
        ----------
        day : date
            The bench day.
        read : mapping of str to SlurryResult, optional
            Uid of a steady jar to what it reads on that day, where this step reads it: all of the day's
            slurries, those on record among them.

        Returns
        -------
        dict
            Uid to what it says of the bench, of each steady jar that was read on that day.

        Raises
        ------
        Refusal
            If the points of a calibration cannot stand.
        """
        if not read and day in self._judged:
            return self._judged[day]
        found = {}
        for jar in self._recall.things.of("enclosure", day):
            if is_steady(jar):
                judged = self._record(jar).judged(day, read.get(jar.uid))
                if judged is not None:
                    found[jar.uid] = judged
        if not read:
            self._judged[day] = found
        return found

    def remarks(
        self, day: datetime.date, read: Mapping[str, SlurryResult] = NOTHING
    ) -> tuple[Remark, ...]:
        """Give what every result of a day must say of the bench.

        Parameters
        ----------
        day : date
            The bench day.
        read : mapping of str to SlurryResult, optional
            As for `on`.

        Returns
        -------
        tuple of Remark
            Empty where the bench is steady, or no steady jar was read.

        Raises
        ------
        Refusal
            As for `on`.
        """
        return tuple(remark for each in self.on(day, read).values() for remark in each.remarks)

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

    def judged(self, day: datetime.date, read: SlurryResult | None) -> SteadyDay | None:
        """Judge one day by those before it, since the jar was last filled; None where it was not read."""
        # As for a trend, a reading of the day of filling counts as taken before.
        since = max((on for on in self.filled if on < day), default=datetime.date.min)
        before = [i for i, on in enumerate(self.days) if since < on < day]
        days, ph = [self.days[i] for i in before], [self.ph[i] for i in before]
        if read is not None:
            newest: DayPH = read
        elif day in self.days:
            newest = self.ph[self.days.index(day)]
        else:
            return None
        return steady([*days, day], [*ph, newest], newest_only=True)[0]
