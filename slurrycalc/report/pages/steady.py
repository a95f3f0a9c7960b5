"""A steady jar's day, on a page."""

from __future__ import annotations

from collections.abc import Iterator

from slurrycalc.day.bench.result import SteadyResult
from slurrycalc.deciding.doubt import see_to
from slurrycalc.deciding.steady import DO, SteadyDay
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.report.page import GAP, Block, Do, Headline, Say, evidence, points
from slurrycalc.report.pages.case import rests_on
from slurrycalc.report.pages.remarks import remarks_blocks

LIMITLESS = "A steady jar is held against no range and no floor: it shows how the bench is."


def steady_blocks(one: SteadyResult, calibration: Calibration | None, p: float) -> Iterator[Block]:
    """Tell a steady jar's pH, what it says of the bench, and what to do."""
    result, said = one.slurry, one.said
    yield Headline("pH", result.ph.n, result.interval(p), p)
    first = see_to(result.remarks)
    yield Do(first.do if first else _task(said))
    yield GAP
    yield Say(" ".join([*([first.answer] if first else []), said.text.removesuffix(DO[said.state]).rstrip()]))
    yield from remarks_blocks(result.remarks)
    yield evidence([GAP, Say(rests_on(result, calibration, one.shares)), points([LIMITLESS])])


def _task(said: SteadyDay) -> str:
    """Say what to do; where the bench is steady, nothing."""
    task = DO[said.state]
    return f"{task[0].lower()}{task[1:]}" if task else "nothing now. Slurry it again on the next bench day."
