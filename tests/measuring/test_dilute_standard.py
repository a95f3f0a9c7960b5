"""The dilute standard by which a keeper tests a junction: what is said of it, from its chemistry."""

from __future__ import annotations

import re
from math import log10, sqrt
from pathlib import Path

import pytest
from scipy.optimize import brentq

from slurrycalc.cli.commands.metering import calibrate
from slurrycalc.data.assumed import JUNCTION, REPEATABILITY_PH, RESOLUTION_PH
from slurrycalc.measuring.electrode.buffers import buffer_ph
from slurrycalc.metrology.uncertain import NORMAL_95, rectangular

METHODS = (Path(__file__).parents[2] / "reference" / "methods.md").read_text(encoding="utf-8")
TEXT = " ".join(METHODS.partition("**A keeper's test of it**")[2].partition("\n\n")[0].split())
PK = (2.950, 5.408)
"""Of phthalic acid at 25 degC (from memory)."""
A = 0.509
"""Debye and Hückel's constant of water at 25 degC (from memory)."""


def phthalate(concentration: float) -> float:
    """Give the pH of potassium hydrogen phthalate [mol/L] at 25 degC; activities by Davies (from memory)."""
    ionic = concentration
    for _ in range(50):
        log_gamma = -A * (sqrt(ionic) / (1.0 + sqrt(ionic)) - 0.3 * ionic)
        one, two = 10.0**log_gamma, 10.0 ** (4.0 * log_gamma)
        first, second, water = 10.0 ** -PK[0] / one**2, 10.0 ** -PK[1] / two, 1e-14 / one**2

        def charge(h: float, k: tuple[float, float, float] = (first, second, water)) -> float:
            whole = h * h + k[0] * h + k[0] * k[1]
            return concentration * (1.0 - (k[0] * h + 2.0 * k[0] * k[1]) / whole) + h - k[2] / h

        h = brentq(charge, 1e-7, 1e-2, xtol=1e-16)
        whole = h * h + first * h + first * second
        ions = concentration * (first * h + 4.0 * first * second) / whole
        ionic = 0.5 * (concentration + h + ions)
    return -log10(h * one)


def test_the_computation_gives_what_is_published_of_stronger_ones() -> None:
    strong = buffer_ph("4.01", 25.0)
    assert phthalate(0.05) == pytest.approx(strong, abs=0.01)
    assert phthalate(0.025) - strong == pytest.approx(0.052, abs=0.005)
    assert f"which gives {phthalate(0.025) - strong:.3f}" in TEXT


def test_its_ph_and_its_rise_are_those_that_are_told() -> None:
    ph = phthalate(0.005)
    rise = ph - buffer_ph("4.01", 25.0)
    assert f"its pH at 25 °C is {ph:.2f} ± 0.01, {rise:.2f} above the bottle's 4.005" in TEXT
    assert abs(phthalate(0.05 / 11.0) - ph) < 0.01  # a tenth too much water
    help_text = " ".join(str(calibrate.__doc__).split())
    assert f"that reads {rise:.2f} higher, pH {ph:.2f} (computed)" in help_text


def test_how_far_it_may_be_off_is_what_junction_readings_and_standard_allow() -> None:
    reading = REPEATABILITY_PH.value**2 + (RESOLUTION_PH.value / sqrt(12.0)) ** 2
    u = sqrt(JUNCTION.value**2 + 2.0 * reading + rectangular(0.01) ** 2)
    (said,) = re.findall(r"\|d\| within ([\d.]+) \(95 in 100\) bears 0\.02 out", TEXT)
    assert f"{NORMAL_95 * u:.2f}" == said
    assert f"A rise within {said} of 0.16 bears the {JUNCTION.value:g} out" in " ".join(
        str(calibrate.__doc__).split()
    )
