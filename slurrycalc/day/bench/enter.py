"""A bench day on its way into a step: whatever it was typed into, this is the one road into the record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from slurrycalc.day.bench.meter import EnteredMeter, Metered, amount, celsius, enter_meter, indications
from slurrycalc.day.bench.names import near, plain_name, plain_note, unique_names
from slurrycalc.day.bench.places import Places
from slurrycalc.day.bench.table import HeldBack
from slurrycalc.day.bench.worksheet import Amount, Day, JarEntry
from slurrycalc.day.record.keeper import UNKNOWN, Keeper
from slurrycalc.day.record.slurries import ALIKE, RATIO
from slurrycalc.logbook.calibrations import indications as typed_indications
from slurrycalc.logbook.readings import KeptReading, Readings
from slurrycalc.logbook.refs import Id, Ref
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.watch import Watch, unwatched

NOWHERE = Places()


@dataclass(frozen=True)
class EnteredJar:
    """A jar that was put into the step."""

    reading: Ref
    calibration: int
    """Which of the day's it was read under."""
    probe: float | None
    """What the probe showed at its spot. [pH]"""
    note: str


@dataclass
class Entered:
    """What a day came to in a step."""

    keeper: Keeper
    places: Places
    by: str | None
    note: str
    calibrations: dict[int, Ref] = field(default_factory=dict)
    """By the numbers that the day gives them."""
    enclosures: list[Thing | None] = field(default_factory=list)
    """Declared ones first, then in the order of their jars; None for a nameless one."""
    paths: dict[str | None, tuple[str | int, ...]] = field(default_factory=dict)
    """Where each enclosure stands in what was declared, by its uid."""
    notes: dict[str | None, str] = field(default_factory=dict)
    """What was noted of each, by its uid."""
    jars: list[EnteredJar] = field(default_factory=list)
    probe: Thing | None = None
    """None for a nameless one."""
    next_indication: float | None = None
    """An indication that waits for a meaning. [pH]"""
    held_back: list[HeldBack] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)


def enter(
    day: Day,
    keeper: Keeper,
    places: Places = NOWHERE,
    *,
    holds_back: bool = False,
    watch: Watch = unwatched,
) -> Entered:
    """Put a bench day into a step.

    Parameters
    ----------
    day : Day
        What was declared: by a worksheet, a table, a command line, at the table, or from Python.
    keeper : Keeper
        Of the step.
    places : Places
        Where its parts stand, for sentences about them.
    holds_back : bool
        Whether a jar that cannot stand is held back and named, as in a table, or stops the day.
    watch : Watch
        What the jars are handed to on their way.

    Returns
    -------
    Entered
        What the step will record of it.

    Raises
    ------
    Refusal
        If something in it cannot stand; the sentence starts with its place.

    Examples
    --------
    >>> from slurrycalc.data.shipped import shipped
    >>> from slurrycalc.day.record.nameless import nameless
    >>> from slurrycalc.day.bench.worksheet import read_worksheet
    >>> day, places = read_worksheet(shipped("examples", "reading-room.toml").read_bytes())
    >>> entered = enter(day, nameless("run"), places)
    >>> len(entered.jars), [one.name for one in entered.enclosures]
    (6, ['window', 'stairs', 'atlas'])
    """
    with places.around("note"):
        note = plain_note(day.note)
    with places.around("by"):
        by = None if day.by is None else plain_name(day.by, "keeper", "desk team")
    keeper.step.note = note or None
    if by is not None:
        keeper.from_kit.pop("reader", None)
    keeper.step.keeper = by = by or keeper.step.keeper
    meter = enter_meter(day, places, keeper)
    refs = {number: one.ref for number, one in meter.calibrations.items()}
    entered = Entered(keeper, places, by, note, refs)
    _Jars(day, entered, meter, holds_back, watch).enter()
    return entered


class _Jars:
    """The jars of a day, with the enclosures and the probe that they name."""

    def __init__(
        self, day: Day, entered: Entered, meter: EnteredMeter, holds_back: bool, watch: Watch
    ) -> None:
        self.day = day
        self.watch = watch
        self.into = entered
        self.keeper = entered.keeper
        self.places = entered.places
        self.meter = meter
        self.holds_back = holds_back
        self.names: dict[str, Thing] = {}
        """Enclosures as they are written in the day."""

    @cached_property
    def taken(self) -> dict[tuple[int, str], Id]:
        """Jars of the day that are on record: number of the enclosure and label, to the reading."""
        return {
            (row.enclosure, row.label.casefold()): Id(row.entry, row.n)
            for row in self.keeper.readings.rows
            if row.enclosure is not None and row.label is not None
        }

    def enter(self) -> None:
        """Put everything into the step."""
        self.declare()
        self.name_probe()
        self.read()
        read = {row[2] for row in self.keeper.step.rows["slurry"]}
        for thing in self.into.enclosures:
            if thing is not None and thing.uid not in read:
                self.say("enclosure-not-read", f"{thing.name} has no reading that stands.")
        for uid, note in self.into.notes.items():
            if uid in read and uid is not None:
                self.keeper.step.event(uid, "other", note=note)

    def declare(self) -> None:
        """Take in the enclosures that the day declares, with their limits."""
        entries = self.day.enclosures
        names = unique_names([entry.name for entry in entries], self.places, "enclosure", "window")
        for index, (name, entry) in enumerate(zip(names, entries, strict=True)):
            path = ("enclosure", index)
            target = floor = None
            if entry.target is not None:
                target = [amount(self.places, limit, "ph", *path, "target") for limit in entry.target]
            if entry.floor is not None:
                floor = amount(self.places, entry.floor, "ph", *path, "floor")
            with self.places.around(*path):
                thing = self.keeper.thing(
                    "enclosure", name, declared={"target": target, "floor": floor}, adds=True
                )
            with self.places.around(*path, "note"):
                note = plain_note(entry.note)
            self.note_place(thing, path, note)
            self.names[name] = thing

    def note_place(self, thing: Thing | None, path: tuple[str | int, ...], note: str = "") -> None:
        """Note an enclosure of the day."""
        uid = None if thing is None else thing.uid
        if uid not in self.into.paths:
            self.into.enclosures.append(thing)
            self.into.paths[uid] = path
        if note:
            self.into.notes[uid] = note

    def name_probe(self) -> None:
        """Take in what the probe is called, and an indication that waits for a meaning."""
        entry = self.day.probe
        if entry is None:
            return
        if entry.name is not None:
            with self.places.around("probe", "name"):
                self.into.probe = self.keeper.thing("probe", entry.name, adds=self.places.declares)
        if entry.next is not None:
            self.into.next_indication = amount(self.places, entry.next, "ph", "probe", "next")

    def say(self, kind: str, text: str) -> None:
        """Note something that the result must say."""
        self.into.remarks.append(Remark(kind, text))

    def read(self) -> None:
        """Read each jar; what cannot stand stops the day, or is held back."""
        seen: dict[str, int] = {}
        for index, entry in enumerate(self.watch(self.day.jars, len(self.day.jars))):
            try:
                if entry.buffer is not None:
                    self.check(index, entry)
                    continue
                label = self.label(index, entry, seen)
                if entry.shows is None:
                    self.say("jar-not-read", f"Jar {label} has no reading and is left out.")
                else:
                    self.into.jars.append(self.jar(index, label, entry, entry.shows))
            except Refusal as refusal:
                if not self.holds_back:
                    raise
                row = self.places.row(index)
                self.into.held_back.append(HeldBack(row, refusal.sentence))

    def label(self, index: int, entry: JarEntry, seen: dict[str, int]) -> str | None:
        """Hold a jar's label to be a name of its own."""
        if entry.label is None:
            return None
        with self.places.around("jar", index, "label"):
            label = plain_name(entry.label, "jar", "A1")
            first = seen.setdefault(label.casefold(), index)
            if first != index:
                where = self.places.at("jar", first)
                raise Refusal(f"jar {label} twice, first in {where}; give each jar a label of its own.")
        return label

    def enclosure_of(self, typed: str | None) -> Thing | None:
        """Find the enclosure that a jar names: declared in the day, or on record."""
        if typed is None:
            return None
        name = plain_name(typed, "enclosure", "window")
        if name in self.names:
            return self.names[name]
        # What a line or a table names is not declared in it: the record alone knows what may be meant.
        meant = near(name, self.names) if self.places.declares else None
        keeper = self.keeper
        known = keeper.recall.things.seek("enclosure", name) is not None
        if known or (not meant and (keeper.kept or keeper.new)):
            self.names[name] = keeper.thing("enclosure", name)
            return self.names[name]
        guess = f"did you mean {meant}?" if meant else f'declare it: [[enclosure]] name = "{name}".'
        raise Refusal(f"no enclosure is called {quoted(name)}; {guess}")

    def jar(self, index: int, label: str | None, entry: JarEntry, shows: Amount) -> EnteredJar:
        """Put a jar with its reading into the step, after it was seen to stand."""
        path = ("jar", index)
        with self.places.around(*path, "enclosure"):
            thing = self.enclosure_of(entry.enclosure)
        calibration, under = self.under(index, entry)
        values = indications(self.places, shows, calibration.meter, *path)
        temperature = celsius(self.places, entry.temperature, *path)
        probe = None if entry.probe is None else amount(self.places, entry.probe, "ph", *path, "probe")
        spot = (entry.spot or "").strip() or None
        with self.places.around(*path, "note"):
            note = plain_note(entry.note)
        uid = None if thing is None else thing.uid
        step = self.keeper.step
        with self.places.around(*path):
            self.refuse_label(thing, label)
            _not_twice(self.keeper, calibration, under, values, enclosure=thing, spot=spot)
            calibration.ph(values, temperature)
        slurry = step.slurry(uid, label=label, spot=spot, ratio=RATIO, note=note or None)
        reading = step.reading(slurry, under, values, temperature)
        if probe is not None:
            stick = None if self.into.probe is None else self.into.probe.uid
            step.probing(probe, probe=stick, enclosure=uid, slurry=slurry, spot=spot)
        self.note_place(thing, ("enclosure", "" if thing is None else thing.name))
        return EnteredJar(reading, entry.calibration, probe, note)

    def check(self, index: int, entry: JarEntry) -> None:
        """Put a check bottle that was read among the jars into the step."""
        path, buffer = ("jar", index), quoted(entry.buffer)
        given = [key for key in ("enclosure", "spot", "probe") if getattr(entry, key) is not None]
        with self.places.around(*path):
            if given:
                other = f"{given[0]} {quoted(getattr(entry, given[0]))}"
                raise Refusal(
                    f"buffer {buffer} and {other} stand on one jar; a check bottle comes from no enclosure: "
                    "strike one of the two."
                )
        if entry.shows is None:
            self.say("check-not-read", f"The check bottle {buffer} has no reading and is left out.")
            return
        self.meter.check(self.under(index, entry), entry, *path)

    def under(self, index: int, entry: JarEntry) -> Metered:
        """Find the calibration that a jar was read under."""
        found = self.meter.calibrations.get(entry.calibration)
        if found is None:
            there = ", ".join(str(number) for number in sorted(self.meter.calibrations))
            raise Refusal(
                f"{quoted(entry.calibration)} is no calibration of this day, whose points make {there}; "
                "write the one that the jar was read under.",
                self.places.at("jar", index, "calibration"),
            )
        return found

    def refuse_label(self, thing: Thing | None, label: str | None) -> None:
        """See that a jar of that label is not on record already."""
        if thing is None or label is None or thing.id == UNKNOWN:
            return
        there = self.taken.get((thing.id, label.casefold()))
        if there is not None:
            raise Refusal(
                f"jar {label} of {thing.name} is on record for {self.keeper.day} already, as {there}; take "
                f"that back first with slurrycalc undo {there.entry}, or give the jar another label."
            )


def _not_twice(
    keeper: Keeper,
    calibration: Calibration,
    under: Ref,
    shows: Sequence[float],
    *,
    enclosure: Thing | None,
    spot: str | None,
) -> None:
    """See that a reading is not on record already: entered twice, one jar would count as two.

    A reading from spots of its own is another jar's. What was read under a calibration in doubt is there to
    be read again, and so is a steady jar under another calibration.
    """
    if enclosure is None or enclosure.id == UNKNOWN:
        return
    readings, unit = keeper.readings, calibration.meter.shows
    for i, row in enumerate(readings.rows):
        meter = readings.meters[i]
        if row.enclosure != enclosure.id or meter is None or meter.shows != unit:
            continue
        if row.mixed != ALIKE or typed_indications(row.shows, row.again) != tuple(shows):
            continue
        if readings.doubt(i) is not None or (enclosure.get("steady") and _under(readings, row) != under):
            continue
        if spot is None or (row.spot is not None and spot.casefold() == row.spot.casefold()):
            what = f"{shows[0]:g} {unit}" if unit == "mV" else f"{shows[0]:g}"
            there = f"jar {row.label}, {Id(row.entry, row.n)}" if row.label else str(Id(row.entry, row.n))
            already = f"{what} of {enclosure.name} is on record for {keeper.day} already ({there})"
            if not keeper.sure(f"{already}. Is this another jar?"):
                raise Refusal(
                    f"{already}, and one jar counts once. If this is another jar, say that it has spots of "
                    'its own: --spots b; spot = "b" in a worksheet, a column spot in a table.'
                )
            return


def _under(readings: Readings, row: KeptReading) -> Ref | None:
    place = row.calibration
    return None if place is None else Ref(readings.uids.of(place[0]), place[1])
