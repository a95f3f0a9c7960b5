"""What a keeper reads of a trial: what it means, what to do, and what to know of it."""

from __future__ import annotations

from collections.abc import Iterator
from math import floor, log10
from typing import NamedTuple

from uncertainties import UFloat

from slurrycalc.data.assumed import CURVE_JARS, TRIAL_REST
from slurrycalc.deciding.exchange.words import in_cases
from slurrycalc.deciding.trial.curve import Curve, DoseRange
from slurrycalc.deciding.trial.doses import PERCENT, Doses
from slurrycalc.measuring.wording import seldom, typed
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import coverage, number, two_figures
from slurrycalc.metrology.remark import Remark


class Told(NamedTuple):
    """What was asked of a trial, and what came of it."""

    doses: Doses
    goal: float
    """[pH]"""
    curve: Curve
    found: DoseRange
    ratio: UFloat | None
    p: float

    @property
    def side(self) -> str:
        """To which side of the goal the doses lead."""
        return "higher" if self.goal >= self.curve.level(self.curve.ends[0]).n else "lower"

    def dose(self, value: float, *, up: bool = False) -> str:
        """Write a dose to a hundredth of those tried, upward where it is to be enough."""
        least, most = self.curve.ends
        places = max(0, 2 - floor(log10(most - least)) - 1)
        step = 10.0**-places
        shown = -floor(-value / step + 1e-6) * step if up else value
        return f"{shown:.{places}f}{self.doses.words}"


def meaning(told: Told) -> str:
    """Say which dose brings the pH.

    Parameters
    ----------
    told : Told

    Returns
    -------
    str
    """
    goal, found = typed(told.goal), told.found
    least, most = told.curve.ends
    if found.dose is None:
        levels = [told.curve.level(each).n for each in (least, most)]
        return (
            f"No dose tried brings pH {goal}: {told.dose(least)} gives {levels[0]:.2f}, {told.dose(most)} "
            f"gives {levels[1]:.2f}, and what lies beyond has not been seen."
        )
    ends = {
        (False, False): "between {low} and {high}",
        (True, False): "up to {high}, from below the doses tried",
        (False, True): "from {low}, to beyond the doses tried",
        (True, True): "any of those tried, and beyond",
    }[found.low is None, found.high is None]
    said = ends.format(
        low="" if found.low is None else told.dose(found.low),
        high="" if found.high is None else told.dose(found.high),
    )
    return f"{told.dose(found.dose)} brings pH {goal}; it may be {said} ({coverage(told.p)})."


def to_do(told: Told) -> str:
    """Say what to do.

    Parameters
    ----------
    told : Told

    Returns
    -------
    str
    """
    goal, found = f"{typed(told.goal)} or {told.side}", told.found
    if found.dose is None:
        return f"Try jars of other doses, until some lie on either side of {typed(told.goal)}."
    if found.assured is None:
        return f"None of the doses tried is sure to bring {goal}: try more jars, and larger doses."
    dose, cases = told.dose(found.assured, up=True), in_cases(told.p)
    text = f"Take {dose} for a mix that is to have {goal} in {cases}"
    if told.ratio is not None:
        h = half_width(told.ratio)
        return f"{text}; for an exchange give its buffering, {number(told.ratio.n, h)}+-{two_figures(h)}."
    return f"{text}, and let it stand before it is used."


def remarks(told: Told) -> Iterator[Remark]:
    """Say what to know of a trial.

    Parameters
    ----------
    told : Told

    Yields
    ------
    Remark
    """
    fit = told.curve.fit
    if told.found.dose is None:
        text = "The pH wanted lies outside what the jars show: nothing is said beyond them."
        yield Remark("outside-doses", text)
    turn = told.curve.turn()
    if turn is not None:
        yield Remark(
            "turns",
            f"The curve turns at {told.dose(turn)}: beyond it more does the opposite, or a jar is off. The "
            "smaller dose is given.",
        )
    least, most = told.curve.ends
    change = told.curve.level(most) - told.curve.level(least)
    if turn is None and abs(change.n) <= half_width(change, told.p):
        yield Remark("no-effect", "The jars do not show that the dose does anything: try larger ones.")
    if fit.p == 2 and fit.n >= 2:
        yield Remark(
            "line-assumed",
            f"So few jars show no curve, and a straight line was taken: {CURVE_JARS.value:.0f} jars of three "
            "doses or more would show one.",
        )
    if fit.surprising and fit.own_sd is not None and fit.expected is not None:
        yield Remark(
            "scatters-more",
            f"The jars scatter by {two_figures(fit.own_sd)} pH, more than the {two_figures(fit.expected.sd)} "
            f"expected (by chance {seldom(fit.flag_level)}): look for a mix-up, or for doses that were "
            "not mixed well.",
        )
    if told.doses.unit == PERCENT and told.ratio is None:
        yield Remark(
            "buffering-not-shown",
            "These jars do not show how well the fresh mix holds its pH any better than is assumed without "
            "them: add jars of 0 %, of about half, and of 100 %.",
        )
    yield Remark(
        "jars-only",
        f"Jars only, moist for {TRIAL_REST.value / 7.0:.0f} weeks or more before they are read (from "
        "memory): a bed, with what lives in it, may answer more slowly and otherwise. Never dose an occupied "
        "bed.",
    )
