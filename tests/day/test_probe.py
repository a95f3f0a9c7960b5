"""What a probe's indication adds to the record, by the road that every step takes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurrycalc.data.shipped import shipped
from slurrycalc.day.bench.bench_day import bench_day
from slurrycalc.day.bench.probe import Indicated, compare_pairs, read_probe
from slurrycalc.day.bench.worksheet import read_worksheet
from slurrycalc.day.months.probed import age_of, bed_of_pairs, known_of
from slurrycalc.day.months.series import series_of
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.deciding.bed import level
from slurrycalc.logbook.past import pairs
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory
from slurrycalc.metrology.coverage import half_width, probability

BEGUN = datetime(2024, 5, 4, 10, 30, tzinfo=UTC)
WEEKS = {"two weeks on": 2, "past the day to read again": 30}
SLURRY = ("5.0", "5.1", "5.0", "5.2", "6.5", "6.6", "6.5", "6.4")
PROBES = {
    "honest": ("5.4", "5.6", "5.5", "5.5", "6.9", "7.1", "7.0", "6.7"),
    "unproven": ("5.4", "5.6", "5.5", "5.5"),
    "dead": ("6.0", "6.1", "6.0", "5.9", "6.1", "6.0", "6.0", "6.1"),
}


@cache
def room() -> Store:
    """A bench day of three cases, and three probes with pairs typed beside them."""
    book = in_memory()
    day, places = read_worksheet(shipped("examples", "reading-room.toml").read_bytes())
    keeper = Keeper(book, Step("run", When(BEGUN)), now=BEGUN)
    bench_day(day, places, keeper=keeper)
    keeper.record(book)
    for name, shows in PROBES.items():
        keeper = Keeper(book, Step("compare", When(BEGUN)), now=BEGUN, new=True)
        compare_pairs(list(zip(shows, SLURRY, strict=False)), keeper=keeper, probe=name)
        keeper.record(book)
    return book


def read(shows: float | list[float], probe: str, bed: str | None, weeks: int) -> Indicated:
    now = BEGUN + timedelta(weeks=weeks)
    keeper = Keeper(room(), Step("probe", When(now)), now=now, tries=True)
    several = shows if isinstance(shows, list) else [shows]
    return read_probe(several, keeper=keeper, probe=probe, enclosure=bed)


beds = st.sampled_from(["window", "atlas", None])
weeks = st.sampled_from(list(WEEKS.values()))


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(list(PROBES)), beds, weeks, st.lists(st.floats(3.0, 9.0), min_size=2, max_size=3))
def test_pairs_fixed_no_answer_falls_as_the_indication_rises(
    probe: str, bed: str | None, weeks: int, shown: list[float]
) -> None:
    found = [read(shows, probe, bed, weeks) for shows in sorted(shown)]
    for lower, higher in pairwise(found):
        assert lower.update is not None
        assert higher.update is not None
        assert lower.update.ph.n <= higher.update.ph.n + 1e-9
        assert lower.update.interval().low <= higher.update.interval().low + 1e-9
        chances = [probability(one.update.ph, above=5.0) for one in (lower, higher) if one.update]
        assert chances[0] <= chances[1] + 1e-9
        states = [one.judgement.above_floor.state == "yes" for one in (lower, higher) if one.judgement]
        assert states[0] <= states[1]


@settings(max_examples=30, deadline=None)
@given(beds, weeks, st.floats(3.0, 9.0))
def test_a_probe_that_does_not_follow_moves_nothing_and_may_ask_for_a_slurry(
    bed: str | None, weeks: int, shows: float
) -> None:
    found = read(shows, "dead", bed, weeks)
    assert found.update is not None
    assert found.judgement is not None
    assert (found.update.ph.n, found.update.ph.s) == (found.update.before.n, found.update.before.s)
    assert found.judgement.above_floor.state != "yes"
    assert not found.judgement.settled


@settings(max_examples=30, deadline=None)
@given(beds, weeks, st.floats(3.0, 9.0))
def test_a_probe_not_shown_to_follow_neither_raises_nor_narrows_nor_reassures(
    bed: str | None, weeks: int, shows: float
) -> None:
    found = read(shows, "unproven", bed, weeks)
    assert found.update is not None
    assert found.judgement is not None
    assert found.update.ph.n <= found.update.before.n
    assert half_width(found.update.ph) == half_width(found.update.before)
    assert found.judgement.above_floor.state != "yes"
    assert found.judgement.in_range.state != "yes"


def test_what_is_known_of_a_bed_is_what_its_months_teach() -> None:
    recall = Recall(room())
    atlas, on = recall.things.find("enclosure", "atlas"), (BEGUN + timedelta(weeks=2)).date()
    before, retest = known_of(recall, atlas, on, measurand="bed")
    series = series_of(recall, atlas)
    assert series is not None
    now = level(series.taught.bed, on)
    assert before.ph.n == pytest.approx(now.value)
    assert before.ph.s > now.u
    assert before.months == pytest.approx(14 / 30.4375)
    assert retest is not None
    assert not before.overdue
    spot, _ = known_of(recall, atlas, on)
    assert spot.ph.s**2 - before.ph.s**2 == pytest.approx(spot.spot_sd**2)
    later, _ = known_of(recall, atlas, retest.by + timedelta(days=1))
    assert later.overdue


def test_a_bed_is_as_it_was_known_on_the_day_and_a_new_one_as_beds_usually_are() -> None:
    recall = Recall(room())
    atlas = recall.things.find("enclosure", "atlas")
    assert not known_of(recall, atlas, (BEGUN - timedelta(days=1)).date()).before.recorded
    assert known_of(recall, None, BEGUN.date()).before.ph.n == 6.0


def test_the_calibration_that_bed_and_pairs_share_counts_once() -> None:
    recall = Recall(room())
    known = pairs(recall, recall.things.find("probe", "stick"))
    bed = bed_of_pairs(known)
    assert bed is not None
    assert bed.name == "atlas"
    assert age_of(known, (BEGUN + timedelta(days=30)).date()) == pytest.approx(30 / 30.4375)
    assert age_of(known, (BEGUN - timedelta(days=30)).date()) == 0.0


def test_past_the_day_to_read_again_a_probe_asks_for_a_slurry_first() -> None:
    late = read(6.5, "honest", "atlas", 30)
    assert late.judgement is not None
    assert late.judgement.above_floor.state == "not settled"
    assert [one.kind for one in late.judgement.doubts][:1] == ["slurry-first"]
    assert late.do == "mix a slurry at this spot and read it before you act on this."


def test_several_indications_of_a_day_are_about_the_bed_s_mean() -> None:
    one, three = read(6.3, "honest", "atlas", 2), read([6.2, 6.3, 6.4], "honest", "atlas", 2)
    assert one.update is not None
    assert three.update is not None
    assert (one.update.measurand, three.update.measurand) == ("spot", "bed")
    assert three.update.indication == pytest.approx(6.3)
    assert three.update.ph.s < one.update.ph.s


@pytest.mark.parametrize("shows", [5.6, 6.0, 6.4])
def test_a_probe_not_yet_proven_has_no_healthy_bed_treated_as_below_its_floor(shows: float) -> None:
    found = read(shows, "unproven", "atlas", 2)
    assert found.update is not None
    assert found.do is not None
    surely_above = probability(found.update.ph, above=5.0) >= 0.95
    assert surely_above
    assert "treat it as below" not in found.do
