"""Recipes: half a cup and a cup unless something asks otherwise, honest about what rounding does."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import fields
from math import pi
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from slurrycalc.cli.as_json import form
from slurrycalc.data.cautions import cautions
from slurrycalc.measuring.recipe import Recipe, mix
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import Quantity, magnitude

CUP = 236.5882365  # [mL], NIST Handbook 44, Appendix C
WATER = 0.9982  # [g/mL] at 20 degC, Tanaka et al., Metrologia 38 (2001) 301
CUPS = st.sampled_from(["us", "metric", "imperial", "240 mL"])


def test_half_a_cup_and_a_cup_is_the_answer_to_no_question() -> None:
    recipe = mix()
    assert [(way.name, way.substrate, way.water) for way in recipe.ways] == [
        ("cups", "1/2 cup", "1 cup"),
        ("fluid ounces", "4 fl oz", "8 fl oz"),
        ("millilitres", "120 mL", "240 mL"),
    ]
    assert all(way.ratio.n == pytest.approx(2.0) for way in recipe.ways)
    assert (recipe.slurries, recipe.basis, recipe.wanted) == (1, "volume", 2.0)
    assert recipe.substrate == pytest.approx(CUP / 2)
    assert recipe.water == pytest.approx(CUP)
    assert recipe.cup == "US cup, 237 mL"
    assert recipe.cautions == cautions("mix")
    assert recipe.remarks == ()


def test_a_known_bulk_density_adds_the_scale() -> None:
    scale = mix(bulk_density="0.25 g/mL").ways[-1]
    assert (scale.name, scale.substrate, scale.water) == ("scale", "30 g", "240 g")
    assert scale.substrate_volume == pytest.approx(120.0)
    assert scale.ratio.n == pytest.approx(240 / WATER / 120)


@pytest.mark.parametrize(
    ("asked", "first"),
    [
        ("60 g", "scale"),
        ("100 mL", "millilitres"),
        ("0.1 L", "millilitres"),
        ("4 fl oz", "fluid ounces"),
        ("1/3 cup", "cups"),
        ("3 tbsp", "cups"),
        (100.0, "millilitres"),
        (Quantity(100, "mL"), "millilitres"),
        (Quantity(1, "metric_cup"), "cups"),
    ],
)
def test_the_way_that_was_asked_for_comes_first(asked: Any, first: str) -> None:
    recipe = mix(substrate=asked, bulk_density="0.25 g/mL")
    assert recipe.ways[0].name == first
    assert recipe.ratio is recipe.ways[0].ratio
    assert recipe.ways[0].substrate in recipe.steps[3]
    assert recipe.ways[0].water in recipe.steps[4]


@given(st.floats(0.5, 20.0), st.floats(15.0, 500.0), CUPS)
def test_each_way_gives_the_ratio_that_its_own_words_say(wanted: float, substrate: float, cup: str) -> None:
    recipe = mix(wanted, substrate=substrate, bulk_density=ufloat(0.4, 1e-9), cup=cup)
    for way in recipe.ways:
        if way.name == "scale":
            volumes = magnitude(way.substrate, "mass") / 0.4, magnitude(way.water, "mass") / WATER
        else:
            volumes = magnitude(way.substrate, "volume", cup=cup), magnitude(way.water, "volume", cup=cup)
        assert (way.substrate_volume, way.water_volume) == pytest.approx(volumes)
        assert way.ratio.n == pytest.approx(volumes[1] / volumes[0])
        # A teaspoon of water is the coarsest there is.
        assert way.ratio.n == pytest.approx(wanted, rel=0.12, abs=8.0 / way.substrate_volume)


@given(st.floats(0.5, 20.0), CUPS)
def test_rounding_that_matters_is_said(wanted: float, cup: str) -> None:
    recipe = mix(wanted, cup=cup)
    said = any(remark.kind == "rounded" for remark in recipe.remarks)
    assert said == (abs(recipe.ratio.n / wanted - 1) > 0.01)


@given(st.integers(1, 500))
def test_n_slurries_take_n_times_one(n: int) -> None:
    one, many = mix(), mix(slurries=n)
    assert many.slurries == n
    assert many.all_substrate == pytest.approx(n * one.substrate)
    assert many.all_water == pytest.approx(n * one.water)
    assert (many.substrate, many.water, many.container) == (one.substrate, one.water, one.container)
    assert magnitude(many.ways[0].all_substrate, "volume") == pytest.approx(n * CUP / 2)
    assert magnitude(many.ways[2].all_water, "volume") == pytest.approx(n * 240.0)


@given(st.floats(500.0, 200_000.0), CUPS)
def test_two_slurries_take_no_more_than_their_share_of_a_small_bed(bed: float, cup: str) -> None:
    recipe = mix(slurries=2, bed=bed, cup=cup)
    half = magnitude("1/2 cup", "volume", cup=cup)
    small = 2 * half > 0.02 * bed
    assert recipe.bed_share == pytest.approx(200 * recipe.substrate / bed)
    assert any(remark.kind == "small-bed" for remark in recipe.remarks) == small
    if small:
        assert recipe.substrate < half or recipe.substrate == pytest.approx(half)
        assert recipe.bed_share <= 2.0 + 1e-6 or recipe.ways[0].substrate == "1 tbsp"
    else:
        assert recipe.substrate == pytest.approx(half)


@given(st.floats(80.0, 2000.0), st.floats(0.5, 4.0))
def test_a_container_leaves_room_to_stir(container: float, wanted: float) -> None:
    if 14.8 * (1 + wanted) > 0.7 * container:
        return
    recipe = mix(wanted, container=container)
    # Rounding the water may take a little of the room.
    assert recipe.substrate + recipe.water <= 0.75 * container * 1.07
    assert recipe.substrate <= CUP / 2 * (1 + 1e-9)


def test_the_container_holds_the_slurry_and_the_clear_part_covers_the_tip() -> None:
    for wanted in (1.0, 2.0, 5.0):
        recipe = mix(wanted)
        assert 0.75 * recipe.container >= recipe.substrate + recipe.water - 1e-6
        assert recipe.container - 25 < (recipe.substrate + recipe.water) / 0.75
        assert recipe.widest is not None
        clear = recipe.water - 0.8 * recipe.substrate
        assert clear / (pi * recipe.widest**2 / 4) >= recipe.tip_depth
        assert clear / (pi * (recipe.widest + 0.5) ** 2 / 4) < recipe.tip_depth
    assert mix(0.5).widest is None
    assert [remark.kind for remark in mix(0.5).remarks] == ["no-clear-water"]


def test_by_mass_the_substrates_own_water_counts() -> None:
    recipe = mix(5, basis="mass", substrate="60 g", bulk_density=0.4, moisture=1.0)
    # By hand: 30 g dry and 30 g of water in it; 1:5 wants 150 g of water, so 120 g are added.
    assert recipe.ways[0].water == "120 g"
    assert recipe.ratio.n == pytest.approx(5.0)
    assert all(way.ratio.n == pytest.approx(5.0, rel=0.1) for way in recipe.ways)


def test_a_substrate_by_name_is_from_memory_and_says_so() -> None:
    recipe = mix(bulk_density="coir")
    assert [remark.kind for remark in recipe.remarks] == ["from-memory"]
    assert recipe.ways[-1].name == "scale"
    assert recipe.ways[-1].ratio.s > recipe.ways[0].ratio.s


def test_the_steps_are_in_the_order_of_the_hands() -> None:
    steps = mix(slurries=2).steps
    order = [
        "Probe before spoon",
        "root depth",
        "spots of its own",
        "sheds water",
        "the same way each time",
        "distilled or deionised",
        "settle for 30 min",
        "7.00 first",
        "stand for about 5 min",
        "clear part",
        "storage solution, never in distilled water",
    ]
    text = " ".join(steps)
    places = [text.index(part) for part in order]
    assert places == sorted(places)
    assert sum("(from memory)" in step for step in steps) == 4
    assert all(step.endswith(".") for step in steps)


def test_every_number_of_a_recipe_has_a_unit_in_json() -> None:
    written = form(Recipe).write(mix(slurries=2, bed="5 L", bulk_density="coir"), 0.95)
    numbers = {name: value for name, value in written.items() if isinstance(value, dict)}
    assert all(set(value) >= {"value", "unit"} for value in numbers.values())
    assert {field.name for field in fields(Recipe)} == set(written)


def test_a_recipe_does_without_scipys_functions() -> None:
    # They cost more than all the rest of a recipe.
    program = (
        "import sys; from slurrycalc.measuring.recipe import mix; "
        "mix(); print('scipy.special' in sys.modules)"
    )
    shown = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "False"


BAD: list[tuple[dict[str, Any], str]] = [
    ({"ratio": 0}, "`0`"),
    ({"ratio": -2}, "`-2`"),
    ({"ratio": 1e9}, "`1000000000.0`"),
    ({"ratio": "1/0"}, "`1/0`"),
    ({"ratio": "2:1"}, "`2:1`"),
    ({"ratio": "x"}, "`x`"),
    ({"ratio": float("nan")}, "`nan`"),
    ({"slurries": 0}, "`0`"),
    ({"slurries": -1}, "`-1`"),
    ({"slurries": 2.5}, "`2.5`"),
    ({"slurries": 1_000_000}, "`1000000`"),
    ({"slurries": True}, "`True`"),
    ({"slurries": "two"}, "`two`"),
    ({"basis": "weight"}, "`weight`"),
    ({"basis": "mass"}, "`1:2`"),
    ({"basis": "mass", "bulk_density": "0.3 g/mL"}, "`1:2`"),
    ({"basis": "mass", "bulk_density": "peat"}, "`1:2`"),
    ({"substrate": "0 cup"}, "`0 cup`"),
    ({"substrate": "-1 cup"}, "`-1 cup`"),
    ({"substrate": "4 oz"}, "`4 oz`"),
    ({"substrate": "60 g"}, "`60 g`"),
    ({"substrate": "a handful"}, "`a handful`"),
    ({"substrate": "1,000 mL"}, "`1,000 mL`"),
    ({"container": 0}, "`0`"),
    ({"container": "10 mL"}, "`10 mL`"),
    ({"container": "500 mL", "substrate": "2 cups"}, "`500 mL`"),
    ({"container": "12 cm"}, "`12 cm`"),
    ({"bed": 0}, "`0`"),
    ({"bed": "-5 L"}, "`-5 L`"),
    ({"bed": "5 kg"}, "`5 kg`"),
    ({"cup": "mug"}, "`mug`"),
    ({"bulk_density": "heavy"}, "`heavy`"),
    ({"bulk_density": -0.3}, "`-0.3`"),
    ({"bulk_density": "0.3 g/mL", "moisture": "60"}, "`60`"),
]


@pytest.mark.parametrize(("given_", "quote"), BAD)
def test_what_cannot_stand_is_refused_in_one_sentence(given_: dict[str, Any], quote: str) -> None:
    with pytest.raises(Refusal) as caught:
        mix(**given_)
    said = str(caught.value)
    assert quote in said
    assert len(re.findall(r"[.?!](?= |$)", re.sub(r"`[^`]*`", "", said))) == 1
    assert said.count("`") >= 4


@pytest.mark.parametrize("typed", ["1 pint", "16 fl oz", "0.5 L", "500 mL", "2 cups"])
def test_a_container_is_said_as_it_was_typed(typed: str) -> None:
    recipe = mix(container=typed)
    assert f"a container of {typed}" in recipe.steps[3]
    for refused in (mix(container=typed, substrate="100 mL"), mix(container=typed, substrate="1/2 cup")):
        assert all("mL" not in one.text or typed in one.text for one in refused.remarks)


def test_an_amount_in_another_unit_is_kept_and_its_measure_is_said() -> None:
    assert next(one.text for one in mix(substrate="2 in3").remarks) == (
        "2 in3 of substrate is measured as 2 tbsp + 1/2 tsp."
    )
    for plain in ("60 mL", "1/4 cup", "2 fl oz", "1 L"):
        assert not [one for one in mix(substrate=plain).remarks if one.code == "measured-as"]
    assert mix(substrate="1 L").ways[0].substrate == "1 L"
