"""Whether each exchange of a bed did what was expected of it."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from slurrycalc.day.months.teaching import Lessons
from slurrycalc.deciding.bed import Prior, Worked, all_worked, printed
from slurrycalc.deciding.days import spoken
from slurrycalc.metrology.annotate import PH, NumberValue
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import signed, two_figures
from slurrycalc.metrology.results import Result


@dataclass(frozen=True)
class ExchangeWorked(Result, says=("text",)):
    """An exchange with its part and mix on record, and what the next reading showed of it."""

    on: datetime.date
    fraction: NumberValue
    """Part of the bed. [1]"""
    read: datetime.date
    """When the bed was read next."""
    expected: PH
    """Step that was expected."""
    found: PH
    """Step that the reading showed."""
    as_expected: bool
    """Whether the reading lay within 99 in 100 of what was expected."""
    text: str
    """The sentence that a person reads."""


def exchanges_worked(lessons: Lessons, prior: Prior | None = None) -> tuple[ExchangeWorked, ...]:
    """Say of each exchange that was read next whether it did what was expected.

    Parameters
    ----------
    lessons : Lessons
        Bench days, and what was done between them.
    prior : Prior, optional
        What is expected before any reading.

    Returns
    -------
    tuple of ExchangeWorked
        In the order of days; without those whose part or mix is not on record, or that another change of the
        level followed before any reading.
    """
    return tuple(_told(each) for each in all_worked(lessons.history(), prior))


def _told(one: Worked) -> ExchangeWorked:
    expected, found = printed(one.expected), printed(one.found)
    halves = [half_width(step) for step in (expected, found)]
    both = zip((expected, found), halves, strict=True)
    steps = [f"{signed(step.n, half)} ± {two_figures(half)}" for step, half in both]
    did = "it did what was expected"
    if one.surprise:
        did = "it did not do what was expected: see whether its part and its mix are on record as they were"
    text = "Exchange of {}: {} pH was expected, {} found; {}.".format(spoken(one.exchange.day), *steps, did)
    fraction = one.exchange.fraction or 0.0
    return ExchangeWorked(
        one.exchange.day, fraction, one.reading.day, expected, found, not one.surprise, text
    )
