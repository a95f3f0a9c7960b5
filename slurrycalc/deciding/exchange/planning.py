"""How much of a bed to exchange for a fresh mix, so that its pH comes to where it is wanted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pint
from uncertainties import UFloat

from slurrycalc.data.assumed import MOST_AT_ONCE, MOST_STAGES, STAGE_SPACING, Known
from slurrycalc.data.cautions import cautions
from slurrycalc.deciding.days import Day, as_day, interval_of
from slurrycalc.deciding.exchange.case import BedParts, Case, Direction, asked
from slurrycalc.deciding.exchange.stages import (
    Stage,
    in_stages,
    mixed_by_stages,
    part_at_once,
    stage_part,
)
from slurrycalc.deciding.exchange.words import enough_already, exchange_steps, meaning, remarks, to_do
from slurrycalc.deciding.given import Given, uncertain
from slurrycalc.deciding.mixing import MIXING, assured, chance, mixed
from slurrycalc.measuring.recipe.bulk import Bulk, bulk
from slurrycalc.metrology.annotate import PH, MilliLitreValue, Number, NumberValue, PHValue
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Result, Valued
from slurrycalc.metrology.units import magnitude
from slurrycalc.metrology.units.sizes import bed_volume

if TYPE_CHECKING:
    from slurrycalc.deciding.bed.ahead import Ahead
    from slurrycalc.deciding.bed.limits import Bound

_MINUTES = 24.0 * 60.0  # of a day
_MOST_DAYS = 366.0


@dataclass(frozen=True)
class Amounts(Result, says=("all",)):
    """How much substrate an exchange moves."""

    bed: MilliLitreValue
    each: Bulk
    """Out, and as much in, at each stage."""
    all: Bulk
    """Fresh mix to prepare for all stages together, and old substrate that comes out."""
    stays: Bulk
    """What stays in the bed at each stage, with its small fauna."""


@dataclass(frozen=True)
class Exchange(Valued, value="predicted", says=("text",)):
    """A plan for exchanging a part of a bed."""

    now: PH
    fresh: PH
    wanted: PHValue
    direction: Direction
    """Whether the pH is to rise or to fall; of a bed where it is enough, on which side it is well."""
    enough: bool
    """Whether the bed lies at the pH wanted already, or beyond: nothing is exchanged."""
    fraction: NumberValue | None
    """Part of the bed that reaches the wanted pH in one case of two; None where the whole does not."""
    assured_fraction: NumberValue | None
    """Part that reaches it with probability `p`; None where none does."""
    p: NumberValue
    planned: NumberValue | None
    """The part that what follows is for: the assured one, or else that of an even chance."""
    predicted: PH | None
    """Of the bed after the planned exchange."""
    chance: NumberValue | None
    """That the planned exchange reaches the wanted pH; where it is enough, that the bed lies there."""
    buffering: Number
    """How well a volume of fresh mix holds its pH over how well the old does."""
    buffering_known: Known
    stages: tuple[Stage, ...]
    """Empty where nothing is planned, or where it would be a new bed."""
    amounts: Amounts | None
    """None where the bed's volume is not known."""
    text: tuple[str, str]
    """What it means, and what to do."""
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    remarks: tuple[Remark, ...]


def exchange(
    now: Given,
    fresh: Given,
    wanted: float | str,
    volume: float | str | pint.Quantity[Any] | None = None,
    buffering: Given | None = None,
    *,
    depth: float | str | pint.Quantity[Any] | None = None,
    start: Day | None = None,
    spacing: float | str | pint.Quantity[Any] = STAGE_SPACING.value,
    at_once: float | str = MOST_AT_ONCE.value,
    p: float = 0.95,
    cup: str = "us",
    toward: Direction | None = None,
    ahead: Ahead | None = None,
) -> Exchange:
    """Say how much of a bed to exchange.

    Parameters
    ----------
    now : float, str, UFloat or SlurryResult
        pH of the bed. [pH]
    fresh : float, str, UFloat or SlurryResult
        pH of the fresh mix, measured after it has stood moist for a week: never assumed to be neutral. [pH]
    wanted : float or str
        pH that the bed is to reach. [pH]
    volume : float, str or pint.Quantity, optional
        Of the bed [mL]; or its footprint, such as ``60x45 cm``, with a depth.
    buffering : float, str or UFloat, optional
        Buffering capacity of a volume of fresh mix over one of the bed, as a trial gives it; without it, 1
        within a factor of two (from memory). [1]
    depth : float, str or pint.Quantity, optional
        Depth of the substrate, where a footprint is given. [cm]
    start : date or str, optional
        Day of the first stage.
    spacing : float, str or pint.Quantity
        From one stage to the next, by default four weeks (from memory). [d]
    at_once : float or str
        Largest part exchanged at a time, by default a third (from memory). [1]
    p : float
        Probability of the assured part.
    cup : str
        Whose cups are meant, as in :func:`slurrycalc.metrology.units.parse`.
    toward : "up" or "down", optional
        On which side of the pH wanted the bed is well. Where it lies there already, with a probability of
        0.8 (our own figure), that is enough, and nothing is exchanged.
    ahead : Ahead, optional
        The bed as its record taught it: parts, stages and what they come to are then those of its model, with
        its drift meanwhile, and `buffering` is only told.

    Returns
    -------
    Exchange
        The parts for an even chance and for an assured one, amounts, stages, what to expect.

    Raises
    ------
    Refusal
        If something given cannot stand, or, with no side said, the fresh mix takes the bed away from the pH
        wanted.

    References
    ----------
    .. [1] Mixing: `slurrycalc.deciding.mixing`. Probability of reaching it: JCGM 106:2012, 7.

    Examples
    --------
    >>> plan = exchange(5.1, 6.6, 5.9)
    >>> print(f"{plan.fraction:.3f}, assured {plan.assured_fraction:.3f}")
    0.533, assured 0.681
    >>> print(exchange(5.1, 6.6, 5.9, "60x45 cm", depth="10 cm").amounts.each.words)
    8.6 L (9 1/4 qt, 37 cups)
    >>> print(exchange("6.1+-0.1", 6.6, 5.9, toward="up").text[0])
    Enough: the bed lies at 5.9 or higher already (more than 99 in 100).
    """
    if not 0.5 < p < 1.0:
        raise Refusal(f"`{p:g}` is no probability to be assured of; give one above 0.5, such as 0.95.")
    days = days_between(spacing)
    most = part_at_once(at_once)
    if volume is None and depth is not None:
        raise Refusal(f"{quoted(depth)} is a depth without a footprint: add one, for instance `60x45 cm`.")
    bed = None if volume is None else bed_volume(volume, depth)
    first = None if start is None else as_day(start)
    case = asked(now, fresh, wanted, buffering, p, toward=toward)
    if case.enough is not None:
        return _enough(case, case.enough)
    bound: Bound = ("floor" if case.direction == "up" else "ceiling", case.wanted)
    if ahead is None:
        parts = BedParts(case.even(), assured(case.line, MIXING, case.known, p), most)
    else:
        parts = BedParts(ahead.part(bound, 0.5), ahead.part(bound, p), most)
    stages: tuple[Stage, ...] = ()
    if parts.planned is not None and parts.needed <= MOST_STAGES.value:
        count = int(parts.needed)
        part = stage_part(parts.planned, count)
        after = (
            mixed_by_stages(case.now, case.fresh, part, count, case.known)
            if ahead is None
            else ahead.after([part] * count, days)
        )
        stages = in_stages(part, after, volume=bed, start=first, spacing=days, cup=cup)
    amounts = None if bed is None or not stages else _amounts(bed, stages, cup)
    planned = parts.planned
    return Exchange(
        now=uncertain(case.now),
        fresh=uncertain(case.fresh),
        wanted=case.wanted,
        direction=case.direction,
        enough=False,
        fraction=parts.even,
        assured_fraction=parts.sure,
        p=p,
        planned=planned,
        predicted=None if planned is None else _predicted(case, planned, stages, ahead),
        chance=None if planned is None else _chance(case, planned, bound, ahead),
        buffering=case.known.number,
        buffering_known=case.known.known,
        stages=stages,
        amounts=amounts,
        text=(meaning(case, parts), to_do(parts, stages)),
        steps=exchange_steps(None if amounts is None else amounts.each.words, len(stages)),
        cautions=cautions("exchange"),
        remarks=tuple(remarks(case, parts, by_record=ahead is not None)),
    )


def _predicted(case: Case, part: float, stages: tuple[Stage, ...], ahead: Ahead | None) -> UFloat:
    if ahead is None:
        return mixed(case.now, case.fresh, part, case.known)
    return stages[-1].ph if stages else ahead.after([part], 0.0)[0]


def _chance(case: Case, part: float, bound: Bound, ahead: Ahead | None) -> float:
    if ahead is None:
        return chance(case.line, MIXING, part, case.known)
    return ahead.chance(part, bound)


def _enough(case: Case, chance: float) -> Exchange:
    return Exchange(
        now=uncertain(case.now),
        fresh=uncertain(case.fresh),
        wanted=case.wanted,
        direction=case.direction,
        enough=True,
        fraction=0.0,
        assured_fraction=0.0,
        p=case.p,
        planned=None,
        predicted=None,
        chance=chance,
        buffering=case.known.number,
        buffering_known=case.known.known,
        stages=(),
        amounts=None,
        text=enough_already(case, chance),
        steps=(),
        cautions=cautions("exchange"),
        remarks=(),
    )


def days_between(spacing: float | str | pint.Quantity[Any]) -> float:
    """Take in the time from one stage to the next.

    Parameters
    ----------
    spacing : float, str or pint.Quantity
        A number counts days; a text has its unit: ``28 d``, ``4 weeks``. [d]

    Returns
    -------
    float
        [d]

    Raises
    ------
    Refusal
        If it is under a day or over a year.

    Examples
    --------
    >>> days_between("4 weeks")
    28.0
    """
    if isinstance(spacing, str):
        days = float(interval_of(spacing))
    elif isinstance(spacing, float | int):
        days = float(spacing)
    else:
        days = magnitude(spacing, "duration") / _MINUTES
    if not 1.0 <= days <= _MOST_DAYS:
        raise Refusal(
            f"{quoted(spacing)} cannot lie between two stages, 1 to {_MOST_DAYS:g} days: give `28 days`."
        )
    return days


def _amounts(bed: float, stages: tuple[Stage, ...], cup: str) -> Amounts:
    part = stages[0].fraction
    return Amounts(
        bed=bed,
        each=bulk(part * bed, cup, up=True),
        all=bulk(len(stages) * part * bed, cup, up=True),
        stays=bulk(max((1.0 - part) * bed, 1.0), cup),
    )
