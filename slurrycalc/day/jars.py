"""The jars of a bench day: each read, gathered by enclosure, judged, and held against the probe."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from slurrycalc.data.cautions import cautions
from slurrycalc.day.again import ReadAgain
from slurrycalc.day.gathered import Gathered, Judged, worst_first
from slurrycalc.day.limits import Limits, chosen_limits
from slurrycalc.day.meter import Metered, amount, celsius, indications
from slurrycalc.day.names import near, plain_name, plain_note, unique_names
from slurrycalc.day.places import Places, RowPlaces
from slurrycalc.day.result import (
    DayResult,
    EnclosureResult,
    Indication,
    JarResult,
    ProbeResult,
)
from slurrycalc.day.table import HeldBack
from slurrycalc.day.worksheet import Amount, EnclosureEntry, JarEntry, ProbeEntry
from slurrycalc.deciding.fitness import fitness
from slurrycalc.deciding.judgement import judge
from slurrycalc.measuring.electrode import BufferCheck, Calibration
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.probe import compare
from slurrycalc.measuring.slurry import slurry_ph
from slurrycalc.measuring.slurry.counted import counted
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark

if TYPE_CHECKING:
    from slurrycalc.day.keeping.bench import KeptDay


@dataclass
class Jars:
    """The jars of a day being read, with what has to be said or held back so far."""

    jars: Sequence[JarEntry]
    enclosures: Sequence[EnclosureEntry]
    calibration: Calibration
    places: Places
    expected: Expected
    p: float
    held_back: list[HeldBack] | None = None
    """None where a jar that cannot stand stops the day."""
    kept: KeptDay | None = None
    """Where the day is recorded."""
    asked: Limits = (None, None)
    """Target and floor that hold for every enclosure of a table. [pH]"""
    remarks: list[Remark] = field(default_factory=list)
    names: dict[str, str] = field(default_factory=dict)
    """Enclosures as they are written in the day, and what each is called."""
    limits: dict[str, Limits] = field(default_factory=dict)
    """Declared target and floor by name. [pH]"""
    metered: Mapping[int, Metered] = field(default_factory=dict)
    """The day's calibrations by number, where it numbers them."""

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
        self.declare()
        named = self.name_probe(probe)
        jars = self.read()
        judged = self.judge(jars)
        held = self.hold_against(probe, named, jars, judged.enclosures)
        whole = DayResult(
            date=date,
            by=by,
            note=note,
            calibration=self.calibration,
            check=check,
            before=tuple(one.calibration for _, one in sorted(self.metered.items())[:-1]),
            steady=judged.steady,
            fresh=judged.fresh,
            enclosures=judged.enclosures,
            jars=tuple(jars),
            probe=held,
            held_back=tuple(sorted(self.held_back or (), key=lambda held: held.row)),
            cautions=cautions("run"),
            remarks=tuple(self.remarks) + (() if self.kept is None else self.kept.keeper.remarks),
        )
        if self.kept is not None:
            self.kept.shown(whole, self.p)
        return whole

    def declare(self) -> None:
        """Take in the enclosures that the day declares, with their limits."""
        names = unique_names([entry.name for entry in self.enclosures], self.places, "enclosure", "window")
        for index, (name, entry) in enumerate(zip(names, self.enclosures, strict=True)):
            path = ("enclosure", index)
            target = floor = None
            if entry.target is not None:
                low, high = (amount(self.places, limit, "ph", *path, "target") for limit in entry.target)
                target = (low, high)
            if entry.floor is not None:
                floor = amount(self.places, entry.floor, "ph", *path, "floor")
            with self.places.around(*path):
                called = name
                if self.kept is not None:
                    called = self.kept.enclosure(name, target, floor, adds=True).name
            self.names[name] = called
            self.limits[called] = (target, floor)

    def name_probe(self, entry: ProbeEntry | None) -> str | None:
        """Take in what the probe is called."""
        if entry is None or entry.name is None:
            return None
        with self.places.around("probe", "name"):
            name = plain_name(entry.name, "probe", "stick")
            if self.kept is None:
                return name
            # A table declares nothing: its probe was named beside it.
            return self.kept.name_probe(name, adds=self.held_back is None)

    def read(self) -> list[JarResult]:
        """Read each jar; what cannot stand stops the day, or, from a table, is held back."""
        results: list[JarResult] = []
        seen: dict[str, int] = {}
        for index, entry in enumerate(self.jars):
            try:
                label = self.label(index, entry, seen)
                if entry.shows is None:
                    self.say("jar-not-read", f"Jar {label} has no reading and is left out.")
                else:
                    results.append(self.jar(index, label, entry, entry.shows))
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

    def enclosure_of(self, typed: str) -> str:
        """Find the enclosure that a jar names: declared in the day, or on record."""
        name = plain_name(typed, "enclosure", "window")
        if name in self.names:
            return self.names[name]
        meant = near(name, self.names)
        if self.kept is not None and (not meant or self.kept.knows(name)):
            called = self.kept.enclosure(name).name
            self.names[name] = called
            return called
        guess = f"did you mean {meant}?" if meant else f'declare it: [[enclosure]] name = "{name}".'
        raise Refusal(f"no enclosure is called {quoted(name)}; {guess}")

    def jar(self, index: int, label: str, entry: JarEntry, shows: Amount) -> JarResult:
        """Turn a jar's reading into its pH."""
        path = ("jar", index)
        with self.places.around(*path, "enclosure"):
            name = self.enclosure_of(entry.enclosure)
        under = self.under(index, entry)
        meter = self.calibration.meter
        (reading,) = indications(self.places, shows, meter, *path)
        temperature = celsius(self.places, entry.temperature, *path)
        probe = None if entry.probe is None else amount(self.places, entry.probe, "ph", *path, "probe")
        spot = (entry.spot or "").strip() or None
        with self.places.around(*path, "note"):
            note = plain_note(entry.note)
        with self.places.around(*path):
            if self.kept is None:
                read = under.calibration.read(reading, temperature)
            else:
                read = self.kept.jar(
                    under.calibration,
                    (reading,),
                    temperature,
                    name=name,
                    label=label,
                    spot=spot,
                    note=note,
                    probe=probe,
                    under=under.kept.ref if under.kept else None,
                )
        return JarResult(
            label=label,
            enclosure=name,
            shows=Indication(reading, meter.unit),
            ph=read.ph,
            temperature=temperature,
            spot=spot,
            probe=probe,
            note=note,
            remarks=read.remarks,
            calibration=entry.calibration,
        )

    def under(self, index: int, entry: JarEntry) -> Metered:
        """Find the calibration that a jar was read under."""
        if not self.metered:
            return Metered(self.calibration, None, None)
        found = self.metered.get(entry.calibration)
        if found is None:
            there = ", ".join(str(number) for number in sorted(self.metered))
            raise Refusal(
                f"{quoted(entry.calibration)} is no calibration of this day, whose points make {there}; "
                "write the one that the jar was read under.",
                self.places.at("jar", index, "calibration"),
            )
        return found

    def judge(self, jars: Sequence[JarResult]) -> Judged:
        """Judge each enclosure by its jars, and the bench by its steady jars; a fresh mix by nothing."""
        by_name: dict[str, list[JarResult]] = {name: [] for name in self.names.values()}
        for jar in jars:
            by_name[jar.enclosure].append(jar)
        found = []
        for index, (name, mine) in enumerate(by_name.items()):
            if mine:
                found.append(self.gather(index, name, mine))
            elif name in self.limits:
                self.say("enclosure-not-read", f"{name} has no reading that stands.")
        if self.kept is None:
            return Judged(worst_first(self.enclosure(one) for one in found))
        kept = self.kept
        steady = [one for one in found if kept.is_steady(one.name)]
        days = kept.steady_days({one.name: one.slurry for one in steady})
        bench = tuple(remark for day in days.values() for remark in day.remarks)
        fresh = [one for one in found if kept.is_fresh(one.name)]
        apart = {one.name for one in (*steady, *fresh)}
        beds = [one for one in found if one.name not in apart]
        again = kept.read_again({one.name: (one.slurry, self.wanted(one.name)) for one in beds})
        return Judged(
            worst_first(self.enclosure(one, bench, again.get(one.name)) for one in beds),
            tuple(one.steady(days[kept.things[one.name].uid]) for one in steady),
            tuple(one.fresh(bench) for one in fresh),
        )

    def wanted(self, name: str) -> tuple[tuple[float, float], float]:
        """Give an enclosure's range and floor. [pH]."""
        own = self.kept.limits(name) if self.kept else (None, None)
        return chosen_limits(self.limits.get(name, self.asked), self.asked, own)

    def gather(self, index: int, name: str, jars: Sequence[JarResult]) -> Gathered:
        """Give the pH of one enclosure."""
        declared = index < len(self.enclosures)
        path: tuple[str | int, ...] = ("enclosure", index if declared else name)
        entry = self.enclosures[index] if declared else None
        kept = self.kept
        earlier = kept.earlier(name) if kept else ()
        doubt = {number: one.calibration.doubt for number, one in self.metered.items()}
        every = [
            *((one.spot, one.ph, one.doubt) for one in earlier),
            *((one.spot, one.ph, doubt.get(one.calibration, self.calibration.doubt)) for one in jars),
        ]
        places, told = counted([doubted for _, _, doubted in every])
        marked = [every[place][:2] for place in places]
        spots = [spot.casefold() if spot else None for spot, _ in marked]
        with self.places.around(*path):
            expected = kept.expected(name) if kept and self.expected is DEFAULT else self.expected
            last = None
            if (newest := places[-1] - len(earlier)) >= 0:
                metered = self.metered.get(jars[newest].calibration)
                last = metered.calibration if metered else self.calibration
            slurry = slurry_ph(last, [ph for _, ph in marked], spots=spots, expected=expected)
            slurry = replace(slurry, remarks=tuple(dict.fromkeys((*told, *slurry.remarks))))
        with self.places.around(*path, "note"):
            note = plain_note(entry.note) if entry else ""
            if kept and note:
                kept.note(name, note)
        shares = kept.shares(name, slurry) if kept and self.expected is DEFAULT else None
        return Gathered(path, name, slurry, tuple(jars), note, len(earlier), shares)

    def enclosure(
        self, one: Gathered, bench: tuple[Remark, ...] = (), again: ReadAgain | None = None
    ) -> EnclosureResult:
        """Judge one enclosure."""
        target, floor = self.wanted(one.name)
        slurry = replace(one.slurry, remarks=(*bench, *one.slurry.remarks)) if bench else one.slurry
        with self.places.around(*one.path):
            judgement = judge(slurry, target, floor, self.p, on_record=self.kept is not None)
        return EnclosureResult(
            one.name,
            slurry,
            judgement,
            one.labels,
            one.note,
            tuple(dict.fromkeys((*bench, *judgement.remarks, *one.remarks))),
            one.earlier,
            one.shares,
            again,
        )

    def hold_against(
        self,
        entry: ProbeEntry | None,
        name: str | None,
        jars: Sequence[JarResult],
        enclosures: Sequence[EnclosureResult],
    ) -> ProbeResult | None:
        """Hold the probe against the slurries of the same spots, of this day and of those on record."""
        declared = None
        if entry and entry.next is not None:
            declared = amount(self.places, entry.next, "ph", "probe", "next")
        pairs = [(jar.label, jar.probe, jar.ph) for jar in jars if jar.probe is not None]
        if not pairs:
            return None
        labels, shown, slurries = zip(*pairs, strict=True)
        doubted = [remark for jar in jars if jar.probe is not None for remark in jar.remarks]
        past = () if self.kept is None else self.kept.pairs()
        # The enclosure whose floor lies closest to its range asks the most of a probe.
        limits = [(one.judgement.target, one.judgement.floor) for one in enclosures]
        target, floor = min(limits or [chosen_limits()], key=lambda one: one[0][0] - one[1])
        with self.places.around("probe"):
            comparison = compare(
                [*(one.shows for one in past), *shown], [*(one.slurry for one in past), *slurries]
            )
            indication = sorted(shown)[len(shown) // 2] if declared is None else declared
            corrected = comparison.correct(indication, self.p)
            return ProbeResult(
                name=name,
                jars=labels,
                comparison=comparison,
                fitness=fitness(comparison, target, floor, self.p),
                next=corrected,
                standing=judge(corrected, target, floor, self.p, doubted=doubted),
                declared=declared is not None,
                earlier=len(past),
            )
