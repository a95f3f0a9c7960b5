"""Calibrations rebuilt from what was read, with the same errors for the same bottles, meters and points."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Literal, cast

from slurrycalc.logbook.refs import Ref, When
from slurrycalc.logbook.standing import StandingEntries, chunked
from slurrycalc.logbook.store import Store
from slurrycalc.logbook.things import Thing, Things
from slurrycalc.measuring.electrode import Calibration, Meter, Point, calibrate
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.checks import BufferCheck
from slurrycalc.measuring.electrode.coefficients import Coefficients, PlainPoint, coefficients
from slurrycalc.metrology.uncertain import Inputs

Shows = Literal["mV", "pH"]
Place = tuple[int, int]
"""Entry and number within it, in this logbook."""


@dataclass(frozen=True, eq=False)
class KeptPoint:
    """The meter in a bottle, as it is on record."""

    ref: Ref
    place: Place
    role: Literal["point", "check", "among", "close"]
    """A check that was read after a jar of its entry is one among the jars."""
    bottle: Thing
    shows: tuple[float, ...]
    temperature: float | None
    """[degC]"""

    @property
    def key(self) -> str:
        """Under which its errors are found again."""
        return self.ref.key("point")


@dataclass(frozen=True, eq=False)
class KeptCalibration:
    """A calibration as it is on record."""

    ref: Ref
    place: Place
    when: When
    meter: Meter
    named: Thing | None
    """The meter, if it has a name."""
    fit: Literal["line", "bracket"]
    thermometer: float | None
    """What it may be off by. [degC]"""
    points: tuple[KeptPoint, ...]
    """Those that stand, in the order of recording."""

    @property
    def key(self) -> str:
        """Under which its errors are found again."""
        return self.ref.key("calibration")

    def of(self, role: str) -> list[KeptPoint]:
        """Give its points of a role."""
        return [point for point in self.points if point.role == role]

    def whole(self, inputs: Inputs) -> Calibration:
        """Compute it, with everything that can be said of it.

        Parameters
        ----------
        inputs : Inputs
            Where its errors are kept.

        Returns
        -------
        Calibration
            Closed, where a bottle was read at the close.

        Raises
        ------
        Refusal
            If its points cannot stand.
        """
        points = [
            Point(bottle_of(one.bottle), one.shows, one.temperature, one.key) for one in self.of("point")
        ]
        found = calibrate(
            points, self.meter, fit=self.fit, thermometer=self.thermometer, inputs=inputs, key=self.key
        )
        for one in self.of("close"):
            found = found.close(bottle_of(one.bottle), one.shows, one.temperature, key=one.key)
        return found

    def checks(self, inputs: Inputs) -> tuple[BufferCheck, ...]:
        """Judge it by the check bottles that were read.

        Parameters
        ----------
        inputs : Inputs
            Where its errors are kept.

        Returns
        -------
        tuple of BufferCheck
            One a reading.

        Raises
        ------
        Refusal
            If its points cannot stand.
        """
        if not self.of("check"):
            return ()
        found = self.whole(inputs)
        return tuple(
            found.check(bottle_of(one.bottle), one.shows, one.temperature, among=True)
            for one in self.of("check")
        )

    def plain(self, inputs: Inputs) -> Coefficients | None:
        """Compute it as plain numbers; None where only `whole` can.

        Parameters
        ----------
        inputs : Inputs
            Where its errors are kept.

        Returns
        -------
        Coefficients or None
        """
        usual = self.fit == "line" and all(
            len(one.shows) == 1 and one.temperature is not None for one in self.points
        )
        if not usual:
            return None
        points, closing = (
            [
                PlainPoint(bottle_of(one.bottle), one.shows[0], cast(float, one.temperature), one.key)
                for one in some
            ]
            for some in (self.of("point"), self.of("close"))
        )
        return coefficients(
            points, self.meter, key=self.key, inputs=inputs, thermometer=self.thermometer, closing=closing
        )


def bottle_of(thing: Thing) -> Bottle:
    """Give a bottle on record to the measuring floor.

    Parameters
    ----------
    thing : Thing
        A bottle.

    Returns
    -------
    Bottle
        Whose error is the same whatever it is called.
    """
    label = str(thing.get("label"))
    name = None if thing.name == label else thing.name
    return Bottle(
        label,
        name,
        thing.get("tolerance"),
        thing.get("measured"),
        f"bottle:{thing.uid}",
        *bottle_dates(thing),
    )


def bottle_dates(thing: Thing) -> tuple[date | None, date | None]:
    """Give the days on which a bottle was opened, and until which it may be used."""
    opened, expires = (
        None if thing.get(key) is None else date.fromisoformat(str(thing.get(key)))
        for key in ("opened", "expires")
    )
    return opened, expires


def meter_of(thing: Thing, day: date, shows: Shows | None = None) -> Meter:
    """Give a meter on record to the measuring floor.

    Parameters
    ----------
    thing : Thing
        A meter.
    day : date
        On which it is used, with the electrode that it had then.
    shows : {"mV", "pH"}, optional
        What its display was set to; by default what is said of it.

    Returns
    -------
    Meter
        Whose errors are the same whatever it is called.
    """
    return _meter(thing, day, shows or thing.get("shows") or "pH")


def meter_of_step(uid: str, shows: Shows, declared: Sequence[Any] = (None,) * 4) -> Meter:
    """Give the nameless meter of a step, by its uid: one meter, however often it is calibrated there."""
    return replace(_meter(None, date.max, shows, declared), key=f"meter:of {uid}")


def electrode_on(meter: Thing, day: date) -> str | None:
    """Give the day on which the electrode was put in that a meter had on a day; None for its first."""
    put_in: set[str] = set()
    for each in meter.said:
        if each.key == "electrode" and each.stands:
            put_in = put_in | {each.value} if each.value is not None else set()
    return max((each for each in put_in if each <= day.isoformat()), default=None)


def _meter(thing: Thing | None, day: date, shows: Shows, declared: Sequence[Any] = (None,) * 4) -> Meter:
    """Put together what was declared for the day and, where it was silent, what is said of the meter."""
    resolution, repeatability, junction, compensates = declared
    said: Mapping[str, Any] = {} if thing is None else thing.settings
    return Meter(
        shows,
        said.get(f"resolution_{shows}") if resolution is None else resolution,
        said.get(f"repeatability_{shows}") if repeatability is None else repeatability,
        said.get("junction") if junction is None else junction,
        said.get("compensates", True) if compensates is None else bool(compensates),
        None if thing is None else thing.name,
        None if thing is None else f"meter:{thing.uid}",
        None if thing is None else electrode_on(thing, day),
    )


def kept_calibrations(
    book: Store, things: Things, stands: StandingEntries, places: Iterable[Place]
) -> dict[Place, KeptCalibration]:
    """Take calibrations from the record.

    Parameters
    ----------
    book : Store
    things : Things
    stands : StandingEntries
    places : iterable of (int, int)
        Entry and number of each; those that do not stand are left out.

    Returns
    -------
    dict
        Place to calibration.
    """
    wanted = {place for place in places if stands.has(place[0])}
    entries = {entry for entry, _ in wanted}
    points: dict[Place, list[KeptPoint]] = {}
    for entry, n, uid, at_entry, at_n, role, bottle, shows, again, temperature in chunked(
        book,
        "SELECT p.entry, p.n, e.uid, p.calibration_entry, p.calibration_n, "
        "CASE WHEN p.role = 'check' AND EXISTS "
        "(SELECT 1 FROM reading r WHERE r.entry = p.entry AND r.n < p.n) THEN 'among' ELSE p.role END, "
        "p.bottle, p.shows, p.again, p.temperature FROM point p JOIN entry e ON e.id = p.entry "
        "WHERE p.calibration_entry IN ({}) ORDER BY p.entry, p.n",
        entries,
    ):
        if stands.has(entry, n):
            kept = KeptPoint(
                Ref(uid, n), (entry, n), role, things.by_id[bottle], indications(shows, again), temperature
            )
            points.setdefault((at_entry, at_n), []).append(kept)
    found = {}
    for entry, n, uid, at, offset, day_only, meter, shows, fit, thermometer, *declared in chunked(
        book,
        "SELECT c.entry, c.n, e.uid, e.at, e.utc_offset, e.day_only, c.meter, c.shows, c.fit, c.thermometer, "
        "c.resolution, c.repeatability, c.junction, c.compensates "
        "FROM calibration c JOIN entry e ON e.id = c.entry WHERE c.entry IN ({})",
        entries,
    ):
        if (entry, n) not in wanted:
            continue
        thing = None if meter is None else things.by_id[meter]
        when = When.read(at, offset, bool(day_only))
        found[entry, n] = KeptCalibration(
            Ref(uid, n),
            (entry, n),
            when,
            _meter(thing, when.day, shows, declared) if thing else meter_of_step(uid, shows, declared),
            thing,
            fit,
            thing.get("thermometer") if thermometer is None and thing is not None else thermometer,
            tuple(points.get((entry, n), ())),
        )
    return found


def indications(shows: float, again: str | None) -> tuple[float, ...]:
    """Put the first of repeated indications and the further ones together.

    Parameters
    ----------
    shows : float
        The first.
    again : str or None
        The others, parted by blanks.

    Returns
    -------
    tuple of float
        All of them.

    Examples
    --------
    >>> indications(5.41, "5.42 5.4")
    (5.41, 5.42, 5.4)
    """
    return (shows,) if again is None else (shows, *map(float, again.split()))
