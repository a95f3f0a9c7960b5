"""What a command line says of an enclosure or a part of the kit, in the record's units."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from contextlib import suppress
from typing import Any

from slurrycalc.cli.bench_words import range_words
from slurrycalc.cli.meter_words import what_meter_shows, yes_or_no
from slurrycalc.cli.moment import day_of
from slurrycalc.cli.recording import present
from slurrycalc.cli.words import option
from slurrycalc.day.record.stating import deep, sized
from slurrycalc.deciding.days import interval_of
from slurrycalc.logbook import cells
from slurrycalc.logbook.settings import NEVER, SETTINGS, ThingKind
from slurrycalc.measuring.electrode.buffer_kinds import known_label
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.metrology.names import plain_name
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import cup_size, magnitude, measured
from slurrycalc.metrology.units.amounts import length_unit

TAKEN_BACK = "none"
Given = Mapping[str, str | None]


def enclosure_words(given: Given) -> dict[str, Any]:
    """Read what is said of an enclosure.

    Parameters
    ----------
    given : mapping
        Option to text; None where it was not given.

    Returns
    -------
    dict
        Setting to value; None takes it back.

    Raises
    ------
    Refusal
        If one cannot be meant.

    Examples
    --------
    >>> enclosure_words({"target": "5.4:6.5", "floor": "none"})
    {'target': [5.4, 6.5], 'floor': None}
    """
    said = _taken(
        given,
        {
            "size": _size,
            "bed_depth": lambda text: deep(magnitude(text, "length", bare="cm"), text, length_unit(text)),
            "target": lambda text: list(range_words(text)),
            "floor": lambda text: magnitude(text, "ph"),
            "steady": yes_or_no,
            "fresh": yes_or_no,
            "stages": _stages,
            "read_every": _interval,
            "upkeep_every": _interval,
            "litter_every": _interval,
            "charcoal_every": _interval,
            "note": cells.note,
            "retired": _past,
        },
    )
    # What the stages shall reach goes with them.
    return {**said, "wanted": None} if "stages" in said else said


def kit_words(kind: ThingKind, given: Given, name: str | None = None) -> dict[str, Any]:
    """Read what is said of a meter, a probe, a bottle or the cup.

    Parameters
    ----------
    kind : str
        What it is.
    given : mapping
        Option to text; None where it was not given.
    name : str, optional
        Of a bottle of which no label is said: it may be the label itself.

    Returns
    -------
    dict
        Setting to value; None takes it back.

    Raises
    ------
    Refusal
        If one cannot be meant, or is not said of such a thing.

    Examples
    --------
    >>> kit_words("meter", {"shows": "mV", "resolution": "1"})
    {'shows': 'mV', 'resolution_mV': 1.0}
    """
    fits = {*SETTINGS[kind], *(key.partition("_")[0] for key in SETTINGS[kind])}
    for key, text in given.items():
        if text is not None and key not in fits:
            can = ", ".join(f"--{one.replace('_', '-')}" for one in given if one in fits)
            raise Refusal(f"--{key.replace('_', '-')} is not said of a {kind}; what can be said: {can}")
    said = _taken(
        given,
        {
            "label": lambda text: Bottle(text).label,
            "tolerance": _ph,
            "measured": _ph,
            "lot": cells.note,
            "opened": _past,
            "expires": _ahead,
            "shows": lambda text: what_meter_shows(text, ()),
            "junction": _ph,
            "compensates": yes_or_no,
            "thermometer": lambda text: magnitude(text, "number"),
            "electrode": _past,
            "mine": yes_or_no,
            "reader": lambda text: plain_name(text, "reader", "Kim"),
            "check_every": _interval,
            "note": cells.note,
            "volume": _cup,
            "retired": _past,
        },
    )
    label, measured = given.get("label") or "", given.get("measured")
    if "@" in label:
        with option("--label"):
            said["measured"] = Bottle(label, measured=None if measured is None else _ph(measured)).measured
    if kind == "probe":
        said |= _taken({"resolution": given.get("resolution")}, {"resolution": _ph})
    elif kind == "meter":
        said |= _figures(given, said.get("shows"))
    elif kind == "bottle" and name is not None and "label" not in said:
        with suppress(Refusal):
            said["label"] = known_label(name)
    return said


def _taken(given: Given, readers: Mapping[str, Callable[[str], Any]]) -> dict[str, Any]:
    said: dict[str, Any] = {}
    for key, reader in readers.items():
        text = given.get(key)
        if text is None:
            continue
        with option("cup" if key == "volume" else f"--{key.replace('_', '-')}"):
            said[key] = None if text.strip().casefold() == TAKEN_BACK else reader(text)
    return said


def _ph(text: str) -> float:
    return magnitude(text, "ph")


def _size(text: str) -> list[float | str]:
    """Read a length and a width, the unit once or twice."""
    parts = re.split(r"\s*[x×*]\s*", text.strip().casefold())
    if len(parts) != 2:
        return sized((), text)
    unit = re.search(r"[a-z'\"]+\.?$", parts[1].strip())
    if unit and re.fullmatch(r"[\d.,½¼¾ /]+", parts[0]):
        parts[0] = f"{parts[0]} {unit[0]}"
    sides = magnitude(parts[0], "length"), magnitude(parts[1], "length")
    return sized(sides, text, length_unit(*parts))


def _interval(text: str) -> int | str:
    return NEVER if text.strip().casefold() == NEVER else interval_of(text)


def _stages(text: str) -> list[list[float | str]]:
    """Refuse stages that are typed: they are computed, and here only taken back."""
    raise Refusal(
        f"{quoted(text)}: stages are planned by slurrycalc exchange NAME --plan; write none to "
        "take them back."
    )


def _past(text: str) -> str:
    return day_of(text, present().date()).isoformat()


def _ahead(text: str) -> str:
    return day_of(text, present().date(), future=True).isoformat()


def _cup(text: str) -> float:
    return float(cup_size(text))


def _figures(given: Given, shows: str | None) -> dict[str, Any]:
    """Read a meter's figures; their unit tells which display they are of."""
    said: dict[str, Any] = {}
    for key in ("resolution", "repeatability"):
        text = given.get(key)
        if text is None:
            continue
        with option(f"--{key}"):
            if text.strip().casefold() == TAKEN_BACK:
                said |= {f"{key}_mV": None, f"{key}_pH": None}
                continue
            if shows is None and "v" not in text.casefold() and "ph" not in text.casefold():
                raise Refusal(f"{quoted(text)} may be mV or pH: write like --{key} 0.1mV, or say --shows too")
            if shows == "mV":
                number, unit = magnitude(text, "potential", bare="mV"), "mV"
            else:
                kind, number = measured(text, ("ph", "potential"))
                unit = "mV" if kind == "potential" else "pH"
            said[f"{key}_{unit}"] = number
    return said

