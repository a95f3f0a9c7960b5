"""The meter of a declared day: its bottles, its calibration, what was read again."""

from __future__ import annotations

from slurrycalc.day.names import near, plain_name, unique_names
from slurrycalc.day.places import Places
from slurrycalc.day.worksheet import Amount, Day, PointEntry
from slurrycalc.measuring.electrode import BufferCheck, Calibration, Meter, calibrate
from slurrycalc.measuring.electrode.buffers import Bottle, known_label
from slurrycalc.measuring.electrode.indication import shown
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs
from slurrycalc.metrology.units import Kind, magnitude


def calibrate_day(
    day: Day, places: Places, inputs: Inputs | None = None
) -> tuple[Calibration, BufferCheck | None]:
    """Calibrate the meter of a declared day, judge its check bottle, and close the day.

    Parameters
    ----------
    day : Day
        What was declared.
    places : Places
        Where its parts stand in their file, for sentences about them.
    inputs : Inputs, optional
        The map of shared errors; None takes the session's.

    Returns
    -------
    calibration : Calibration
        With the drift, where there is a closing reading.
    check : BufferCheck or None
        How the check bottle came out.

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
    meter = _meter(day, places)
    bottles = _bottles(day, places)
    points = [
        _point(entry, bottles, meter, places, "point", index) for index, entry in enumerate(day.points)
    ]
    thermometer = None
    if day.thermometer:
        thermometer = amount(places, day.thermometer.tolerance, "number", "thermometer", "tolerance")
    with places.around("point"):
        calibration = calibrate(points, meter, fit=day.fit, thermometer=thermometer, inputs=inputs)
    check = None
    if day.check:
        point = _point(day.check, bottles, meter, places, "check")
        with places.around("check"):
            check = calibration.check(*point)
    if day.close:
        point = _point(day.close, bottles, meter, places, "close")
        with places.around("close"):
            calibration = calibration.close(*point)
    return calibration, check


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


def _meter(day: Day, places: Places) -> Meter:
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
    with places.around("meter", "name"):
        name = None if entry.name is None else plain_name(entry.name, "meter", "desk")
    with places.around("meter"):
        return Meter(
            "pH" if kind == "ph" else "mV", resolution, repeatability, junction, entry.compensates, name
        )


def _bottles(day: Day, places: Places) -> dict[str, Bottle]:
    names = unique_names([entry.name for entry in day.bottles], places, "bottle", "acid 2")
    bottles = {}
    for index, (name, entry) in enumerate(zip(names, day.bottles, strict=True)):
        path = ("bottle", index)
        tolerance, measured = (
            None if typed is None else amount(places, typed, "ph", *path, key)
            for key, typed in (("tolerance", entry.tolerance), ("measured", entry.measured))
        )
        with places.around(*path):
            bottles[name] = Bottle(_label(entry.label), name, tolerance, measured)
    return bottles


def _point(
    entry: PointEntry, bottles: dict[str, Bottle], meter: Meter, places: Places, *path: str | int
) -> tuple[Bottle, tuple[float, ...], float | None]:
    """Turn a declared point into what the electrode's floor takes."""
    with places.around(*path, "buffer"):
        bottle = _meant(entry.buffer, bottles)
    temperature = celsius(places, entry.temperature, *path)
    if temperature is not None:
        with places.around(*path, "temperature"):
            bottle.at(temperature)
    return bottle, indications(places, entry.shows, meter, *path), temperature


def _meant(typed: Amount, bottles: dict[str, Bottle]) -> Bottle:
    """Find the bottle that a point means: its name, the label of the only such one, or a nameless one."""
    if isinstance(typed, str) and typed.strip() in bottles:
        return bottles[typed.strip()]
    try:
        label = known_label(_label(typed))
    except Refusal:
        name = near(str(typed), bottles)
        if name:
            raise Refusal(f"no bottle is called {quoted(typed)}; did you mean {name}?") from None
        raise
    named = [bottle for bottle in bottles.values() if bottle.label == label]
    if len(named) > 1:
        names = ", ".join(str(bottle.name) for bottle in named)
        raise Refusal(f"{quoted(label)} is the label of several bottles; name one of them: {names}.")
    return named[0] if named else Bottle(label)


def _label(typed: Amount) -> str:
    """Spell a bottle's label, whether it was typed as a number or in quotes."""
    return typed.strip() if isinstance(typed, str) else f"{typed:.2f}"
