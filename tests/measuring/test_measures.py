"""Rounding to what a hand can measure: near, readable back, and the same a second time."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurrycalc.measuring.recipe.measures import fluid_ounces, grams, kitchen_measure, millilitres
from slurrycalc.metrology.units import magnitude

CUPS = st.sampled_from(["us", "metric", "imperial", "240 mL"])
VOLUMES = st.floats(5.0, 5000.0)


@given(VOLUMES, CUPS)
def test_a_kitchen_measure_is_near_and_can_be_read_back(volume: float, cup: str) -> None:
    words, amount = kitchen_measure(volume, cup)
    assert amount == pytest.approx(volume, rel=0.1)
    assert magnitude(words, "volume", cup=cup) == pytest.approx(amount)


@given(VOLUMES, CUPS)
def test_a_kitchen_measure_is_its_own_rounding(volume: float, cup: str) -> None:
    first = kitchen_measure(volume, cup)
    assert kitchen_measure(first.amount, cup).amount == pytest.approx(first.amount)


@given(st.floats(60.0, 5000.0), CUPS)
def test_from_a_quarter_cup_on_a_kitchen_measure_is_within_7_percent(volume: float, cup: str) -> None:
    assert kitchen_measure(volume, cup).amount == pytest.approx(volume, rel=0.07)


@given(VOLUMES)
def test_jug_ounces_and_scale_are_read_back(volume: float) -> None:
    for measure, cup in ((millilitres(volume), "us"), (fluid_ounces(volume), "us")):
        assert magnitude(measure.words, "volume", cup=cup) == pytest.approx(measure.amount)
    assert fluid_ounces(volume, "imperial").amount == pytest.approx(
        magnitude(fluid_ounces(volume, "imperial").words, "volume", cup="imperial")
    )
    assert magnitude(grams(volume).words, "mass") == grams(volume).amount
    assert millilitres(volume).amount == pytest.approx(volume, abs=2.5)
    assert grams(volume).amount == pytest.approx(volume, abs=0.5)
    assert fluid_ounces(volume).amount == pytest.approx(volume, abs=29.5735295625 / 4 + 3)


# NIST SP 430: a cup is 8 fluid ounces, 16 tablespoons, 48 teaspoons.
@pytest.mark.parametrize(
    ("words", "fluid"),
    [("1/2 cup", "4 fl oz"), ("1 cup", "8 fl oz"), ("1 1/2 cups", "12 fl oz"), ("3/4 cup", "6 fl oz")],
)
def test_cups_and_fluid_ounces_agree(words: str, fluid: str) -> None:
    assert kitchen_measure(magnitude(fluid, "volume")).words == words
    assert fluid_ounces(magnitude(words, "volume")).words == fluid


def test_the_simplest_of_equals_is_said() -> None:
    for words in ("1 tsp", "2 tsp", "1 tbsp", "2 tbsp", "3 tbsp", "1/4 cup", "1/3 cup", "1/2 cup", "1 cup"):
        assert kitchen_measure(magnitude(words, "volume")).words == words
    assert kitchen_measure(magnitude("4 tbsp", "volume")).words == "1/4 cup"
    assert kitchen_measure(magnitude("12 cups", "volume")).words == "12 cups"
