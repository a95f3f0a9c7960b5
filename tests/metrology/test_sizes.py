"""Footprints and depths as people say them, and the volume that they make."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units.sizes import bed_volume, footprint


@pytest.mark.parametrize(
    ("text", "length", "width"),
    [
        ("60x45 cm", 60, 45),
        ("60 x 45cm", 60, 45),
        ("60×45 cm", 60, 45),
        ("60X45CM", 60, 45),
        ("60 cm by 45 cm", 60, 45),
        ("0.6 x 0.45 m", 60, 45),
        ("60,5x45 cm", 60.5, 45),
        ("600 mm x 45 cm", 60, 45),
        ('24" x 18"', 60.96, 45.72),
        ("24x18 in", 60.96, 45.72),
        ("2 ft x 18 in", 60.96, 45.72),
        ("1/2 x 1 m", 50, 100),
    ],
)
def test_footprints_are_read_in_any_unit_of_length(text: str, length: float, width: float) -> None:
    assert footprint(text) == pytest.approx((length, width))


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("60x45", "has no unit: write `60 x 45 cm` or `60 x 45 in`"),
        ("60 cm", "length by width"),
        ("60x45x10 cm", "three lengths"),
        ("0x45 cm", "a side of 0"),
        ("-60x45 cm", "negative"),
        ("60x45 kg", "a mass where a length is wanted"),
        ("1,000x45 cm", "could be 1000 or 1.000"),
        ("ax45 cm", "does not begin with a number"),
        ("60x45 cmm", "not known here"),
        ("", "length by width"),
        ("nan x 45 cm", ""),
        ("60x1e9 cm", "exponent"),
    ],
)
def test_what_is_no_footprint_is_refused_in_one_sentence(text: str, why: str) -> None:
    with pytest.raises(Refusal) as refused:
        footprint(text)
    assert why in str(refused.value)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("size", "depth", "why"),
    [
        ("60x45 cm", "0 cm", "no bed"),
        ("60x45 cm", 0.0, "no bed"),
        ("60x45 cm", None, "without a depth"),
        ("60x45 cm", "10", "no unit"),
        ("60x45 cm", "-3 cm", "negative"),
        ("60x45 cm", "10 L", "a volume where a length is wanted"),
        ("27 L", "10 cm", "is a volume already"),
        ("0 L", None, "no volume of a bed"),
        ("27", None, "no unit"),
    ],
)
def test_what_makes_no_volume_is_refused(size: str, depth: str | float | None, why: str) -> None:
    with pytest.raises(Refusal, match=why):
        bed_volume(size, depth)


@given(st.floats(1, 300), st.floats(1, 300), st.floats(0.5, 60))
def test_a_bed_has_one_volume_in_centimetres_inches_and_litres(a: float, b: float, deep: float) -> None:
    metric = bed_volume(f"{a:.6f}x{b:.6f} cm", f"{deep:.6f} cm")
    inches = bed_volume(f"{a / 2.54:.9f}x{b / 2.54:.9f} in", f"{deep / 2.54:.9f} in")
    assert inches == pytest.approx(metric, rel=1e-6)
    assert bed_volume(f"{metric / 1000.0:.9f} L") == pytest.approx(metric, rel=1e-6)
