"""A steady jar's day, on a page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slurrycalc.cli.show_case import rests_on
from slurrycalc.day.record.slurries import Shares
from slurrycalc.deciding.doubt import see_to
from slurrycalc.deciding.steady import DO, SteadyDay
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.slurry import SlurryResult

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page

LIMITLESS = "A steady jar is held against no range and no floor: it shows how the bench is."


def show_steady(
    page: Page,
    p: float,
    result: SlurryResult,
    said: SteadyDay,
    calibration: Calibration | None,
    *,
    shares: Shares | None = None,
) -> None:
    """Write a steady jar's pH: the number, what it says of the bench, what to do.

    Parameters
    ----------
    page : Page
        Where to.
    p : float
        Coverage probability. [1]
    result : SlurryResult
        Its pH.
    said : SteadyDay
        What it says of the bench.
    calibration : Calibration or None
        The calibration that the readings were made under.
    shares : Shares, optional
        How much of its scatter rests on what, where the record was asked.
    """
    page.headline("pH", result.ph.n, result.interval(p), p)
    first = see_to(result.remarks)
    page.say(" ".join([*([first.answer] if first else []), said.text.removesuffix(DO[said.state]).rstrip()]))
    page.do(first.do if first else _task(said))
    page.gap()
    page.say(rests_on(result, calibration, shares))
    page.gap()
    page.points([LIMITLESS])
    page.remarks(result.remarks)


def _task(said: SteadyDay) -> str:
    """Say what to do; where the bench is steady, nothing."""
    task = DO[said.state]
    return f"{task[0].lower()}{task[1:]}" if task else "nothing now. Slurry it again on the next bench day."
