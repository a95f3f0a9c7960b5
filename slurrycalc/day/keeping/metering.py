"""The meter of a step that is recorded: which one, what was declared of it, what it read in the bottles."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from slurrycalc.day.calibrating import Around, Poured
from slurrycalc.day.declared import DeclaredMeter, other_display
from slurrycalc.day.keeping.keeper import Keeper
from slurrycalc.logbook.refs import Ref
from slurrycalc.logbook.step import Role
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.electrode import Calibration, Meter, Point
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.calibration import Fit
from slurrycalc.measuring.electrode.checks import BufferCheck
from slurrycalc.measuring.electrode.meter import Shows
from slurrycalc.measuring.electrode.points import take
from slurrycalc.measuring.electrode.remarks import bottles_on


@dataclass(frozen=True)
class KeptMeter:
    """A calibration that a step is making."""

    keeper: Keeper
    meter: Meter
    thermometer: float | None
    """What it may be off by, declared or on record. [degC]"""
    ref: Ref

    @property
    def key(self) -> str:
        """Under which its errors are found again."""
        return self.ref.key("calibration")

    def point(
        self, buffer: str | Bottle, reading: Any, temperature: Any, role: Role = "point"
    ) -> Point:
        """Read the meter in a bottle.

        Parameters
        ----------
        buffer : str or Bottle
            A name or a label, or a named bottle.
        reading, temperature
            As `slurrycalc.measuring.electrode.Point` takes them.
        role : {"point", "check", "close"}
            What for.

        Returns
        -------
        Point
            The same, with the keys of the record.

        Raises
        ------
        Refusal
            If it cannot stand.
        """
        found = isinstance(buffer, Bottle) and buffer.key is not None
        bottle = buffer if isinstance(buffer, Bottle) and found else self.keeper.bottle(buffer)
        if role == "check":
            for remark in bottles_on(self.keeper.day, [bottle]):
                self.keeper.say(remark.kind, remark.text)
        taken = take((bottle, reading, temperature), self.meter)
        uid = str(bottle.key).removeprefix("bottle:")
        ref = self.keeper.step.point(self.ref, uid, taken.values, taken.temperature, role)
        return Point(bottle, taken.values, taken.temperature, ref.key("point"))


def begin_calibration(
    keeper: Keeper,
    name: str | None,
    declared: DeclaredMeter,
    *,
    fit: Fit = "line",
    thermometer: float | None = None,
    adds: bool = False,
) -> KeptMeter:
    """Begin a calibration that is recorded.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    name : str or None
        The meter's; None for a nameless one.
    declared : DeclaredMeter
        What is said of it today.
    fit : {"line", "bracket"}
        How the buffers are joined.
    thermometer : float, optional
        What it may be off by, if it is said today. [degC]
    adds : bool
        Whether the step declares the meter, and so adds it where it is not on record.

    Returns
    -------
    KeptMeter
        For its points.

    Raises
    ------
    Refusal
        If no meter is called so, or it shows the other quantity by the record.

    Examples
    --------
    >>> import datetime
    >>> from slurrycalc.logbook.refs import When
    >>> from slurrycalc.logbook.step import Step
    >>> from slurrycalc.logbook.store import in_memory
    >>> now = datetime.datetime(2024, 5, 4, 10, 30, tzinfo=datetime.UTC)
    >>> keeper = Keeper(in_memory(), Step("calibrate", When(now)), now=now, new=True)
    >>> kept = begin_calibration(keeper, "desk", DeclaredMeter("pH"))
    >>> kept.meter.name, kept.point("4.01", "4.06", "21 C").reading
    ('desk', (4.06,))
    """
    thing = None
    if name is not None:
        known = keeper.known("meter", name, adds=adds)
        silent = known is not None and known.get("shows") is None
        said = {"shows": declared.shows} if silent else {}
        thing = keeper.thing("meter", name, declared=said, fresh=declared.settings, adds=adds)
        same_display(thing, declared.shows)
    ref = keeper.step.calibration(
        declared.shows,
        meter=None if thing is None else thing.uid,
        fit=fit,
        thermometer=thermometer,
        resolution=declared.resolution,
        repeatability=declared.repeatability,
        junction=declared.junction,
        compensates=declared.compensates,
    )
    off = thing.get("thermometer") if thermometer is None and thing is not None else thermometer
    return KeptMeter(keeper, declared.meter(named=thing), off, ref)


def same_display(meter: Thing, shows: Shows) -> None:
    """Refuse a calibration in what a meter does not show by the record.

    A bare 5.45 would be read as 5.45 mV under it, which is a pH of 6.9.
    """
    on_record = meter.get("shows")
    if on_record not in (None, shows):
        raise other_display(meter.name, on_record, shows)


@dataclass(frozen=True)
class Recalled:
    """A calibration that was made before."""

    calibration: Calibration
    check: BufferCheck | None
    """How its check bottle came out."""
    ref: Ref
    entry: int
    """Number of the entry that holds it."""


def last_calibration(keeper: Keeper, name: str) -> Recalled:
    """Give a meter's last calibration of the step's day.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    name : str
        The meter's.

    Returns
    -------
    Recalled
        The calibration.

    Raises
    ------
    Refusal
        If no meter is called so, or it was not calibrated on that day.
    """
    thing = keeper.recall.things.find("meter", name, keeper.day)
    kept = keeper.recall.last_calibration(thing, keeper.step.when)
    if kept.named is not None:
        same_display(kept.named, kept.meter.shows)
    calibration = keeper.recall.calibration(kept.place).on(keeper.day)
    checks = kept.checks(keeper.inputs)
    return Recalled(calibration, checks[-1] if checks else None, kept.ref, kept.place[0])


def read_again(
    keeper: Keeper,
    recalled: Recalled,
    check: Poured | None,
    close: Poured | None,
    around: Around,
) -> Recalled:
    """Read further bottles under a calibration that was made before.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    recalled : Recalled
        The calibration.
    check : (str or Bottle, reading, temperature), optional
        A bottle that it does not rest on.
    close : (str or Bottle, reading, temperature), optional
        One of its bottles once more.
    around : callable
        As `slurrycalc.day.calibrating.calibrated` takes it.

    Returns
    -------
    Recalled
        The same with what was read now.

    Raises
    ------
    Refusal
        If a bottle is not meant so, or a reading cannot stand.
    """
    calibration, checked = recalled.calibration, recalled.check
    kept = KeptMeter(keeper, calibration.meter, None, recalled.ref)
    if check is not None:
        with around("check"):
            one = kept.point(*check, role="check")
            checked = calibration.check(one.buffer, one.reading, one.temperature)
    if close is not None:
        with around("close"):
            one = kept.point(*close, role="close")
            calibration = calibration.close(one.buffer, one.reading, one.temperature, key=one.key)
    return replace(recalled, calibration=calibration, check=checked)
