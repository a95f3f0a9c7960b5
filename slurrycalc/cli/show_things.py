"""What is on record, on a page: lists of things, and one thing with all that is said of it."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from slurrycalc.day.record.stating import SettingShown, Stated, ThingShown

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page

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
    "fresh": "fresh mix",
    "wanted": "stages lead to",
    "read_every": "reading interval",
    "litter_every": "leaf-litter interval",
    "charcoal_every": "charcoal interval",
    "check_every": "check interval",
}
"""What a setting is called, where not by its key."""
USUAL = {
    "enclosure": "What is not said: range pH 5.4 to 6.5, floor pH 5.0; read by its trend, at first after 1 "
    "month; leaf litter after 3 months and charcoal after 12, where there was any (common practice).",
    "probe": "What is not said: checked every 7 days (common practice).",
    "bottle": "What is not said: a tolerance of 0.02 (from memory).",
    "meter": "What is not said: a resolution of 0.01 pH or 0.1 mV, a thermometer within 1 degC, compensates.",
}
FRESH = (
    "A tub of fresh mix: slurrycalc exchange and upkeep take its newest readings as the mix's pH. It has no "
    "range to be in, and is in no list of what is due."
)
STEADY = (
    "A steady jar, which is in no range: what it reads shows whether the bench itself is steady. What is not "
    "said: slurried every 30 days (common practice). Where it is filled anew:"
)


def show_list(page: Page, things: Sequence[ThingShown], kinds: Sequence[str], logbook: Path) -> None:
    """List things by kind, and say where the logbook lies.

    Parameters
    ----------
    page : Page
        Where to.
    things : sequence of ThingShown
        All of those kinds.
    kinds : sequence of str
        Which kinds were asked for.
    logbook : Path
        Where it lies.
    """
    for kind in kinds:
        mine = [one for one in things if one.kind == kind]
        page.title(MANY[kind])
        if mine:
            page.table(("name", "said of it"), [(one.name, _in_short(one)) for one in mine])
        else:
            page.say("None is on record yet. The first:")
            page.command(FIRST[kind])
    page.gap()
    if len(kinds) == 1 and kinds[0] in USUAL and things:
        page.say(USUAL[kinds[0]])
    page.say("The logbook lies in" if logbook.exists() else "The logbook will lie in")
    page.command(str(logbook))


def _in_short(thing: ThingShown) -> str:
    parts = [_worded(one) for one in thing.settings]
    if thing.retired:
        parts.insert(0, f"retired on {thing.retired}")
    return ", ".join(parts) or "nothing said of it"


def _worded(one: SettingShown) -> str:
    word = WORDS.get(one.key, one.key)
    return one.text if one.key == "note" else f"{word} {one.text}"


def show_one(page: Page, stated: Stated) -> None:
    """Show one thing with all that is said of it, and what was said before.

    Parameters
    ----------
    page : Page
        Where to.
    stated : Stated
        The thing.
    """
    thing = stated.shown
    new = " (new on record)" if stated.added else ""
    page.title(f"{thing.kind.capitalize()} {thing.name}{new}" if thing.kind != "cup" else "Your cup")
    rows = []
    for one in thing.settings:
        since = f"since entry {one.since}" if one.since else "from now on"
        before = f"; before, {', '.join(one.before)}" if one.before else ""
        rows.append((WORDS.get(one.key, one.key), one.text, f"{since}{before}"))
    if thing.retired:
        rows.insert(0, ("retired", f"after {thing.retired}", ""))
    if rows:
        page.table(("said", "value", "where"), rows)
    else:
        page.say("Nothing is said of it yet.")
    if thing.former_names:
        page.say(f"Its name was {', '.join(thing.former_names)}.")
    page.gap()
    if any(one.key == "fresh" and one.text == "yes" for one in thing.settings):
        page.say(FRESH)
    elif any(one.key == "steady" and one.text == "yes" for one in thing.settings):
        page.say(STEADY)
        page.command(f"slurrycalc event {shlex.quote(thing.name)} new-mix")
    elif thing.kind in USUAL:
        page.say(USUAL[thing.kind])
    if thing.kind == "enclosure":
        page.say(f"Its readings: slurrycalc history {shlex.quote(thing.name)}")
