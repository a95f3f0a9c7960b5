"""How large a bed is: its footprint and depth, as people say them."""

from __future__ import annotations

import re
from typing import Any, NamedTuple

import pint

from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import magnitude
from slurrycalc.metrology.units.grammar import spoken, tidy

EXAMPLE = "60x45 cm"
_BY = re.compile(r"(?<=[\w\"'.])\s*(?:x|\*|\u00d7|\bby\b)\s*(?=[0-9.,])", re.IGNORECASE)


class Footprint(NamedTuple):
    """A bed seen from above."""

    length: float
    """[cm]"""
    width: float
    """[cm]"""


def footprint(text: str) -> Footprint:
    """Read how long and how wide a bed is.

    Parameters
    ----------
    text : str
        Two lengths with ``x``, ``×`` or ``by`` between: ``60x45 cm``, ``24 in x 18 in``. A unit after the
        second is meant for both.

    Returns
    -------
    Footprint
        Both lengths. [cm]

    Raises
    ------
    Refusal
        If it is not two lengths above 0.

    Examples
    --------
    >>> footprint("60x45 cm")
    Footprint(length=60.0, width=45.0)
    >>> footprint("2 ft by 18 in")
    Footprint(length=60.96, width=45.72)
    """
    parts = _BY.split(tidy(str(text)))
    if len(parts) == 3:
        raise Refusal(
            f"{quoted(text)} holds three lengths, of which the third could be the bed's depth or the "
            f"enclosure's height: write the footprint alone, such as `{EXAMPLE}`, and the depth by itself."
        )
    if len(parts) != 2:
        raise Refusal(f"{quoted(text)} is no footprint, length by width: write for instance `{EXAMPLE}`.")
    try:
        unit = spoken(parts[1], EXAMPLE).unit
        both = [part if spoken(part, EXAMPLE).unit else f"{part} {unit}" for part in parts]
        sides = [magnitude(part, "length") for part in both]
    except Refusal as refusal:
        if "has no unit" in refusal.sentence:
            raise Refusal(
                f"{quoted(text)} has no unit: write `{' x '.join(parts)} cm` or `{' x '.join(parts)} in`."
            ) from refusal
        raise refusal.at(quoted(text)) from refusal
    if min(sides) == 0.0:
        raise Refusal(f"{quoted(text)} has a side of 0: write for instance `{EXAMPLE}`.")
    return Footprint(*sides)


def _volume(size: str | float | pint.Quantity[Any]) -> float:
    """Read a bed's volume, and show a right one of a bed, not of a cup."""
    try:
        return magnitude(size, "volume")
    except Refusal as refusal:
        if "where a volume is wanted" in refusal.sentence:
            why = refusal.sentence.partition(": write")[0]
            raise Refusal(f"{why}: write for instance `27 L`.") from refusal
        raise


def bed_volume(
    size: str | float | pint.Quantity[Any] | Footprint, depth: str | float | pint.Quantity[Any] | None = None
) -> float:
    """Give the volume of a bed.

    Parameters
    ----------
    size : str, Footprint, float or pint.Quantity
        Its footprint (``60x45 cm``), which needs a depth; or its volume (``27 L``), which needs none. [mL]
    depth : str, float or pint.Quantity, optional
        Depth of the substrate. [cm]

    Returns
    -------
    float
        [mL]

    Raises
    ------
    Refusal
        If either is no such amount, is 0, or the depth is missing or not wanted.

    Examples
    --------
    >>> bed_volume("60x45 cm", "10 cm")
    27000.0
    >>> bed_volume("27 L")
    27000.0
    """
    flat = isinstance(size, Footprint) or (isinstance(size, str) and _BY.search(tidy(size)) is not None)
    if not flat:
        volume = _volume(size)  # type: ignore[arg-type]
        if volume == 0.0:
            raise Refusal(f"{quoted(size)} is no volume of a bed: write for instance `27 L`.")
        if depth is not None:
            raise Refusal(
                f"{quoted(size)} is a volume already, so a depth of {quoted(depth)} is not wanted: leave one "
                f"of them out, or write the footprint, for instance `{EXAMPLE}`."
            )
        return volume
    area = size if isinstance(size, Footprint) else footprint(str(size))
    if depth is None:
        raise Refusal(f"{quoted(size)} is a footprint without a depth: add one, for instance `10 cm`.")
    deep = magnitude(depth, "length")
    if deep == 0.0:
        raise Refusal(f"{quoted(depth)} of substrate is no bed: write its depth, for instance `10 cm`.")
    return area.length * area.width * deep
