"""The meter of a declared day: its bottles, its calibration, what was read again."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import msgspec

from slurrycalc.day.calibrating import calibrated
from slurrycalc.day.declared import DeclaredMeter
from slurrycalc.day.names import near, plain_name, unique_names
from slurrycalc.day.places import Places
from slurrycalc.day.worksheet import Amount, Day, PointEntry
from slurrycalc.measuring.electrode import BufferCheck, Calibration, Meter
from slurrycalc.measuring.electrode.buffers import Bottle, known_label
from slurrycalc.measuring.electrode.indication import shown
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs
from slurrycalc.metrology.units import Kind, magnitude

if TYPE_CHECKING:
    from slurrycalc.day.keeping.keeper import Keeper
    from slurrycalc.day.keeping.metering import KeptMeter


class Metered(NamedTuple):
    """A meter that was calibrated."""

    calibration: Calibration
    check: BufferCheck | None
    kept: KeptMeter | None
    """What the record calls it."""


def calibrations_of(
    day: Day, places: Places, inputs: Inputs | None = None, keeper: Keeper | None = None
) -> dict[int, Metered]:
    """Calibrate the meter of a declared day as often as it was calibrated.

    Parameters
    ----------
    day, places, inputs, keeper
        As for `calibrate_day`.

    Returns
    -------
    dict
        By the numbers that the day gives them; check bottle and close belong to the last.

    Raises
    ------
    Refusal
        If something in it cannot stand; the sentence starts with its place.
    """
    numbers = sorted({entry.calibration for entry in day.points}) or [1]
    for index, entry in enumerate(day.points):
        if entry.calibration not in range(1, len(numbers) + 1):
            raise Refusal(
                f"{quoted(entry.calibration)} numbers no calibration; write 1 for the day's first, 2 for the "
                "second.",
                places.at("point", index, "calibration"),
            )
    return {
        number: calibrate_day(
            day if number == numbers[-1] else msgspec.structs.replace(day, check=None, close=None),
            places,
            inputs,
            keeper,
            number,
        )
        for number in numbers
    }


def calibrate_day(
    day: Day,
    places: Places,
    inputs: Inputs | None = None,
    keeper: Keeper | None = None,
    number: int = 1,
) -> Metered:
    """Calibrate the meter of a declared day, judge its check bottle, and close the day.

    Parameters
    ----------
    day : Day
        What was declared.
    places : Places
        Where its parts stand in their file, for sentences about them.
    inputs : Inputs, optional
        The map of shared errors; None takes the session's.
    keeper : Keeper, optional
        Where the day is recorded.
    number : int
        Which of the day's calibrations.

    Returns
    -------
    calibration : Calibration
        With the drift, where there is a closing reading.
    check : BufferCheck or None
        How the check bottle came out.
    kept : KeptMeter or None
        What the record calls it.

    Raises
    ------
    Refusal
        If something in it cannot stand; the sentence starts with its place.

    Examples
    --------
    >>> from slurrycalc.data.shipped import shipped
    >>> from slurrycalc.day.worksheet import read_worksheet
    >>> day, places = read_worksheet(shipped("examples", "reading-room.toml").read_bytes())
    >>> calibrate_day(day, places)[0].verdict.state
    'good'
    """
    declared = _declared(day, places)
    with places.around("meter"):
        meter = declared.meter(_name(day, places))
    bottles = _bottles(day, places, keeper)
    points, again = (
        [
            _point(entry, bottles, meter, places, keeper, *path)
            for path, entry in entries
            if entry is not None
        ]
        for entries in (
            [
                (("point", index), entry)
                for index, entry in enumerate(day.points)
                if entry.calibration == number
            ],
            [(("check",), day.check), (("close",), day.close)],
        )
    )
    thermometer = None
    if day.thermometer:
        thermometer = amount(places, day.thermometer.tolerance, "number", "thermometer", "tolerance")
    kept = None
    if keeper is not None:
        from slurrycalc.day.keeping.metering import begin_calibration  # noqa: PLC0415  only a recorded day needs it

        with places.around("meter", "name"):
            kept = begin_calibration(
                keeper, day.meter.name, declared, fit=day.fit, thermometer=thermometer, adds=True
            )
    calibration, check = calibrated(
        points,
        meter,
        fit=day.fit,
        thermometer=thermometer,
        check=again[0] if day.check else None,
        close=again[-1] if day.close else None,
        kept=kept,
        inputs=inputs,
        around=places.around,
    )
    return Metered(calibration, check, kept)


def amount(places: Places, typed: Amount, kind: Kind, *path: str | int, bare: str | None = None) -> float:
    """Turn what was typed at a place into a number in the unit of its kind."""
    with places.around(*path):
        return magnitude(typed, kind, bare=bare)


def celsius(places: Places, typed: Amount | None, *path: str | int) -> float | None:
    """Take in the temperature at a place, if one was read; a bare number is in degC."""
    with places.around(*path, "temperature"):
        return None if typed is None else bench_temperature(magnitude(typed, "temperature", bare="degC"))


def indications(
    places: Places, typed: Amount | list[Amount], meter: Meter, *path: str | int
) -> tuple[float, ...]:
    """Take in what the meter showed at a place. [mV or pH, as the meter shows]."""
    with places.around(*path, "shows"):
        return shown(typed, meter)


def _name(day: Day, places: Places) -> str | None:
    with places.around("meter", "name"):
        return None if day.meter.name is None else plain_name(day.meter.name, "meter", "desk")


def _declared(day: Day, places: Places) -> DeclaredMeter:
    entry = day.meter
    if entry.shows not in ("mV", "pH"):
        why = f'{quoted(entry.shows)} is nothing that a meter shows here; write shows = "mV" or "pH".'
        raise Refusal(why, places.at("meter", "shows"))
    kind: Kind = "ph" if entry.shows == "pH" else "potential"
    figures: tuple[tuple[str, Amount | None, Kind], ...] = (
        ("resolution", entry.resolution, kind),
        ("repeatability", entry.repeatability, kind),
        ("junction", entry.junction, "ph"),
    )
    resolution, repeatability, junction = (
        None
        if typed is None
        else amount(places, typed, unit, "meter", key, bare="mV" if unit == "potential" else None)
        for key, typed, unit in figures
    )
    return DeclaredMeter(
        "pH" if kind == "ph" else "mV", resolution, repeatability, junction, entry.compensates
    )


def _bottles(day: Day, places: Places, keeper: Keeper | None) -> dict[str, Bottle]:
    names = unique_names([entry.name for entry in day.bottles], places, "bottle", "acid 2")
    bottles = {}
    for index, (name, entry) in enumerate(zip(names, day.bottles, strict=True)):
        path = ("bottle", index)
        tolerance, measured = (
            None if typed is None else amount(places, typed, "ph", *path, key)
            for key, typed in (("tolerance", entry.tolerance), ("measured", entry.measured))
        )
        with places.around(*path):
            bottle = Bottle(_label(entry.label), name, tolerance, measured)
            bottles[name] = bottle if keeper is None else keeper.bottle(bottle)
    return bottles


def _point(
    entry: PointEntry,
    bottles: dict[str, Bottle],
    meter: Meter,
    places: Places,
    keeper: Keeper | None,
    *path: str | int,
) -> tuple[Bottle, tuple[float, ...], float | None]:
    """Turn a declared point into what the electrode's floor takes."""
    with places.around(*path, "buffer"):
        bottle = _meant(entry.buffer, bottles, keeper)
    temperature = celsius(places, entry.temperature, *path)
    if temperature is not None:
        with places.around(*path, "temperature"):
            bottle.at(temperature)
    return bottle, indications(places, entry.shows, meter, *path), temperature


def _meant(typed: Amount, bottles: dict[str, Bottle], keeper: Keeper | None) -> Bottle:
    """Find the bottle that a point means: its name, the label of the only such one, or a nameless one.

    What the day does not declare may be on record.
    """
    if isinstance(typed, str) and typed.strip() in bottles:
        return bottles[typed.strip()]
    try:
        label = known_label(_label(typed))
    except Refusal:
        name = near(str(typed), bottles)
        if name:
            raise Refusal(f"no bottle is called {quoted(typed)}; did you mean {name}?") from None
        if keeper is not None:
            return keeper.bottle(str(typed))
        raise
    named = [bottle for bottle in bottles.values() if bottle.label == label]
    if len(named) > 1:
        names = ", ".join(str(bottle.name) for bottle in named)
        raise Refusal(f"{quoted(label)} is the label of several bottles; name one of them: {names}.")
    if named:
        return named[0]
    return Bottle(label) if keeper is None else keeper.bottle(label)


def _label(typed: Amount) -> str:
    """Spell a bottle's label, whether it was typed as a number or in quotes."""
    return typed.strip() if isinstance(typed, str) else f"{typed:.2f}"
