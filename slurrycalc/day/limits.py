"""What is wanted in an enclosure: what is asked for, what is on record of it, what is common practice."""

from __future__ import annotations

from slurrycalc.data.assumed import FLOOR, TARGET_HIGH, TARGET_LOW

Limits = tuple[tuple[float, float] | None, float | None]
"""Target range and floor; None where nothing is said. [pH]"""


def chosen_limits(*said: Limits) -> tuple[tuple[float, float], float]:
    """Choose target and floor, each from the first that says something.

    Parameters
    ----------
    said : Limits
        The ones that count first, first. [pH]

    Returns
    -------
    target : pair of float
        Range wanted, by common practice where nobody says one. [pH]
    floor : float
        The same. [pH]

    Examples
    --------
    >>> chosen_limits((None, 4.8), ((5.0, 6.0), 4.5))
    ((5.0, 6.0), 4.8)
    """
    target = next((one for one, _ in said if one is not None), (TARGET_LOW.value, TARGET_HIGH.value))
    return target, next((one for _, one in said if one is not None), FLOOR.value)
