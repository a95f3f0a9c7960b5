"""An upkeep followed through the product's own record: planned, asked for by turns, read before each."""

from __future__ import annotations

import datetime
import os
from dataclasses import dataclass

import numpy as np
import pytest

from slurrycalc.data.assumed import FLOOR_CHANCE
from slurrycalc.day.months.retest import retest_of
from slurrycalc.logbook.store import in_memory
from slurrycalc.metrology.coverage import probability
from tests.worlds.loop_truth import DAYS, FLOOR, WORLDS, Truth
from tests.worlds.on_record import EXCHANGES, FIRST, Record

BEDS = int(os.environ.get("LOOP_RECORDS", "1"))
"""A world; LOOP_RECORDS=20 is all of them."""
PLACES = ("steady", "straight", "doubled at 18", "tripled late")


@dataclass
class Held:
    """What came of a bed whose keeper follows an upkeep beside the first tasks."""

    readings: int = 0
    turns: int = 0
    exchanges: int = 0
    unseen: bool = False


class Kept:
    """A bed whose keeper does what the first task says, and plans an upkeep when it is read."""

    def __init__(self, record: Record, truth: Truth) -> None:
        self.record, self.truth, self.found = record, truth, Held()

    def visit(self, day: int) -> int:
        """Come on a day, do what is asked for, and give the day of the next visit."""
        today = FIRST + datetime.timedelta(days=day)
        if not self.found.readings or self._above(today) or self._asks(today) not in (*EXCHANGES, "upkeep"):
            self._read(today)
            late = self.found.readings > 1 and self._asks(today) is None
            if late and not self.record.keeps_an_upkeep(today):
                self.record.plan_upkeep(today)
        asks = self._asks(today)
        if self._above(today):
            # The mix of these worlds could not bring it down.
            return max((retest_of(self.record.series(today)).by - FIRST).days, day + 1)
        if asks in EXCHANGES:
            true, mix = self.truth.mix()
            part, _ = self.record.exchange(today, round(float(mix[0]), 3))
            self.truth.exchange(np.array([part]), true)
            self.found.exchanges += 1
        elif asks == "upkeep":
            self._turn(today)
        return max((self.record.first(today).on - FIRST).days, day + 1)

    def _asks(self, today: datetime.date) -> str | None:
        """Give what is to be done by today, if anything."""
        task = self.record.first(today)
        return task.task if task.on <= today else None

    def _above(self, today: datetime.date) -> bool:
        return "above its range" in self.record.first(today).why

    def _read(self, today: datetime.date) -> None:
        mean, squares = self.truth.read()
        half = float(np.sqrt(squares[0] / 2.0))
        self.record.read(today, [float(mean[0]) - half, float(mean[0]) + half])
        self.found.readings += 1

    def _turn(self, today: datetime.date) -> None:
        part = self.record.plan_upkeep(today)
        if part is None:
            self.record.end_upkeep(today)
            return
        true, mix = self.truth.mix()
        self.record.done(today, part, round(float(mix[0]), 3))
        self.truth.exchange(np.array([part]), true)
        self.found.turns += 1


def held(world: str, seed: int, until: int = DAYS) -> Held:
    """Keep a bed of a world until a day."""
    truth, day, shown = Truth(WORLDS[world], np.random.default_rng([seed, 2027]), 1), 0, False
    with in_memory() as book:
        kept = Kept(Record(book), truth)
        while day < until:
            low, _ = truth.on(np.array([day]))
            kept.found.unseen |= bool(low[0]) and not shown
            due = kept.visit(day)
            level = kept.record.series(FIRST + datetime.timedelta(days=day)).taught.level()
            shown = probability(level, below=FLOOR) > FLOOR_CHANCE.value
            day = due
    return kept.found


def test_an_upkeep_on_record_is_asked_for_turn_by_turn() -> None:
    found = held("doubled at 18", 3, 900)
    assert found.turns >= 3
    assert not found.unseen


@pytest.mark.slow
@pytest.mark.parametrize("world", PLACES if "LOOP_RECORDS" in os.environ else PLACES[-1:])
def test_five_years_of_upkeep_on_record_are_as_those_of_the_batches(world: str) -> None:
    found = [held(world, seed) for seed in range(BEDS)]
    assert not any(each.unseen for each in found)
    assert sum(each.readings for each in found) <= 5.2 * 5.0 * len(found)
    turns = sum(each.turns for each in found) / len(found)
    assert turns <= 1.0 if world == "steady" else turns >= 4.0
