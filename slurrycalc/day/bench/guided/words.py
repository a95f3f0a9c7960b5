"""What a guided bench day says at each of its steps."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby

from slurrycalc.data.assumed import SETTLING, TIP_DEPTH
from slurrycalc.data.cautions import cautions
from slurrycalc.day.bench.guided.events import Say
from slurrycalc.day.bench.guided.room import Room
from slurrycalc.day.bench.guided.state import Progress
from slurrycalc.measuring.recipe import mix
from slurrycalc.measuring.recipe.procedure import BREATHES
from slurrycalc.metrology.units.kitchen import cup_words

SAMPLING, MIXING, METERING, READING, CLOSING = 1, 2, 3, 4, 5
MINDED: Mapping[int, str] = {
    SAMPLING: "sampling",
    MIXING: "mixing",
    METERING: "metering",
    READING: "reading",
    CLOSING: "closing",
}
"""Each step's name in the cautions."""
KEYS = "b back, s skip, n note, w still moving, ? help, q stop."
CAN = (
    "b goes back to the answer before; Enter leaves it as it is.",
    "s skips this question; s all skips all such.",
    "n and a text makes a note, of this jar where it is about one.",
    "w says that the reading is still moving, and asks again.",
    "swap B2 C1 says that two cups hold each other's substrate.",
    "stir B1 starts the clock of B1 anew.",
    "A jar's label reads that jar; c calibrates the meter anew.",
    "q stops; slurrycalc bench goes on here.",
)
"""What can be typed instead of an answer."""


def heading(step: int, progress: Progress, room: Room, *, minded: bool) -> tuple[Say, ...]:
    """Give what stands above a step.

    Parameters
    ----------
    step : int
        From 1 to 5.
    progress : Progress
        The day so far.
    room : Room
        What was known before.
    minded : bool
        Whether it was shown before, cautions and all: then the heading alone.

    Returns
    -------
    tuple of Say
        The heading, what to mind before the hands move, and how the hands move.

    Examples
    --------
    >>> day = Progress()
    >>> heading(1, day, Room(), minded=True)[0].text
    '1 of 5  Probe first, then the spoon'
    """
    title, how = _TEXTS[step](progress, room)
    first = Say(f"{step} of 5  {title}", "step")
    if minded:
        return (first,)
    mind = tuple(Say(text, "mind") for text in cautions(MINDED[step]))
    return (first, *mind, *(Say(text) for text in how))


def cups_to_label(progress: Progress) -> str:
    """Say what to write on which cup."""
    rows = groupby(progress.places(), key=lambda place: place.case)
    return ", ".join(f"{case} {' '.join(place.label for place in places)}" for case, places in rows)


def _sampling(progress: Progress, room: Room) -> tuple[str, tuple[str, ...]]:
    fresh = any(room.is_fresh(name) for name in progress.cases)
    mix = ("In the fresh mix too: only pairs far apart in pH show a probe that always says the same.",)
    return "Probe first, then the spoon", (
        f"Write these on the cups: {cups_to_label(progress)}",
        "Push the probe in and wait until it holds. Then take small spoonfuls from three to five spots "
        "around it, at root depth, into the cup; pick out leaves, stones and animals.",
        *(mix if fresh else ()),
    )


def _mixing(progress: Progress, room: Room) -> tuple[str, tuple[str, ...]]:
    cup = progress.get("cup") or room.cup or "us"
    amounts: dict[tuple[str, str], list[str]] = {}
    for name in progress.cases:
        known = room.case(name)
        bed = None if known is None or known.bed is None else known.bed
        recipe = mix(slurries=progress.get("each", 1), cup=cup, bed=bed)
        amounts.setdefault((recipe.ways[0].substrate, recipe.ways[0].water), []).append(name)
    how = (
        "Once every cup has its spoonfuls: cases shut, heat mats and pumps plugged in again.",
        f"By the {cup_words(cup)}. Fill the measure the same way each time: loose, tapped once, struck off "
        "level. Distilled or deionised water. Stir until all of it is wet, then press Enter.",
    )
    if len(amounts) == 1:
        ((substrate, water),) = amounts
        return f"Mix: {substrate} of substrate, {water} of distilled water", how
    each = tuple(
        f"{', '.join(names)}: {substrate} of substrate, {water} of water."
        for (substrate, water), names in amounts.items()
    )
    return "Mix: one part of substrate, two of distilled water", (*each, *how)


def _metering(progress: Progress, room: Room) -> tuple[str, tuple[str, ...]]:
    bottles = ", then ".join(room.called(bottle) for bottle in progress.bottles)
    again = " again" if len(progress.calibrations()) > 1 else ""
    how = "Fresh buffers, in cups of their own; rinse and blot the electrode between them."
    if progress.meter["shows"] == "pH":
        how += f" Press the meter's calibrate key with {bottles}; then read each as if it were a sample."
    cups = () if progress.paper is not None else progress.cups()
    settling = [cup for cup in cups if cup.stirred is not None and cup.shows is None]
    first = min((cup.ready() for cup in settling), default=None)
    last = max((answer.at for answer in progress), default=None)
    clock = (f"The first jar is ready at {first:%H:%M}.",) if first and last and first > last else ()
    return f"Meter{again}: {bottles}", (how, *clock)


def _reading(progress: Progress, room: Room) -> tuple[str, tuple[str, ...]]:
    return "Read", (
        f"The tip in the clear part, about {TIP_DEPTH.value:.0f} cm under, without stirring; wait until it "
        f"holds. Rinse and blot between jars. Each settles for {SETTLING.value:.0f} min.",
        f"{BREATHES}.",
        "Any order: type a jar's label. A mix-up: swap B2 C1. Calibrate the meter anew: c.",
    )


def _closing(progress: Progress, room: Room) -> tuple[str, tuple[str, ...]]:
    first = room.called(progress.bottles[0])
    return f"Close: {first} once more", ("It shows how far the meter has drifted.",)


_TEXTS = {SAMPLING: _sampling, MIXING: _mixing, METERING: _metering, READING: _reading, CLOSING: _closing}
