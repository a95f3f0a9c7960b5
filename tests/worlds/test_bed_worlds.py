"""The model of a bed in worlds of its own, held to the tables of reference/methods.md."""

from __future__ import annotations

import pytest

from slurrycalc.deciding.bed import bed
from tests.printed import binomial, last_digit, numbers, printed_table
from tests.worlds.bed_priors import BEDS, FIELDS, answers, rows, scaled
from tests.worlds.bed_worlds import (
    FOLLOWED,
    STRAIGHT,
    TURNING,
    YEARS,
    by_the_line,
    coverage,
    to_the_letter,
)

PRINTED, DRAWN = 1000, 200
_, COVERED = printed_table("level, rate, ahead: world")
_, UNSEEN = printed_table("passed unseen: world")
PRIORS, MOVES = printed_table("prior, halved and doubled")
Cell = tuple[str, float, int]
CELLS: list[Cell] = [
    *(("straight", sigma, days) for sigma, days in STRAIGHT),
    *((name, 0.10, 24) for name in TURNING),
]


def name_of(cell: Cell) -> str:
    name, sigma, days = cell
    return f"{name}, σ {sigma:.2f}, {days} days"


def test_the_tables_hold_all_that_is_simulated() -> None:
    assert set(COVERED) == set(map(name_of, CELLS))
    assert set(UNSEEN) == {f"{name}, {months / 12:.0f} years" for name in FOLLOWED for months in YEARS}


def held(cell: Cell, beds: int, seed: int) -> bool:
    """Whether a cell of the printed table is found again."""
    found = coverage(*cell, beds, seed)
    printed = COVERED[name_of(cell)][:3]
    return all(
        abs(one - numbers(other)[0]) <= binomial(other, beds, PRINTED, errors=3.5)
        for one, other in zip(found.model, printed, strict=True)
    )


@pytest.mark.parametrize("cell", [CELLS[5], CELLS[17]], ids=name_of)
def test_a_bed_covers_its_level_rate_and_future_as_the_table_says(cell: Cell) -> None:
    assert held(cell, 100, 7)


@pytest.mark.slow
@pytest.mark.parametrize("cell", CELLS, ids=name_of)
def test_each_cell_of_the_table_is_found_again_in_other_beds(cell: Cell) -> None:
    assert held(cell, DRAWN, 8)


@pytest.mark.slow
@pytest.mark.parametrize("name", TURNING)
def test_where_the_rate_changes_the_straight_line_covers_less_by_far(name: str) -> None:
    found = coverage(name, 0.10, 24, 200, 9)
    assert all(ours > line + 0.2 for ours, line in zip(found.model, found.line, strict=True))
    printed = numbers(COVERED[name_of((name, 0.10, 24))][3])
    assert all(abs(one - other) < 0.15 for one, other in zip(found.line, printed, strict=True))


@pytest.mark.slow
@pytest.mark.parametrize("name", FOLLOWED)
def test_who_reads_as_told_passes_the_floor_unseen_as_often_as_the_table_says(name: str) -> None:
    for months in YEARS:
        model, readings, line, _ = UNSEEN[f"{name}, {months / 12:.0f} years"]
        kept, by_line = (f(name, DRAWN, 8, months) for f in (to_the_letter, by_the_line))
        for found, printed in ((kept, model), (by_line, line)):
            assert abs(found.unseen / DRAWN - float(printed)) <= binomial(printed, DRAWN, PRINTED, errors=3.5)
        assert kept.readings / kept.years == pytest.approx(float(readings), abs=0.4)


def test_the_answers_under_other_priors_are_those_that_are_printed() -> None:
    found = dict(rows())
    assert set(found) == set(MOVES) == {"as it is", *(field.replace("_", " ") for field in FIELDS)}
    for label, cells in found.items():
        for one, printed in zip(cells, MOVES[label], strict=True):
            assert one.count("nan") == printed.count("nan")
            for ours, other in zip(numbers(one), numbers(printed), strict=True):
                assert ours == pytest.approx(other, abs=2.01 * last_digit(printed))


@pytest.mark.parametrize("field", FIELDS)
def test_no_prior_decides_an_answer_by_itself(field: str) -> None:
    """Halved or doubled, it moves level and rate by less than half their uncertainty; a year's record."""
    for name, days in BEDS.items():
        level, u, rate, u_rate, *_ = answers(bed(days))
        for factor in (0.5, 2.0):
            moved = answers(bed(days, scaled(field, factor)))
            assert abs(moved[0] - level) < 0.5 * u
            assert abs(moved[2] - rate) < 0.5 * u_rate or name == "3 days"
