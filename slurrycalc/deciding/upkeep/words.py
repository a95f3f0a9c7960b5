"""What a keeper reads of an upkeep: what it means, what to do, and what to know of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from uncertainties import UFloat

from slurrycalc.data.assumed import MOST_AT_ONCE, STAGE_SPACING, UPKEEP_AFTER, UPKEEP_NEXT
from slurrycalc.deciding.days import DAYS_PER_MONTH
from slurrycalc.deciding.exchange.words import exact_ones, in_cases, percent
from slurrycalc.deciding.mixing import BUFFERING_ASSUMED, BUFFERING_UNTAUGHT
from slurrycalc.deciding.upkeep.demands import MOST_MONTHS, Demand, Which
from slurrycalc.deciding.upkeep.plan import Passed, Plan, Rhythm, UpkeepAsked
from slurrycalc.measuring.wording import in_hundred, typed
from slurrycalc.metrology.remark import Remark

NAMES: Final[dict[Which, str]] = {
    "floor": "the floor",
    "ceiling": "the ceiling",
    "salts": "the limit of salts",
}


EXCHANGE_FIRST: Final = (
    "Exchange first, in stages, and read it again until it surely keeps its limits; no upkeep is promised "
    "before."
)


class Found(NamedTuple):
    """What came of what was asked."""

    asked: UpkeepAsked
    every: float
    """[month]"""
    even: Plan | None
    sure: Plan | None
    by: Which | None
    """The limit that asks for the most, with assurance."""
    longest: float | None
    """[month]"""
    at_once: float

    @property
    def rhythm(self) -> Rhythm | None:
        """What is exchanged, and how often; None where nothing is, or no part of a bed holds its limits."""
        if self.sure is not None and self.sure.fraction <= self.at_once:
            return Rhythm(_days(self.every), self.sure.fraction) if self.sure.fraction > 0.0 else None
        if self.longest is None or self.longest * DAYS_PER_MONTH < STAGE_SPACING.value:
            return None
        return Rhythm(int(self.longest * DAYS_PER_MONTH), self.at_once)


def _days(months: float) -> int:
    return round(months * DAYS_PER_MONTH)


def monthly(every: float) -> str:
    """Write an interval.

    Parameters
    ----------
    every : float
        [month]

    Returns
    -------
    str

    Examples
    --------
    >>> monthly(1.0), monthly(2.5), monthly(0.4), monthly(42.0 / DAYS_PER_MONTH)
    ('every month', 'every 2.5 months', 'every 12 days', 'every 6 weeks')
    """
    weeks = every * DAYS_PER_MONTH / 7.0
    if weeks >= 2.0 and abs(weeks - round(weeks)) < 1e-9:
        return f"every {weeks:.0f} weeks"
    if every < 1.0:
        days = int(every * DAYS_PER_MONTH)
        return "every day" if days < 2 else f"every {days} days"
    return "every month" if every == 1.0 else f"every {every:.3g} months"


def held(demand: Demand) -> str:
    """Say what a demand holds.

    Parameters
    ----------
    demand : Demand

    Returns
    -------
    str
    """
    if demand.which == "salts":
        return f"salts at {demand.limit / 1000.0:.2f} mS/cm or below"
    return f"pH at {typed(demand.limit)} or {'above' if demand.which == 'floor' else 'below'}"


def past(asked: UpkeepAsked, passed: Sequence[Passed]) -> str:
    """Say which limits the bed lies past now, or may.

    Parameters
    ----------
    asked : UpkeepAsked
    passed : sequence of Passed
        One at least.

    Returns
    -------
    str
    """
    limits = {demand.which: demand.limit for demand in asked.demands}
    said = []
    for each in passed:
        limit = limits[each.which]
        shown = f"{limit / 1000.0:.2f} mS/cm" if each.which == "salts" else typed(limit)
        how = "lies" if each.chance >= asked.p else "may lie"
        side = "below" if each.which == "floor" else "above"
        said.append(f"{how} {side} {NAMES[each.which]}, {shown}, now ({in_hundred(each.chance)})")
    return f"The bed {' and '.join(said)}."


def meaning(found: Found) -> str:
    """Say what an upkeep brings.

    Parameters
    ----------
    found : Found

    Returns
    -------
    str
    """
    asked, often = found.asked, monthly(found.every)
    keeps = f"keeps {' and '.join(held(demand) for demand in asked.demands)}"
    sure = f"{keeps} in {in_cases(asked.p)}"
    if asked.by_record:
        first, then = (round(100.0 * chance.value) for chance in (UPKEEP_NEXT, UPKEEP_AFTER))
        acid = " and ".join(held(demand) for demand in asked.demands if demand.which != "salts")
        sure = (
            f"keeps {acid} in {first} cases of 100 until the next exchange and {then} until the one after, "
            "if it is read before each"
        )
        salts = [held(demand) for demand in asked.demands if demand.which == "salts"]
        sure += "".join(f", and {each} in {in_cases(asked.p)}" for each in salts)
    if found.sure is not None:
        if found.sure.fraction == 0.0:
            return f"With no exchange at all the bed {sure}."
        text = f"Exchanging {percent(found.sure.fraction, up=True)} of the bed {often} {sure}"
        if len(asked.demands) > 1 and found.by is not None:
            text += f" ({NAMES[found.by]} asks for the most)"
        return f"{text}{_if_as_measured(found)}."
    if found.even is None:
        return f"No part of the bed, exchanged {often}, {keeps}."
    return (
        f"No part of the bed, exchanged {often}, is sure to keep {keeps.removeprefix('keeps ')}"
        f"{_if_as_measured(found)}."
    )


def _if_as_measured(found: Found) -> str:
    if found.even is None:
        return ""
    part = found.even.fraction
    does = f"{percent(part, up=True)} does" if part else "no exchange is needed"
    return f"; {does} if all is as measured"


def to_do(found: Found) -> str:
    """Say what to do.

    Parameters
    ----------
    found : Found

    Returns
    -------
    str
    """
    sure, most = found.sure, percent(found.at_once)
    if sure is not None and sure.fraction == 0.0:
        return "Exchange nothing; go on reading it."
    if sure is not None and sure.fraction <= found.at_once:
        amount = "" if sure.amount is None else f", {sure.amount.words},"
        return (
            f"Exchange {percent(sure.fraction, up=True)}{amount} {monthly(found.every)}, and read it before "
            "each."
        )
    if found.rhythm is not None and found.longest is not None:
        return f"Exchange more often: {most} of the bed {monthly(found.longest)} is enough."
    never = f"No interval makes {most} of the bed at a time enough"
    if found.longest is not None:
        never = (
            f"{most} of the bed would be enough only {monthly(found.longest)}, and roots and small fauna "
            f"want {STAGE_SPACING.value:g} days between two exchanges (from {STAGE_SPACING.known})"
        )
    return (
        f"{never}: take a fresh mix that lies further from the limit, or find out by a trial and by more "
        "bench days what is doubtful here."
    )


def remarks(found: Found) -> Iterator[Remark]:
    """Say what to know of an upkeep.

    Parameters
    ----------
    found : Found

    Yields
    ------
    Remark
    """
    asked, sure = found.asked, found.sure
    if sure is None:
        often = monthly(found.every)
        yield Remark("impossible", f"Not even the whole bed, exchanged {often}, is sure to be enough.")
    elif sure.fraction > found.at_once:
        ground = "from memory" if found.at_once == MOST_AT_ONCE.value else "as given"
        yield Remark(
            "too-much-at-once",
            f"{percent(sure.fraction, up=True)} at a time is more than the roots and the small fauna of a "
            f"bed bear: {percent(found.at_once)} at most ({ground}).",
        )
    if asked.acid is not None:
        yield from exact_ones({"the fresh mix": asked.acid.fresh})
        if not isinstance(asked.acid.drift, UFloat):
            yield Remark(
                "drift-exact",
                "The drift was taken as exact: give it with its half-width, for instance -0.08+-0.03, or "
                "take it from the record.",
            )
        if asked.known.uniform:
            said = BUFFERING_UNTAUGHT if asked.by_record else BUFFERING_ASSUMED
            yield Remark("buffering-assumed", said)
        yield from _on_the_way(found, asked.acid)
        if asked.now is None:
            start = typed(asked.acid.limit)
            yield Remark(
                "from-the-limit",
                f"The first cycles begin at {start}: give the pH of the bed now, and they are its own.",
            )
    if found.longest is not None and found.longest < MOST_MONTHS:
        yield Remark(
            "longest", f"{percent(found.at_once)} of the bed at a time is enough {monthly(found.longest)}."
        )


def _on_the_way(found: Found, acid: Demand) -> Iterator[Remark]:
    """Say where the bed passes its limit, although the steady one keeps it."""
    plan = found.sure or found.even
    if plan is None or not plan.cycles:
        return
    side = 1.0 if acid.which == "floor" else -1.0
    if plan.worst is not None and side * (plan.worst - acid.limit) < -5e-4:
        yield Remark(
            "worst-case",
            f"If the buffering capacities do their worst, the bed comes to {plan.worst:.2f}: read it before "
            "each exchange.",
        )
