"""What is on record: enclosures, meters, probes, bottles and the keeper's own cup."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any

from typer import Argument, Option

from slurrycalc.cli import names, options
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import Recording, SavedAs, day_asked, keeping, last_line, reading, save
from slurrycalc.cli.setting_words import enclosure_words, kit_words
from slurrycalc.day.months.ageing import MeterLife, life_as_said
from slurrycalc.day.record.stating import Stated, ThingShown, see_that_it_is_meant, show_thing, state
from slurrycalc.logbook.settings import ThingKind
from slurrycalc.logbook.things import things_of
from slurrycalc.metrology.names import near
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.report.page import Block, noted
from slurrycalc.report.pages.meter_life import meter_life_blocks
from slurrycalc.report.pages.things import list_blocks, one_blocks

KINDS: tuple[ThingKind, ...] = ("meter", "probe", "bottle", "cup")
THE_CUP = "cup"
"""What the keeper's own cup is called: there is one."""
SHOWN = "Nothing changed."
ONLY_ASKS = "asks how a meter's electrode was, and says nothing: slurrycalc kit meter NAME --on 2024-05-04"


@dataclass(frozen=True)
class OnRecord:
    """What is on record, and where that lies."""

    things: tuple[ThingShown, ...]
    logbook: str
    saved: SavedAs | None
    electrode: MeterLife | None = None
    """How a meter's electrode ages, where one meter was asked for and was calibrated."""


def enclosure(
    name: Annotated[
        str | None,
        Argument(metavar="NAME", help="Which enclosure; without, all.", autocompletion=names.enclosures),
    ] = None,
    *,
    size: Annotated[str | None, Option(metavar="LENGTHxWIDTH", help='Its footprint: "60x45 cm".')] = None,
    bed_depth: Annotated[str | None, Option(metavar="LENGTH", help='Of the substrate: "10 cm".')] = None,
    target: Annotated[
        str | None, Option(metavar="LOW:HIGH", help="Range wanted in it [pH]: 5.4:6.5.")
    ] = None,
    floor: Annotated[str | None, Option(metavar="NUMBER", help="Below this you act [pH]: 5.0.")] = None,
    steady: Annotated[
        str | None, Option(metavar="yes|no", help="Whether it is the steady jar that shows how the bench is.")
    ] = None,
    fresh: Annotated[
        str | None, Option(metavar="yes|no", help="Whether it is a tub of fresh mix for exchanges.")
    ] = None,
    stages: Annotated[
        str | None, Option(metavar="none", help="none takes back the stages of an exchange that is planned.")
    ] = None,
    read_every: Annotated[
        str | None, Option(metavar="TIME|never", help='When to read it, at the latest: "6 weeks".')
    ] = None,
    upkeep_every: Annotated[
        str | None,
        Option(metavar="TIME|never", help='From one exchange of its upkeep to the next: "3 months".'),
    ] = None,
    litter_every: Annotated[
        str | None, Option(metavar="TIME|never", help='When to top up leaf litter; "3 months" unless given.')
    ] = None,
    charcoal_every: Annotated[
        str | None, Option(metavar="TIME|never", help='When to renew charcoal; "12 months" unless given.')
    ] = None,
    note: Annotated[str | None, Option(metavar="TEXT", help="Anything worth knowing of it.")] = None,
    rename: Annotated[str | None, Option(metavar="NEW", help="What it is called from now on.")] = None,
    retired: Annotated[
        str | None, Option(metavar="DATE", help="Its last day in use; none takes it into use again.")
    ] = None,
    by: options.By = None,
    new: options.New = False,
    logbook: options.Logbook = None,
) -> Outcome[OnRecord]:
    """List the enclosures, or add, show or change one.

    slurrycalc enclosure
    slurrycalc enclosure atlas --target 5.4:6.5 --floor 5.0
    slurrycalc enclosure atlas --size "60x45 cm" --bed-depth "10 cm"
    slurrycalc enclosure "leaf mix" --fresh yes
    slurrycalc enclosure atlas --read-every "6 weeks" --charcoal-every never
    slurrycalc enclosure atlas --rename annex
    slurrycalc enclosure jar --steady yes

    What was said before stays on record; none as a value takes it back. A new name of which nothing is said,
    or one close to an existing one, is asked about, and refused where nobody can answer; --new adds it. To
    look only: slurrycalc show atlas. A steady jar is dry, well-mixed substrate kept aside (not peat; 3 L last
    years), slurried on every bench day: it has no range, but shows whether the bench itself is steady. Where
    it alarms, every result of that day says so. Fill it anew: slurrycalc event jar new-mix.
    """
    recording = Recording(by=by, new=new, logbook=logbook)
    given = {"size": size, "bed_depth": bed_depth, "target": target, "floor": floor}
    given |= {"steady": steady, "fresh": fresh, "stages": stages, "note": note, "retired": retired}
    given |= {"read_every": read_every, "upkeep_every": upkeep_every}
    given |= {"litter_every": litter_every, "charcoal_every": charcoal_every}
    if name is None:
        _refuse_any({**given, "rename": rename}, "slurrycalc enclosure NAME")
        return _listed(("enclosure",), recording)
    return _stated("enclosure", name, enclosure_words(given), rename, recording)


def kit(
    kind: Annotated[
        str | None, Argument(metavar="meter|probe|bottle|cup", help="What; without, everything.")
    ] = None,
    name: Annotated[
        list[str] | None, Argument(metavar="NAME", help="Which one, or how much the cup holds.")
    ] = None,
    *,
    label: Annotated[
        str | None,
        Option(metavar="LABEL", help="A bottle's buffer: 4.01; 9.22@20C where its label says 20 degC."),
    ] = None,
    tolerance: Annotated[
        str | None, Option(metavar="NUMBER", help="What a bottle's pH may be off by [pH]: 0.02.")
    ] = None,
    measured: Annotated[
        str | None, Option(metavar="NUMBER", help="The pH at 25 degC that a bottle's label states: 4.006.")
    ] = None,
    lot: Annotated[str | None, Option(metavar="TEXT", help="A bottle's lot.")] = None,
    opened: Annotated[str | None, Option(metavar="DATE", help="The day a bottle was opened.")] = None,
    expires: Annotated[str | None, Option(metavar="DATE", help="A bottle's last day.")] = None,
    shows: Annotated[str | None, Option(metavar="mV|pH", help="What a meter shows.")] = None,
    resolution: Annotated[
        str | None, Option(metavar="NUMBER", help='Last digit of a display: "0.1 mV", 0.01.')
    ] = None,
    repeatability: Annotated[
        str | None, Option(metavar="NUMBER", help="Standard deviation of a meter's repeated readings.")
    ] = None,
    junction: Annotated[
        str | None,
        Option(
            metavar="NUMBER",
            help="Standard uncertainty of a meter's junction [pH]: 0.02; calibrate --help has a test of it.",
        ),
    ] = None,
    compensates: options.Compensates = None,
    thermometer: options.Thermometer = None,
    electrode: Annotated[
        str | None, Option(metavar="DATE", help="The day a meter's electrode was put in.")
    ] = None,
    check_every: Annotated[
        str | None, Option(metavar="TIME|never", help='When to check a probe; "7 d" unless given.')
    ] = None,
    mine: Annotated[
        str | None,
        Option(metavar="yes|no", help="Whether this meter or probe counts where a step names none."),
    ] = None,
    reader: Annotated[
        str | None, Option(metavar="NAME", help="Who reads it: on record with each step without --by.")
    ] = None,
    note: Annotated[str | None, Option(metavar="TEXT", help="Anything worth knowing of it.")] = None,
    rename: Annotated[str | None, Option(metavar="NEW", help="What it is called from now on.")] = None,
    retired: Annotated[
        str | None, Option(metavar="DATE", help="Its last day in use; none takes it into use again.")
    ] = None,
    on: options.AskedOn = None,
    by: options.By = None,
    new: options.New = False,
    logbook: options.Logbook = None,
) -> Outcome[OnRecord]:
    """List meters, probes, bottles and the cup, or add, show or change one.

    slurrycalc kit
    slurrycalc kit meter desk --shows pH
    slurrycalc kit meter desk --electrode 2024-03-01
    slurrycalc kit meter desk --on 2024-05-04
    slurrycalc kit bottle "acid 2" --label 4.01 --tolerance 0.02 --opened today
    slurrycalc kit probe stick --check-every "2 weeks"
    slurrycalc kit meter desk --mine yes --reader Kim
    slurrycalc kit cup 240 mL

    What is your own stands in wherever a step leaves it out, and the answer says so: the meter and the probe
    with --mine yes, their --reader as --by, and the cup. It also says where the logbook lies. What was said
    before stays on record; none as a value takes it back. A meter that was calibrated is shown with the
    efficiency and offset of its electrode through time, and when it will be worn out, by its calibrations
    since --electrode, up to --on. A new electrode has a junction potential of its own: what was read before
    and after it shares that error no longer.
    """
    recording = Recording(by=by, new=new, logbook=logbook)
    given = {"label": label, "tolerance": tolerance, "measured": measured, "lot": lot, "opened": opened}
    given |= {"expires": expires, "shows": shows, "resolution": resolution, "repeatability": repeatability}
    given |= {"junction": junction, "compensates": compensates, "thermometer": thermometer}
    given |= {"electrode": electrode, "check_every": check_every, "mine": mine, "reader": reader}
    given |= {"note": note, "retired": retired}
    chosen = _kind(kind)
    if chosen is None or not name:
        _refuse_any({**given, "rename": rename, "on": on}, f"slurrycalc kit {chosen or 'meter'} NAME")
        return _listed(KINDS if chosen is None else (chosen,), recording)
    if on is not None and (chosen != "meter" or any((*given.values(), rename))):
        raise Refusal(f"--on {quoted(on)} {ONLY_ASKS}")
    if chosen == "cup":
        return _stated("cup", THE_CUP, kit_words("cup", {**given, "volume": " ".join(name)}), None, recording)
    if len(name) > 1:
        raise Refusal(f"`{name[1]}` is one word too many; put a name of several words in quotes")
    settings = kit_words(chosen, given, None if label is not None else name[0])
    return _stated(chosen, name[0], settings, rename, recording, until=None if on is None else day_asked(on))


def _kind(text: str | None) -> ThingKind | None:
    if text is None:
        return None
    word = text.strip().casefold()
    found = next((kind for kind in KINDS if word in (kind, f"{kind}s")), None)
    if found is None:
        if meant := near(word, KINDS):
            raise Refusal(f"{quoted(text)} is no part of the kit; did you mean {meant}?")
        more = "; enclosures have slurrycalc enclosure" if word.startswith("enclosure") else ""
        raise Refusal(f"{quoted(text)} is no part of the kit: write meter, probe, bottle or cup{more}")
    return found


def _refuse_any(given: Mapping[str, str | None], right: str) -> None:
    for key, value in given.items():
        if value is not None:
            raise Refusal(f"--{key.replace('_', '-')} needs the name of what it is said of: {right}")


def _listed(kinds: tuple[ThingKind, ...], recording: Recording) -> Outcome[OnRecord]:
    with reading(recording.path) as book:
        things = things_of(book)
    shown = [show_thing(one) for kind in kinds for one in things.of(kind, retired=True)]
    # What is still in use first.
    shown.sort(key=lambda one: one.retired is not None)
    result = OnRecord(tuple(shown), str(recording.path), None)

    def page() -> Iterator[Block]:
        yield from list_blocks(shown, kinds, result.logbook, begun=recording.path.exists())

    return Outcome(result, tuple(page()))


def _stated(
    kind: ThingKind,
    name: str,
    settings: Mapping[str, Any],
    rename: str | None,
    recording: Recording,
    *,
    until: date | None = None,
) -> Outcome[OnRecord]:
    with keeping("enclosure" if kind == "enclosure" else "kit", recording, name) as keeper:
        if kind == "enclosure" and not settings and rename is None:
            see_that_it_is_meant(keeper, kind, name)
        if until is not None:
            keeper.recall.things.find(kind, name)
        stated: Stated = state(keeper, kind, name, settings, rename)
        electrode = life_as_said(keeper.recall, name, settings, until) if kind == "meter" else None
    says = stated.added or bool(stated.changed)
    saved = save(keeper, recording) if says else None
    remarks = keeper.remarks if says else ()

    def page() -> Iterator[Block]:
        if electrode is not None:
            yield from meter_life_blocks(electrode)
        yield from one_blocks(stated)
        yield noted(remark for remark in remarks if remark.kind != "new-on-record")

    last = last_line(saved, recording, "") if says else SHOWN
    result = OnRecord((stated.shown,), str(recording.path), saved, electrode)
    return Outcome(result, tuple(page()), (*remarks, *(electrode.remarks if electrode else ())), last=last)
