"""An outside result against ours, on a page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from slurrycalc.day.months.outside import OutsideCompared
from slurrycalc.deciding.days import spoken
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import number, plus_minus, signed

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page


def show_agreement(page: Page, found: OutsideCompared, earlier: Sequence[OutsideCompared], p: float) -> None:
    """Write whether an outside result and ours agree.

    Parameters
    ----------
    page : Page
        Where to.
    found : OutsideCompared
        The newest.
    earlier : sequence of OutsideCompared
        The others on record.
    p : float
        Coverage probability. [1]
    """
    if found.enclosure is not None and found.sampled is not None:
        by = found.laboratory or "an outside laboratory"
        page.title(f"{found.enclosure}, {by}, sample of {spoken(found.sampled)}")
    said = found.agreement
    page.headline("Ours minus theirs", said.difference.n, said.coverage_interval, p, unit="pH", sign=True)
    page.say(said.text)
    page.do(said.to_do)
    page.gap()
    on = "" if found.read is None else f", bench day of {spoken(found.read)}"
    page.say(
        f"Ours: pH {plus_minus(said.ours.n, half_width(said.ours))}{on}. "
        f"Theirs: pH {plus_minus(said.theirs.n, half_width(said.theirs))}, {said.preparation}."
    )
    if earlier:
        page.gap()
        page.say("Earlier:")
        rows = [_row(each) for each in earlier]
        page.table(("sample", "theirs", "ours minus theirs", "E_n", "laboratory"), rows, right=(1, 2, 3))
    page.gap()
    page.remarks(found.remarks)


def _row(each: OutsideCompared) -> tuple[str, ...]:
    said = each.agreement
    half = said.coverage_interval.half_width
    day = "" if each.sampled is None else spoken(each.sampled)
    score = "" if said.e_n is None else f"{said.e_n:+.2f}"
    difference = f"{signed(said.difference.n, half)} ± {number(half, half)}"
    return day, f"{said.theirs.n:.2f}", difference, score, each.laboratory or ""
