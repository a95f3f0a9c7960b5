"""The meter of a bench day on its way into a step: its bottles, its calibrations, what was read again."""

from __future__ import annotations

import shlex
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

from slurrycalc.day.bench.names import near, unique_names
from slurrycalc.day.bench.places import Places
from slurrycalc.day.bench.worksheet import Amount, Day, JarEntry, PointEntry
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.logbook.calibrations import meter_of, meter_of_step
from slurrycalc.logbook.refs import Ref
from slurrycalc.logbook.step import Role
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.electrode import Calibration, Meter, Point, calibrate
from slurrycalc.measuring.electrode.buffer_kinds import known_label
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.indication import shown
from slurrycalc.measuring.electrode.meter import Shows
from slurrycalc.measuring.electrode.remarks import bottles_on
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import Kind, magnitude

BELONGS = ("shows", "resolution", "repeatability", "compensates")
"""What is said of a meter with its buffers, and cannot be said of a calibration that was made before."""


DECLARED = ("resolution", "repeatability", "junction", "compensates")
"""What a day may declare of its meter; where it is silent, what is on record counts."""


class Metered(NamedTuple):
    """A calibration of the day, and what the record calls it."""

    calibration: Calibration
    ref: Ref


class Poured(NamedTuple):
    """What the meter showed in a bottle."""

    bottle: Bottle
    shows: tuple[float, ...]
    temperature: float | None
    """[degC]"""


@dataclass(frozen=True)
class EnteredMeter:
    """The meter of a day, as it stands in the step."""

    calibrations: Mapping[int, Metered]
    """By the numbers that the day gives them."""
    entering: _Entering

    def check(self, under: Metered, entry: JarEntry, *path: str | int) -> None:
        """Put a check bottle into the step that was read among the jars, after it was seen to stand."""
        assert entry.buffer is not None
        entering = self.entering
        point = PointEntry(buffer=entry.buffer, shows=entry.shows or "", temperature=entry.temperature)
        poured = entering.poured(point, under.calibration.meter, *path)
        with entering.places.around(*path):
            under.calibration.check(poured.bottle, poured.shows, poured.temperature, among=True)
            entering.point(under.ref, poured, "check")


def enter_meter(day: Day, places: Places, keeper: Keeper) -> EnteredMeter:
    """Put the calibrations of a day into a step.

    Parameters
    ----------
    day : Day
        Without points it takes the named meter's last calibration of that day, and may read further bottles
        under it.
    places : Places
        Where its parts stand, for sentences about them.
    keeper : Keeper
        Of the step.

    Returns
    -------
    EnteredMeter
        Check bottle and close belong to the last calibration.

    Raises
    ------
    Refusal
        If something cannot stand; the sentence starts with its place.
    """
    entering = _Entering(day, places, keeper)
    if day.points:
        return EnteredMeter(entering.anew(), entering)
    with places.around("point"):
        return EnteredMeter({1: entering.recalled()}, entering)


@dataclass
class _Entering:
    day: Day
    places: Places
    keeper: Keeper
    bottles: dict[str, Bottle] = field(default_factory=dict)
    """Those that the day declares, by name."""

    def anew(self) -> dict[int, Metered]:
        """Calibrate the meter as often as the day has it calibrated."""
        day, places = self.day, self.places
        numbers = sorted({entry.calibration for entry in day.points})
        for index, entry in enumerate(day.points):
            if entry.calibration not in range(1, len(numbers) + 1):
                raise Refusal(
                    f"{quoted(entry.calibration)} numbers no calibration; write 1 for the day's first, 2 for "
                    "the second.",
                    places.at("point", index, "calibration"),
                )
        known = None
        with places.around("meter", "name"):
            if day.meter.name is not None:
                known = self.keeper.known("meter", day.meter.name, adds=places.declares)
        declared = self._declared(known)
        if known is not None:
            with places.around("meter"):
                _same_display(known, declared["shows"])
        with places.around("meter"):
            meter = self._meter(declared, known)
        self.bottles = self._bottles()
        poured = {
            number: [
                self.poured(entry, meter, "point", index)
                for index, entry in enumerate(day.points)
                if entry.calibration == number
            ]
            for number in numbers
        }
        check, close = (
            None if entry is None else self.poured(entry, meter, role)
            for role, entry in (("check", day.check), ("close", day.close))
        )
        thermometer = None
        if day.thermometer:
            thermometer = amount(places, day.thermometer.tolerance, "number", "thermometer", "tolerance")
        thing = None
        if day.meter.name is not None:
            with places.around("meter", "name"):
                silent = known is not None and known.get("shows") is None
                thing = self.keeper.thing(
                    "meter",
                    day.meter.name,
                    declared={"shows": declared["shows"]} if silent else {},
                    fresh=_settings(declared),
                    adds=places.declares,
                )
        if thing is not None:
            meter = self._meter(declared, thing)
        said = {key: declared[key] for key in DECLARED}
        off = thing.get("thermometer") if thermometer is None and thing is not None else thermometer
        found = {}
        for number in numbers:
            ref = self.keeper.step.calibration(
                declared["shows"],
                meter=None if thing is None else thing.uid,
                fit=day.fit,
                thermometer=thermometer,
                **said,
            )
            with places.around("point"):
                points = [self.point(ref, one, "point") for one in poured[number]]
                calibration = calibrate(
                    points,
                    meter,
                    fit=day.fit,
                    thermometer=off,
                    inputs=self.keeper.inputs,
                    key=ref.key("calibration"),
                ).on(self.keeper.day)
            again = (check, close) if number == numbers[-1] else (None, None)
            found[number] = self._read_again(calibration, ref, *again)
        return found

    def recalled(self) -> Metered:
        """Take the named meter's last calibration of the day, and read further bottles under it."""
        day, keeper, entry = self.day, self.keeper, self.day.meter
        if entry.name is None:
            raise Refusal(
                "the meter needs two buffers, or a name under which it was calibrated that day: write "
                "--buffer 4.01=4.06@21C --buffer 7.00=7.04@21C, or --meter desk"
            )
        given = [key for key in BELONGS if getattr(entry, key) is not None]
        if given or day.thermometer is not None:
            key = given[0] if given else "thermometer"
            what, word = (key, "day") if self.places.declares else (f"--{key}", "line")
            raise Refusal(
                f"{what} belongs to a calibration, and this {word} takes one that was made before; give it "
                "with the buffers, or to kit meter"
            )
        thing = keeper.recall.things.find("meter", entry.name, keeper.day)
        kept = keeper.recall.last_calibration(thing, keeper.step.when)
        if kept.named is not None:
            _same_display(kept.named, kept.meter.shows)
        calibration = keeper.recall.calibration(kept.place)
        self.bottles = self._bottles()
        check, close = (
            None if again is None else self.poured(again, calibration.meter, role)
            for role, again in (("check", day.check), ("close", day.close))
        )
        return self._read_again(calibration, kept.ref, check, close)

    def _read_again(
        self, calibration: Calibration, ref: Ref, check: Poured | None, close: Poured | None
    ) -> Metered:
        if check is not None:
            with self.places.around("check"):
                one = self.point(ref, check, "check")
                for remark in bottles_on(self.keeper.day, [one.buffer]):
                    self.keeper.say(remark.kind, remark.text)
                calibration.check(one.buffer, one.reading, one.temperature)
        if close is not None:
            with self.places.around("close"):
                one = self.point(ref, close, "close")
                calibration = calibration.close(one.buffer, one.reading, one.temperature, key=one.key)
        return Metered(calibration, ref)

    def point(self, ref: Ref, poured: Poured, role: Role) -> Point:
        """Put what the meter showed in a bottle into the step, under the key of the record."""
        bottle, shows, temperature = poured
        uid = str(bottle.key).removeprefix("bottle:")
        row = self.keeper.step.point(ref, uid, shows, temperature, role)
        return Point(bottle, shows, temperature, row.key("point"))

    def _declared(self, known: Thing | None) -> dict[str, Any]:
        """Turn what is said of the meter into numbers, in what it shows; None where the day is silent."""
        entry, places = self.day.meter, self.places
        says = entry.shows or (known.get("shows") if known is not None else None) or "pH"
        if says not in ("mV", "pH"):
            why = f'{quoted(says)} is nothing that a meter shows here; write shows = "mV" or "pH".'
            raise Refusal(why, places.at("meter", "shows"))
        kind: Kind = "ph" if says == "pH" else "potential"
        figures: tuple[tuple[str, Amount | None, Kind], ...] = (
            ("resolution", entry.resolution, kind),
            ("repeatability", entry.repeatability, kind),
            ("junction", entry.junction, "ph"),
        )
        numbers = {
            key: None
            if typed is None
            else amount(places, typed, unit, "meter", key, bare="mV" if unit == "potential" else None)
            for key, typed, unit in figures
        }
        return {"shows": says, **numbers, "compensates": entry.compensates}

    def _meter(self, declared: Mapping[str, Any], known: Thing | None) -> Meter:
        """Make the meter: what is declared counts, then what is on record, then what is usual."""
        shows: Shows = declared["shows"]
        if known is None:
            usual = meter_of_step(self.keeper.step.uid, shows)
        else:
            usual = meter_of(known, self.keeper.day, shows)
        said = {key: declared[key] for key in DECLARED if declared[key] is not None}
        return replace(usual, **said)

    def _bottles(self) -> dict[str, Bottle]:
        entries, places = self.day.bottles, self.places
        names = unique_names([entry.name for entry in entries], places, "bottle", "acid 2")
        bottles = {}
        for index, (name, entry) in enumerate(zip(names, entries, strict=True)):
            path = ("bottle", index)
            tolerance, measured = (
                None if typed is None else amount(places, typed, "ph", *path, key)
                for key, typed in (("tolerance", entry.tolerance), ("measured", entry.measured))
            )
            with places.around(*path):
                bottles[name] = self.keeper.bottle(Bottle(_label(entry.label), name, tolerance, measured))
        return bottles

    def poured(self, entry: PointEntry, meter: Meter, *path: str | int) -> Poured:
        """Take in what the meter showed in a bottle that was declared, or is on record."""
        places = self.places
        with places.around(*path, "buffer"):
            bottle = self._meant(entry.buffer, self.bottles)
        temperature = celsius(places, entry.temperature, *path)
        if temperature is not None:
            with places.around(*path, "temperature"):
                bottle.at(temperature)
        return Poured(bottle, indications(places, entry.shows, meter, *path), temperature)

    def _meant(self, typed: Amount, bottles: Mapping[str, Bottle]) -> Bottle:
        """Find the bottle that a point means: its name, or the label of the only such one.

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
            if self.keeper.kept:
                return self.keeper.bottle(str(typed))
            raise
        named = [bottle for bottle in bottles.values() if bottle.label == label]
        if len(named) > 1:
            names = ", ".join(str(bottle.name) for bottle in named)
            raise Refusal(f"{quoted(label)} is the label of several bottles; name one of them: {names}.")
        return named[0] if named else self.keeper.bottle(label)


def other_display(name: str, on_record: Shows, shows: Shows) -> Refusal:
    """Say that a meter shows the other quantity by the record, and how to say that it was switched."""
    switch = f"slurrycalc kit meter {shlex.quote(name)} --shows {shows}"
    return Refusal(
        f"meter {quoted(name)} shows {on_record} by the record, and this calibration is in {shows}: a plain "
        f"5.45 would mean another pH under it. If its display was switched, say so first: {switch}; another "
        "meter gets a name of its own."
    )


def _same_display(meter: Thing, shows: Shows) -> None:
    """Refuse a calibration in what a meter does not show by the record.

    A bare 5.45 would be read as 5.45 mV under it, which is a pH of 6.9.
    """
    on_record = meter.get("shows")
    if on_record not in (None, shows):
        raise other_display(meter.name, on_record, shows)


def _settings(declared: Mapping[str, Any]) -> dict[str, Any]:
    """Give what a new meter is noted with."""
    shows = declared["shows"]
    return {
        "shows": shows,
        f"resolution_{shows}": declared["resolution"],
        f"repeatability_{shows}": declared["repeatability"],
        "junction": declared["junction"],
        "compensates": declared["compensates"],
    }


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


def _label(typed: Amount) -> str:
    """Spell a bottle's label, whether it was typed as a number or in quotes."""
    return typed.strip() if isinstance(typed, str) else f"{typed:.2f}"
