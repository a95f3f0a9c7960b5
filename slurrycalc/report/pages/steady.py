"""A steady jar's day, on a page."""

from __future__ import annotations

from collections.abc import Iterator

from slurrycalc.day.record.slurries import Shares
from slurrycalc.deciding.doubt import see_to
from slurrycalc.deciding.steady import DO, SteadyDay
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.slurry import SlurryResult
from slurrycalc.report.page import GAP, Block, Do, Headline, Say, noted, points
from slurrycalc.report.pages.case import rests_on

LIMITLESS = "A steady jar is held against no range and no floor: it shows how the bench is."


def steady_blocks(
    p: float,
    result: SlurryResult,
    said: SteadyDay,
    calibration: Calibration | None,
    *,
    shares: Shares | None = None,
) -> Iterator[Block]:
    """Write a steady jar's pH: the number, what it says of the bench, what to do.

    Parameters
    ----------
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
    yield Headline("pH", result.ph.n, result.interval(p), p)
    first = see_to(result.remarks)
    yield Say(" ".join([*([first.answer] if first else []), said.text.removesuffix(DO[said.state]).rstrip()]))
    yield Do(first.do if first else _task(said))
    yield GAP
    yield Say(rests_on(result, calibration, shares))
    yield GAP
    yield points([LIMITLESS])
    yield noted(result.remarks)


def _task(said: SteadyDay) -> str:
    """Say what to do; where the bench is steady, nothing."""
    task = DO[said.state]
    return f"{task[0].lower()}{task[1:]}" if task else "nothing now. Slurry it again on the next bench day."
