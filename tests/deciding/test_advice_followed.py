"""What would settle an open question, followed to the letter: it settles it as often as was said.

Each cell is one bench day that leaves a question open. The truth behind it is drawn from what its result
says: the scatter from its degrees of freedom, the enclosure's pH about the mean of the jars, and behind each
shared error of the budget (bottles, thermometer, indications, junction, drift) one of the size and shape that
its source states, with the electrode that then must have shown what was shown. No other truth would do: the
chance that is named is the chance by what is known that day. The advice is then followed with raw readings,
which the product turns into a new result and a new answer.

A share of 800 has a sampling error of 0.018 at most: nearly three of them are allowed, 0.05, and of fewer as
many errors. ``ADVICE_FOLLOWED`` says how often an advice is followed (800 in full).
"""

from __future__ import annotations

import datetime
import os
from dataclasses import dataclass
from functools import cached_property
from math import inf, sqrt

import numpy as np
import pytest

from slurrycalc.day.bench.bench_day import bench_day
from slurrycalc.day.bench.places import LinePlaces
from slurrycalc.day.bench.worksheet import Day, JarEntry, MeterEntry, PointEntry
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.deciding.judgement import Judgement, judge
from slurrycalc.logbook.past import expectation
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory
from slurrycalc.measuring.electrode import Calibration, Meter, calibrate, nernst_slope
from slurrycalc.measuring.electrode.buffers import Bottle, buffer_ph
from slurrycalc.measuring.electrode.meter import Shows
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.slurry import SlurryResult, slurry_ph
from slurrycalc.measuring.slurry.advice import Action, Advice, Question
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.uncertain import Inputs

SIZE = int(os.environ.get("ADVICE_FOLLOWED", "300"))
ALLOWED = 0.05 * sqrt(800 / SIZE)
"""Of the share that is settled about the chance that was named, as planned."""
ROOM = 21.0
"""Temperature as read. [degC]"""
TOLERANCE, THERMOMETER = 0.02, 1.0
STEP = {"mV": 0.1, "pH": 0.01}
REPEATABILITY = {"mV": 0.3, "pH": 0.01}
ZERO = {"mV": 2.0, "pH": 7.03}
RENEWED = {"mV": 3.0, "pH": 0.05}
"""How far the zero may wander until another day."""
FARTHEST = {"mV": (-490.0, 490.0), "pH": (0.5, 13.5)}
"""Beyond it, nobody would take a reading for one; the longest tails of a scatter get there."""
PAIR = ("4.01", "7.00")
THIRD = "10.01"
USUAL = ((5.4, 6.5), 5.0)


def gain(shows: Shows, temperature: float) -> float:
    return -nernst_slope(temperature) if shows == "mV" else 1.0


def display(shows: Shows, value: float) -> float:
    low, high = FARTHEST[shows]
    return min(max(round(value / STEP[shows]) * STEP[shows], low), high)


@dataclass(frozen=True)
class Today:
    """A bench day: what was read, and what is known beforehand."""

    shows: Shows
    jars: tuple[float, ...]
    """About the pH that each jar reads."""
    expected: Expected = DEFAULT
    junction: float = 0.02
    drifted: float = 0.0
    """Of the display, until the close, in what it shows; 0 for a day without a close."""
    points: tuple[float, ...] = ()
    """As shown; by default about what an ideal meter would show."""
    readings: tuple[float, ...] = ()

    def about(self, ph: float) -> float:
        return display(self.shows, ZERO[self.shows] + 0.99 * gain(self.shows, ROOM) * (ph - 7.0))

    @cached_property
    def shown(self) -> tuple[float, ...]:
        return self.points or tuple(self.about(buffer_ph(label, ROOM)) for label in PAIR)

    @cached_property
    def read(self) -> tuple[float, ...]:
        return self.readings or tuple(self.about(ph) for ph in self.jars)

    @cached_property
    def cal(self) -> Calibration:
        cal = self.calibrated(PAIR, self.shown)
        if not self.drifted:
            return cal
        return cal.close(Bottle("7.00", name="7.00"), self.shown[1] + self.drifted, ROOM)

    @cached_property
    def result(self) -> SlurryResult:
        return slurry_ph(self.cal, self.read, ROOM, expected=self.expected)

    def calibrated(self, labels: tuple[str, ...], shown: tuple[float, ...]) -> Calibration:
        points = [(Bottle(b, name=b), at, ROOM) for b, at in zip(labels, shown, strict=True)]
        return calibrate(points, Meter(self.shows, junction=self.junction, name="desk"), inputs=Inputs())


@dataclass(frozen=True)
class Nature:
    """What is behind a bench day."""

    shows: Shows
    rng: np.random.Generator
    truth: float
    """The enclosure's pH."""
    sd: float
    """Scatter of its slurries, without the meter's. [pH]"""
    off: float
    """Of the thermometer. [degC]"""
    bottles: dict[str, float]
    junction: float
    drift: float
    zero: float
    efficiency: float

    def display(self, ph: float) -> float:
        """What the meter shows in a solution."""
        value = self.zero + self.efficiency * gain(self.shows, ROOM + self.off) * (ph - 7.0)
        return display(self.shows, value + self.rng.normal(0.0, REPEATABILITY[self.shows]))

    def buffer(self, label: str) -> float:
        return self.display(buffer_ph(label, ROOM + self.off) + self.bottles[label])

    def jars(self, n: int) -> list[float]:
        each = self.truth + self.junction + self.drift + self.sd * self.rng.standard_normal(n)
        return [self.display(ph) for ph in each.tolist()]

    def another_day(self) -> Nature:
        """The same bed, bottles, thermometer and junction; an electrode that has wandered, and no drift."""
        zero = self.zero + self.rng.normal(0.0, RENEWED[self.shows])
        efficiency = self.efficiency + self.rng.normal(0.0, 0.005)
        here = (self.shows, self.rng, self.truth, self.sd, self.off, self.bottles, self.junction)
        return Nature(*here, 0.0, zero, efficiency)


def errors(rng: np.random.Generator) -> tuple[float, dict[str, float]]:
    """Thermometer and bottles, each anywhere within its tolerance."""
    off = float(rng.uniform(-THERMOMETER, THERMOMETER))
    return off, {label: float(rng.uniform(-TOLERANCE, TOLERANCE)) for label in (*PAIR, THIRD)}


def behind(today: Today, rng: np.random.Generator) -> Nature:
    """Draw what may be behind a bench day, by what its result says."""
    shows, result = today.shows, today.result
    off, bottles = errors(rng)
    junction = float(rng.normal(0.0, today.junction)) if today.junction else 0.0
    drift = 0.0 if today.cal.drift is None else float(rng.normal(0.0, today.cal.drift.u))

    def meant(shown: float) -> float:
        """What was there to be shown, before it was rounded and wavered."""
        return shown - float(rng.normal(0.0, REPEATABILITY[shows]) + rng.uniform(-0.5, 0.5) * STEP[shows])

    ideal = gain(shows, ROOM + off)
    x = [ideal * (buffer_ph(label, ROOM + off) + bottles[label] - 7.0) for label in PAIR]
    y = [meant(point) for point in today.shown]
    efficiency = (y[1] - y[0]) / (x[1] - x[0])
    zero = y[0] - efficiency * x[0]
    n, dof = result.n, result.scatter_dof
    sd = result.scatter_sd * (1.0 if dof == inf else sqrt(dof / rng.chisquare(dof)))
    # Of several jars the scatter holds what the meter wavers by, of a single one it does not.
    read = [meant(today.read[0])] if n == 1 else list(today.read)
    jars = [(each - zero) / (efficiency * ideal) + 7.0 - junction - drift for each in read]
    truth = float(np.mean(jars)) - sd / sqrt(n) * float(rng.standard_normal())
    waver = (REPEATABILITY[shows] ** 2 + STEP[shows] ** 2 / 12.0) / (0.99 * gain(shows, ROOM)) ** 2
    own = sd if n == 1 else sqrt(max(sd**2 - waver, 0.0))
    return Nature(shows, rng, truth, own, off, bottles, junction, drift, zero, efficiency)


def follow(today: Today, nature: Nature, action: Action, n: int, another: Expected) -> SlurryResult:
    """Do what was advised, and let the product say what comes of it."""
    if action == "slurries":
        return slurry_ph(today.cal, [*today.read, *nature.jars(n)], ROOM, expected=today.expected)
    if action == "buffer":
        cal = today.calibrated((*PAIR, THIRD), (*today.shown, nature.buffer(THIRD)))
        return slurry_ph(cal, today.read, ROOM, expected=today.expected)
    then = nature.another_day()
    cal = today.calibrated(PAIR, tuple(then.buffer(label) for label in PAIR))
    return slurry_ph(cal, then.jars(n), ROOM, expected=another)


NAME = "atlas"
NOON = datetime.datetime(2024, 5, 4, 12, tzinfo=datetime.UTC)
A_WEEK = datetime.timedelta(days=7)


def recorded(today: Today) -> tuple[Store, Recall]:
    """Put a day on record, as read with an enclosure's name."""
    book = in_memory()
    keeper = Keeper(book, Step("run", When(NOON)), now=NOON, new=True, inputs=Inputs())
    meter = keeper.thing("meter", "desk", fresh={"shows": today.shows, "junction": today.junction})
    under = keeper.step.calibration(today.shows, meter=meter.uid)
    for label, shown in zip(PAIR, today.shown, strict=True):
        bottle = keeper.thing("bottle", f"the {label}", fresh={"label": label})
        keeper.step.point(under, bottle.uid, shown, ROOM)
    enclosure = keeper.thing("enclosure", NAME)
    for shown in today.read:
        keeper.step.reading(keeper.step.slurry(enclosure.uid), under, shown, ROOM)
    keeper.record(book)
    return book, Recall(book, Inputs())


def another_day_expects(today: Today, *, on_record: bool) -> Expected:
    """What the scatter is expected to be a week later."""
    if not on_record or today.expected is not DEFAULT:
        return today.expected
    _, recall = recorded(today)
    return expectation(recall, recall.things.find("enclosure", NAME), (NOON + A_WEEK).date()).scatter


def state(standing: Judgement, question: Question) -> str:
    return (standing.in_range if question == "in range" else standing.above_floor).state


@dataclass(frozen=True)
class Followed:
    """What came of following an advice many times."""

    settled: float
    """Share."""
    half_width: float
    """Median. [pH]"""
    right: float
    """Share of what was settled that is so."""


def followed(
    today: Today,
    limits: tuple[tuple[float, float], float],
    question: Question,
    action: Action,
    n: int,
    another: Expected,
) -> Followed:
    rng = np.random.default_rng([8, len(today.jars), n])
    low, high = limits[0] if question == "in range" else (limits[1], inf)
    settled, right, halves = 0, 0, []
    for _ in range(SIZE):
        nature = behind(today, rng)
        found = follow(today, nature, action, n, another)
        # Of a bare pH only the answers are asked, and not what would settle it next.
        answer = state(judge(found.ph, *limits), question)
        halves.append(half_width(found.ph))
        settled += answer != "not settled"
        right += answer == ("yes" if low <= nature.truth <= high else "no")
    return Followed(settled / SIZE, float(np.median(halves)), right / max(settled, 1))


def asked(standing: Judgement, question: Question) -> Advice:
    (advice,) = (each for each in standing.advice if each.question == question)
    return advice


@dataclass(frozen=True)
class Cell:
    """A bench day with an open question, and what is advised for it."""

    today: Today
    question: Question
    action: Action
    n: int
    limits: tuple[tuple[float, float], float] = USUAL
    on_record: bool = False


FLOOR: Question = "above floor"
RANGE: Question = "in range"
KNOWN = Scatter(0.05, 10)
"""As an enclosure's own history may have it."""

CELLS = {
    "one slurry, mV, near the floor": Cell(Today("mV", (5.20,)), FLOOR, "slurries", 1),
    "one slurry, pH, nearer the floor": Cell(Today("pH", (5.11,)), FLOOR, "slurries", 3),
    "two slurries, mV, above the floor": Cell(Today("mV", (5.04, 5.12)), FLOOR, "slurries", 4),
    "two slurries, pH, below the floor": Cell(Today("pH", (4.84, 4.96)), FLOOR, "slurries", 2),
    "two slurries, mV, inside the edge": Cell(Today("mV", (5.45, 5.53)), RANGE, "slurries", 2),
    "two slurries, mV, in a narrow range": Cell(
        Today("mV", (5.55, 5.65)), RANGE, "slurries", 1, ((5.42, 5.78), 5.0)
    ),
    "three slurries, pH, outside the upper edge": Cell(
        Today("pH", (6.48, 6.58, 6.68)), RANGE, "slurries", 4
    ),
    "three slurries, mV, alone": Cell(Today("mV", (5.0, 5.06, 5.15), None), FLOOR, "slurries", 4),
    "two slurries, pH, of a known enclosure": Cell(
        Today("pH", (5.01, 5.09), KNOWN), FLOOR, "slurries", 5
    ),
    "two slurries, mV, of a stated scatter": Cell(
        Today("mV", (5.05, 5.07), Scatter(0.05, inf)), FLOOR, "slurries", 1
    ),
    "a third buffer, pH": Cell(
        Today("pH", (6.9, 6.98), Scatter(0.01, inf), junction=0.0), RANGE, "buffer", 0, ((5.0, 6.965), 5.0)
    ),
    "a third buffer, mV": Cell(
        Today("mV", (6.9, 6.96), Scatter(0.005, inf), junction=0.0), RANGE, "buffer", 0, ((5.0, 6.95), 5.0)
    ),
    "another day after a drift, mV": Cell(
        Today("mV", (5.08, 5.18), drifted=8.0), FLOOR, "day", 3, on_record=True
    ),
    "another day after a drift, pH, off the record": Cell(
        Today("pH", (5.03, 5.13), drifted=0.12), FLOOR, "day", 5
    ),
    "another day of one slurry, pH, of a known enclosure": Cell(
        Today("pH", (5.10, 5.16), KNOWN, drifted=-0.18), FLOOR, "day", 1
    ),
    "another day after one slurry and a drift, mV": Cell(
        Today("mV", (5.05,), drifted=-12.0), FLOOR, "day", 4, on_record=True
    ),
}


@pytest.mark.slow
@pytest.mark.parametrize("cell", CELLS.values(), ids=CELLS.keys())
def test_it_settles_as_often_as_was_said(cell: Cell) -> None:
    standing = judge(cell.today.result, *cell.limits, on_record=cell.on_record)
    advice = asked(standing, cell.question)
    assert (advice.action, advice.n) == (cell.action, cell.n)
    another = another_day_expects(cell.today, on_record=cell.on_record)
    found = followed(cell.today, cell.limits, cell.question, advice.action, advice.n, another)
    assert advice.p_settles is not None
    assert found.settled == pytest.approx(advice.p_settles, abs=ALLOWED)
    assert found.half_width == pytest.approx(advice.expected_half_width, rel=0.10)
    # What is likely to settle a question does not settle it the wrong way.
    assert found.right >= 0.95


@pytest.mark.slow
@pytest.mark.parametrize(
    ("today", "doing", "action"),
    [
        (Today("mV", (5.02, 5.10)), "even six more slurries would", "slurries"),
        (Today("pH", (5.0, 5.02)), "even another day with six slurries would", "day"),
    ],
    ids=["more slurries", "another day"],
)
def test_where_nothing_is_likely_to_the_most_settles_it_as_seldom_as_was_said(
    today: Today, doing: str, action: Action
) -> None:
    advice = asked(judge(today.result, *USUAL, on_record=True), FLOOR)
    assert (advice.action, advice.n) == ("nothing", 0)
    assert doing in advice.text
    another = another_day_expects(today, on_record=True)
    found = followed(today, USUAL, FLOOR, action, 6, another)
    assert advice.p_settles is not None
    assert found.settled == pytest.approx(advice.p_settles, abs=ALLOWED)
    assert found.half_width == pytest.approx(advice.expected_half_width, rel=0.10)


def nature_of(shows: Shows, rng: np.random.Generator) -> Nature:
    """Any enclosure about the floor, with the scatter that is expected of one, and any bench."""
    off, bottles = errors(rng)
    sd = 0.10 * sqrt(2.0 / rng.chisquare(2))
    truth, junction = float(rng.uniform(4.4, 5.6)), float(rng.normal(0.0, 0.02))
    zero, efficiency = ZERO[shows] + float(rng.normal(0.0, RENEWED[shows])), float(rng.uniform(0.96, 1.01))
    return Nature(shows, rng, truth, sd, off, bottles, junction, 0.0, zero, efficiency)


@pytest.mark.slow
def test_over_any_bench_days_the_share_is_what_was_said_of_each() -> None:
    rng, size = np.random.default_rng(9), 3 * SIZE // 4
    said: list[float] = []
    settled: list[bool] = []
    while len(said) < size:
        nature = nature_of("pH", rng)
        points = tuple(nature.buffer(label) for label in PAIR)
        today = Today("pH", (), points=points, readings=tuple(nature.jars(2)))
        if state(judge(today.result.ph, *USUAL), FLOOR) != "not settled":
            continue
        standing = judge(today.result, *USUAL)
        if standing.doubts:
            # Under a meter in doubt nothing is advised but to see to it first.
            assert not standing.advice
            continue
        advice = asked(standing, FLOOR)
        assert advice.p_settles is not None
        action, n = advice.action, advice.n
        if action == "nothing":
            action, n = ("day" if "another day" in advice.text else "slurries"), 6
        then = follow(today, nature, action, n, DEFAULT)
        said.append(advice.p_settles)
        settled.append(state(judge(then.ph, *USUAL), FLOOR) != "not settled")
    assert np.mean(settled) == pytest.approx(np.mean(said), abs=ALLOWED)


def test_another_day_is_answered_by_its_own_slurries_and_the_scatter_on_record() -> None:
    today = Today("pH", (5.05, 5.21))
    book, recall = recorded(today)
    later = NOON + A_WEEK
    keeper = Keeper(book, Step("read", When(later)), now=later, inputs=Inputs())
    cal = today.calibrated(PAIR, today.shown)
    day = Day(
        meter=MeterEntry(shows="pH"),
        points=tuple(
            PointEntry(buffer=b, shows=at, temperature=ROOM) for b, at in zip(PAIR, today.shown, strict=True)
        ),
        jars=tuple(JarEntry(enclosure=NAME, shows=shows, temperature=ROOM) for shows in (5.02, 5.05)),
    )
    (found,) = bench_day(day, LinePlaces(buffers=PAIR), keeper=keeper).enclosures
    known = expectation(recall, recall.things.find("enclosure", NAME), later.date()).scatter
    alone = slurry_ph(cal, ["5.02", "5.05"], ROOM, expected=known)
    assert (found.slurry.n, found.earlier) == (2, 0)
    assert found.slurry.ph.n == pytest.approx(alone.ph.n, abs=1e-9)
    # What was said of it beforehand: today's scatter, with what it is worth.
    assert known.dof == today.result.footing.scatter_dof
    assert known.sd == pytest.approx(today.result.footing.scatter_sd, rel=0.02)
