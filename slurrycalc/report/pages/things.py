"""What is on record, on a page: lists of things, and one thing with all that is said of it."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence

from slurrycalc.day.record.stating import SettingShown, Stated, ThingShown
from slurrycalc.report.page import GAP, Block, Command, Heading, Say, table

MANY = {
    "enclosure": "Enclosures",
    "meter": "Meters",
    "probe": "Probes",
    "bottle": "Bottles of buffer",
    "cup": "The cup you measure with",
}
FIRST = {
    "enclosure": "slurrycalc enclosure atlas --new",
    "meter": "slurrycalc kit meter desk --shows pH",
    "probe": "slurrycalc kit probe stick",
    "bottle": "slurrycalc kit bottle 4.01",
    "cup": "slurrycalc kit cup 240 mL",
}
WORDS = {
    "resolution_mV": "resolution",
    "resolution_pH": "resolution",
    "repeatability_mV": "repeatability",
    "repeatability_pH": "repeatability",
    "bed_depth": "bed depth",
    "electrode": "electrode put in on",
    "volume": "holds",
    "mine": "your own",
    "reader": "read by",
    "fresh": "fresh mix",
    "wanted": "stages lead to",
    "read_every": "reading interval",
    "upkeep_every": "upkeep interval",
    "litter_every": "leaf-litter interval",
    "charcoal_every": "charcoal interval",
    "check_every": "check interval",
}
"""What a setting is called, where not by its key."""
USUAL = {
    "enclosure": "Common practice, unless you set it: your range is 5.4 to 6.5, your floor 5.0. You read it "
    "again after 1 month, then when its trend asks. Leaf litter is due every 3 months and charcoal every 12, "
    "once you have noted some.",
    "probe": "Taken unless you set it: checked every 7 days (common practice).",
    "bottle": "Taken unless you set it: a tolerance of 0.02 (from memory).",
    "meter": "Taken unless you set it: a resolution of 0.01 pH or 0.1 mV, a thermometer within 1 "
    "degC, compensates.",
}
FRESH = (
    "A tub of fresh mix: slurrycalc exchange and upkeep take its newest readings as the mix's pH. It has no "
    "range to be in, and is in no list of what is due."
)
STEADY = (
    "A steady jar, which is in no range: what it reads shows whether the bench itself is steady. Taken "
    "unless you set it: slurried every 30 days (common practice). Where it is filled anew:"
)


def list_blocks(
    things: Sequence[ThingShown], kinds: Sequence[str], logbook: str, *, begun: bool
) -> Iterator[Block]:
    """List things by kind, and say where the logbook lies.

    Parameters
    ----------
    things : sequence of ThingShown
        All of those kinds.
    kinds : sequence of str
        Which kinds were asked for.
    logbook : str
        Where it lies.
    begun : bool
        Whether it is there yet.
    """
    for kind in kinds:
        mine = [one for one in things if one.kind == kind]
        yield Heading(MANY[kind])
        if mine:
            yield table(("name", "set for it"), [(one.name, _in_short(one)) for one in mine])
        else:
            yield Say("None is on record yet. The first:")
            yield Command(FIRST[kind])
    yield GAP
    if len(kinds) == 1 and kinds[0] in USUAL and things:
        yield Say(USUAL[kinds[0]])
    yield Say("The logbook lies in" if begun else "The logbook will lie in")
    yield Command(logbook)


def _in_short(thing: ThingShown) -> str:
    parts = [_worded(one) for one in thing.settings]
    if thing.retired:
        parts.insert(0, f"retired on {thing.retired}")
    return ", ".join(parts) or "nothing set"


def _worded(one: SettingShown) -> str:
    word = WORDS.get(one.key, one.key)
    return one.text if one.key == "note" else f"{word} {one.text}"


def one_blocks(stated: Stated) -> Iterator[Block]:
    """Show one thing with all that is said of it, and what was said before.

    Parameters
    ----------
    stated : Stated
        The thing.
    """
    thing = stated.shown
    new = " (new on record)" if stated.added else ""
    yield Heading(f"{thing.kind.capitalize()} {thing.name}{new}" if thing.kind != "cup" else "Your cup")
    rows = []
    for one in thing.settings:
        since = f"since entry {one.since}" if one.since else "from now on"
        before = f"; before, {', '.join(one.before)}" if one.before else ""
        rows.append((WORDS.get(one.key, one.key), one.text, f"{since}{before}"))
    if thing.retired:
        rows.insert(0, ("retired", f"after {thing.retired}", ""))
    if rows:
        yield table(("setting", "value", "on record"), rows)
    else:
        yield Say("You have set nothing for it.")
    if thing.former_names:
        yield Say(f"Its name was {', '.join(thing.former_names)}.")
    yield GAP
    if any(one.key == "fresh" and one.text == "yes" for one in thing.settings):
        yield Say(FRESH)
    elif any(one.key == "steady" and one.text == "yes" for one in thing.settings):
        yield Say(STEADY)
        yield Command(f"slurrycalc event {shlex.quote(thing.name)} new-mix")
    elif thing.kind in USUAL:
        yield Say(_usual(thing) if thing.kind == "enclosure" else USUAL[thing.kind])
    if thing.kind == "enclosure":
        yield Say(f"Its readings: slurrycalc history {shlex.quote(thing.name)}")


def _usual(bed: ThingShown) -> str:
    """Say what is taken of an enclosure, without what is set for it."""
    mine = {one.key for one in bed.settings}
    limits = [("target", "your range is 5.4 to 6.5"), ("floor", "your floor is 5.0")]
    said = [" and ".join(text for key, text in limits if key not in mine)]
    if "read_every" not in mine:
        said.append("you read it again after 1 month, then when its trend asks")
    tended = [("litter_every", "leaf litter every 3 months"), ("charcoal_every", "charcoal every 12 months")]
    if due := " and ".join(text for key, text in tended if key not in mine):
        said.append(f"you renew {due}, once you have noted some")
    taken = "; ".join(filter(None, said))
    return f"Common practice, unless you set it: {taken}." if taken else "You have set all of it yourself."
