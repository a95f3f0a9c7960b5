"""A bench day computed: from what was declared to where each enclosure stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from slurrycalc.data.assumed import FLOOR, TARGET_HIGH, TARGET_LOW
from slurrycalc.data.cautions import cautions
from slurrycalc.day.meter import amount, calibrate_day, celsius, indications
from slurrycalc.day.names import near, plain_name, plain_note, unique_names
from slurrycalc.day.places import Places, RowPlaces
from slurrycalc.day.result import DayResult, EnclosureResult, Indication, JarResult, ProbeResult
from slurrycalc.day.table import HeldBack, read_jars
from slurrycalc.day.worksheet import Amount, Day, EnclosureEntry, JarEntry, ProbeEntry
from slurrycalc.deciding.fitness import fitness
from slurrycalc.deciding.judgement import judge
from slurrycalc.measuring.electrode import BufferCheck, Calibration
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.probe import compare
from slurrycalc.measuring.slurry import slurry_ph
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.uncertain import Inputs

NOWHERE = Places()


def bench_day(
    day: Day,
    places: Places = NOWHERE,
    *,
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
    calibration, check = calibrate_day(day, places, inputs)
    jars = _Jars(day.jars, day.enclosures, calibration, places, expected, p)
    with places.around("note"):
        note = plain_note(day.note)
    date = day.date.isoformat() if day.date else None
    return jars.result(check, day.probe, date=date, by=day.by, note=note)


def bench_table(
    data: bytes,
    name: str,
    calibration: Calibration,
    check: BufferCheck | None = None,
    *,
    target: tuple[float, float] | None = None,
    floor: float | None = None,
    expected: Expected = DEFAULT,
    p: float = 0.95,
) -> DayResult:
    """Compute a table of jars under one calibration, holding back the rows that cannot stand.

    Parameters
    ----------
    data : bytes
        The whole table, with the columns ``jar,enclosure,reading,temperature,probe,note``.
    name : str
        Its name, for sentences about it.
    calibration : Calibration
        The calibration that every jar was read under.
    check : BufferCheck, optional
        How its check bottle came out, to be handed on.
    target : pair of float, optional
        Range wanted in every enclosure; None takes common practice. [pH]
    floor : float, optional
        PH below which life suffers, in every enclosure; None takes common practice. [pH]
    expected : Scatter, DEFAULT or None
        What is known beforehand of the scatter of slurries of one enclosure. [pH]
    p : float
        Coverage probability of decisions. [1]

    Returns
    -------
    DayResult
        As `bench_day`; its `held_back` names the rows that could not stand, in the table's order.

    Raises
    ------
    Refusal
        If the table cannot be read, or none of its rows can stand.

    Examples
    --------
    >>> from slurrycalc.data.shipped import shipped
    >>> from slurrycalc.measuring.electrode import Meter, calibrate
    >>> cal = calibrate([("7.00", 7.04, 21.0), ("4.01", 4.06, 21.0)], Meter("pH"))
    >>> day = bench_table(shipped("examples", "forty-jars.csv").read_bytes(), "forty-jars.csv", cal)
    >>> len(day.jars), [held.row for held in day.held_back], day.enclosures[0].name
    (38, [17, 31], 'map-chest')
    """
    table = read_jars(data, name)
    enclosures = [EnclosureEntry(name=one, target=target, floor=floor) for one in table.enclosures]
    places = RowPlaces(name, rows=table.rows)
    jars = _Jars(table.jars, enclosures, calibration, places, expected, p, list(table.held_back))
    return jars.result(check)


_ORDER = {"no": 0, "not settled": 1, "yes": 2}


def _badness(result: EnclosureResult) -> tuple[int, int, float, float, str]:
    """Sort the worst first: what is surely below its floor, then what is surely outside its range."""
    floor, target = result.judgement.above_floor, result.judgement.in_range
    return _ORDER[floor.state], _ORDER[target.state], floor.probability, target.probability, result.name


@dataclass
class _Jars:
    """The jars of a day being read, with what has to be said or held back so far."""

    jars: Sequence[JarEntry]
    enclosures: Sequence[EnclosureEntry]
    calibration: Calibration
    places: Places
    expected: Expected
    p: float
    held_back: list[HeldBack] | None = None
    """None where a jar that cannot stand stops the day."""
    remarks: list[Remark] = field(default_factory=list)

    def result(
        self,
        check: BufferCheck | None,
        probe: ProbeEntry | None = None,
        *,
        date: str | None = None,
        by: str | None = None,
        note: str = "",
    ) -> DayResult:
        """Read every jar, judge every enclosure, hold the probe against them."""
        names = unique_names([entry.name for entry in self.enclosures], self.places, "enclosure", "window")
        jars = self.read(names)
        enclosures = self.judge(names, jars)
        return DayResult(
            date=date,
            by=by,
            note=note,
            calibration=self.calibration,
            check=check,
            enclosures=tuple(sorted(enclosures, key=_badness)),
            jars=tuple(jars),
            probe=self.hold_against(probe, jars, enclosures),
            held_back=tuple(sorted(self.held_back or (), key=lambda held: held.row)),
            cautions=cautions("run"),
            remarks=tuple(self.remarks),
        )

    def read(self, names: Sequence[str]) -> list[JarResult]:
        """Read each jar; what cannot stand stops the day, or, from a table, is held back."""
        results: list[JarResult] = []
        known = frozenset(names)
        seen: dict[str, int] = {}
        for index, entry in enumerate(self.jars):
            try:
                label = self.label(index, entry, seen)
                if entry.shows is None:
                    self.say("jar-not-read", f"Jar {label} has no reading and is left out.")
                else:
                    results.append(self.jar(index, label, entry, entry.shows, known))
            except Refusal as refusal:
                if not isinstance(self.places, RowPlaces) or self.held_back is None:
                    raise
                self.held_back.append(HeldBack(self.places.rows[index], refusal.sentence))
        if not results:
            held = self.held_back[0] if self.held_back else None
            first = f" (row {held.row}: {held.text.rstrip('.')})" if held else ""
            why = f"no jar has a reading that stands{first}; write what the meter showed, such as 5.41."
            raise Refusal(why, self.places.file)
        return results

    def say(self, kind: str, text: str) -> None:
        """Note something that the result must say."""
        self.remarks.append(Remark(kind, text))

    def label(self, index: int, entry: JarEntry, seen: dict[str, int]) -> str:
        """Hold a jar's label to be a name of its own."""
        with self.places.around("jar", index, "label"):
            label = plain_name(entry.label, "jar", "A1")
            first = seen.setdefault(label.casefold(), index)
            if first != index:
                where = self.places.at("jar", first)
                raise Refusal(f"jar {label} twice, first in {where}; give each jar a label of its own.")
        return label

    def jar(
        self, index: int, label: str, entry: JarEntry, shows: Amount, known: frozenset[str]
    ) -> JarResult:
        """Turn a jar's reading into its pH."""
        path = ("jar", index)
        with self.places.around(*path, "enclosure"):
            name = plain_name(entry.enclosure, "enclosure", "window")
            if name not in known:
                meant = near(name, known)
                guess = f"did you mean {meant}?" if meant else f'declare it: [[enclosure]] name = "{name}".'
                raise Refusal(f"no enclosure is called {quoted(name)}; {guess}")
        meter = self.calibration.meter
        (reading,) = indications(self.places, shows, meter, *path)
        temperature = celsius(self.places, entry.temperature, *path)
        probe = None if entry.probe is None else amount(self.places, entry.probe, "ph", *path, "probe")
        with self.places.around(*path, "note"):
            note = plain_note(entry.note)
        with self.places.around(*path):
            read = self.calibration.read(reading, temperature)
        return JarResult(
            label=label,
            enclosure=name,
            shows=Indication(reading, meter.unit),
            ph=read.ph,
            temperature=temperature,
            spot=(entry.spot or "").strip() or None,
            probe=probe,
            note=note,
            remarks=read.remarks,
        )

    def judge(self, names: Sequence[str], jars: Sequence[JarResult]) -> list[EnclosureResult]:
        """Judge each enclosure by its jars."""
        by_name: dict[str, list[JarResult]] = {name: [] for name in names}
        for jar in jars:
            by_name[jar.enclosure].append(jar)
        results = []
        for index, (name, mine) in enumerate(by_name.items()):
            if mine:
                results.append(self.enclosure(index, name, mine))
            else:
                self.say("enclosure-not-read", f"{name} has no reading that stands.")
        return results

    def enclosure(self, index: int, name: str, jars: Sequence[JarResult]) -> EnclosureResult:
        """Judge one enclosure."""
        entry, path = self.enclosures[index], ("enclosure", index)
        target, floor = (TARGET_LOW.value, TARGET_HIGH.value), FLOOR.value
        if entry.target is not None:
            low, high = (amount(self.places, limit, "ph", *path, "target") for limit in entry.target)
            target = (low, high)
        if entry.floor is not None:
            floor = amount(self.places, entry.floor, "ph", *path, "floor")
        spots = [jar.spot.casefold() if jar.spot else None for jar in jars]
        with self.places.around(*path):
            read = [jar.ph for jar in jars]
            slurry = slurry_ph(self.calibration, read, spots=spots, expected=self.expected)
            judgement = judge(slurry, target, floor, self.p)
        with self.places.around(*path, "note"):
            note = plain_note(entry.note)
        remarks = (*judgement.remarks, *slurry.remarks, *(one for jar in jars for one in jar.remarks))
        labels = tuple(jar.label for jar in jars)
        return EnclosureResult(name, slurry, judgement, labels, note, tuple(dict.fromkeys(remarks)))

    def hold_against(
        self, entry: ProbeEntry | None, jars: Sequence[JarResult], enclosures: Sequence[EnclosureResult]
    ) -> ProbeResult | None:
        """Hold the probe against the slurries of the same spots."""
        name = declared = None
        if entry and entry.name is not None:
            with self.places.around("probe", "name"):
                name = plain_name(entry.name, "probe", "stick")
        if entry and entry.next is not None:
            declared = amount(self.places, entry.next, "ph", "probe", "next")
        pairs = [(jar.label, jar.probe, jar.ph) for jar in jars if jar.probe is not None]
        if not pairs:
            return None
        labels, shown, slurries = zip(*pairs, strict=True)
        # The enclosure whose floor lies closest to its range asks the most of a probe.
        asks = min((one.judgement for one in enclosures), key=lambda one: one.target[0] - one.floor)
        with self.places.around("probe"):
            comparison = compare(shown, slurries)
            indication = sorted(shown)[len(shown) // 2] if declared is None else declared
            corrected = comparison.correct(indication, self.p)
            return ProbeResult(
                name=name,
                jars=labels,
                comparison=comparison,
                fitness=fitness(comparison, asks.target, asks.floor, self.p),
                next=corrected,
                standing=judge(corrected, asks.target, asks.floor, self.p),
                declared=declared is not None,
            )
