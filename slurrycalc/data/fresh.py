"""Where the pH of what fresh mixes are made of lies: an order of magnitude, and no measurement."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from slurrycalc.data import called, table
from slurrycalc.data.assumed import Known


@dataclass(frozen=True, slots=True)
class Component:
    """What a fresh mix is made of."""

    name: str
    also: tuple[str, ...]
    """Other names."""
    ph: tuple[float, float]
    """Low, high. [pH]"""
    known: Known
    source: str


@cache
def components() -> tuple[Component, ...]:
    """Give every row of ``fresh.toml``.

    Returns
    -------
    tuple of Component
        The rows, from acid to alkaline.

    Examples
    --------
    >>> [each.name for each in components()]
    ['peat', 'bark', 'coir', 'charcoal']
    """
    return tuple(
        Component(row["name"], tuple(row["also"]), (row["ph"][0], row["ph"][1]), row["known"], row["source"])
        for row in table("fresh")["component"]
    )


def component(name: str) -> Component | None:
    """Find a component by one of its names.

    Parameters
    ----------
    name : str
        As it was typed; case and spaces at its ends don't matter.

    Returns
    -------
    Component or None
        The row, if there is one.

    Examples
    --------
    >>> component("Biochar").ph
    (7.5, 10.0)
    >>> component("marble") is None
    True
    """
    return called(components(), name)
