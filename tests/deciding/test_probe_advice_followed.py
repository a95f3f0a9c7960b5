"""What a probe leaves open, taken to the slurries that are advised: they settle it as often as was said.

The truth behind an indication is drawn from what its correction says. Slurries are then made of it, with a
scatter as it is expected of any enclosure and a calibration error of their own, and the product turns them
into a result and an answer.

A share of 600 has a sampling error of 0.020 at most: two and a half of them fit into the 0.05 allowed.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np
import pytest
from uncertainties import UFloat

from slurrycalc.data.assumed import ADVICE_LIKELY, UNRECORDED_CALIBRATION
from slurrycalc.deciding.judgement import Judgement, judge
from slurrycalc.measuring.expected import SLURRIES
from slurrycalc.measuring.probe import CorrectedReading, compare
from slurrycalc.measuring.probe.slurries import moved
from slurrycalc.measuring.slurry import slurry_ph
from slurrycalc.measuring.slurry.advice import Action, Advice, Question
from slurrycalc.measuring.slurry.outlook import slurries_about
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.uncertain import nameless, parts

SIZE = 600
ALLOWED = 0.05
FLOOR: Question = "above floor"
RANGE: Question = "in range"
USUAL = ((5.4, 6.5), 5.0)
STICK = ([5.7, 5.8, 6.0, 6.2, 6.6, 6.5], [5.09, 5.14, 5.54, 5.62, 5.98, 5.93])


@dataclass(frozen=True)
class Cell:
    """An indication that leaves a question open, and what is advised for it."""

    corrected: CorrectedReading
    question: Question
    action: Action
    n: int
    shared_u: float = UNRECORDED_CALIBRATION.value
    limits: tuple[tuple[float, float], float] = USUAL


def under_one_calibration(u: float, known: Scatter, shows: float = 5.68) -> CorrectedReading:
    """A good probe, whose pairs' slurries were read under one calibration."""
    error = nameless(u, "their calibration")
    return compare(STICK[0], [ph + error for ph in STICK[1]], known).correct(shows)


CELLS = {
    "one pair": Cell(compare([5.9], [5.41]).correct(5.7), FLOOR, "slurries", 1),
    "six pairs, about the range's edge": Cell(compare(*STICK).correct(6.0), RANGE, "slurries", 3),
    "six pairs under a poor calibration": Cell(
        under_one_calibration(0.08, Scatter(0.10, 20), 5.75), FLOOR, "slurries", 6, 0.08
    ),
    "a good probe near the floor": Cell(
        under_one_calibration(0.03, Scatter(0.05, inf)), FLOOR, "nothing", 0, 0.03
    ),
}


def state(standing: Judgement, question: Question) -> str:
    return (standing.in_range if question == "in range" else standing.above_floor).state


def asked(standing: Judgement, question: Question) -> Advice:
    (advice,) = (each for each in standing.advice if each.question == question)
    return advice


def truth(ph: UFloat, rng: np.random.Generator) -> float:
    """Draw what may be behind a corrected indication."""
    sigma, groups = parts(ph)
    off = sigma * rng.standard_normal()
    off += sum(c * (rng.standard_normal() if dof == inf else rng.standard_t(dof)) for c, dof in groups)
    # A single pair leaves long tails; where they end, no slurry is.
    return min(max(float(ph.n + off), 1.0), 13.0)


def read(ph: float, n: int, shared_u: float, rng: np.random.Generator) -> UFloat:
    """Make slurries of a pH under a calibration, and let the product say what comes of them."""
    sd = SLURRIES.sd * sqrt(SLURRIES.dof / rng.chisquare(SLURRIES.dof))
    jars = ph + shared_u * rng.standard_normal() + sd * rng.standard_normal(n)
    error = nameless(shared_u, "calibration")
    return slurry_ph(None, [jar + error for jar in np.clip(jars, 0.5, 13.5).tolist()]).ph


@pytest.mark.slow
@pytest.mark.parametrize("cell", CELLS.values(), ids=CELLS.keys())
def test_slurries_settle_what_a_probe_left_open_as_often_as_was_said(cell: Cell) -> None:
    advice = asked(judge(cell.corrected, *cell.limits), cell.question)
    assert (advice.action, advice.n) == (cell.action, cell.n)
    rng = np.random.default_rng([11, cell.n])
    low, high = cell.limits[0] if cell.question == "in range" else (cell.limits[1], inf)
    settled, right, halves = 0, 0, []
    for _ in range(SIZE):
        behind = truth(cell.corrected.ph, rng)
        found = read(behind, advice.n or 6, cell.shared_u, rng)
        answer = state(judge(found, *cell.limits), cell.question)
        halves.append(half_width(found))
        settled += answer != "not settled"
        right += answer == ("yes" if low <= behind <= high else "no")
    assert advice.p_settles is not None
    assert (advice.p_settles >= ADVICE_LIKELY.value) == (advice.action == "slurries")
    assert settled / SIZE == pytest.approx(advice.p_settles, abs=ALLOWED)
    assert np.median(halves) == pytest.approx(advice.expected_half_width, rel=0.10)
    # What settles a question does not settle it the wrong way.
    assert right / settled >= 0.95


def test_fewer_slurries_than_advised_are_not_likely_to_settle_it() -> None:
    corrected = CELLS["six pairs, about the range's edge"].corrected
    advice = asked(judge(corrected), RANGE)
    mean, u = moved(corrected.ph, corrected.slurries_share_u), corrected.slurries_share_u
    chances = [
        slurries_about(mean, n, (SLURRIES.sd, SLURRIES.dof), u).settles(corrected.ph.n, *USUAL[0])
        for n in range(1, advice.n + 1)
    ]
    assert all(chance < ADVICE_LIKELY.value for chance in chances[:-1])
    assert chances[-1] == advice.p_settles
    assert chances[-1] >= ADVICE_LIKELY.value


def test_what_pairs_shared_is_what_new_slurries_are_expected_to_share() -> None:
    """Of pairs that share nothing known, it is what is expected of pH values handed down."""
    assert under_one_calibration(0.03, Scatter(0.05, inf)).slurries_share_u == pytest.approx(0.03)
    apart = [ph + nameless(0.1, "its own") for ph in STICK[1]]
    assert compare(STICK[0], apart).correct(6.0).slurries_share_u == UNRECORDED_CALIBRATION.value


def test_nothing_is_advised_where_a_probe_settles_both() -> None:
    assert judge(compare([6.0, 6.2], [5.9, 6.1], Scatter(0.05, inf)).correct(6.0)).advice == ()
