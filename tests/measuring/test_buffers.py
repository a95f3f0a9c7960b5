"""Buffer bottles: published tables, what is between their rows, and whose error is whose."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurrycalc.measuring.electrode import Meter, calibrate
from slurrycalc.measuring.electrode.buffer_kinds import known_label, labels, tables
from slurrycalc.measuring.electrode.buffers import Bottle, buffer, buffer_ph
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs

# IUPAC Recommendations 2002, Pure Appl. Chem. 74 (2002) 2169, primary standards at 25 and at 37 degC.
PRIMARY = [("4.01", 4.005, 4.022), ("6.86", 6.865, 6.841), ("9.18", 9.180, 9.088)]


# Typed once more, from the source and not from the table: temperature [degC] and pH. The source as above; for
# 7.00 values typical of such bottles (common practice).
TYPED = {
    "4.01": {
        0: 4.000, 5: 3.998, 10: 3.997, 15: 3.998, 20: 4.000, 25: 4.005,
        30: 4.011, 35: 4.018, 37: 4.022, 40: 4.027, 50: 4.050,
    },
    "6.86": {
        0: 6.984, 5: 6.951, 10: 6.923, 15: 6.900, 20: 6.881, 25: 6.865,
        30: 6.853, 35: 6.844, 37: 6.841, 40: 6.838, 50: 6.833,
    },
    "9.18": {
        0: 9.464, 5: 9.395, 10: 9.332, 15: 9.276, 20: 9.225, 25: 9.180,
        30: 9.139, 35: 9.102, 37: 9.088, 40: 9.068, 50: 9.011,
    },
    "10.01": {
        0: 10.317, 5: 10.245, 10: 10.179, 15: 10.118, 20: 10.062, 25: 10.012,
        30: 9.966, 40: 9.889, 50: 9.828,
    },
    "7.00": {
        0: 7.118, 5: 7.087, 10: 7.059, 15: 7.036, 20: 7.016, 25: 7.000,
        30: 6.987, 35: 6.977, 40: 6.970, 50: 6.964,
    },
}  # fmt: skip


def test_each_row_of_a_table_is_what_was_typed_once_more_from_its_source() -> None:
    assert {
        label: {row.temperature: row.ph for row in table.rows} for label, table in tables().items()
    } == TYPED


@pytest.mark.parametrize(("label", "at_25", "at_37"), PRIMARY)
def test_primary_standards_have_their_published_ph(label: str, at_25: float, at_37: float) -> None:
    assert buffer_ph(label) == at_25
    assert buffer_ph(label, 37.0) == at_37


def test_carbonate_between_its_rows_is_linear_where_37_degc_is_not_tabulated() -> None:
    # IUPAC 2002 as shipped: 9.966 at 30, 9.889 at 40 degC.
    assert buffer_ph("10.01", 37.0) == pytest.approx(9.966 - 0.7 * 0.077, abs=1e-12)


def test_every_table_says_where_it_comes_from() -> None:
    for label, table in tables().items():
        assert table.source
        assert table.known == ("common practice" if label == "7.00" else "published")


@given(st.sampled_from(labels()), st.floats(0.0, 50.0))
def test_between_two_rows_ph_lies_between_them(label: str, temperature: float) -> None:
    rows = tables()[label].rows
    before = max((row for row in rows if row.temperature <= temperature), key=lambda row: row.temperature)
    after = min((row for row in rows if row.temperature >= temperature), key=lambda row: row.temperature)
    low, high = sorted((before.ph, after.ph))
    assert low - 1e-12 <= buffer_ph(label, temperature) <= high + 1e-12


@given(st.sampled_from(labels()), st.floats(0.1, 49.9), st.floats(1e-4, 0.1))
def test_the_slope_given_is_the_slope_of_the_table(label: str, temperature: float, step: float) -> None:
    rows = {row.temperature for row in tables()[label].rows}
    if any(abs(temperature - row) <= step for row in rows):
        return
    difference = buffer_ph(label, temperature + step) - buffer_ph(label, temperature - step)
    assert tables()[label].at(temperature)[1] == pytest.approx(difference / (2 * step), abs=1e-9)


def test_on_a_row_the_slope_is_the_mean_of_both_sides() -> None:
    # 4.01 at 25 degC: (4.005 - 4.000)/5 before, (4.011 - 4.005)/5 after.
    assert tables()["4.01"].at(25.0)[1] == pytest.approx((0.005 + 0.006) / 10)


def test_a_measured_label_shifts_the_whole_table() -> None:
    bottle = Bottle("4.01", measured=4.00)
    for temperature in (5.0, 22.0, 41.0):
        assert bottle.at(temperature)[0] == pytest.approx(buffer_ph("4.01", temperature) - 0.005, abs=1e-12)


def test_a_nominal_label_leaves_the_table_alone() -> None:
    assert buffer("4.01", 22.0).n == buffer_ph("4.01", 22.0)


def test_tolerance_is_rectangular() -> None:
    assert buffer("7.00", 25.0, tolerance=0.05).s == pytest.approx(0.05 / sqrt(3))  # GUM 4.3.7
    assert buffer("7.00", 25.0, tolerance=0.0).s == 0.0


def test_a_named_bottle_is_one_error_and_nameless_ones_are_two() -> None:
    inputs = Inputs()
    acid = Bottle("4.01", name="acid 2")
    assert (buffer(acid, 20.0, inputs=inputs) - buffer(acid, 30.0, inputs=inputs)).s == 0.0
    assert (buffer("4.01", 20.0) - buffer("4.01", 20.0)).s == pytest.approx(sqrt(2) * 0.02 / sqrt(3))


def test_an_assumed_tolerance_says_so_and_a_given_one_too() -> None:
    (assumed,) = buffer("4.01").derivatives
    (stated,) = buffer("4.01", tolerance=0.02).derivatives
    assert (assumed.tag.known, stated.tag.known) == ("memory", "given")


@pytest.mark.parametrize("label", ["7", "7.0", "7,00", " 7.00 ", 7.0, 7])
def test_the_same_number_is_the_same_label(label: str | float) -> None:
    assert known_label(label) == "7.00"


def test_texts_are_taken_at_the_door() -> None:
    assert buffer_ph("4.01", "86 F") == pytest.approx(4.011, abs=1e-9)


@pytest.mark.parametrize(
    ("label", "said"),
    [
        ("4.0", "is mostly the 4.01 buffer, which is pH 4.00 at 20 degC (common practice); write 4.01."),
        ("4.00", "is mostly the 4.01 buffer, which is pH 4.00 at 20 degC (common practice); write 4.01."),
        ("10.06", "is mostly the 10.01 buffer, which is pH 10.06 at 20 degC (common practice); write 10.01."),
        ("7.02", "is mostly the 7.00 buffer, which is pH 7.02 at 20 degC (common practice); write 7.00."),
        ("3.99", "did you mean 4.01?"),
        ("10", "did you mean 10.01?"),
        ("9.2", "did you mean 9.18?"),
        ("6.9", "did you mean 6.86?"),
        ("3", "write the label of the bottle"),
        ("vinegar", "write the label of the bottle"),
        ("", "write the label of the bottle"),
        ("nan", "write the label of the bottle"),
        ("inf", "write the label of the bottle"),
    ],
)
def test_an_unknown_buffer_is_refused_with_the_known_ones(label: str, said: str) -> None:
    with pytest.raises(Refusal) as caught:
        buffer_ph(label)
    assert f"`{label}`" in caught.value.sentence
    assert "4.01, 6.86, 7.00, 9.18, 10.01" in caught.value.sentence
    assert said in caught.value.sentence


@pytest.mark.parametrize("temperature", [-0.1, 50.1, 55.0])
def test_off_its_table_a_buffer_is_refused(temperature: float) -> None:
    with pytest.raises(
        Refusal, match=rf"`{temperature:g}` degC lies off the table of the 4.01 buffer.*0 to 50"
    ):
        buffer_ph("4.01", temperature)


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ({"tolerance": -0.01}, "`-0.01` pH cannot be the tolerance"),
        ({"tolerance": 2.0}, "`2` pH cannot be the tolerance"),
        ({"tolerance": float("nan")}, "`nan` pH cannot be the tolerance"),
        ({"measured": 4.4}, "`4.4` cannot be the measured pH of a 4.01 bottle"),
        ({"measured": float("inf")}, "`inf` cannot be the measured pH"),
        ({"name": "  "}, "cannot name a bottle"),
    ],
)
def test_a_bottle_that_cannot_be_is_refused(settings: dict[str, object], said: str) -> None:
    with pytest.raises(Refusal) as caught:
        Bottle("4.01", **settings)  # type: ignore[arg-type]
    assert said in caught.value.sentence


def test_a_bottle_has_its_own_label_and_tolerance() -> None:
    with pytest.raises(Refusal, match="has its own measured value and tolerance"):
        buffer(Bottle("4.01"), 25.0, tolerance=0.01)


class TestALabelThatSpeaksOf20:
    @pytest.mark.parametrize(
        ("label", "kind", "at_20", "at_25"),
        [
            # the IUPAC and usual values at both temperatures, typed from the sources
            ("7.00@20C", "7.00", 7.00, 6.984),
            ("7.02@20 C", "7.00", 7.016, 7.000),  # the buffer's own pH there, rounded: nothing is shifted
            ("9.22@20C", "9.18", 9.225, 9.180),
            ("9.25@20C", "9.18", 9.25, 9.205),
            ("10.06@68F", "10.01", 10.062, 10.012),
            ("4.00@20C", "4.01", 4.000, 4.005),
            ("6.88@20C", "6.86", 6.881, 6.865),
        ],
    )
    def test_is_the_buffer_that_lies_there_and_holds_its_ph_there(
        self, label: str, kind: str, at_20: float, at_25: float
    ) -> None:
        bottle = Bottle(label)
        assert bottle.label == kind
        assert bottle.at(20.0)[0] == pytest.approx(at_20, abs=1e-9)
        assert bottle.at(25.0)[0] == pytest.approx(at_25, abs=1e-9)

    def test_moves_a_calibration_by_what_the_buffer_moves_from_20_to_25(self) -> None:
        # Read as one of 25 degC, a bottle of 7.00 at 20 would be off by the 0.016 that it falls meanwhile.
        shown = [("4.01", 178.2, 20.0), ("7.00", 1.8, 20.0)]
        said = [shown[0], ("7.00@20C", 1.8, 20.0)]
        usual, right = (calibrate(points, Meter("mV")).ph(1.8, 20.0).n for points in (shown, said))
        assert usual - right == pytest.approx(0.016, abs=1e-9)

    @pytest.mark.parametrize(
        ("label", "said"),
        [
            ("8.00@20C", "`8.00@20C` is no buffer that is known here, which are 4.00, 6.88, 7.02, 9.22, "),
            ("7.00@", "write such as 9.22@20C"),
            ("@20C", "write such as 9.22@20C"),
            ("7.00@20C@25C", "write such as 9.22@20C"),
            ("7.00@90C", "`90` degC lies off the table"),
            ("7.00@20", "write `20 C` or `20 F`"),
        ],
    )
    def test_that_cannot_be_is_refused(self, label: str, said: str) -> None:
        with pytest.raises(Refusal) as refused:
            Bottle(label)
        assert said in str(refused.value)

    def test_says_its_ph_once(self) -> None:
        with pytest.raises(Refusal, match="says the bottle's pH already"):
            Bottle("7.00@20C", measured=7.01)
