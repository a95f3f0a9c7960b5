"""Salts that an upkeep holds, from the record of a bed and of its fresh mix."""

from __future__ import annotations

import datetime

import pytest

from slurrycalc.day.months.changing import BedGiven
from slurrycalc.day.months.holding import Holding, UpkeepPlanned, plan_upkeep
from slurrycalc.day.months.salts import salts_series
from slurrycalc.logbook.mend import undo
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.store import Store, in_memory
from slurrycalc.metrology.uncertain import Inputs
from tests import example_record as example

ASKED = datetime.date(2025, 10, 20)


@pytest.fixture
def book() -> Store:
    return example.build(in_memory())


PLAIN = Holding()


def held(book: Store, holding: Holding = PLAIN, name: str = "atlas") -> UpkeepPlanned:
    return plan_upkeep(BedGiven(), holding, ASKED, recall=Recall(book, Inputs()), enclosure=name)


@pytest.mark.slow
def test_the_record_s_salts_are_held_with_ph_as_if_they_were_on_the_line(book: Store) -> None:
    both = held(book)
    assert any(line.startswith("Salts: they rise by 21 ± ") for line in both.basis)
    assert any("from memory" in line for line in both.basis if line.startswith("Limit of salts"))
    assert both.upkeep.even is not None
    assert both.upkeep.even.salts is not None
    typed = Holding(salt_rise="21.3+-19 uS/cm", fresh_salts="0.28+-0.08 mS/cm", salt_limit="1.25 mS/cm")
    again = held(book, typed)
    assert again.upkeep.fraction == pytest.approx(both.upkeep.fraction, abs=0.01)
    assert not [line for line in again.basis if line.startswith(("Salts", "Limit of salts"))]


def test_the_first_cycles_begin_at_the_salts_of_the_record(book: Store) -> None:
    plan = held(book).upkeep.even
    series = salts_series(Recall(book, Inputs()), Recall(book).things.find("enclosure", "atlas"), until=ASKED)
    assert plan is not None
    assert series is not None
    assert series.line is not None
    now, f = series.line.level(series.last).n, plan.fraction
    mix = 280.0
    first = plan.cycles[0].salts
    assert first == pytest.approx(now + f * (mix - now) + 3.0 * series.line.per_month.n, abs=1.0)


def test_a_rise_that_is_not_shown_may_still_be_one_and_is_held(book: Store) -> None:
    asked = datetime.date(2025, 5, 1)
    recall = Recall(book, Inputs())
    series = salts_series(recall, recall.things.find("enclosure", "atlas"), until=asked)
    assert series is not None
    assert series.line is not None
    assert not series.line.shown()
    holding = Holding(fresh_salts="0.28+-0.08 mS/cm")
    line = BedGiven(fresh="6.6+-0.1")
    plan = plan_upkeep(line, holding, asked, recall=recall, enclosure="atlas")
    assert plan.upkeep.even is not None
    assert plan.upkeep.even.salts is not None


@pytest.mark.slow
def test_what_the_line_says_of_salts_wins_over_the_record(book: Store) -> None:
    usual, strict = held(book), held(book, Holding(salt_limit="1.15 mS/cm"))
    assert usual.upkeep.assured_fraction is not None
    assert strict.upkeep.assured_fraction is not None
    assert strict.upkeep.assured_fraction > usual.upkeep.assured_fraction
    assert not [line for line in strict.basis if line.startswith("Limit of salts")]


def test_without_salts_of_the_fresh_mix_it_holds_ph_only_and_says_which_to_read(book: Store) -> None:
    mix = Recall(book).things.find("enclosure", "leaf mix")
    (entry,) = {row[0] for row in book.rows("SELECT entry FROM conductivity WHERE enclosure = ?", (mix.id,))}
    undo(book, example.WRITTEN, str(entry))
    plan = held(book)
    assert plan.upkeep.even is not None
    assert plan.upkeep.even.salts is None
    assert plan.upkeep.even.decided_by == "floor"
    (said,) = [remark.text for remark in plan.remarks if remark.kind == "fresh-salts-unknown"]
    assert "slurrycalc salts READING --enclosure 'leaf mix'" in said


def test_a_bed_whose_salts_were_never_read_is_held_by_its_ph(book: Store) -> None:
    plan = held(book, name="window")
    assert plan.upkeep.even is not None
    assert plan.upkeep.even.salts is None
    assert plan.upkeep.even.decided_by == "floor"
    assert not [remark for remark in plan.remarks if "salts" in remark.kind]
