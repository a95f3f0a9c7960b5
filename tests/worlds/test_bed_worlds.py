"""The model of a bed in worlds of its own: how often it covers the truth, and who passes the floor unseen."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest

from tests.worlds.bed_priors import BEDS, FIELDS, answers, scaled
from tests.worlds.bed_worlds import by_the_line, coverage, to_the_letter

Row = tuple[str, float, int, tuple[float, float, float]]
TABLE: list[Row] = [
    ("straight", 0.05, 2, (0.99, 1.00, 1.00)),
    ("straight", 0.05, 4, (0.98, 1.00, 0.99)),
    ("straight", 0.05, 8, (0.97, 1.00, 0.98)),
    ("straight", 0.05, 24, (0.96, 1.00, 0.98)),
    ("straight", 0.10, 2, (0.98, 1.00, 1.00)),
    ("straight", 0.10, 4, (0.97, 1.00, 0.98)),
    ("straight", 0.10, 8, (0.96, 1.00, 0.98)),
    ("straight", 0.10, 24, (0.95, 1.00, 0.97)),
    ("straight", 0.20, 2, (0.93, 1.00, 0.97)),
    ("straight", 0.20, 4, (0.92, 1.00, 0.95)),
    ("straight", 0.20, 8, (0.94, 1.00, 0.97)),
    ("straight", 0.20, 24, (0.96, 1.00, 0.99)),
    ("straight", 0.35, 2, (0.86, 1.00, 0.92)),
    ("straight", 0.35, 4, (0.90, 0.99, 0.92)),
    ("straight", 0.35, 8, (0.95, 1.00, 0.96)),
    ("straight", 0.35, 24, (0.95, 1.00, 0.97)),
    ("tripled at 12", 0.10, 24, (0.95, 0.99, 0.99)),
    ("doubled at 18", 0.10, 24, (0.82, 0.65, 0.76)),
    ("plateau", 0.10, 24, (0.93, 0.95, 0.95)),
    ("season", 0.10, 24, (0.95, 0.92, 0.95)),
]
"""World, scatter of jars, days; covered by level, rate, level three months on: 400 beds, seed 20261."""


def held(found: Sequence[float], printed: Sequence[float], beds: int) -> bool:
    """Whether shares are those of the table, each within what both samples' sizes allow."""

    def slack(p: float) -> float:
        at = min(max(p, 0.02), 0.98)
        return 3.5 * math.sqrt(at * (1 - at) * (1 / beds + 1 / 400)) + 0.005

    return all(abs(one - other) <= slack(other) for one, other in zip(found, printed, strict=True))


@pytest.mark.parametrize("row", [TABLE[5], TABLE[17]], ids=lambda row: f"{row[0]} {row[1]} {row[2]}")
def test_a_bed_covers_its_level_rate_and_future_as_the_table_says(row: Row) -> None:
    name, scatter, days, printed = row
    assert held(coverage(name, scatter, days, 100, 7).model, printed, 100)


@pytest.mark.slow
@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row[0]} {row[1]} {row[2]}")
def test_each_cell_of_the_table_is_found_again_in_other_beds(row: Row) -> None:
    name, scatter, days, printed = row
    assert held(coverage(name, scatter, days, 400, 8).model, printed, 400)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["tripled at 12", "doubled at 18", "plateau", "season"])
def test_where_the_rate_changes_the_straight_line_covers_less_by_far(name: str) -> None:
    found = coverage(name, 0.10, 24, 200, 9)
    assert all(ours > line + 0.2 for ours, line in zip(found.model, found.line, strict=True))


LETTER = {
    "straight": (0.028, 0.022),
    "doubled at 18": (0.135, 0.268),
    "tripled late": (0.295, 0.525),
    "accelerating": (0.200, 0.388),
    "season": (0.190, 0.295),
}
"""Floor passed unseen within five years by who reads as the model says, or the line: 400 beds, seed 20261."""


@pytest.mark.slow
@pytest.mark.parametrize("name", LETTER)
def test_who_reads_as_told_passes_the_floor_unseen_as_often_as_the_table_says(name: str) -> None:
    kept = to_the_letter(name, 400, 8, 60.0)
    line = by_the_line(name, 400, 8, 60.0)
    assert held([kept.unseen / 400, line.unseen / 400], LETTER[name], 400)
    assert kept.readings / kept.years < 5.2
    assert kept.unseen < line.unseen or name == "straight"


@pytest.mark.parametrize("field", FIELDS)
def test_no_prior_decides_an_answer_by_itself(field: str) -> None:
    """Halved or doubled, it moves level and rate by less than half their uncertainty; a year's record."""
    from slurrycalc.deciding.bed import bed

    for name, days in BEDS.items():
        if name == "3 days":
            continue
        level, u, rate, u_rate, *_ = answers(bed(days))
        for factor in (0.5, 2.0):
            moved = answers(bed(days, scaled(field, factor)))
            assert abs(moved[0] - level) < 0.5 * u
            assert abs(moved[2] - rate) < 0.5 * u_rate
