"""A tub of fresh mix, on a page."""

from __future__ import annotations

from collections.abc import Iterator

from slurrycalc.day.bench.result import FreshResult
from slurrycalc.deciding.doubt import see_to
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.report.page import GAP, Block, Do, Headline, Say, evidence
from slurrycalc.report.pages.case import rests_on
from slurrycalc.report.pages.remarks import remarks_blocks

TAKEN = "A tub of fresh mix is held against no range: slurrycalc exchange and upkeep take what it reads."


def fresh_blocks(one: FreshResult, calibration: Calibration | None, p: float) -> Iterator[Block]:
    """Tell a fresh mix's pH, what it is for, and what to do."""
    result, first = one.slurry, see_to(one.slurry.remarks)
    yield Headline("pH", result.ph.n, result.interval(p), p)
    yield Do(first.do if first else "keep it moist and covered until it goes in.")
    yield GAP
    yield Say(" ".join([*([first.answer] if first else []), TAKEN]))
    yield from remarks_blocks(result.remarks)
    yield evidence([GAP, Say(result.advice.text), Say(rests_on(result, calibration, one.shares))])
