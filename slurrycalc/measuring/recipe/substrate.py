"""What is known of a substrate before it is mixed: what a cup of it weighs, and how much of that is water."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from math import isfinite, sqrt
from typing import Any, TypeAlias

import pint
from uncertainties import UFloat

from slurrycalc.data.assumed import BULK_DENSITY_SPREAD, MOISTURE_SPREAD, Assumed
from slurrycalc.data.materials import Material, material, materials
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.uncertain import NORMAL_95, nameless
from slurrycalc.metrology.units import magnitude, stated
from slurrycalc.metrology.units.kinds import Kind

Given: TypeAlias = float | str | pint.Quantity[Any] | UFloat
"""A number in the canonical unit, a text, a quantity, or an uncertain number in the canonical unit."""

# What no substrate exceeds (our own limits): wet sand weighs some 2 g/mL, moss holds some 15 times its mass.
_HEAVIEST = 3.0
_WETTEST = 20.0


@dataclass(frozen=True)
class Substrate:
    """What is known of a substrate."""

    density: UFloat | None
    """Mass over bulk volume as it is filled, its water included. [g/mL]"""
    moisture: UFloat | None
    """Water mass over dry mass. [1]"""
    remarks: tuple[Remark, ...] = ()


def substrate(bulk_density: Given | None = None, moisture: Given | None = None, cup: str = "us") -> Substrate:
    """Gather what is known of a substrate.

    Parameters
    ----------
    bulk_density : float, str, pint.Quantity or UFloat, optional
        Mass over bulk volume as it is filled, its water included [g/mL]; or the name of a substrate of
        ``data/materials.toml``, whose typical bulk density and moisture are then taken.
    moisture : float, str, pint.Quantity or UFloat, optional
        Water mass over dry mass, for instance ``1.2`` or ``"120 %"``. [1]
    cup : str
        Whose cup is meant in ``g/cup``, as in :func:`slurrycalc.metrology.units.parse`.

    Returns
    -------
    Substrate
        What was given and follows, each with the sources of its uncertainty. A value given without a
        half-width gets the assumed one.

    Raises
    ------
    Refusal
        If a value cannot be that of a substrate, or a name is not known.

    Examples
    --------
    >>> print(substrate("0.25 g/mL").density)
    0.250+/-0.014
    >>> print(substrate("peat").remarks[0].text)
    Bulk density and moisture of `peat` are from memory, 0.35 g/mL as it is filled: weigh one level cup of
    yours and give that, as `60 g/cup`.
    """
    wet = None if moisture is None else _moisture(moisture)
    if bulk_density is None:
        return Substrate(None, wet)
    row = material(bulk_density) if isinstance(bulk_density, str) else None
    if row is None:
        return Substrate(_density(bulk_density, cup), wet)
    ground = f"{row.name}: {row.source}"
    dry = _typical(row.dry, f"bulk density of dry {row.name}", row, ground)
    if wet is None:
        wet = _typical(row.moisture, f"moisture of {row.name}", row, ground)
    density = dry * (1 + wet)
    remark = Remark(
        "from-memory",
        f"Bulk density and moisture of {quoted(bulk_density)} are from {row.known}, {density.n:.2g} g/mL as "
        "it is filled: weigh one level cup of yours and give that, as `60 g/cup`.",
    )
    return Substrate(density, wet, (remark,))


def _typical(values: tuple[float, float, float], name: str, row: Material, ground: str) -> UFloat:
    low, typical, high = values
    return typical + nameless((high - low) / 2 / sqrt(3), name, row.known, ground)


def _density(value: Given, cup: str) -> UFloat:
    if isinstance(value, str) and not any(character.isdigit() for character in value):
        names = [name for row in materials() for name in (row.name, *row.also)]
        near = get_close_matches(value.casefold().strip(), names, n=1)
        right = f"did you mean {quoted(near[0])}?" if near else "write for instance `0.25 g/mL` or `coir`."
        raise Refusal(f"{quoted(value)} is no bulk density and no substrate that is known here: {right}")
    density = _uncertain(value, "density", BULK_DENSITY_SPREAD, "bulk density", cup)
    if not 0 < density.n <= _HEAVIEST:
        raise Refusal(
            f"{quoted(value)} is no bulk density of a substrate, which lies above 0 and up to {_HEAVIEST:g} "
            "g/mL: write for instance `0.25 g/mL`, `250 g/L` or `60 g/cup`."
        )
    return density


def _moisture(value: Given) -> UFloat:
    moisture = _uncertain(value, "number", MOISTURE_SPREAD, "moisture", "us")
    if not 0 <= moisture.n <= _WETTEST:
        meant = f"did you mean `{moisture.n:g} %`?" if moisture.n > 0 else "write for instance `120 %`."
        raise Refusal(
            f"{quoted(value)} is no moisture, water mass over dry mass, from 0 to {_WETTEST:g}: {meant}"
        )
    return moisture


def _uncertain(value: Given, kind: Kind, spread: Assumed, name: str, cup: str) -> UFloat:
    """Give a value its stated half-width, or else the assumed one."""
    if isinstance(value, UFloat):
        if not (isfinite(value.n) and isfinite(value.s)):
            raise Refusal(f"{quoted(value)} is not finite: give for instance ufloat(0.25, 0.02).")
        return value
    number, half = (
        stated(value, kind, cup=cup) if isinstance(value, str) else (magnitude(value, kind, cup=cup), None)
    )
    if half is not None:
        return number + nameless(half / NORMAL_95, name, "given", "stated half-width")
    return number + nameless(abs(number) * spread.value / sqrt(3), name, spread.known, spread.ground)
