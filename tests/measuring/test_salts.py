"""Salts: conductivity at 25 degC by a checked cell, held against the KCl table, ISO 7888 and draws."""

from __future__ import annotations

from math import inf, sqrt

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import UFloat, ufloat

from slurrycalc.cli import as_json
from slurrycalc.data.bands import band_at, bands
from slurrycalc.deciding.bands import Banding, Dilution, banding, dilution
from slurrycalc.measuring.salts import (
    Salts,
    cell_factor,
    conductivity,
    ec25,
    salts,
    spoken_ec,
    standard_conductivity,
)
from slurrycalc.metrology.budget import budget
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.units import Quantity

# 0.01 mol/L KCl, reference conductivities as tabulated for conductivity standards (ISO 7888). [degC: uS/cm]
KCL = {15: 1147, 20: 1278, 25: 1413, 30: 1552}
# Greenhouse extension practice for a 1:2 extract by volume, from memory. [mS/cm]
BANDS = [
    ("very low", 0.0, 0.25),
    ("low", 0.25, 0.75),
    ("normal", 0.75, 1.25),
    ("high", 1.25, 1.75),
    ("very high", 1.75, 2.25),
    ("extreme", 2.25, inf),
]


def kinds(result: object) -> set[str]:
    return {remark.kind for remark in result.remarks}  # type: ignore[attr-defined]


class TestTemperature:
    @pytest.mark.parametrize(("temperature", "reading"), KCL.items())
    def test_linear_compensation_brings_the_kcl_table_to_1413_within_its_stated_error(
        self, temperature: float, reading: float
    ) -> None:
        assert ec25(reading, temperature) == pytest.approx(1413, rel=0.004)

    @given(st.floats(10, 20000), st.floats(0, 60))
    def test_is_the_formula_of_iso_7888(self, reading: float, temperature: float) -> None:
        assert ec25(reading, temperature) == pytest.approx(reading / (1 + 0.0191 * (temperature - 25)))

    @pytest.mark.parametrize(("temperature", "value"), KCL.items())
    def test_the_standard_is_what_the_table_says(self, temperature: float, value: float) -> None:
        assert standard_conductivity(1413.0, float(temperature)) == pytest.approx(value)
        assert standard_conductivity("84 uS/cm", float(temperature)) == pytest.approx(84 * value / 1413)

    def test_carries_uncertainty_where_there_is_some(self) -> None:
        found = ec25(ufloat(900, 9), ufloat(21, 0.5))
        assert isinstance(found, UFloat)
        assert found.s == pytest.approx(found.n * sqrt(0.01**2 + (0.0191 * 0.5 / 0.9236) ** 2), rel=1e-4)

    @given(st.floats(10.0, 1000.0))
    def test_every_unit_means_the_same(self, value: float) -> None:
        plain = ec25(value, 21.0)
        for text in (
            f"{value:.6f} uS/cm",
            f"{value:.6f} µS/cm",
            f"{value / 1000:.9f} mS/cm",
            f"{value / 1000:.9f} dS/m",
            f"{value / 10:.7f} mS/m",
        ):
            assert ec25(text, "21 C") == pytest.approx(plain, rel=1e-6)
        assert ec25(Quantity(value / 1000, "mS/cm"), 21.0) == pytest.approx(plain)


class TestCell:
    def test_corrects_a_meter_that_is_off(self) -> None:
        cell = cell_factor("1.15 mS/cm", "20 C")
        assert cell.factor.n == pytest.approx(1278 / 1150)
        assert "cell-off" in kinds(cell)
        result = salts([("0.80 mS/cm", "20 C")], cell, blank=("5 uS/cm", "20 C"))
        assert result.ec.n == pytest.approx(795 * 1278 / 1150 / (1 - 0.0191 * 5))

    def test_has_the_uncertainty_of_standard_thermometer_and_reading(self) -> None:
        cell = cell_factor(["1.30 mS/cm", "1.31 mS/cm"], "20 C", tolerance=0.005, thermometer=0.5)
        # Below 20 degC the table climbs by 26.2 uS/cm a degree.
        relative = sqrt(
            (0.005 / sqrt(3)) ** 2 + (26.2 / 1278 * 0.5 / sqrt(3)) ** 2 + 0.01**2 / 2
        )
        assert cell.factor.s / cell.factor.n == pytest.approx(relative, rel=1e-6)
        assert {row.known for row in budget(cell.factor).rows} == {"given", "memory"}

    def test_and_slurries_by_one_thermometer_at_one_temperature_lose_its_error(self) -> None:
        cell = cell_factor("1.28 mS/cm", "22 C", thermometer=3.0)
        row = {each.name: each for each in budget(salts([("0.9 mS/cm", "22 C")], cell).jars[0]).rows}
        alone = {each.name: each for each in budget(cell.factor).rows}
        there = row["thermometer"].contribution / 900
        assert there < 0.1 * alone["thermometer"].contribution

    def test_of_a_meter_that_compensates_needs_no_temperature_and_corrects_nothing_twice(self) -> None:
        cell = cell_factor("1.40 mS/cm", compensates=True)
        assert cell.factor.n == pytest.approx(1413 / 1400)
        result = salts(["0.90 mS/cm"], cell, temperature="15 C", blank="4 uS/cm")
        assert result.ec.n == pytest.approx(896 * 1413 / 1400)

    def test_that_no_standard_checked_says_so_and_is_wider(self) -> None:
        cell = cell_factor("1.30 mS/cm", 21)
        unchecked, checked = (
            salts([("0.9 mS/cm", 21)], each, blank=("5 uS/cm", 21), expected=Scatter(20, inf))
            for each in (None, cell)
        )
        assert "unchecked-meter" in kinds(unchecked) - kinds(checked)
        assert half_width(unchecked.ec) > half_width(checked.ec)


class TestEnclosure:
    def test_takes_the_water_s_own_away(self) -> None:
        jars = [("0.90 mS/cm", 25), ("1.00 mS/cm", 25)]
        assert salts(jars, blank=("30 uS/cm", 25)).ec.n == pytest.approx(920)
        assert salts(jars).ec.n == pytest.approx(950)
        assert "no-blank" in kinds(salts(jars))
        assert "not-distilled" in kinds(salts(jars, blank=("0.3 mS/cm", 25)))

    def test_expects_a_fifth_of_scatter_worth_two_and_says_what_is_its_own(self) -> None:
        one = salts([("1.00 mS/cm", 25)], blank=("5 uS/cm", 25))
        assert (one.scatter_sd, one.scatter_dof, one.own_share) == pytest.approx((200.0, 2, 0.0), rel=0.01)
        three = salts([("0.95 mS/cm", 25), ("1.00 mS/cm", 25), ("1.05 mS/cm", 25)], blank=("5 uS/cm", 25))
        assert three.own_share == pytest.approx(0.5)
        assert half_width(three.ec) < half_width(one.ec)
        other = salts([("0.2 mS/cm", 25), ("3.4 mS/cm", 25), ("0.2 mS/cm", 25)], expected=Scatter(50, 20))
        assert "scatters-more" in kinds(other)

    def test_mixes_readings_with_temperatures_of_their_own_and_of_all(self) -> None:
        both = salts([("0.9 mS/cm", "18 C"), "0.9 mS/cm"], temperature="70 F")
        assert [jar.n for jar in both.jars] == pytest.approx([ec25(900, 18), ec25(900, "70 F")])

    def test_covers_the_truth_in_as_many_cases_as_it_says(self) -> None:
        rng = np.random.default_rng(101)
        n, held, true = 400, 0, 950.0
        for _ in range(n):
            off, thermometer = rng.normal(1, 0.08), rng.uniform(-1, 1)
            alpha = 0.0191 + rng.uniform(-0.002, 0.002)
            standard = 1413 * (1 + rng.uniform(-0.01, 0.01))
            room = rng.uniform(18, 23)
            shown = np.interp(room, list(KCL), list(KCL.values())) / 1413 * standard / off
            cell = cell_factor(float(shown * (1 + rng.normal(0, 0.01))), room + thermometer)
            spots = true * (1 + rng.normal(0, 0.15, 2))
            jars = spots * (1 + alpha * (room - 25)) / off * (1 + rng.normal(0, 0.01, 2))
            result = salts([float(jar) for jar in jars], cell, temperature=room + thermometer, blank=1.0)
            held += result.interval().low <= true <= result.interval().high
        # Scatter(0.20, 2) expects 0.15 and more; what is left is the promise.
        assert held / n >= 0.95 - 3.3 * sqrt(0.95 * 0.05 / n)

    @pytest.mark.parametrize(
        ("value", "words"), [(938.4, "0.94 mS/cm"), (12.3, "12 uS/cm"), (2250.0, "2.25 mS/cm")]
    )
    def test_is_said_in_the_unit_of_its_size(self, value: float, words: str) -> None:
        assert spoken_ec(value) == words


class TestBands:
    def test_are_those_of_greenhouse_practice_from_memory(self) -> None:
        assert [(row.name, row.low / 1000, row.high / 1000) for row in bands()] == BANDS
        assert all(row.known == "memory" and "from memory" in row.source for row in bands())

    @given(st.floats(0, 10000))
    def test_hold_each_value_once(self, value: float) -> None:
        assert sum(row.low <= value < row.high for row in bands()) == 1
        assert band_at(value).low <= value < band_at(value).high

    @given(st.floats(50, 3000), st.floats(1, 500))
    def test_share_one_probability_between_them(self, value: float, u: float) -> None:
        found = banding(ufloat(value, u))
        assert sum(each.probability for each in found.chances) == pytest.approx(1.0, abs=1e-9)
        assert found.band == band_at(value).name

    def test_say_which_other_one_it_may_be(self) -> None:
        found = banding(ufloat(1150, 120))
        assert not found.settled
        assert found.text.endswith("Not settled: 80 in 100 for it, 20 in 100 for high.")
        assert banding(ufloat(1000, 50)).settled
        assert "bands-for-plants" in kinds(found)

    def test_are_reached_by_a_part_that_a_count_of_salts_confirms(self) -> None:
        plan = dilution("1.9 mS/cm", "0.4 mS/cm", "normal")
        assert plan.fraction is not None
        assert (1 - plan.fraction) * 1900 + plan.fraction * 400 == pytest.approx(1250)
        assert plan.stages == 2
        assert dilution("1.9 mS/cm", "0.4 mS/cm", 1250.0).fraction == pytest.approx(plan.fraction)

    def test_are_reached_in_as_many_cases_as_said(self) -> None:
        plan = dilution(ufloat(1900, 120), ufloat(400, 60), "normal")
        f = plan.assured_fraction
        assert f is not None
        rng = np.random.default_rng(102)
        n = 200_000
        after = (1 - f) * rng.normal(1900, 120, n) + f * rng.normal(400, 60, n)
        assert np.mean(after <= 1250) == pytest.approx(0.95, abs=4 * sqrt(0.95 * 0.05 / n))

    def test_none_is_sure_where_the_fresh_mix_is_doubtful(self) -> None:
        plan = dilution("1.9 mS/cm", "1.2+-0.3 mS/cm", "normal")
        assert plan.fraction is not None
        assert plan.assured_fraction is None


@pytest.mark.parametrize(
    ("reading", "meant"),
    [
        ("940 mS/cm", "did you mean `940 uS/cm`?"),
        ("940 dS/m", "did you mean `940 uS/cm`?"),
        ("1413 mS/cm", "did you mean `1413 uS/cm`?"),
        ("0.94 uS/cm", "did you mean `0.94 mS/cm`?"),
        ("0,94 µS/cm", "did you mean `0.94 mS/cm`?"),
        (0.94, "did you mean `0.94 mS/cm`?"),
        (2_000_000.0, "did you mean `2000 uS/cm`?"),
        ("-0.94 mS/cm", "negative"),
        ("940", "could be 940 uS/cm or 940 mS/cm, which differ a thousandfold"),
        ("5.41 pH", "a pH where a conductivity is wanted"),
        ("940 us", "lacks what it is per: did you mean `940 uS/cm`?"),
        ("0.94mS", "did you mean `0.94 mS/cm`?"),
        ("0.94 um", "not known here"),
        ("0 uS/cm", "less than a slurry conducts"),
        (float("nan"), "not finite"),
        (inf, "not finite"),
        ("abc", "does not begin with a number"),
    ],
)
def test_a_unit_that_is_wrong_by_a_thousand_is_asked_about(reading: str | float, meant: str) -> None:
    with pytest.raises(Refusal) as refused:
        salts([(reading, 21)])
    assert meant in str(refused.value)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("call", "why"),
    [
        (lambda: salts([]), "no slurry was read"),
        (lambda: salts(["0.94 mS/cm"]), "needs its temperature"),
        (lambda: salts([("0.94 mS/cm", "21 C", 1)]), "no pair"),
        (lambda: salts([("0.94 mS/cm", 98)]), "did you mean 98 F"),
        (lambda: salts([("0.94 mS/cm", 21)], blank=("1.1 mS/cm", 21)), "no less than the slurries"),
        (lambda: salts([("0.94 mS/cm", 21)], blank=("6 mS/cm", 21)), "did you mean `6 uS/cm`?"),
        (lambda: salts([("0.94 mS/cm", 21)], expected=None), "degrees of freedom"),
        (lambda: salts([("0.94 mS/cm", 21)], thermometer=20.0), "thermometer"),
        (lambda: cell_factor("1300 mS/cm", "20 C"), "did you mean `1300 uS/cm`?"),
        (lambda: cell_factor("1.3 uS/cm", "20 C"), "did you mean `1.3 mS/cm`?"),
        (lambda: cell_factor("0.5 mS/cm", "20 C"), "too far from the standard"),
        (lambda: cell_factor(0.0, "20 C"), "less than a standard conducts"),
        (lambda: cell_factor("1.3 mS/cm"), "needs its temperature"),
        (lambda: cell_factor("1.3 mS/cm", "40 C"), "outside the standard's table"),
        (lambda: cell_factor([], "20 C"), "needs a reading"),
        (lambda: cell_factor("1.3 mS/cm", "20 C", standard="1413 mS/cm"), "did you mean `1413 uS/cm`?"),
        (lambda: cell_factor("1.3 mS/cm", "20 C", tolerance=1.0), "tolerance"),
        (lambda: ec25("0.9 mS/cm", "90 C"), "temperature"),
        (lambda: conductivity("0.9"), "could be 0.9 mS/cm or 0.9 uS/cm"),
        (lambda: dilution("1.9 mS/cm", "0.4 mS/cm", "extreme"), "no upper edge"),
        (lambda: dilution("1.9 mS/cm", "0.4 mS/cm", "fine"), "no band of salts"),
        (lambda: dilution("1.9 mS/cm", "1.4 mS/cm"), "no less salt than wanted"),
        (lambda: dilution("1.1 mS/cm", "0.4 mS/cm"), "already"),
        (lambda: dilution("1.9 mS/cm", "0.4 mS/cm", at_once=2.0), "no part of a bed"),
        (lambda: banding("0.9"), "has no unit"),
    ],
)
def test_what_cannot_stand_is_refused_in_one_sentence(call: object, why: str) -> None:
    with pytest.raises(Refusal) as refused:
        call()  # type: ignore[operator]
    sentence = str(refused.value)
    assert why in sentence
    assert "\n" not in sentence
    assert sentence.endswith((".", "?"))


def test_results_are_written_as_json_by_their_schemas() -> None:
    from jsonschema import Draft202012Validator

    for kind, result in (
        (Salts, salts([("0.94 mS/cm", 21)])),
        (Banding, banding(ufloat(1150, 120))),
        (Dilution, dilution("1.9 mS/cm", "0.4 mS/cm")),
    ):
        form = as_json.form(kind)
        written = msgspec.json.decode(msgspec.json.encode(form.write(result, 0.95)))
        Draft202012Validator(msgspec.json.schema(form.shape)).validate(written)
