"""Whether each exchange of a bed did what was expected of it, and whether the last one was enough."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from uncertainties import UFloat

from slurrycalc.day.months.teaching import Lessons
from slurrycalc.day.record.tubs import tub_ph
from slurrycalc.deciding.bed import Prior, Replaced, Worked, all_worked, printed
from slurrycalc.deciding.days import spoken
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.shifts import part_of, shifts_of
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.wording import how_sure, lowered, typed
from slurrycalc.metrology.annotate import PH, NumberValue
from slurrycalc.metrology.coverage import half_width, probability
from slurrycalc.metrology.figures import number, signed, two_figures
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

    @property
    def step(self) -> str:
        """Say how far the pH moved, and how far it was expected to."""
        found, expected = (number(abs(step.n), half_width(step)) for step in (self.found, self.expected))
        up, meant = self.found.n > 0.0, self.expected.n > 0.0
        moved = f"{'rose' if up else 'fell'} by {found}" if float(found) else "did not move"
        if up == meant and float(found):
            return f"pH {moved}; {expected} was expected"
        return f"pH {moved}; a {'rise' if meant else 'fall'} of {expected} was expected"

    @property
    def told(self) -> str:
        """Say it where later readings follow."""
        return f"The exchange of {spoken(self.on)}: {self.step}." if self.as_expected else self.text


@dataclass(frozen=True)
class Enough(Result, says=("text",)):
    """Whether the exchange that the last bench day is the first to show brought the bed into its range."""

    on: datetime.date
    p: NumberValue
    """Chance that the bed lies in its range. [1]"""
    text: str
    """The sentences that a person reads."""


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


def enough(
    lessons: Lessons, level: UFloat, wanted: tuple[float, float], worked: Sequence[ExchangeWorked] = ()
) -> Enough | None:
    """Say whether an exchange was enough, where the last bench day is the first that shows it.

    Parameters
    ----------
    lessons : Lessons
        Bench days, and what was done between them.
    level : UFloat
        Of the bed on the last bench day. [pH]
    wanted : pair of float
        Its range. [pH]
    worked : sequence of ExchangeWorked
        What each exchange did, where that is known.

    Returns
    -------
    Enough or None
        None where something else was done after it, or nothing.
    """
    if len(lessons.days) < 2:
        return None
    before, last = lessons.days[-2:]
    done = [each for each in lessons.happened if before <= each.day]
    if not done or not isinstance(done[-1], Replaced) or done[-1].day >= last:
        return None
    day, (low, high) = done[-1].day, wanted
    p = probability(level, above=low, below=high)
    was = lowered(how_sure("enough", "not enough yet", p)).removesuffix(".")
    exchange = f"exchange of {spoken(day)}"
    _, open_, chance = was.partition("enough: ")
    first = f"Whether the {exchange} was enough is {chance}" if open_ else f"The {exchange} was {was}"
    step = next((f": {each.step}" for each in worked if (each.on, each.read) == (day, last)), "")
    ends = f"{typed(low)} to {typed(high)}"
    if open_:
        against = f"your range is {ends}"
    elif p >= 0.5:
        against = f"inside your range, {ends}"
    else:
        against = f"your range {f'begins at {typed(low)}' if level.n < low else f'ends at {typed(high)}'}"
    joint = ", " if p >= 0.5 and not open_ else "; "
    stands = f"By all its days it stands at {level.n:.2f}"
    return Enough(day, p, f"{first}{step}. {stands}{joint}{against}.")


def not_learnt(recall: Recall, bed: Thing, until: datetime.date) -> str | None:
    """Say why nothing was expected of the last exchange of a bed, and what mends it; None where it was."""
    done = [each for each in shifts_of(recall, [bed.id]).get(bed.id, ()) if each.kind == "exchange"]
    last = next((each for each in reversed(done) if each.day <= until), None)
    if last is None:
        return None
    lacks, give = [], []
    if part_of(bed, last) is None:
        lacks.append("its part of the bed is not on record")
        give.append("--amount 1/3")
    if last.tub is None and last.ph is None:
        lacks.append("its mix is not on record")
    elif last.ph is None and last.tub is not None:
        tub = recall.things.by_id.get(last.tub)
        if tub is not None and tub_ph(recall, tub, last.day) is None:
            lacks.append(f"{tub.name} has no reading by that day")
    if len(lacks) > len(give):
        give.append("--fresh 6.4+-0.2 (what the mix read)")
    if not lacks:
        return None
    return (
        f"What the exchange of {spoken(last.day)} was to bring is not known: {' and '.join(lacks)}. Strike "
        f"it out and note it again, with {' and '.join(give)}."
    )
