"""The loop through the product's own record: each first task is the visit that the batches go on to.

What is left between them: jars are read to 0.01 and a mix to 0.001; a reading that is due at once is made a
day later; after a surprise the record asks for another jar first, and it asks something of a bed above its
range, which the mix of the loop could not bring down. What a record's days share is held to be its own.
"""

from __future__ import annotations

import datetime
import os
from dataclasses import dataclass, field

import numpy as np
import pytest

from slurrycalc.logbook.store import in_memory
from tests.worlds.loop import Rules, Turns
from tests.worlds.loop_truth import DAYS, WORLDS, Truth
from tests.worlds.on_record import EXCHANGES, FIRST, Record

BEDS = int(os.environ.get("LOOP_RECORDS", "2"))
"""A world; LOOP_RECORDS=20 is all of them."""
PLACES = ("tripled late", "season", "r 0.4, kept", "accelerating")
ONE = np.ones(1, dtype=bool)


@dataclass
class Followed:
    """What a keeper did who followed the record's first tasks."""

    read: int = 0
    parts: list[float] = field(default_factory=list)
    ahead: int = 0
    """Exchanges that were foreseen: not read within a week."""
    surprises: int = 0
    above: int = 0


def followed(world: str, seed: int, visits: int) -> Followed:
    """Follow the record's first tasks for some visits, and hold each to what the loop does then."""
    truth, found = Truth(WORLDS[world], np.random.default_rng([seed, 2026]), 1), Followed()
    with in_memory() as book:
        record, day, reads = Record(book), 0, True
        turns = Turns(1, Rules())
        for _ in range(visits):
            truth.on(np.array([day]))
            mean, squares = truth.read()
            today = FIRST + datetime.timedelta(days=day)
            if reads:
                half = float(np.sqrt(squares[0] / 2.0))
                record.read(today, [float(mean[0]) - half, float(mean[0]) + half])
                found.read += 1
            day, reads = visited(record, turns, truth, day, reads, found)
            if day >= DAYS:
                break
    return found


def visited(
    record: Record, turns: Turns, truth: Truth, day: int, reads: bool, found: Followed
) -> tuple[int, bool]:
    """Do as the record says after a reading, or on the turn of an exchange; give the next visit."""
    today, now = FIRST + datetime.timedelta(days=day), np.array([day])
    series = record.series(today)
    turns.u_shared = series.taught.u_shared
    acts = bool(turns.acts(series.taught.bed.on(today), now, reads & ONE, ONE)[0])
    task = record.first(today)
    if task.task == "mix-again":
        # The loop knows no surprise; here another jar comes first, a day later.
        found.surprises += 1
        return day + 1, True
    above = "above its range" in task.why  # nor a bed that its mix could not bring down
    found.above += above
    assert above or (task.task in EXCHANGES and task.on <= today) is acts, (day, task)
    if acts:
        true, mix = truth.mix()
        shown = np.round(mix, 3)
        ours, count = turns.parts(series.taught.bed.on(today), ONE, shown)
        part, wanted = record.exchange(today, float(shown[0]))
        if wanted is not None:
            assert wanted == pytest.approx(float(turns.wanted[0]), abs=1e-9)
        assert part == pytest.approx(float(ours[0]), abs=2e-3)
        truth.exchange(np.array([part]), true)
        turns.done(now, ONE, np.array([part]), count)
        found.parts.append(part)
        series, task = record.series(today), record.first(today)
    due, read_next = (each[0] for each in turns.next(series.taught.bed.on(today), now))
    found.ahead += acts and due - day > 7
    if above and not acts:
        return int(due), bool(read_next)
    on = max((task.on - FIRST).days, day + 1)
    assert (on, task.task not in EXCHANGES) == (int(due), bool(read_next)), (day, task)
    return on, task.task not in EXCHANGES


def test_the_record_says_what_the_loop_goes_by() -> None:
    assert followed("tripled late", 3, 6).read >= 5


@pytest.mark.slow
@pytest.mark.parametrize("world", PLACES if "LOOP_RECORDS" in os.environ else PLACES[:2])
def test_five_years_on_record_are_those_of_the_loop(world: str) -> None:
    found = [followed(world, seed, 200) for seed in range(BEDS)]
    assert all(each.parts for each in found)
    # Where much is exchanged, some of it is foreseen, on record as in the batches.
    assert sum(each.ahead for each in found) > 0 or world == "season"
