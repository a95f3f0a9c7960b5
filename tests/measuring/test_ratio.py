"""The ratio that substrate and water make: by hand, by any unit, and back to the wanted one."""

from __future__ import annotations

import re
from math import hypot, sqrt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from slurrycalc.measuring.recipe.ratio import ratio, wanted_ratio
from slurrycalc.metrology.budget import budget
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import Quantity

CUP = 236.5882365  # [mL], NIST Handbook 44, Appendix C
WATER = 0.9982  # [g/mL] at 20 degC, Tanaka et al., Metrologia 38 (2001) 301


def test_half_a_cup_and_a_cup_make_one_to_two() -> None:
    made = ratio("1/2 cup", "8 fl oz")
    assert made.by_volume.n == pytest.approx(2.0, rel=1e-12)
    assert made.state == "as wanted"
    assert made.by_mass is None
    assert made.cup == "US cup, 237 mL"


@given(st.integers(1, 64), st.integers(1, 160))
def test_cups_spoons_fluid_ounces_and_millilitres_give_the_same_ratio(substrate: int, water: int) -> None:
    # In tablespoons; 16 to a cup, 2 to a fluid ounce.
    spoken = [
        (f"{substrate} tbsp", f"{water} tbsp"),
        (f"{substrate}/16 cup" if substrate < 16 else f"{substrate / 16} cups", f"{water / 16} cups"),
        (f"{substrate / 2} fl oz", f"{water / 2} fl oz"),
        (f"{substrate * CUP / 16:.9f} mL", f"{water * CUP / 16:.9f} mL"),
        (f"{substrate / 16} cups", f"{water * CUP / 16 / 1000:.12f} L"),
    ]
    wide = f"{min(50, max(0.2, water / substrate))}"
    made = [ratio(*amounts, wanted=wide).by_volume for amounts in spoken]
    for one in made:
        assert one.n == pytest.approx(water / substrate, rel=1e-9)
        assert one.s == pytest.approx(made[0].s, rel=1e-9)


def test_numbers_texts_and_quantities_are_the_same_amounts() -> None:
    for amounts in ((118.0, 236.0), ("118 mL", "236 mL"), (Quantity(118, "mL"), Quantity(0.236, "L"))):
        assert ratio(*amounts).by_volume.n == pytest.approx(2.0)


def test_kitchen_cups_leave_their_tolerance_and_say_that_it_is_from_memory() -> None:
    by_volume = ratio("1/2 cup", "1 cup").by_volume
    # Both cups within 5 %, rectangular, independent.
    assert by_volume.s == pytest.approx(2.0 * hypot(0.05 / sqrt(3), 0.05 / sqrt(3)))
    rows = budget(by_volume).rows
    assert {row.name for row in rows} == {"cup of substrate", "cup of water"}
    assert {row.known for row in rows} == {"memory"}


def test_a_scale_leaves_one_gram() -> None:
    made = ratio("60 g", "240 g", ufloat(0.5, 1e-9))
    assert made.substrate.s == pytest.approx(1 / sqrt(3) / 0.5)
    assert made.water.s == pytest.approx(1 / sqrt(3) / WATER)


def test_an_uncertain_amount_keeps_its_own_uncertainty() -> None:
    made = ratio(ufloat(100.0, 1.0), ufloat(200.0, 1.0))
    assert made.by_volume.s == pytest.approx(2.0 * hypot(0.01, 0.005))


def test_water_in_the_substrate_counts_by_mass_and_not_by_volume() -> None:
    dry, moist = (ratio("1/2 cup", "1 cup", "0.25 g/mL", moisture) for moisture in (0.0, 1.0))
    assert dry.by_volume.n == moist.by_volume.n == pytest.approx(2.0)
    # By hand: 29.57 g; all dry, or half of it water.
    grams, water = 0.25 * CUP / 2, CUP * WATER
    assert dry.by_mass.n == pytest.approx(water / grams)
    assert moist.by_mass.n == pytest.approx((water + grams / 2) / (grams / 2))


def test_a_weighed_substrate_needs_no_density_by_mass() -> None:
    made = ratio("60 g", "240 mL", moisture="120 %", basis="mass", wanted="1:10")
    # By hand: 27.27 g dry and 32.73 g of water in it.
    assert made.by_mass.n == pytest.approx((240 * WATER + 60 * 1.2 / 2.2) / (60 / 2.2))
    assert made.by_volume is None
    assert made.state == "as wanted"


@given(st.floats(0.05, 2.0), st.floats(0.0, 5.0), st.floats(20.0, 500.0), st.floats(20.0, 2000.0))
def test_either_basis_follows_from_the_other(rho: float, wet: float, substrate: float, water: float) -> None:
    made = ratio(substrate, water, rho, wet)
    dry = rho / (1 + wet)
    assert made.by_mass.n == pytest.approx((made.by_volume.n * WATER + rho - dry) / dry)
    assert made.all_water.n == pytest.approx(made.by_mass.n * made.dry_substrate.n)


@given(
    st.floats(20.0, 500.0),
    st.floats(20.0, 2000.0),
    st.floats(0.3, 20.0),
    st.sampled_from(["volume", "mass"]),
    st.floats(0.0, 3.0),
)
def test_what_is_added_brings_the_wanted_ratio(
    substrate: float, water: float, wanted: float, basis: Any, wet: float
) -> None:
    known: dict[str, Any] = {"bulk_density": ufloat(0.3, 1e-9), "moisture": ufloat(wet, 1e-9)}
    known |= {"basis": basis, "wanted": wanted}
    made = ratio(substrate, water, **known)
    if made.add_substrate is None:
        assert made.state == "too thin"
        assert wet >= wanted
        return
    assert made.add_water == 0 or made.add_substrate == 0
    assert (made.state == "too thick") == (made.add_water > 0)
    assert (made.state == "too thin") == (made.add_substrate > 0)
    mended = ratio(substrate + made.add_substrate, water + made.add_water, **known)
    assert mended.state == "as wanted"
    if made.state in ("too thick", "too thin"):
        reached = mended.by_volume if basis == "volume" else mended.by_mass
        assert reached.n == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize(
    ("substrate", "water", "state", "said"),
    [
        ("1/2 cup", "1 cup", "as wanted", "near enough to 1:2"),
        ("1/2 cup", "240 mL", "as wanted", "near enough to 1:2"),
        ("1/2 cup", "3/4 cup", "too thick", "add 1/4 cup (60 mL) of water"),
        ("1/2 cup", "1 1/2 cups", "too thin", "add 1/4 cup (60 mL) of substrate"),
        ("1/2 cup", "3 cups", "too thin", "3 times the water that 1:2 wants"),
    ],
)
def test_the_advice_says_what_to_add_in_cups_and_millilitres(
    substrate: str, water: str, state: str, said: str
) -> None:
    made = ratio(substrate, water)
    assert made.state == state
    assert said in made.advice


def test_a_density_from_memory_leaves_open_what_a_weighed_one_would_settle() -> None:
    open_one = ratio("44 g", "300 mL", "peat")
    assert open_one.state == "not settled"
    assert [remark.kind for remark in open_one.remarks] == ["from-memory"]
    assert ratio("44 g", "300 mL", "0.35+-0.005 g/mL").state == "too thin"


def test_a_stated_half_width_wins_over_the_assumed_one() -> None:
    stated = ratio("60 g", "480 mL", "0.25+-0.02 g/mL")
    rows = {row.name: row for row in budget(stated.by_volume).rows}
    assert rows["bulk density"].known == "given"
    assert rows["bulk density"].u == pytest.approx(0.02 / 1.959964)
    assumed = ratio("60 g", "480 mL", "0.25 g/mL")
    rows = {row.name: row for row in budget(assumed.by_volume).rows}
    assert rows["bulk density"].known == "memory"


BAD: list[tuple[tuple[Any, ...], dict[str, Any], str]] = [
    (("4 oz", "8 oz"), {}, "`4 oz`"),
    (("0 cup", "1 cup"), {}, "`0 cup`"),
    (("1/2 cup", "0 mL"), {}, "`0 mL`"),
    (("-1 cup", "1 cup"), {}, "`-1 cup`"),
    (("1/2 cup", "-1 cup"), {}, "`-1 cup`"),
    ((0.0, 100.0), {}, "`0.0`"),
    ((float("nan"), 100.0), {}, "`nan`"),
    ((100.0, float("inf")), {}, "`inf`"),
    ((ufloat(0.0, 1.0), 100.0), {}, "makes no slurry"),
    ((ufloat(float("nan"), 1.0), 100.0), {}, "makes no slurry"),
    ((None, 100.0), {}, "`None`"),
    (("21 C", "1 cup"), {}, "`21 C`"),
    (("1/2 cup", "5.41"), {}, "`5.41`"),
    (("60 g", "1 cup"), {}, "`60 g`"),
    (("1/2 cup", "1 cup"), {"basis": "mass"}, "`1/2 cup`"),
    (("60 g", "1 cup"), {"basis": "mass"}, "`60 g`"),
    (("1/2 cup", "1 cup"), {"basis": "weight"}, "`weight`"),
    (("1/2 cup", "1 cup"), {"wanted": 0}, "`0`"),
    (("1/2 cup", "1 cup"), {"wanted": -2}, "`-2`"),
    (("1/2 cup", "1 cup"), {"wanted": 1000}, "`1000`"),
    (("1/2 cup", "1 cup"), {"wanted": "2:1"}, "`2:1`"),
    (("1/2 cup", "1 cup"), {"wanted": "1:"}, "`1:`"),
    (("1/2 cup", "1 cup"), {"wanted": "thin"}, "`thin`"),
    (("1/2 cup", "1 cup"), {"wanted": float("nan")}, "`nan`"),
    (("1/2 cup", "1 cup"), {"cup": "huge"}, "`huge`"),
    (("60 g", "1 cup"), {"bulk_density": "pete"}, "`pete`"),
    (("60 g", "1 cup"), {"bulk_density": "marble"}, "`marble`"),
    (("60 g", "1 cup"), {"bulk_density": ""}, "``"),
    (("60 g", "1 cup"), {"bulk_density": 0.0}, "`0.0`"),
    (("60 g", "1 cup"), {"bulk_density": 5.0}, "`5.0`"),
    (("60 g", "1 cup"), {"bulk_density": "60 g"}, "`60 g`"),
    (("60 g", "1 cup"), {"bulk_density": "0.25"}, "`0.25`"),
    (("60 g", "1 cup"), {"bulk_density": ufloat(float("inf"), 0.1)}, "`inf"),
    (("60 g", "1 cup"), {"bulk_density": "coir", "moisture": 60}, "`60`"),
    (("60 g", "1 cup"), {"bulk_density": "coir", "moisture": "-5 %"}, "`-5 %`"),
    (("60 g", "1 cup"), {"bulk_density": "coir", "moisture": "wet"}, "`wet`"),
]


@pytest.mark.parametrize(("amounts", "more", "quote"), BAD)
def test_what_cannot_stand_is_refused_in_one_sentence(
    amounts: tuple[Any, ...], more: dict[str, Any], quote: str
) -> None:
    with pytest.raises(Refusal) as caught:
        ratio(*amounts, **more)
    said = str(caught.value)
    assert quote in said
    assert len(re.findall(r"[.?!](?= |$)", re.sub(r"`[^`]*`", "", said))) == 1
    assert said.count("`") >= 4 or "ufloat" in said


@pytest.mark.parametrize("value", ["1:2", " 1 : 2 ", "2", 2, 2.0, "1:2.0", "2,0"])
def test_a_ratio_is_read_as_people_write_it(value: float | str) -> None:
    assert wanted_ratio(value) == 2.0
