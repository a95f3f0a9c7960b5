"""What is wanted in an enclosure: what is asked for, what is on record of it, what is common practice."""

from __future__ import annotations

from slurrycalc.data.assumed import FLOOR, TARGET_HIGH, TARGET_LOW
from slurrycalc.logbook.things import Thing

Limits = tuple[tuple[float, float] | None, float | None]
"""Target range and floor; None where nothing is said. [pH]"""
NO_LIMITS: Limits = (None, None)


def chosen_limits(*said: Limits) -> tuple[tuple[float, float], float]:
    """Choose target and floor [pH], each from the first that says something; else common practice.

    Examples
    --------
    >>> chosen_limits((None, 4.8), ((5.0, 6.0), 4.5))
    ((5.0, 6.0), 4.8)
    """
    target = next((one for one, _ in said if one is not None), (TARGET_LOW.value, TARGET_HIGH.value))
    return target, next((one for _, one in said if one is not None), FLOOR.value)


def limits_of(enclosure: Thing | None) -> Limits:
    """Give an enclosure's own target and floor; nothing where common practice counts. [pH]."""
    target = None if enclosure is None else enclosure.get("target")
    return (
        None if target is None else (float(target[0]), float(target[1])),
        None if enclosure is None else enclosure.get("floor"),
    )
