"""A tub of fresh mix, on a page."""

from __future__ import annotations

from collections.abc import Iterator

from slurrycalc.day.record.slurries import Shares
from slurrycalc.deciding.doubt import see_to
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.slurry import SlurryResult
from slurrycalc.report.page import GAP, Block, Do, Headline, Say, noted
from slurrycalc.report.pages.case import rests_on

TAKEN = "A tub of fresh mix is held against no range: slurrycalc exchange and upkeep take what it reads."


def fresh_blocks(
    p: float,
    result: SlurryResult,
    calibration: Calibration | None,
    *,
    shares: Shares | None = None,
) -> Iterator[Block]:
    """Write a fresh mix's pH: the number, what it is for, what to do.

    Parameters
    ----------
    p : float
        Coverage probability. [1]
    result : SlurryResult
        Its pH.
    calibration : Calibration or None
        The calibration that the readings were made under.
    shares : Shares, optional
        How much of its scatter rests on what, where the record was asked.
    """
    yield Headline("pH", result.ph.n, result.interval(p), p)
    first = see_to(result.remarks)
    yield Say(" ".join([*([first.answer] if first else []), TAKEN]))
    yield Do(first.do if first else f"keep it moist and covered until it goes in. {result.advice.text}")
    yield GAP
    yield Say(rests_on(result, calibration, shares))
    yield GAP
    yield noted(result.remarks)
