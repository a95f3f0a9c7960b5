"""Answers about the room: which enclosures, which meter, which bottles, whose cup."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from slurrycalc.day.bench.guided.reading import Doubt, spoken_names
from slurrycalc.day.bench.guided.room import Room, far_apart, neutral_first
from slurrycalc.day.bench.meter import other_display
from slurrycalc.logbook.settings import LIKE, ThingKind
from slurrycalc.logbook.things import close_name
from slurrycalc.measuring.electrode.buffer_kinds import known_label
from slurrycalc.measuring.electrode.meter import Shows
from slurrycalc.metrology.names import plain_name
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import cup_size

MOST_EACH = 9
"""Slurries of one enclosure on one day: more than a table has room for."""


def take_kit(key: str, line: str, room: Room, sure: frozenset[str]) -> Any:
    """Take an answer about the room.

    Parameters
    ----------
    key : str
        What was asked: ``"cases"``, ``"each"``, ``"meter"``, ``"bottles"``, ``"cup"`` or ``"probe"``.
    line : str
        The answer, not empty.
    room : Room
        What is known.
    sure : frozenset of str
        Doubts that were settled.

    Returns
    -------
    object
        As it is kept.

    Raises
    ------
    Refusal
        If it cannot stand.
    Doubt
        If a slip is likely.

    Examples
    --------
    >>> take_kit("cases", "window, stairs", Room(), frozenset())
    ['window', 'stairs']
    >>> take_kit("meter", "desk pH", Room(), frozenset())
    {'name': 'desk', 'shows': 'pH'}
    >>> take_kit("bottles", "4,01 and 7,00", Room(), frozenset())
    ['7.00', '4.01']
    """
    return _TAKE[key](line, room, sure)


def _cases(line: str, room: Room, sure: frozenset[str]) -> list[str]:
    known = tuple(case.name for case in room.cases)
    if known and re.fullmatch(r"all(\s+\d+)?", line.strip(), re.I):
        return list(known)
    names = spoken_names(line, known)
    if not names:
        raise Refusal("no name stands there: write one or several, like window, stairs, atlas.")
    found: list[str] = []
    for typed in names:
        name = _named("enclosure", typed, known, line, sure, asks_new=bool(known))
        if name.casefold() in (gone.casefold() for gone in room.retired):
            raise Refusal(
                f"enclosure {quoted(name)} was retired; take it into use again with slurrycalc enclosure, or "
                "name another."
            )
        if name.casefold() in (other.casefold() for other in found):
            raise Refusal(f"{quoted(name)} is there twice: name each enclosure once.")
        found.append(name)
    if not known and len(found) > 1 and not re.search(r"[,;]", line) and "parted" not in sure:
        listed = f"{', '.join(found[:-1])} and {found[-1]}"
        raise Doubt(f"{len(found)} enclosures, {listed}?", about="parted")
    return found


def _named(
    kind: ThingKind, typed: str, known: tuple[str, ...], line: str, sure: frozenset[str], *, asks_new: bool
) -> str:
    """Take a name: one that is known, one that is probably meant, or a new one."""
    name = plain_name(typed, kind, LIKE[kind])
    same = next((other for other in known if other.casefold() == name.casefold()), None)
    if same is not None:
        return same
    meant = close_name(name, known)
    if meant is not None and f"near {name}" not in sure:
        right = re.sub(rf"(?<!\w){re.escape(typed)}(?!\w)", meant.replace("\\", r"\\"), line, count=1)
        raise Doubt(f"No {kind} is called {name}. Did you mean {meant}?", right, about=f"near {name}")
    if asks_new and f"near {name}" not in sure and f"new {name}" not in sure:
        raise Doubt(f"No {kind} is called {name}. Add it?", likely=False, about=f"new {name}")
    return name


def _each(line: str, room: Room, sure: frozenset[str]) -> int:
    text = line.strip()
    if text.isdecimal() and text.isascii() and 1 <= int(text) <= MOST_EACH:
        return int(text)
    raise Refusal(f"{quoted(text)} is no number of slurries from 1 to {MOST_EACH}: write 2.")


def _meter(line: str, room: Room, sure: frozenset[str]) -> dict[str, Any]:
    text = line.strip()
    known = tuple(meter.name for meter in room.meters)
    named = room.meter(text)
    if named is not None and named.shows is not None:
        return {"name": named.name, "shows": named.shows, "compensates": named.compensates}
    *name, last = text.split()
    spelled: dict[str, Shows] = {"ph": "pH", "mv": "mV"}
    shows = spelled.get(last.casefold())
    if shows is None:
        if named is None and known:
            _named("meter", text, known, line, sure, asks_new=False)
        raise Refusal(f"does {quoted(text)} show pH or mV? Write {text} pH, or {text} mV.")
    silent = [meter.name for meter in room.meters if meter.shows is None]
    called = " ".join(name).rstrip(",") or (silent[0] if len(silent) == 1 else "meter")
    meant = _named("meter", called, known, line, sure, asks_new=False)
    there = room.meter(meant)
    if there is not None and there.shows not in (None, shows):
        raise other_display(meant, there.shows, shows)
    return {"name": meant, "shows": shows}


def _bottles(line: str, room: Room, sure: frozenset[str]) -> list[str]:
    parts = re.split(r"\s*;\s*|\s+", _parted(line))
    found = _whole(line, room) or [_bottle(part, room) for part in parts if part]
    kinds = [room.label(bottle) for bottle in found]
    if len(set(kinds)) < len(kinds):
        raise Refusal("the same buffer is there twice: give bottles that differ, like 7.00, 4.01.")
    if len(kinds) < 2 or not far_apart(kinds):
        raise Refusal("two bottles at least, 1 pH apart or more: write for instance 7.00, 4.01.")
    return list(neutral_first(found, room))


def _whole(line: str, room: Room) -> list[str] | None:
    """Take names of bottles, which may hold blanks, with commas between."""
    parts = [part for part in re.split(r"\s*[,;]\s*", line.strip()) if part]
    known = [room.bottle(part) for part in parts]
    return None if None in known else [bottle.name for bottle in known if bottle is not None]


def _parted(line: str) -> str:
    """Part labels, whose commas may be decimal ones."""
    text = re.sub(r",\s+|\s+and\s+|\s*&\s*", " ; ", line.strip())
    # What commas without blanks part is told by the points: 7.00,4.01 are two.
    return re.sub(r"(?<=\.\d\d),(?=\d)", " ; ", text)


def _bottle(text: str, room: Room) -> str:
    named = room.bottle(text)
    if named is not None:
        return named.name
    label = known_label(text)
    bearing = [bottle.name for bottle in room.bottles if bottle.label == label]
    if len(bearing) > 1:
        raise Refusal(f"{quoted(label)} stands on several bottles; name one of them: {', '.join(bearing)}.")
    return bearing[0] if bearing else label


def _cup(line: str, room: Room, sure: frozenset[str]) -> str:
    text = line.strip()
    if text.replace(".", "", 1).isdecimal():
        text = f"{text} mL"
    cup_size(text)
    return text


def _probe(line: str, room: Room, sure: frozenset[str]) -> str:
    return _named("probe", line.strip(), room.probes, line, sure, asks_new=bool(room.probes))


_TAKE: dict[str, Callable[[str, Room, frozenset[str]], Any]] = {
    "cases": _cases,
    "each": _each,
    "meter": _meter,
    "bottles": _bottles,
    "cup": _cup,
    "probe": _probe,
}


def settled(room: Room) -> dict[str, Any]:
    """Give what needs no question: the keeper's own kit, and that of which the record leaves no choice.

    Parameters
    ----------
    room : Room
        What is known.

    Returns
    -------
    dict
        Answers by key.

    Examples
    --------
    >>> settled(Room(cup="240 mL"))
    {'cup': '240 mL'}
    """
    answers: dict[str, Any] = {}
    meter = room.meter(room.own_meter) if room.own_meter else None
    if meter is None and len(room.meters) == 1:
        (meter,) = room.meters
    if meter is not None and meter.shows is not None:
        answers["meter"] = _meter(meter.name, room, frozenset())
    if room.only_bottles():
        answers["bottles"] = list(room.only_bottles())
    if room.cup is not None:
        answers["cup"] = room.cup
    if room.own_probe is not None or len(room.probes) == 1:
        answers["probe"] = room.own_probe or room.probes[0]
    return answers
