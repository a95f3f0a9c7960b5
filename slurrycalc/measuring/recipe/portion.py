"""How much of a bed a slurry may take, and what it then stands in."""

from __future__ import annotations

from math import ceil, floor, pi, sqrt
from typing import NamedTuple

from slurrycalc.data.assumed import BED_SHARE, CONTAINER_FILL, ELECTRODE_ROOM, PORE_SPACE, TIP_DEPTH
from slurrycalc.measuring.recipe.measures import kitchen_measure
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.units import magnitude
from slurrycalc.metrology.units.amounts import volume_words
from slurrycalc.metrology.units.kitchen import cup_size

# What a slurry may be made of where there is little to take, largest first: all simple to measure.
_PORTIONS = ("1/2 cup", "1/3 cup", "1/4 cup", "3 tbsp", "2 tbsp", "1 tbsp")


class Limits(NamedTuple):
    """What a slurry has to fit in."""

    bed: float | None
    """Volume of the enclosure's substrate. [mL]"""
    room: float | None
    """Volume of the slurry's container. [mL]"""
    thinned: float
    """Water on one volume of substrate. [1]"""
    said: str | None = None
    """The container's volume as it was typed."""

    @property
    def room_words(self) -> str | None:
        """The container's volume in words."""
        return volume_words(self.room) if self.said is None and self.room is not None else self.said


def choose_portion(limits: Limits, cup: str = "us") -> tuple[float, tuple[Remark, ...]]:
    """Choose what each slurry takes, and say why where it is less than half a cup.

    Parameters
    ----------
    limits : Limits
        Bed and container.
    cup : str
        Whose cup is meant, as in :func:`slurrycalc.metrology.units.parse`.

    Returns
    -------
    portion : float
        Bulk volume of substrate, simple to measure. [mL]
    remarks : tuple of Remark
        What took it below half a cup.

    Raises
    ------
    Refusal
        If the container has no room for any slurry.

    Examples
    --------
    >>> portion, remarks = choose_portion(Limits(5000.0, None, 2.0))
    >>> print(f"{portion:.1f} mL: {remarks[0].text}")
    44.4 mL: Two half cups would take 4.7 % of this bed, more than 2 % (our own figure), so each slurry takes
    3 tbsp.
    """
    bed, room, thinned = limits[:3]
    sizes = [(words, magnitude(words, "volume", cup=cup)) for words in _PORTIONS]
    half, least = sizes[0][1], sizes[-1][1]
    from_bed = half if bed is None else BED_SHARE.value / 2 * bed
    from_room = half if room is None else CONTAINER_FILL.value * room / (1 + thinned)
    if from_room < least * (1 - 1e-9):
        raise Refusal(
            f"`{limits.room_words}` of container has no room to stir a slurry: take one of "
            f"`{ceil(least * (1 + thinned) / CONTAINER_FILL.value)} mL` or more."
        )
    limit = max(min(half, from_bed, from_room), least) * (1 + 1e-9)
    words, portion = next(size for size in sizes if size[1] <= limit)
    remarks = []
    if bed is not None and from_bed < half:
        remarks.append(
            Remark(
                "small-bed",
                f"Two half cups would take {200 * half / bed:.2g} % of this bed, more than "
                f"{100 * BED_SHARE.value:g} % (our own figure), so each slurry takes {words}.",
            )
        )
    if from_room < min(half, from_bed):
        remarks.append(
            Remark(
                "small-container",
                f"A container of {limits.room_words} has room to stir {words} of substrate with its water.",
            )
        )
    return portion, tuple(remarks)


def objections(portion: float, limits: Limits) -> tuple[Remark, ...]:
    """Say what speaks against an amount that somebody asked for.

    Parameters
    ----------
    portion : float
        Bulk volume of substrate in each slurry. [mL]
    limits : Limits
        Bed and container.

    Returns
    -------
    tuple of Remark
        Nothing, if nothing does.

    Raises
    ------
    Refusal
        If the container does not hold it.

    Examples
    --------
    >>> objections(100.0, Limits(None, None, 2.0))
    ()
    """
    bed, room, thinned = limits[:3]
    whole = portion * (1 + thinned)
    if room is not None and whole > room * (1 + 1e-9):
        raise Refusal(
            f"`{limits.room_words}` of container does not hold {volume_words(whole)} of slurry: take one of "
            f"`{ceil(whole / CONTAINER_FILL.value)} mL` or more, or less substrate."
        )
    remarks = []
    if room is not None and whole > CONTAINER_FILL.value * room * (1 + 1e-9):
        remarks.append(
            Remark(
                "small-container",
                f"{volume_words(whole)} of slurry leave little room to stir in {limits.room_words}.",
            )
        )
    if bed is not None and 2 * portion > BED_SHARE.value * bed * (1 + 1e-9):
        remarks.append(
            Remark(
                "small-bed",
                f"Two such slurries take {200 * portion / bed:.2g} % of this bed, more than "
                f"{100 * BED_SHARE.value:g} % (our own figure): take less of it.",
            )
        )
    return tuple(remarks)


def least_container(substrate: float, water: float) -> float:
    """Give the smallest container that leaves room to stir.

    Parameters
    ----------
    substrate, water : float
        What it holds. [mL]

    Returns
    -------
    float
        Its volume, in steps of 25. [mL]

    Examples
    --------
    >>> least_container(118.3, 236.6)
    475.0
    """
    return 25.0 * ceil((substrate + water) / CONTAINER_FILL.value / 25.0 - 1e-9)


def widest_container(substrate: float, water: float) -> float | None:
    """Give the widest straight container in which the clear part covers an electrode's tip.

    Parameters
    ----------
    substrate, water : float
        What it holds; of the substrate's bulk volume, four fifths take up water (from memory). [mL]

    Returns
    -------
    float or None
        Its inner width, in steps of a half; None if it would be too narrow for an electrode. [cm]

    Examples
    --------
    >>> widest_container(118.3, 236.6)
    7.5
    """
    clear = water - PORE_SPACE.value * substrate
    if clear <= 0:
        return None
    width = floor(4 * sqrt(clear / (pi * TIP_DEPTH.value))) / 2
    return width if width >= ELECTRODE_ROOM.value else None


def container_words(least: float, widest: float | None, room: str | None = None, cup: str = "us") -> str:
    """Say what a slurry stands in.

    Parameters
    ----------
    least : float
        Smallest container. [mL]
    widest : float or None
        Its widest inner width. [cm]
    room : str or None
        The container that there is, in words.
    cup : str
        Whose cup is meant, as in :func:`slurrycalc.metrology.units.parse`.

    Returns
    -------
    str
        Words for a step.

    Examples
    --------
    >>> container_words(475.0, 7.5)
    'a clean container of 475 mL (2 cups) or more, no wider than 7.5 cm inside'
    """
    if room is not None:
        size = f"a container of {room}"
    else:
        whole = cup_size(cup)
        # In half cups, upward; a twentieth of a cup less is near enough.
        cups = kitchen_measure(max(1, ceil(2 * least / whole - 0.1)) / 2 * whole, cup)
        size = f"a clean container of {volume_words(least)} ({cups.words}) or more"
    return size if widest is None else f"{size}, no wider than {widest:g} cm inside"
