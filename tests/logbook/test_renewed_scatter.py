"""An own past counts in full only since something was done after which jars may scatter otherwise."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from slurrycalc.data.events import EVENTS, SHIFTS
from slurrycalc.day.record.slurries import slurries
from slurrycalc.logbook.mend import undo
from slurrycalc.logbook.past import Expectation, expectation
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory
from slurrycalc.measuring.expected import SLURRIES
from slurrycalc.metrology.uncertain import Inputs
from tests.logbook.room import Kit, at, calibrate, furnish, read

QUIET = (5.97, 6.02, 5.99)


def months(book: Store, days: tuple[int, ...], shows: tuple[float, ...] = QUIET) -> Kit:
    kit = furnish(book)
    for day in days:
        _, calibration = calibrate(book, kit, at(day))
        read(book, kit, at(day), calibration, kit.atlas, shows)
    return kit


def done(
    book: Store, kit: Kit, day: int, kind: str, amount: float | None = None, unit: str | None = None
) -> str:
    step = Step("event", When(at(day, 12)))
    step.event(kit.atlas, kind, amount=amount, unit=unit)
    return str(record(book, step, at(day, 12)).id)


def known(book: Store, day: int) -> Expectation:
    recall = Recall(book, Inputs())
    return expectation(recall, recall.things.find("enclosure", "atlas"), at(day).date())


@pytest.mark.parametrize("kind", EVENTS)
def test_what_shifts_a_level_renews_the_scatter_and_nothing_else_does(book: Store, kind: str) -> None:
    kit = months(book, (0, 28, 56))
    before = known(book, 84)
    assert (before.own_days, before.older_days) == (3, 0)
    done(book, kit, 60, kind)
    now = known(book, 84)
    if kind not in SHIFTS:
        assert now == before
        return
    assert (now.own, now.own_days, now.older_days) == (None, 0, 3)
    # What is older counts with what is usual, for four at most.
    assert now.scatter == now.rest
    assert now.rest.dof == 4
    assert now.rest.sd < SLURRIES.sd


@pytest.mark.parametrize(
    ("amount", "unit", "renews"),
    [(33.0, "%", True), (20.0, "%", True), (15.0, "%", False), (5.0, "%", False), (2.0, "L", True)],
)
def test_an_exchange_renews_it_where_it_is_more_likely_another_than_not(
    book: Store, amount: float, unit: str, renews: bool
) -> None:
    # 1 - (1 - f)^4 passes 0.5 at f = 0.16; of 2 L in a bed of unknown size nobody knows the part.
    kit = months(book, (0, 28, 56))
    done(book, kit, 60, "exchange", amount, unit)
    assert known(book, 84).own_days == (0 if renews else 3)


def test_one_reads_first_and_then_acts(book: Store) -> None:
    kit = months(book, (0, 28, 56, 84))
    done(book, kit, 56, "calcium")
    # The day of the event was read before it: for itself its past counts, for later days it is older.
    assert known(book, 56).own_days == 2
    now = known(book, 84)
    assert (now.own_days, now.older_days) == (0, 3)
    later = known(book, 112)
    assert (later.own_days, later.older_days) == (1, 3)
    assert later.scatter.dof == 2 + 4


def test_an_event_that_was_struck_out_renews_nothing(book: Store) -> None:
    kit = months(book, (0, 28))
    entry = done(book, kit, 30, "charcoal")
    assert known(book, 56).own_days == 0
    undo(book, at(31), entry)
    assert known(book, 56).own_days == 2


def test_what_it_rests_on_is_said(book: Store) -> None:
    kit = months(book, (0, 28, 56, 84))
    done(book, kit, 40, "new-mix")
    recall = Recall(book, Inputs())
    read_on = slurries(recall, recall.things.find("enclosure", "atlas"), at(84).date())
    assert read_on is not None
    assert read_on.shares is not None
    assert (read_on.shares.own_days, read_on.shares.older_days) == (1, 2)
    assert "2 days of its own before it was changed and what is usual" in read_on.shares.text


def test_after_a_patchy_mix_an_old_small_scatter_is_no_longer_believed() -> None:
    """Nine quiet months, then a mix whose jars scatter by 0.2: the share of later days that are covered."""
    book = in_memory()
    kit = months(book, tuple(28 * i for i in range(9)), (5.95, 6.00, 6.05))
    believed = known(book, 260).scatter
    done(book, kit, 240, "new-mix")
    now = known(book, 260).scatter
    rng = np.random.default_rng(9)
    jars = rng.normal(0.0, 0.2, (20_000, 3))
    rss = ((jars - jars.mean(axis=1, keepdims=True)) ** 2).sum(axis=1)
    covered = []
    for each in (believed, now):
        dof = 2 + each.dof
        half = stats.t.ppf(0.975, dof) * np.sqrt((rss + each.dof * each.sd**2) / dof / 3)
        covered.append(float(np.mean(np.abs(jars.mean(axis=1)) <= half)))
    old, new = covered
    assert (old, new) == pytest.approx((0.57, 0.78), abs=0.02)
