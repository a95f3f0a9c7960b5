"""An upkeep followed for five years beside the first tasks, held to the table of reference/methods.md."""

from __future__ import annotations

import os

import pytest

from tests.printed import numbers, printed_table
from tests.worlds import loop_upkeep
from tests.worlds.loop import CHUNK, Kept
from tests.worlds.test_loop import same_share

PRINTED, DRAWN = 200, int(os.environ.get("LOOP_BEDS", "25"))
_, ROWS = printed_table("five years of upkeep: world")


def held(name: str, seed: int) -> None:
    unseen, broken, substrate, readings = ROWS[name]
    found = loop_upkeep.cells(name, DRAWN, seed)
    assert same_share(numbers(found[0])[0], numbers(unseen)[0], DRAWN, PRINTED)
    assert same_share(float(found[1]), float(broken), DRAWN, PRINTED)
    assert float(found[2]) == pytest.approx(float(substrate), rel=0.25, abs=0.15)
    assert float(found[3]) == pytest.approx(float(readings), abs=0.7)


def test_the_table_has_its_worlds_and_the_bound_of_each_and_leaves_steady_beds_alone() -> None:
    assert tuple(ROWS) == loop_upkeep.PLACES
    for unseen, *_ in ROWS.values():
        share, bound = numbers(unseen)
        assert bound == pytest.approx(Kept(PRINTED).bound(round(share * PRINTED)), abs=6e-4)
    assert float(ROWS["steady"][2]) <= 0.15
    assert max(float(readings) for *_, readings in ROWS.values()) <= 5.2
    assert max(numbers(unseen)[1] for unseen, *_ in ROWS.values()) <= 0.08


def test_an_upkeep_leaves_a_steady_bed_alone() -> None:
    found = loop_upkeep.cells("steady", CHUNK, 51)
    assert float(found[1]) == 0.0
    assert float(found[2]) <= 0.15


@pytest.mark.slow
@pytest.mark.parametrize("name", loop_upkeep.PLACES if "LOOP_BEDS" in os.environ else loop_upkeep.PLACES[::2])
def test_who_follows_an_upkeep_fares_as_the_table_says(name: str) -> None:
    held(name, 52)
