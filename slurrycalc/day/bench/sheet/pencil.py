"""The sheet for a pencil, as data: its parts in the order in which hands move, with room to write."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from itertools import groupby

from slurrycalc.data.assumed import SETTLING, TIP_DEPTH
from slurrycalc.day.bench.sheet.known import DaySheet, SheetBottle
from slurrycalc.metrology.units.kitchen import cup_words

WRITE = ""
"""A cell, or the value of a field, that is left to the pencil."""
STRIKE = "Strike out what is wrong, so that it can still be read; never erase."


@dataclass(frozen=True)
class Part:
    """One part of the sheet."""

    letter: str
    title: str
    how: tuple[str, ...]
    """What to do, a sentence each."""
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    """A cell that is left to the pencil is empty."""
    fields: tuple[tuple[str, str], ...] = ()
    """Further things to write down: what, and what is known of it."""
    ticks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Pencil:
    """The whole sheet."""

    title: str
    fields: tuple[tuple[str, str], ...]
    """At the head: what, and what is known of it."""
    ticks: tuple[str, ...]
    """To be done before the first hand moves."""
    parts: tuple[Part, ...]
    foot: tuple[str, ...]


def pencil(sheet: DaySheet) -> Pencil:
    """Lay a bench day out for a pencil.

    Parameters
    ----------
    sheet : DaySheet
        What is known of it.

    Returns
    -------
    Pencil
        Parts A to F in the order of `slurrycalc bench`: the probe, the mixing, the bottles, the jars, the
        bottles again, and what was done to the enclosures.

    Examples
    --------
    >>> day = DaySheet("2024-05-04", "Kim", "desk", "pH", False, (), None, None, "stick", "us", ())
    >>> [f"{part.letter} {part.title}" for part in pencil(day).parts][:3]
    ['A Probe first, then the spoon', 'B Mix', 'C Meter desk: its bottles']
    """
    on = date.fromisoformat(sheet.on)
    meter = f"Meter {sheet.meter}" if sheet.meter else "Meter"
    return Pencil(
        f"Bench day, {on.day} {on:%B} {on.year}",
        (("date", sheet.on), ("start", WRITE), ("who", sheet.by or WRITE), ("room temperature", WRITE)),
        ("gloves", "animals out, and where", "heat mats, pumps and misters unplugged"),
        (
            _probe(sheet),
            _mix(sheet),
            _bottles(sheet, "C", f"{meter}: its bottles"),
            _jars(sheet),
            _again(sheet, meter),
            _done(sheet),
        ),
        ("Typed in by ________, on ________.", STRIKE),
    )


def _probe(sheet: DaySheet) -> Part:
    shows = (sheet.probe or "the probe") + " shows"
    return Part(
        "A",
        "Probe first, then the spoon",
        (
            "Push the probe in and wait until it holds; then small spoonfuls from three to five spots around "
            "it, at root depth, into the jar.",
        ),
        ("jar", "enclosure", "spot", "depth", "bed is", shows),
        tuple(
            (
                jar.label,
                jar.enclosure,
                WRITE,
                WRITE,
                "dry moist wet",
                "none" if jar.kind == "steady jar" else WRITE,
            )
            for jar in sheet.jars
        ),
    )


def _mix(sheet: DaySheet) -> Part:
    return Part(
        "B",
        "Mix",
        (
            f"By the {cup_words(sheet.cup)}: loose, tapped once, struck off level. Distilled or deionised "
            f"water. Stir until all of it is wet; it settles for {SETTLING.value:.0f} min.",
        ),
        ("jar", "substrate", "water", "stirred at", "floats?"),
        tuple((jar.label, jar.substrate, jar.water, WRITE, WRITE) for jar in sheet.jars),
    )


def _bottles(sheet: DaySheet, letter: str, title: str) -> Part:
    known = (*sheet.points, *(() if sheet.check is None else (sheet.check,)))
    rows = [_bottle(one) for one in known] or [(WRITE,) * 6] * 3
    how = "Fresh buffers, in cups of their own; rinse and blot the electrode between them."
    return Part(
        letter, title, (how,), ("bottle", "label", "lot", "opened", "temperature", "shows"), tuple(rows)
    )


def _bottle(one: SheetBottle) -> tuple[str, ...]:
    return one.name, one.label, one.lot or WRITE, one.opened or WRITE, WRITE, WRITE


def _jars(sheet: DaySheet) -> Part:
    return Part(
        "D",
        "Read the jars",
        (
            f"The tip in the clear part, about {TIP_DEPTH.value:.0f} cm under, without stirring; wait until "
            "it holds. Rinse and blot between jars.",
        ),
        ("jar", "time", "temperature", "shows", "steady?"),
        tuple((jar.label, WRITE, WRITE, WRITE, WRITE) for jar in sheet.jars),
    )


def _again(sheet: DaySheet, meter: str) -> Part:
    first = sheet.close
    row = (first.name if first else WRITE, WRITE, WRITE, WRITE)
    how = "It shows how far the meter has drifted."
    return Part(
        "E", f"{meter}: a bottle once more", (how,), ("bottle", "time", "temperature", "shows"), (row,)
    )


def _done(sheet: DaySheet) -> Part:
    names = [name for name, _ in groupby(jar.enclosure for jar in sheet.jars if jar.kind == "bed")]
    return Part(
        "F",
        "Done to the enclosure",
        (),
        ("enclosure", "water, litter, charcoal, exchange, how much; anything seen"),
        tuple((name, WRITE) for name in names),
        ticks=("animals in, and counted", "plugged in again", "hands washed"),
    )
