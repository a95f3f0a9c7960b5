"""A large exchange taken in stages, so that roots and small animals live through it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, inf, log1p

from uncertainties import UFloat

from slurrycalc.data.assumed import MOST_AT_ONCE, STAGE_SPACING
from slurrycalc.deciding.mixing import Buffering, mixed
from slurrycalc.measuring.recipe.bulk import Bulk, bulk
from slurrycalc.metrology.annotate import PH, NumberValue
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.uncertain import Uncertain
from slurrycalc.metrology.units import magnitude


@dataclass(frozen=True)
class Stage(Valued, value="ph", words="pH {}", of="number"):
    """One stage of an exchange."""

    number: int
    """From 1."""
    on: date | None
    """None where no day to start on was given."""
    fraction: NumberValue
    """Part of the bed that is taken out and replaced."""
    amount: Bulk | None
    """What is taken out, and as much put in; None where the bed's volume is not known."""
    ph: PH
    """Of the bed afterwards; if it does not drift meanwhile, where no record tells how it does."""


def part_at_once(given: float | str) -> float:
    """Take in the largest part of a bed that is exchanged at a time.

    Parameters
    ----------
    given : float or str
        Such as ``1/3`` or ``30 %``. [1]

    Returns
    -------
    float
        Above 0, at most 1. [1]

    Raises
    ------
    Refusal
        If it is no part of a bed.

    Examples
    --------
    >>> part_at_once("1/4"), part_at_once("30 %")
    (0.25, 0.3)
    """
    part = magnitude(given, "number")
    if not 0.0 < part <= 1.0:
        raise Refusal(
            f"{quoted(given)} is no part of a bed to exchange at a time: give one above 0 and up to 1, for "
            "instance 1/3."
        )
    return part


def stages_needed(fraction: float, at_once: float = MOST_AT_ONCE.value) -> float:
    """Count the stages of an exchange.

    Parameters
    ----------
    fraction : float
        Part of the bed that must be fresh in the end, above 0. [1]
    at_once : float
        Largest part exchanged at a time. [1]

    Returns
    -------
    float
        Infinite for a whole bed, of which each stage leaves something. [1]

    Examples
    --------
    >>> stages_needed(0.68), stages_needed(0.3), stages_needed(1.0)
    (3, 1, inf)
    """
    if fraction <= at_once * (1.0 + 1e-9):
        return 1
    return inf if fraction >= 1.0 else ceil(log1p(-fraction) / log1p(-at_once) - 1e-9)


def stage_part(fraction: float, count: int) -> float:
    """Give the part of a bed that each of several equal stages exchanges.

    Later stages take out some of what earlier ones put in: of the old substrate (1 − part)^count is left.

    Parameters
    ----------
    fraction : float
        Part of the bed that is fresh in the end. [1]
    count : int
        How many stages.

    Returns
    -------
    float
        [1]

    Examples
    --------
    >>> f"{stage_part(0.68, 3):.3f}"
    '0.316'
    """
    return float(1.0 - (1.0 - fraction) ** (1.0 / count))


def mixed_by_stages(
    now: Uncertain, fresh: Uncertain, part: float, count: int, known: Buffering
) -> list[UFloat]:
    """Give the pH of a bed after each of several equal stages, if it does not drift meanwhile.

    Examples
    --------
    >>> from slurrycalc.deciding.mixing import buffering
    >>> [f"{ph.n:.2f}" for ph in mixed_by_stages(5.1, 6.6, 0.316, 3, buffering(1.0))]
    ['5.57', '5.90', '6.12']
    """
    return [mixed(now, fresh, 1.0 - (1.0 - part) ** k, known) for k in range(1, count + 1)]


def in_stages(
    part: float,
    after: Sequence[UFloat],
    *,
    volume: float | None = None,
    start: date | None = None,
    spacing: float = STAGE_SPACING.value,
    cup: str = "us",
) -> tuple[Stage, ...]:
    """Spread an exchange over equal stages.

    Parameters
    ----------
    part : float
        Of the bed, at each. [1]
    after : sequence of UFloat
        Of the bed after each. [pH]
    volume : float, optional
        Of the bed. [mL]
    start : date, optional
        Of the first stage.
    spacing : float
        From one stage to the next. [d]
    cup : str
        Whose cups, as in :func:`slurrycalc.metrology.units.parse`.

    Returns
    -------
    tuple of Stage
    """
    return tuple(
        Stage(
            number=k + 1,
            on=None if start is None else start + timedelta(days=round(k * spacing)),
            fraction=part,
            amount=None if volume is None else bulk(part * volume, cup, up=True),
            ph=ph,
        )
        for k, ph in enumerate(after)
    )
