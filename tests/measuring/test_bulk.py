"""Substrate by the bucket: each measure says the amount that is meant, as finely as a hand can take it."""

from __future__ import annotations

import pytest
from hypothesis import example, given
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


CUP = 236.588
"""A US cup. [mL]"""


@given(st.floats(300.0, 5e5))
@example(4500.0)  # 19.02 cups are 20, which is 5.2 % more
@example(12.02 * CUP)
def test_what_is_to_be_enough_is_said_upward_in_each_measure(volume: float) -> None:
    """To the nearest, 14.3 L was said as 14 L, and a plan assured in 95 cases of 100 was so in 93."""
    said = bulk(volume, up=True)
    litres, quarts, cups = (magnitude(each, "volume") for each in (said.litres, said.quarts, said.cups))
    assert min(litres, quarts, cups) >= 0.998 * volume
    assert litres <= 1.1 * volume
    # No measure says more than one more of its own steps: a quarter of a quart; a quarter of a cup, and from
    # a dozen cups on a whole one.
    assert quarts <= volume + 237
    assert cups <= volume + (237 if volume >= 12 * CUP else 60)


def test_imperial_measures_are_imperial() -> None:
    assert bulk(1136.5225, "imperial").quarts == "1 qt"
    assert bulk(946.352946, "us").quarts == "1 qt"


def test_a_dozen_cups_and_more_are_counted_whole() -> None:
    assert bulk(8750.0).words == "8.8 L (9 1/4 qt, 37 cups)"
    assert bulk(600.0).cups == "2 1/2 cups"
