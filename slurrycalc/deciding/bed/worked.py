"""Whether an exchange did what was expected of it, and what that says of how the bed buffers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slurrycalc.deciding.bed.answers import RatioKnown, next_reading, ratio_known
from slurrycalc.deciding.bed.bed import Bed, bed
from slurrycalc.deciding.bed.changes import exchange_step
from slurrycalc.deciding.bed.history import DayMean, Disturbed, Happening, Replaced, counted
from slurrycalc.deciding.bed.nodes import jar_variance
from slurrycalc.deciding.bed.normals import Estimate, Normals
from slurrycalc.deciding.bed.prior import Prior
from slurrycalc.metrology.remark import Refusal


@dataclass(frozen=True)
class Worked:
    """An exchange, and what the next reading shows of it."""

    exchange: Replaced
    reading: DayMean
    expected: Estimate
    """Step that the exchange was expected to make. [pH]"""
    found: Estimate
    """Step that the reading shows, against the level foreseen without an exchange. [pH]"""
    surprise: bool
    """Whether the reading lies outside 99 % of what was expected of it."""
    ratio: RatioKnown
    """What is known of the buffering ratio with this reading."""


def worked(before: Bed, exchange: Replaced, reading: DayMean) -> Worked:
    """Hold the step that an exchange made against the one that was expected.

    Parameters
    ----------
    before : Bed
        Taught by all that came before the exchange.
    exchange : Replaced
        Its part and mix on record.
    reading : DayMean
        The next one.

    Returns
    -------
    Worked

    Raises
    ------
    Refusal
        If the exchange has no part or no mix on record, or its part is 0.
    """
    if not exchange.fraction or exchange.mix is None:
        raise Refusal(
            f"the exchange of {exchange.day} has no part or no mix on record, so no step was expected; "
            "record both."
        )
    given = (exchange.fraction, exchange.mix, exchange.u_mix)
    step = exchange_step(before.on(exchange.day), *given)
    # What all days share is in both readings, and the bottles were the same: a step has none of it.
    alone = before.on(reading.day)
    variance = alone.moments[2] + jar_variance(alone, reading.jars, reading.u)
    found = Normals.of(alone.weight, reading.mean - alone.moments[0], variance)
    after = before.after(exchange)
    seen = next_reading(after, reading.day, reading.jars, reading.u, found=reading.mean)
    ratio = ratio_known(after.after(reading))
    assert ratio is not None  # an exchange opens the nodes of r
    return Worked(exchange, reading, Estimate.of(Normals.of(*step)), Estimate.of(found), seen.surprise, ratio)


def all_worked(history: Sequence[Happening], prior: Prior | None = None) -> list[Worked]:
    """Hold each exchange of a record, with part and mix known, against the reading that came next.

    Parameters
    ----------
    history : sequence
        As `bed` takes it.
    prior : Prior, optional

    Returns
    -------
    list of Worked
        An exchange that was followed by another change of the level before any reading is left out.
    """
    first, *rest = counted(history)
    now, open_one, found = bed([first], prior), None, []
    for each in rest:
        if isinstance(each, DayMean):
            if open_one is not None:
                found.append(worked(*open_one, each))
            open_one = None
        elif isinstance(each, Replaced):
            open_one = (now, each) if each.fraction and each.mix else None
        elif isinstance(each, Disturbed):
            open_one = None
        now = now.after(each)
    return found
