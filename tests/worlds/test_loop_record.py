"""The loop through the product's own record: each answer is the one by which the batches go on."""

from __future__ import annotations

import datetime
import os

import numpy as np
import pytest

from slurrycalc.data.assumed import STAGE_SPACING
from slurrycalc.day.months.changing import BedGiven
from slurrycalc.day.months.drifting import DriftAsked
from slurrycalc.day.months.drifts import by_record
from slurrycalc.day.months.exchanging import StageSpread, plan_exchange
from slurrycalc.day.months.series import series_of
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory
from tests.worlds.loop import Rules, Told, parts, told
from tests.worlds.loop_truth import DAYS, MIX_READ, WORLDS, Truth

FIRST = datetime.date(2026, 1, 3)
BEDS = int(os.environ.get("LOOP_RECORDS", "3"))
"""A world; LOOP_RECORDS=20 is all of them."""


class Record:
    """One bed on a record in memory."""

    def __init__(self, book: Store) -> None:
        self.book = book
        kit = Step("kit", When.on(FIRST, datetime.UTC))
        self.bed = kit.thing("enclosure", "east", {"target": [5.4, 6.5], "floor": 5.0})
        self.meter = kit.thing("meter", "desk", {"shows": "pH"})
        self.bottles = [kit.thing("bottle", name, {"label": name}) for name in ("7.00", "4.01")]
        self.record(kit)

    def record(self, step: Step) -> None:
        now = datetime.datetime.combine(FIRST + datetime.timedelta(days=DAYS), datetime.time(), datetime.UTC)
        Keeper(self.book, step, now=now).record(self.book)

    def read(self, day: datetime.date, jars: list[float]) -> None:
        """Put a bench day on record: a calibration without an error, and the jars."""
        step = Step("run", When.on(day, datetime.UTC))
        under = step.calibration("pH", meter=self.meter)
        for bottle, shown in zip(self.bottles, (7.0, 4.01), strict=True):
            step.point(under, bottle, shown, 25.0)
        for ph in jars:
            step.reading(step.slurry(self.bed), under, round(ph, 2), 25.0)
        self.record(step)

    def exchange(self, day: datetime.date, part: float, mix: float) -> None:
        step = Step("event", When.on(day, datetime.UTC))
        event = step.event(self.bed, "exchange", amount=100.0 * part, unit="%")
        step.mix(event, None, mix, 1.96 * MIX_READ)
        self.record(step)

    def told(self, day: datetime.date) -> tuple[datetime.date, bool | None, Told]:
        """By when the product says to read, whether it asks for an exchange, and what the loop says of it.

        After a reading that surprises it asks for another jar before anything, which the loop does not know.
        """
        recall = Recall(self.book)
        found = by_record(recall, "east", DriftAsked(day))
        series = series_of(recall, recall.things.find("enclosure", "east"), until=day)
        assert series is not None
        bed = series.taught.bed
        first = found.outlook.asks
        asks = None if first is not None and first.need == "mix-again" else found.outlook.plan
        return found.retest.by, asks, told(
            bed.nodes, Rules(), series.taught.u_shared
        )  # fmt: skip

    def planned(self, day: datetime.date, mix: float) -> tuple[float | None, float, float]:
        """Part and pH wanted that the product plans, and the part by which the loop goes on."""
        recall = Recall(self.book)
        step = Step("exchange", When.on(day, datetime.UTC))
        keeper = Keeper(self.book, step, now=datetime.datetime.combine(day, datetime.time(), datetime.UTC))
        line = BedGiven(fresh=f"{mix!r}+-{1.96 * MIX_READ!r}")
        plan = plan_exchange(line, None, StageSpread(), day, keeper=keeper, enclosure="east").exchange
        assert plan is not None
        series = series_of(recall, recall.things.find("enclosure", "east"), until=day)
        assert series is not None
        ours, _ = parts(
            series.taught.bed.on(day), np.array([plan.wanted]), np.array([mix]), series.taught.u_shared
        )
        return (plan.stages[0].fraction if plan.stages else None), plan.wanted, float(ours[0])


def followed(world: str, seed: int, visits: int) -> int:
    """Follow the product's own answers for some visits, and hold each to the loop's; count exchanges."""
    random = np.random.default_rng([seed, 2026])
    truth, done = Truth(WORLDS[world], random, 1), 0
    with in_memory() as book:
        record, day = Record(book), 0
        waits, exchanged = False, -1000
        for _ in range(visits):
            truth.on(np.array([day]))
            mean, squares = truth.read()
            half = float(np.sqrt(squares[0] / 2.0))
            today = FIRST + datetime.timedelta(days=day)
            record.read(today, [float(mean[0]) - half, float(mean[0]) + half])
            by, asks, says = record.told(today)
            at_once = bool(says.chance[0] > 0.05)
            assert asks in (None, bool(says.asks[0]))
            asks = bool(says.asks[0])
            # The screen names the next bench day where it is at once.
            assert (by - today).days == (0 if at_once else int(says.wait[0]))
            waits = day - exchanged < STAGE_SPACING.value
            day += int(says.wait[0])
            if asks and not waits:
                true, mix = truth.mix()
                shown = round(float(mix[0]), 3)
                part, wanted, ours = record.planned(today, shown)
                if part is None:
                    assert bool(says.enough[0])
                    continue
                assert wanted == pytest.approx(float(says.least[0]), abs=1e-9)
                assert part == pytest.approx(ours, abs=2e-3)
                truth.exchange(np.array([part]), true)
                record.exchange(today, part, shown)
                exchanged, day, done = int(truth.now[0]), int(truth.now[0]) + 7, done + 1
            if day >= DAYS:
                break
    return done


def test_the_record_says_what_the_loop_goes_by() -> None:
    assert followed("tripled late", 3, 6) >= 0


@pytest.mark.slow
@pytest.mark.parametrize("world", ["tripled late", "season"])
def test_five_years_on_record_are_those_of_the_loop(world: str) -> None:
    assert sum(followed(world, seed, 200) for seed in range(BEDS)) >= BEDS
