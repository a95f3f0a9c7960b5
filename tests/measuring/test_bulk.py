"""Substrate by the bucket: each measure says the amount that is meant, as finely as a hand can take it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurrycalc.measuring.recipe.bulk import bulk
from slurrycalc.metrology.units import magnitude


@given(st.floats(50.0, 5e5))
def test_litres_quarts_and_cups_are_read_back_as_the_amount(volume: float) -> None:
    said = bulk(volume)
    assert magnitude(said.litres, "volume") == pytest.approx(volume, rel=0.051)
    # A quarter of a quart, and of a cup, is as fine as it gets.
    assert magnitude(said.quarts, "volume") == pytest.approx(volume, abs=119) or volume < 237
    assert magnitude(said.cups, "volume") == pytest.approx(volume, rel=0.05, abs=8)


def test_imperial_measures_are_imperial() -> None:
    assert bulk(1136.5225, "imperial").quarts == "1 qt"
    assert bulk(946.352946, "us").quarts == "1 qt"


def test_a_dozen_cups_and_more_are_counted_whole() -> None:
    assert bulk(8750.0).words == "8.8 L (9 1/4 qt, 37 cups)"
    assert bulk(600.0).cups == "2 1/2 cups"
