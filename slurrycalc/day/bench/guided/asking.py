"""What a guided bench day asks next: it follows from the answers so far, the clocks and the room."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from slurrycalc.data.assumed import SLURRIES_EACH
from slurrycalc.day.bench.guided.clock import by_clock, clocks, left
from slurrycalc.day.bench.guided.room import Room
from slurrycalc.day.bench.guided.state import Cup, Progress
from slurrycalc.day.bench.guided.words import CLOSING, METERING, MIXING, READING, SAMPLING

SETUP = 0
KIT = ("cases", "each", "meter", "bottles", "cup")
"""What is settled before the first jar, and stays from then on."""
DONE = "done"
WAIT = "wait"
NEVER_KEPT = (DONE, WAIT)
"""Questions whose answers are not kept: they ask only whether to go on."""


@dataclass(frozen=True)
class Question:
    """A question, before anything is said about how it looks."""

    key: str
    text: str
    step: int = SETUP
    default: str = ""
    """What an empty line means."""
    about: str = ""
    """What an answer looks like."""
    cup: str | None = None
    """The jar that it concerns."""
    clocks: str = ""
    """How far the jars are."""
    wake: datetime.datetime | None = None
    """When the question answers itself."""
    settling: tuple[Cup, ...] = ()
    """The jars that settle meanwhile."""


def next_question(progress: Progress, room: Room, now: datetime.datetime, chosen: str | None) -> Question:
    """Find what to ask next.

    Parameters
    ----------
    progress : Progress
        The day so far.
    room : Room
        What was known before.
    now : datetime
        The present.
    chosen : str or None
        The jar that the keeper wants to read.

    Returns
    -------
    Question
        The first that is open.

    Examples
    --------
    >>> next_question(Progress(), Room(), datetime.datetime(2024, 5, 4, tzinfo=datetime.UTC), None).key
    'cases'
    """
    key = _open_key(progress, room, now, chosen)
    return question(key, progress, room, now)


def question(  # noqa: PLR0911  (one line for each kind of question)
    key: str, progress: Progress, room: Room, now: datetime.datetime
) -> Question:
    """Word the question of a key.

    Parameters
    ----------
    key : str
        As answers have it.
    progress, room, now
        As for `next_question`.

    Returns
    -------
    Question
        Ready to be asked.
    """
    what, _, rest = key.partition(" ")
    if key in KIT:
        return _of_kit(key, progress, room)
    if key == "probe":
        known = ", ".join(room.probes)
        text = f"Which probe? {known}." if known else "What do you call this probe?"
        return Question(key, text, SAMPLING, room.probes[0] if room.probes else "probe", "A name: stick.")
    if what == "probe":
        return _of_probe(rest, progress, room)
    if what == "stirred":
        return _of_stir(key, rest, progress)
    if what in ("buffers", "jars"):
        return _of_temperature(key, progress)
    if what == "point":
        return _of_point(key, progress, room)
    if key == "close":
        bottle = room.called(progress.bottles[0])
        return Question(key, f"{bottle} shows now?", CLOSING, about=_like(progress))
    if what == "read":
        return _of_reading(rest, progress, now)
    if key == WAIT:
        return _waiting(progress, now)
    return _of_end(progress)


def unread(progress: Progress) -> list[Cup]:
    """Give the stirred jars that are still to be read, or once more after a calibration in doubt."""
    return [
        cup for cup in progress.cups() if cup.stirred and (cup.shows is None or cup.again) and not cup.skipped
    ]


def _open_key(progress: Progress, room: Room, now: datetime.datetime, chosen: str | None) -> str:
    """Find the first key that has no answer yet."""
    for key in KIT:
        if key not in progress:
            return key
    places = progress.places()
    asked = [f"probe {place.label}" for place in places if not room.is_steady(place.case)]
    if any(progress.get(key) is not None for key in asked) and "probe" not in progress:
        return "probe"
    current = progress.calibrations()[-1]
    asked += [f"stirred {place.label}" for place in places]
    asked += ["buffers at", *(f"point {current} {n}" for n in range(len(progress.bottles)))]
    asked += ["jars at"] if _warmth_counts(progress) else []
    for key in asked:
        if key not in progress:
            return key
    if chosen is not None:
        return f"read {chosen}"
    if cups := unread(progress):
        return _jar_key(cups, progress, now)
    return DONE if "close" in progress or not _any_read(progress) else "close"


def _jar_key(cups: list[Cup], progress: Progress, now: datetime.datetime) -> str:
    """Find which jar to read next; of a day from paper none is waited for."""
    first = cups[0] if progress.paper is not None else by_clock(cups, now)[0]
    return WAIT if progress.paper is None and left(first, now) else f"read {first.label}"


def _warmth_counts(progress: Progress) -> bool:
    """Tell whether the jars' temperature changes what their readings mean."""
    meter = progress.meter
    return meter["shows"] == "mV" or not meter.get("compensates", True)


def _any_read(progress: Progress) -> bool:
    return any(cup.shows is not None for cup in progress.cups())


def _cup(progress: Progress, label: str) -> Cup:
    cup = progress.cup(label)
    assert cup is not None, label
    return cup


def _of_kit(key: str, progress: Progress, room: Room) -> Question:
    if key == "cases":
        if not room.cases:
            text = "Which enclosures? A comma between their names."
            return Question(key, text, about="Their names, like window, stairs, atlas.")
        names = [case.name for case in room.cases]
        every = f"all {len(names)}" if len(names) > 1 else names[0]
        listed = f" {', '.join(names)}." if 1 < len(names) <= 12 else ""
        text = f"Which cases today?{listed}"
        return Question(key, text, default=every, about="All, or names: window, atlas.")
    if key == "each":
        each = f"{SLURRIES_EACH.value:.0f}"
        return Question(key, "Slurries each?", default=each, about="1 to 9; two show how they scatter.")
    if key == "meter":
        return _of_meter(room)
    if key == "bottles":
        known = ", ".join(bottle.name for bottle in room.bottles) or "7.00, 4.01"
        about = "What stands on them, like 7.00, 4.01."
        return Question(key, "Which buffer bottles?", default=known, about=about)
    return Question(
        key,
        "Which cup do you measure with: us, metric, imperial, or its size in mL?",
        default="us",
        about="One of these words, or a size like 240 mL.",
    )


def _of_meter(room: Room) -> Question:
    silent = [meter.name for meter in room.meters if meter.shows is None]
    if len(room.meters) == 1 and silent:
        return Question("meter", f"What does {silent[0]} show, pH or mV?", default="pH", about="pH, or mV.")
    if room.meters:
        names = ", ".join(meter.name for meter in room.meters)
        return Question("meter", f"Which meter? {names}.", default=room.meters[0].name, about="Its name.")
    text = "Your pH meter: its name, and whether it shows pH or mV?"
    return Question("meter", text, default="meter pH", about="Both on a line, like desk pH.")


def _of_probe(label: str, progress: Progress, room: Room) -> Question:
    place = next(place for place in progress.places() if place.label == label)
    cup = next(cup for cup, held in progress.swapped().items() if held == label)
    about = "What it shows, like 5.9; s where it was not pushed in, s all without a probe."
    if room.is_fresh(place.case):
        about += " Half of its pairs in fresh mix show whether it follows at all."
    return Question(
        f"probe {label}",
        f"{cup} {place.case}, spot {place.spot}, {_place_of(label, progress)}. Probe shows?",
        SAMPLING,
        about=about,
        cup=cup,
    )


def _place_of(label: str, progress: Progress) -> str:
    """Say which jar it is of how many."""
    labels = [place.label for place in progress.places()]
    return f"jar {labels.index(label) + 1} of {len(labels)}"


def _of_stir(key: str, label: str, progress: Progress) -> Question:
    asks = "Stirred? Enter starts its clock."
    about = "Enter for now; 10:40, 40 min ago or 1 h ago if it was before."
    if progress.paper is not None:
        asks, about = "Stirred at? Enter where nobody wrote it down.", "The time on the paper, like 10:40."
    text = f"{label} {_cup(progress, label).place.case}, {_place_of(label, progress)}. {asks}"
    return Question(key, text, MIXING, about=about, cup=label)


def _of_temperature(key: str, progress: Progress) -> Question:
    if key == "buffers at":
        return Question(
            key, "Temperature of the buffers, in C? Enter if nobody read it.", METERING, about="21, or 70 F."
        )
    warmth = progress.get("buffers at")
    default = "" if warmth is None else f"{warmth:.4g}"
    also = "" if default else " Enter if nobody read it."
    return Question(key, f"Temperature of the jars, in C?{also}", READING, default, about="21, or 70 F.")


def _of_point(key: str, progress: Progress, room: Room) -> Question:
    bottle = progress.bottles[int(key.split()[2])]
    return Question(key, f"{room.called(bottle)} bottle shows?", METERING, about=_like(progress))


def _like(progress: Progress) -> str:
    shows = "178.2 mV" if progress.meter["shows"] == "mV" else "7.02"
    return f"What the meter shows, like {shows}; with another temperature, {shows} @ 22C."


def _of_reading(label: str, progress: Progress, now: datetime.datetime) -> Question:
    cup, cups = _cup(progress, label), unread(progress)
    to_read = [one for one in progress.cups() if one.stirred and not one.skipped]
    n = 1 + len([one for one in to_read if one.label != label and one not in cups])
    which = "once more" if cup.again else f"jar {n} of {len(to_read)}"
    written = "" if progress.paper is None else "; with its time, if there is one, 5.41 at 11:15"
    return Question(
        f"read {label}",
        f"{label} {cup.place.case}, {which}, shows{' now' if cup.again else ''}?",
        READING,
        about=_like(progress).rstrip(".") + f"{written}.",
        cup=label,
        clocks=clocks(cups, now) if cups and progress.paper is None else "",
    )


def _waiting(progress: Progress, now: datetime.datetime) -> Question:
    cups = unread(progress)
    first = by_clock(cups, now)[0]
    return Question(
        WAIT,
        f"Wait for {first.label}. Enter reads it now.",
        READING,
        about="Enter reads the next jar before its time, a jar's label that one; b then waits again.",
        cup=None,
        clocks=clocks(cups, now),
        wake=now + left(first, now),
        settling=tuple(cups),
    )


def _of_end(progress: Progress) -> Question:
    open_ = [cup.label for cup in progress.cups() if cup.shows is None]
    without = f" without {', '.join(open_)}" if open_ else ""
    return Question(DONE, f"Enter ends the day{without}; b goes back.", CLOSING)
