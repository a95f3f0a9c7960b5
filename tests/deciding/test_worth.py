"""What a probe is worth beside the record."""

from __future__ import annotations

import pytest

from slurrycalc.deciding.worth import worth
from slurrycalc.measuring.probe import bed_before, response, update, without_record
from slurrycalc.metrology.coverage import half_width

SLURRY = [5.0, 5.1, 5.0, 5.2, 6.5, 6.6, 6.5, 6.4]
HONEST = response([5.4, 5.6, 5.5, 5.5, 6.9, 7.1, 7.0, 6.7], SLURRY)
UNPROVEN = response([5.4, 5.6], SLURRY[:2])
DEAD = response([6.0, 6.1, 6.0, 5.9, 6.1, 6.0, 6.0, 6.1], SLURRY)
OLD = bed_before(5.3, 0.2, rate=-0.1, months=4.0, spot_variance=0.01)
NEW = bed_before(5.3, 0.02, rate=0.0, months=0.1, spot_variance=0.0004)


@pytest.mark.parametrize("shows", [4.5, 5.7, 7.0])
def test_what_a_probe_narrows_is_what_any_of_its_indications_narrows(shows: float) -> None:
    found, once = worth(OLD, HONEST), update(OLD, HONEST, shows)
    assert found.state == "fit"
    assert found.before == pytest.approx(half_width(OLD.ph))
    assert found.after == pytest.approx(half_width(once.ph), rel=1e-9)
    assert found.narrows == pytest.approx(once.narrows, rel=1e-9)
    narrows = "One reading of it narrows what your slurries say, from ±0.90 to ±0.37."
    assert found.text == (narrows, "Read it weekly.")


def test_a_probe_that_follows_is_not_fit_where_the_record_knows_better() -> None:
    found = worth(NEW, HONEST)
    assert found.state == "not fit"
    assert 0.0 <= found.narrows < 0.05
    said = "It follows your slurries, and hardly narrows what your slurries say, from "
    assert found.text[0].startswith(said)


def test_more_indications_and_younger_pairs_are_worth_more() -> None:
    assert (
        worth(OLD, HONEST, 4).narrows > worth(OLD, HONEST).narrows > worth(OLD, HONEST, months=24.0).narrows
    )


def test_a_probe_not_shown_to_follow_may_warn_and_a_dead_one_is_no_use() -> None:
    for before in (OLD, NEW, without_record()):
        unproven, dead = worth(before, UNPROVEN), worth(before, DEAD)
        assert (unproven.state, unproven.narrows) == ("not shown", 0.0)
        assert "it may warn, and narrows nothing" in unproven.text[0]
        assert (dead.state, dead.narrows) == ("not fit", 0.0)
        assert dead.text[0].startswith("It does not follow your slurries")
