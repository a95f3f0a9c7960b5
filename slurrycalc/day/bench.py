"""A bench day computed: from what was declared to where each enclosure stands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Literal

from slurrycalc.data.assumed import FLOOR, TARGET_HIGH, TARGET_LOW
from slurrycalc.data.cautions import cautions
from slurrycalc.day.names import near, plain_name, plain_note
from slurrycalc.day.places import Places
from slurrycalc.day.result import DayResult, EnclosureResult, Indication, JarResult, ProbeResult
from slurrycalc.day.table import HeldBack, JarTable
from slurrycalc.day.worksheet import Amount, BottleEntry, Day, JarEntry, PointEntry
from slurrycalc.deciding.fitness import fitness
from slurrycalc.deciding.judgement import judge
from slurrycalc.measuring.buffers import Bottle, known_label
from slurrycalc.measuring.electrode import BufferCheck, Calibration, calibrate
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.indication import shown
from slurrycalc.measuring.meter import Meter
from slurrycalc.measuring.probe import compare
from slurrycalc.measuring.slurry import slurry_ph
from slurrycalc.measuring.temperatures import bench_temperature
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.uncertain import Inputs
from slurrycalc.metrology.units import Kind, magnitude


def bench_day(
    day: Day,
    places: Places = Places(),  # noqa: B008  frozen
    *,
    table: JarTable | None = None,
    expected: Expected = DEFAULT,
    p: float = 0.95,
    inputs: Inputs | None = None,
) -> DayResult:
    """Compute a declared bench day.

    Parameters
    ----------
    day : Day
        What was declared.
    places : Places
        Where its parts stand in their file, for sentences about them.
    table : JarTable, optional
        The table that the jars come from. A jar that cannot stand is then held back and named by its row,
        where otherwise it stops the day.
    expected : Scatter, DEFAULT or None
        What is known beforehand of the scatter of slurries of one enclosure. [pH]
    p : float
        Coverage probability of decisions. [1]
    inputs : Inputs, optional
        The map of shared errors; None takes the session's.

    Returns
    -------
    DayResult
        Calibration, enclosures worst first, probe, and what must be said with them.

    Raises
    ------
    Refusal
        If something in it cannot stand; the sentence starts with its place.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM); JCGM 106:2012 for the decisions.

    Examples
    --------
    >>> from slurrycalc.data.shipped import shipped
    >>> from slurrycalc.day.worksheet import read_worksheet
    >>> day, places = read_worksheet(shipped("examples", "reading-room.toml").read_bytes())
    >>> [enclosure.name for enclosure in bench_day(day, places).enclosures]
    ['window', 'stairs', 'atlas']
    """
    bench = _Bench(day, places, table, expected, p, inputs)
    calibration, check = bench.calibrate()
    jars = bench.read(calibration)
    enclosures = bench.judge(jars, calibration)
    return DayResult(
        date=day.date.isoformat() if day.date else None,
        by=day.by,
        note=bench.note(day.note, "note"),
        calibration=calibration,
        check=check,
        enclosures=tuple(sorted(enclosures, key=_badness)),
        jars=tuple(jars),
        probe=bench.hold_against(jars, enclosures),
        held_back=tuple(sorted(bench.held_back, key=lambda held: held.row)),
        cautions=cautions("run"),
        remarks=tuple(bench.remarks),
    )


_ORDER = {"no": 0, "not settled": 1, "yes": 2}


def _badness(result: EnclosureResult) -> tuple[int, int, float, float, str]:
    """Sort the worst first: what is surely below its floor, then what is surely outside its range."""
    floor, target = result.judgement.above_floor, result.judgement.in_range
    return _ORDER[floor.state], _ORDER[target.state], floor.probability, target.probability, result.name


@dataclass
class _Bench:
    """A day under way: what was declared, and what has been held back or must be said so far."""

    day: Day
    places: Places
    table: JarTable | None
    expected: Expected
    p: float
    inputs: Inputs | None
    remarks: list[Remark] = field(default_factory=list)

    def __post_init__(self) -> None:
        day = self.day
        self.held_back: list[HeldBack] = list(self.table.held_back) if self.table else []
        self.enclosures = self._unique("enclosure", [entry.name for entry in day.enclosures], "window")
        names = self._unique("bottle", [entry.name for entry in day.bottles], "acid 2")
        self.bottles = {
            name: self._bottle(index, name, entry)
            for index, (name, entry) in enumerate(zip(names, day.bottles, strict=True))
        }
        if day.meter.shows not in ("mV", "pH"):
            why = f'{quoted(day.meter.shows)} is nothing that a meter shows here; write shows = "mV" or "pH".'
            raise Refusal(why, self.places.at("meter", "shows"))
        self.unit: Literal["mV", "pH"] = "pH" if day.meter.shows == "pH" else "mV"
        self.kind: Kind = "ph" if self.unit == "pH" else "potential"

    @contextmanager
    def at(self, *path: str | int) -> Iterator[None]:
        """Put the place in front of what is refused inside."""
        try:
            yield
        except Refusal as refusal:
            raise refusal.at(self.places.at(*path)) from None

    def amount(self, value: Amount, kind: Kind, *path: str | int) -> float:
        """Turn what was typed at a place into a number."""
        with self.at(*path):
            return magnitude(value, kind, bare="mV" if kind == "potential" else None)

    def maybe(self, value: Amount | None, kind: Kind, *path: str | int) -> float | None:
        """Turn what was typed at a place into a number, if anything was."""
        return None if value is None else self.amount(value, kind, *path)

    def name(self, typed: str | None, what: str, like: str) -> str | None:
        """Hold a single thing's name, if it has one, to be plain."""
        with self.at(what, "name"):
            return None if typed is None else plain_name(typed, what, like)

    def note(self, typed: str, *path: str | int) -> str:
        """Hold a note to be short."""
        with self.at(*path):
            return plain_note(typed)

    def say(self, kind: str, text: str) -> None:
        """Note something that the result must say."""
        self.remarks.append(Remark(kind, text))

    def _unique(self, what: str, names: Sequence[str], like: str) -> list[str]:
        seen: dict[str, int] = {}
        plain = []
        for index, name in enumerate(names):
            with self.at(what, index, "name"):
                plain.append(plain_name(name, what, like))
                if seen.setdefault(plain[-1].casefold(), index) != index:
                    raise Refusal(f"{what} {quoted(name)} is there twice; give each its own name.")
        return plain

    def _bottle(self, index: int, name: str, entry: BottleEntry) -> Bottle:
        tolerance = self.maybe(entry.tolerance, "ph", "bottle", index, "tolerance")
        measured = self.maybe(entry.measured, "ph", "bottle", index, "measured")
        with self.at("bottle", index):
            return Bottle(_label(entry.label), name, tolerance, measured)

    def calibrate(self) -> tuple[Calibration, BufferCheck | None]:
        """Calibrate the meter, judge the check bottle, and close the day."""
        day, entry = self.day, self.day.meter
        name = self.name(entry.name, "meter", "desk")
        resolution = self.maybe(entry.resolution, self.kind, "meter", "resolution")
        repeatability = self.maybe(entry.repeatability, self.kind, "meter", "repeatability")
        junction = self.maybe(entry.junction, "ph", "meter", "junction")
        with self.at("meter"):
            self.meter = Meter(self.unit, resolution, repeatability, junction, entry.compensates, name)
        points = [self.point(point, "point", index) for index, point in enumerate(day.points)]
        thermometer = None
        if day.thermometer:
            thermometer = self.amount(day.thermometer.tolerance, "number", "thermometer", "tolerance")
        with self.at("point"):
            calibration = calibrate(
                points, self.meter, fit=day.fit, thermometer=thermometer, inputs=self.inputs
            )
        check = None
        if day.check:
            point = self.point(day.check, "check")
            with self.at("check"):
                check = calibration.check(*point)
        if day.close:
            point = self.point(day.close, "close")
            with self.at("close"):
                calibration = calibration.close(*point)
        return calibration, check

    def point(self, entry: PointEntry, *path: str | int) -> tuple[Bottle, tuple[float, ...], float | None]:
        """Turn a declared point into what the electrode's floor takes."""
        with self.at(*path, "buffer"):
            bottle = self.bottle(entry.buffer)
        readings = self.shown(entry.shows, *path)
        temperature = self.temperature(entry.temperature, *path)
        if temperature is not None:
            with self.at(*path, "temperature"):
                bottle.at(temperature)
        return bottle, readings, temperature

    def shown(self, typed: Amount | list[Amount], *path: str | int) -> tuple[float, ...]:
        """Take in what the meter showed at a place."""
        with self.at(*path, "shows"):
            return shown(typed, self.meter)

    def temperature(self, typed: Amount | None, *path: str | int) -> float | None:
        """Take in a temperature at a place, if one was read; a bare number is in degC."""
        with self.at(*path, "temperature"):
            return None if typed is None else bench_temperature(magnitude(typed, "temperature", bare="degC"))

    def bottle(self, typed: Amount) -> Bottle:
        """Find the bottle that a point means: its name, the label of the only such one, or a nameless one."""
        if isinstance(typed, str) and typed.strip() in self.bottles:
            return self.bottles[typed.strip()]
        try:
            label = known_label(_label(typed))
        except Refusal:
            meant = near(str(typed), self.bottles)
            if meant:
                raise Refusal(f"no bottle is called {quoted(typed)}; did you mean {meant}?") from None
            raise
        named = [bottle for bottle in self.bottles.values() if bottle.label == label]
        if len(named) > 1:
            names = ", ".join(str(bottle.name) for bottle in named)
            raise Refusal(f"{quoted(label)} is the label of several bottles; name one of them: {names}.")
        return named[0] if named else Bottle(label)

    def read(self, calibration: Calibration) -> list[JarResult]:
        """Read each jar; what cannot stand stops the day, or, from a table, is held back."""
        results: list[JarResult] = []
        seen: dict[str, int] = {}
        for index, entry in enumerate(self.day.jars):
            try:
                label = self.jar_label(index, entry, seen)
                if entry.shows is None:
                    self.say("jar-not-read", f"Jar {label} has no reading and is left out.")
                else:
                    results.append(self.jar(index, label, entry, entry.shows, calibration))
            except Refusal as refusal:
                if self.table is None:
                    raise
                self.held_back.append(HeldBack(self.table.rows[index], refusal.sentence))
        if not results:
            held = self.held_back[0] if self.held_back else None
            first = f" (row {held.row}: {held.text.rstrip('.')})" if held else ""
            why = f"no jar has a reading that stands{first}; write what the meter showed, such as 5.41."
            raise Refusal(why, self.places.file)
        return results

    def jar_label(self, index: int, entry: JarEntry, seen: dict[str, int]) -> str:
        """Hold a jar's label to be a name of its own."""
        with self.at("jar", index, "label"):
            label = plain_name(entry.label, "jar", "A1")
            first = seen.setdefault(label.casefold(), index)
            if first != index:
                where = self.places.at("jar", first)
                raise Refusal(f"jar {label} twice, first in {where}; give each jar a label of its own.")
        return label

    def jar(
        self, index: int, label: str, entry: JarEntry, shows: Amount, calibration: Calibration
    ) -> JarResult:
        """Turn a jar's reading into its pH."""
        with self.at("jar", index, "enclosure"):
            name = plain_name(entry.enclosure, "enclosure", "window")
            if name not in self.enclosures:
                meant = near(name, self.enclosures)
                guess = f"did you mean {meant}?" if meant else f'declare it: [[enclosure]] name = "{name}".'
                raise Refusal(f"no enclosure is called {quoted(name)}; {guess}")
        (reading,) = self.shown(shows, "jar", index)
        temperature = self.temperature(entry.temperature, "jar", index)
        probe = self.maybe(entry.probe, "ph", "jar", index, "probe")
        note = self.note(entry.note, "jar", index, "note")
        with self.at("jar", index):
            read = calibration.read(reading, temperature)
        return JarResult(
            label=label,
            enclosure=name,
            shows=Indication(reading, self.unit),
            ph=read.ph,
            temperature=temperature,
            spot=(entry.spot or "").strip() or None,
            probe=probe,
            note=note,
            remarks=read.remarks,
        )

    def judge(self, jars: list[JarResult], calibration: Calibration) -> list[EnclosureResult]:
        """Judge each enclosure by its jars."""
        by_name: dict[str, list[JarResult]] = {name: [] for name in self.enclosures}
        for jar in jars:
            by_name[jar.enclosure].append(jar)
        results = []
        for index, (name, mine) in enumerate(by_name.items()):
            if mine:
                results.append(self.enclosure(index, mine, calibration))
            elif self.table is None:
                self.say("enclosure-not-read", f"{name} is declared and has no reading today.")
        return results

    def enclosure(self, index: int, jars: list[JarResult], calibration: Calibration) -> EnclosureResult:
        """Judge one enclosure."""
        entry = self.day.enclosures[index]
        target = (TARGET_LOW.value, TARGET_HIGH.value)
        if entry.target is not None:
            low, high = (self.amount(limit, "ph", "enclosure", index, "target") for limit in entry.target)
            target = (low, high)
        floor = FLOOR.value
        if entry.floor is not None:
            floor = self.amount(entry.floor, "ph", "enclosure", index, "floor")
        spots = [jar.spot.casefold() if jar.spot else None for jar in jars]
        with self.at("enclosure", index):
            slurry = slurry_ph(calibration, [jar.ph for jar in jars], spots=spots, expected=self.expected)
            judgement = judge(slurry, target, floor, self.p)
        note = self.note(entry.note, "enclosure", index, "note")
        labels = tuple(jar.label for jar in jars)
        remarks = (*judgement.remarks, *slurry.remarks, *(one for jar in jars for one in jar.remarks))
        return EnclosureResult(
            self.enclosures[index], slurry, judgement, labels, note, tuple(dict.fromkeys(remarks))
        )

    def hold_against(self, jars: list[JarResult], enclosures: list[EnclosureResult]) -> ProbeResult | None:
        """Hold the probe against the slurries of the same spots."""
        entry = self.day.probe
        name = self.name(entry.name, "probe", "stick") if entry else None
        declared = self.maybe(entry.next, "ph", "probe", "next") if entry else None
        pairs = [(jar.label, jar.probe, jar.ph) for jar in jars if jar.probe is not None]
        if not pairs:
            return None
        labels, shown, slurries = zip(*pairs, strict=True)
        with self.at("probe"):
            comparison = compare(shown, slurries)
            indication = sorted(shown)[len(shown) // 2] if declared is None else declared
            corrected = comparison.correct(indication, self.p)
            # The enclosure whose floor lies closest to its range asks the most of a probe.
            asks = min((one.judgement for one in enclosures), key=lambda one: one.target[0] - one.floor)
            fit = fitness(comparison, asks.target, asks.floor, self.p)
            standing = judge(corrected, asks.target, asks.floor, self.p)
        return ProbeResult(name, labels, comparison, fit, corrected, standing, declared is not None)


def _label(typed: Amount) -> str:
    """Spell a bottle's label, whether it was typed as a number or in quotes."""
    return typed.strip() if isinstance(typed, str) else f"{typed:.2f}"
