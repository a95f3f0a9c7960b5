"""An outside result against ours, on a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slurrycalc.day.months.outside import OutsideCompared
from slurrycalc.deciding.days import spoken
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import number, plus_minus, signed
from slurrycalc.report.page import GAP, Block, Do, Heading, Headline, Say, table
from slurrycalc.report.pages.remarks import remarks_blocks


def agreement_blocks(found: OutsideCompared, earlier: Sequence[OutsideCompared], p: float) -> Iterator[Block]:
    """Write whether an outside result and ours agree.

    Parameters
    ----------
    found : OutsideCompared
        The newest.
    earlier : sequence of OutsideCompared
        The others on record.
    p : float
        Coverage probability. [1]
    """
    if found.enclosure is not None and found.sampled is not None:
        by = found.laboratory or "an outside laboratory"
        yield Heading(f"{found.enclosure}, {by}, sample of {spoken(found.sampled)}")
    said = found.agreement
    yield Headline("Ours minus theirs", said.difference.n, said.coverage_interval, p, unit="pH", sign=True)
    yield Do(said.to_do)
    yield GAP
    yield Say(said.text)
    on = "" if found.read is None else f", bench day of {spoken(found.read)}"
    yield Say(
        f"Ours: pH {plus_minus(said.ours.n, half_width(said.ours))}{on}. "
        f"Theirs: pH {plus_minus(said.theirs.n, half_width(said.theirs))}, {said.preparation}."
    )
    yield from remarks_blocks(found.remarks)
    if earlier:
        yield GAP
        yield Say("Earlier:")
        rows = [_row(each) for each in earlier]
        yield table(("sample", "theirs", "ours minus theirs", "E_n", "laboratory"), rows, right=(1, 2, 3))


def _row(each: OutsideCompared) -> tuple[str, ...]:
    said = each.agreement
    half = said.coverage_interval.half_width
    day = "" if each.sampled is None else spoken(each.sampled)
    score = "" if said.e_n is None else f"{said.e_n:+.2f}"
    difference = f"{signed(said.difference.n, half)} ± {number(half, half)}"
    return day, f"{said.theirs.n:.2f}", difference, score, each.laboratory or ""
