"""What the record says, computed anew from what was read."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from copy import copy
from dataclasses import replace

from msgspec import json

from slurrycalc.logbook.calibrations import KeptCalibration, Place, kept_calibrations
from slurrycalc.logbook.checked import Checked
from slurrycalc.logbook.computing import Shelf, computed
from slurrycalc.logbook.readings import (
    FROM_ENTRIES,
    FROM_JARS,
    FROM_WINDOWS,
    SELECT,
    KeptReading,
    Readings,
    Uids,
)
from slurrycalc.logbook.refs import Ref, When
from slurrycalc.logbook.standing import chunked, standing
from slurrycalc.logbook.store import Row, Store
from slurrycalc.logbook.things import Thing, things_of
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import SESSION, Inputs


class Recall:
    """What the record says, as it is at one moment.

    Results come from raw readings and declared uncertainties each time, with the same input for the same
    bottle, meter, point and reading: two of them are correlated whether they are asked for together or not.

    Parameters
    ----------
    book : Store
    inputs : Inputs, optional
        Where the errors of named things are kept; by default the session's.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> len(Recall(in_memory()).readings())
    0
    """

    def __init__(self, book: Store, inputs: Inputs | None = None) -> None:
        self.book = book
        self.inputs = SESSION if inputs is None else inputs
        with book.snapshot():
            self.stands = standing(book)
            self.things = things_of(book, self.stands)
        self._kept: dict[Place, KeptCalibration] = {}
        self.uids = Uids(book)
        self._shelf = Shelf(self._kept, self.uids, self.inputs)

    def anew(self) -> Recall:
        """Give the same record with nothing computed yet: what it computes is let go of with it."""
        other = copy(self)
        other.inputs, other._kept, other.uids = Inputs(), {}, Uids(self.book)
        other._shelf = Shelf(other._kept, other.uids, other.inputs)
        return other

    def kept(self, places: Iterable[Place]) -> dict[Place, KeptCalibration]:
        """Give calibrations as they are on record.

        Parameters
        ----------
        places : iterable of (int, int)
            Entry and number within it.

        Returns
        -------
        dict
            Place to calibration, those that were asked for and stand among them.
        """
        missing = set(places).difference(self._kept)
        if missing:
            self._kept.update(kept_calibrations(self.book, self.things, self.stands, missing))
        return self._kept

    def calibration(self, ref: Ref | Place) -> Calibration:
        """Compute a calibration.

        Parameters
        ----------
        ref : Ref or (int, int)
            Which one.

        Returns
        -------
        Calibration
            With everything that can be said of it.

        Raises
        ------
        Refusal
            If there is none, it was struck out, or its points cannot stand.
        """
        place = self.place(ref)
        if place not in self.kept([place]):
            raise Refusal(f"entry {place[0]} holds no calibration that stands; look in `slurrycalc history`.")
        # By the dates of its bottles as well, on the day on which it was made.
        return self._shelf.whole(place).on(self.kept([place])[place].when.day)

    def checked(self, ref: Ref | Place, entry: int) -> list[Checked]:
        """Give the check bottles that an entry read among its jars, under a calibration."""
        place = self.place(ref)
        self.kept([place])
        return self._shelf.checked(place).get(entry, [])

    def last_calibration(self, meter: Thing, when: When) -> KeptCalibration:
        """Find the calibration that a reading was made under.

        Parameters
        ----------
        meter : Thing
            The meter.
        when : When
            When it was read.

        Returns
        -------
        KeptCalibration
            The meter's last one of that day; where times are known, the last one before the reading.

        Raises
        ------
        Refusal
            If the meter was not calibrated on that day, or only later.
        """
        rows = self.book.rows(
            "SELECT c.entry, c.n FROM calibration c JOIN entry e ON e.id = c.entry "
            "WHERE c.meter = ? AND e.day = ? ORDER BY e.at, e.id, c.n",
            (meter.id, when.day.isoformat()),
        )
        kept = self.kept((entry, n) for entry, n in rows)
        that_day = [kept[entry, n] for entry, n in rows if (entry, n) in kept]
        if not that_day:
            raise Refusal(
                f"meter {quoted(meter.name)} has no calibration of {when.day.isoformat()}; record one first: "
                f"slurrycalc calibrate --meter {meter.name} 4.01=... 7.00=..."
            )
        before = [one for one in that_day if when.day_only or one.when.day_only or one.when.at <= when.at]
        if not before:
            raise Refusal(
                f"meter {quoted(meter.name)} was calibrated on {when.day.isoformat()} only at "
                f"{that_day[0].when.at:%H:%M}, after this reading at {when.at:%H:%M}; write the time by --at."
            )
        return before[-1]

    def readings(
        self,
        enclosure: Thing | None = None,
        *,
        since: datetime.date | None = None,
        until: datetime.date | None = None,
        jars: Iterable[Ref | Place] | None = None,
        entries: Iterable[int] | None = None,
        newest: int | None = None,
        windows: Mapping[int, tuple[datetime.date, int]] | None = None,
        every: bool = False,
    ) -> Readings:
        """Give readings that stand, with their pH.

        Where an enclosure was read under a calibration in doubt and, on the same day, under another one, the
        first do not count: they are left out, unless `jars`, `entries` or `every` ask for them.

        Parameters
        ----------
        enclosure : Thing, optional
            Of this one only.
        since, until : date, optional
            From that day on, and up to that day; both included.
        jars : iterable of Ref or (int, int), optional
            In these jars only.
        entries : iterable of int, optional
            Recorded by these entries only.
        newest : int, optional
            No more than so many that stand, the newest.
        windows : mapping of int to (date, int), optional
            Of these enclosures only, each from that day on, in slurries that this entry or a later one holds.
        every : bool
            Those in doubt too.

        Returns
        -------
        Readings
            In the order of time.

        Raises
        ------
        Refusal
            If the points of a calibration cannot stand.
        """
        with self.book.snapshot():
            if jars is not None:
                rows = self._in_jars({self.place(jar) for jar in jars})
            elif windows is not None:
                asked = [(key, day.isoformat(), entry) for key, (day, entry) in windows.items()]
                days = json.encode(asked).decode()
                rows = self.book.rows(f"{SELECT}{FROM_WINDOWS}ORDER BY e.at, e.id, r.n", (days,))
            elif entries is not None:
                rows = _by_time(
                    chunked(self.book, f"{SELECT}{_AND_TIME}{FROM_JARS}WHERE r.entry IN ({{}})", entries)
                )
            else:
                rows = self._select(enclosure, since, until, newest)
            kept = list(map(KeptReading._make, rows))
            if self.stands:
                kept = [row for row in kept if self._reading_stands(row)]
            places = {row.calibration for row in kept if row.calibration is not None}
            self.kept(places)
            out: list[KeptReading] = []
            if not every and jars is None and entries is None:
                kept, out = self._counted(kept, places)
        return replace(computed(kept, self._shelf), out=tuple(out))

    def _counted(
        self, rows: list[KeptReading], places: set[Place]
    ) -> tuple[list[KeptReading], list[KeptReading]]:
        """Leave out readings in doubt, where others of the same enclosure and day are not."""
        doubts, disputed = self._shelf.doubts(places), self._shelf.disputed(rows, places)
        if not doubts and not disputed:
            return rows, []
        doubted = {row for row in rows if row.calibration in doubts or row.place in disputed}
        sound = {row.bench_day for row in rows if row not in doubted}
        out = [row for row in rows if row in doubted and row.bench_day in sound]
        gone = set(out)
        return [row for row in rows if row not in gone], out

    def _reading_stands(self, row: KeptReading) -> bool:
        has = self.stands.has
        under = row.calibration_entry
        return has(row.entry, row.n) and has(row.slurry_entry) and (under is None or has(under))

    def _select(
        self,
        enclosure: Thing | None,
        since: datetime.date | None,
        until: datetime.date | None,
        newest: int | None,
    ) -> list[Row]:
        asked = (
            ("s.enclosure = ?", enclosure and enclosure.id),
            ("e.day >= ?", since and since.isoformat()),
            ("e.day <= ?", until and until.isoformat()),
        )
        conditions = [condition for condition, value in asked if value is not None]
        values = [value for _, value in asked if value is not None]
        where = f"WHERE {' AND '.join(conditions)} " if conditions else ""
        start = f"{SELECT}{FROM_ENTRIES if enclosure is None else FROM_JARS}{where}"
        if newest is None:
            return self.book.rows(f"{start}ORDER BY e.at, e.id, r.n", values)
        last_first = f"{start}ORDER BY e.at DESC, e.id DESC, r.n DESC LIMIT ?"
        most = newest
        while True:
            rows = self.book.rows(last_first, [*values, most])
            # What was struck out is none of them.
            standing = self._standing(rows)
            if len(standing) >= newest or len(rows) < most:
                return standing[:newest][::-1]
            most *= 2

    def _standing(self, rows: list[Row]) -> list[Row]:
        """Give those whose readings stand."""
        if not self.stands:
            return rows
        return [row for row in rows if self._reading_stands(KeptReading._make(row))]

    def _in_jars(self, jars: set[Place]) -> list[Row]:
        sql = f"{SELECT}{_AND_TIME}{FROM_JARS}WHERE s.entry IN ({{}})"
        rows = chunked(self.book, sql, {entry for entry, _ in jars})
        return _by_time([row for row in rows if (row[3], row[4]) in jars])

    def place(self, ref: Ref | Place) -> Place:
        """Give the entry and the number within it of what every logbook calls alike."""
        if isinstance(ref, Ref):
            found = self.book.rows("SELECT id FROM entry WHERE uid = ?", (ref.uid,))
            if not found:
                raise Refusal(f"there is no entry `{ref.uid}` in this logbook; look in `slurrycalc history`.")
            return int(found[0][0]), ref.n
        return ref


_AND_TIME = ", e.at "


def _by_time(rows: list[Row]) -> list[Row]:
    """Bring rows into the order of time, by the column that comes last and goes."""
    return [row[:-1] for row in sorted(rows, key=lambda row: (row[-1], row[0], row[1]))]
