"""A tub of fresh mix, on a page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slurrycalc.cli.show_case import rests_on
from slurrycalc.day.record.slurries import Shares
from slurrycalc.deciding.doubt import see_to
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.slurry import SlurryResult

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page

TAKEN = "A tub of fresh mix is held against no range: slurrycalc exchange and upkeep take what it reads."


def show_fresh(
    page: Page,
    p: float,
    result: SlurryResult,
    calibration: Calibration | None,
    *,
    shares: Shares | None = None,
) -> None:
    """Write a fresh mix's pH: the number, what it is for, what to do.

    Parameters
    ----------
    page : Page
        Where to.
    p : float
        Coverage probability. [1]
    result : SlurryResult
        Its pH.
    calibration : Calibration or None
        The calibration that the readings were made under.
    shares : Shares, optional
        How much of its scatter rests on what, where the record was asked.
    """
    page.headline("pH", result.ph.n, result.interval(p), p)
    first = see_to(result.remarks)
    page.say(" ".join([*([first.answer] if first else []), TAKEN]))
    page.do(first.do if first else f"keep it moist and covered until it goes in. {result.advice.text}")
    page.gap()
    page.say(rests_on(result, calibration, shares))
    page.gap()
    page.remarks(result.remarks)
