"""Bulk densities and moistures of common substrates, for a keeper who has not weighed a cup yet."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from slurrycalc.data import called, table
from slurrycalc.data.assumed import Known


@dataclass(frozen=True, slots=True)
class Material:
    """What is known of a substrate before it is weighed."""

    name: str
    also: tuple[str, ...]
    """Other names."""
    dry: tuple[float, float, float]
    """Dry mass over bulk volume: low, typical, high. [g/mL]"""
    moisture: tuple[float, float, float]
    """Water mass over dry mass of a living bed: low, typical, high. [1]"""
    known: Known
    source: str


@cache
def materials() -> tuple[Material, ...]:
    """Give every row of ``materials.toml``.

    Returns
    -------
    tuple of Material
        The rows, in their order.

    Examples
    --------
    >>> [material.name for material in materials()][:2]
    ['sphagnum peat', 'coir']
    """
    rows = table("materials")["material"]
    return tuple(
        Material(
            name=row["name"],
            also=tuple(row["also"]),
            dry=tuple(row["dry"]),
            moisture=tuple(row["moisture"]),
            known=row["known"],
            source=row["source"],
        )
        for row in rows
    )


def material(name: str) -> Material | None:
    """Find a substrate by one of its names.

    Parameters
    ----------
    name : str
        As it was typed; case and spaces at its ends don't matter.

    Returns
    -------
    Material or None
        The row, if there is one.

    Examples
    --------
    >>> material("Peat moss").dry
    (0.06, 0.1, 0.16)
    >>> material("marble") is None
    True
    """
    return called(materials(), name)
