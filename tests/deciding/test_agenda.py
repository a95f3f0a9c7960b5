"""What a bed asks for first, in the order of need, and what it takes the place of."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurrycalc.deciding.agenda import BedState, Rank, asked_by, read_for
from slurrycalc.deciding.due import InUse, due
from slurrycalc.deciding.trend import read_first, unknown
from slurrycalc.deciding.trend.crossing import Retest

TODAY = date(2024, 6, 1)
AHEAD = Retest(TODAY + timedelta(days=60), "limit", "")
STAGE = TODAY + timedelta(days=9)
UNREAD = read_first(
    "it", date(2023, 1, 1), date(2023, 6, 1), str(unknown(date(2023, 1, 1), [], TODAY)), TODAY
)


@pytest.mark.parametrize(
    ("state", "stage", "need", "rank"),
    [
        (BedState(0.99, 0.99, 0.0, doubt="meter"), None, "meter", Rank.BENCH),
        (BedState(0.99, 0.99, 0.0, doubt="bench"), STAGE, "bench", Rank.BENCH),
        (BedState(0.96, 1.0, 0.0), None, "exchange", Rank.BELOW_FLOOR),
        (BedState(0.30, 0.99, 0.0), None, "exchange", Rank.PERHAPS_BELOW),
        (BedState(0.06, 0.70, 0.0), None, "exchange", Rank.PERHAPS_BELOW),
        (BedState(0.06, 0.45, 0.0), None, "retest", Rank.PERHAPS_BELOW),
        (BedState(0.06, 0.45, 0.0), STAGE, "retest", Rank.PERHAPS_BELOW),
        (BedState(0.01, 0.51, 0.0), None, "exchange", Rank.BELOW_RANGE),
        (BedState(0.00, 0.00, 0.9), None, "exchange", Rank.ABOVE_RANGE),
        (BedState(0.01, 0.90, 0.0), STAGE, "exchange-stage", Rank.BELOW_RANGE),
        (BedState(0.00, 0.10, 0.0), STAGE, "exchange-stage", Rank.PLANNED),
        (BedState(0.00, 0.10, 0.0, surprise=True), STAGE, "mix-again", Rank.READ),
        (BedState(0.97, 1.00, 0.0, surprise=True), None, "mix-again", Rank.BELOW_FLOOR),
        (BedState(0.00, 0.50, 0.0), None, None, None),
        (BedState(0.0, 0.0, 0.0, first=UNREAD), STAGE, None, None),
        (BedState(0.06, 0.90, 0.0, unread=True), STAGE, None, None),
        (BedState(0.06, 0.45, 0.0, unread=True), None, None, None),
    ],
)
def test_what_comes_first_takes_the_place_of_the_rest(
    state: BedState, stage: date | None, need: str | None, rank: Rank | None
) -> None:
    asked = asked_by(state, TODAY, stage)
    assert (None if asked is None else asked.need, None if asked is None else asked.rank) == (need, rank)


@pytest.mark.parametrize(
    ("state", "stage", "need"),
    [
        (BedState(0.0, 0.1, 0.0), None, "upkeep"),
        (BedState(0.0, 0.6, 0.0), None, "exchange"),
        (BedState(0.0, 0.1, 0.9), None, "exchange"),
        (BedState(0.06, 0.4, 0.0), None, "retest"),
        (BedState(0.0, 0.1, 0.0), STAGE, "exchange-stage"),
        (BedState(0.0, 0.1, 0.0, surprise=True), None, "mix-again"),
        (BedState(0.0, 0.1, 0.0, unread=True), None, None),
        (BedState(0.0, 0.1, 0.0, doubt="meter"), None, "meter"),
    ],
)
def test_the_turn_of_an_upkeep_comes_after_what_a_bed_needs(
    state: BedState, stage: date | None, need: str | None
) -> None:
    asked = asked_by(state, TODAY, stage, upkeep=TODAY)
    assert (None if asked is None else asked.need) == need
    rests = TODAY + timedelta(days=5)
    late = asked_by(state, TODAY, stage, rests=rests, upkeep=TODAY)
    assert need != "upkeep" or (late is not None and late.on == rests)


def test_a_bed_is_read_for_its_turn_within_the_week_before_it_or_since() -> None:
    week, more = TODAY - timedelta(days=7), TODAY - timedelta(days=8)
    assert [read_for(TODAY, day) for day in (None, more, week, TODAY)] == [False, False, True, True]


CHANCES = st.floats(0.0, 1.0)


@given(CHANCES, CHANCES, CHANCES, st.booleans(), st.booleans())
def test_the_lower_a_bed_may_lie_the_more_it_matters(
    floor: float, more: float, above: float, planned: bool, odd: bool
) -> None:
    stage = STAGE if planned else None
    low, high = sorted((floor, more))
    one, other = (asked_by(BedState(each, each, above, surprise=odd), TODAY, stage) for each in (low, high))
    if one is not None and above <= 0.5:
        assert other is not None
        assert other.rank <= one.rank


def bed(name: str, state: BedState | None, **more: object) -> InUse:
    return InUse(name, TODAY - timedelta(days=20), AHEAD, state=state, **more)  # type: ignore[arg-type]


def test_what_is_to_be_done_by_today_comes_first_by_how_much_it_matters_and_not_by_its_age() -> None:
    litter = {"leaf-litter": TODAY - timedelta(days=200)}
    beds = [
        bed("quiet", BedState(0.0, 0.0, 0.0), last=litter),
        bed("range", BedState(0.0, 0.8, 0.0)),
        bed("floor", BedState(0.99, 1.0, 0.0)),
    ]
    found = [(item.subject, item.task, item.days <= 0) for item in due(beds, TODAY).items]
    assert found == [
        ("floor", "exchange", True),
        ("range", "exchange", True),
        ("quiet", "leaf-litter", True),
        ("floor", "retest", False),
        ("quiet", "retest", False),
        ("range", "retest", False),
    ]


def test_tending_waits_for_the_exchange_and_a_stage_for_what_is_to_be_found_out() -> None:
    litter = {"leaf-litter": TODAY - timedelta(days=200)}
    (exchange, tending, _) = due([bed("atlas", BedState(0.0, 0.8, 0.0), last=litter)], TODAY).items
    assert (exchange.task, tending.task, tending.days) == ("exchange", "leaf-litter", 7)
    assert "after the exchange" in tending.why
    stages = (TODAY, TODAY + timedelta(days=28))
    late = bed("atlas", BedState(0.0, 0.0, 0.0, doubt="meter"), stages=stages)
    assert [(item.task, item.days) for item in due([late], TODAY).items] == [
        ("meter", 0),
        ("exchange-stage", 0),
        ("exchange-stage", 28),
    ]
    assert [item.rank for item in due([late], TODAY).items][:2] == [Rank.BENCH, Rank.TEND]
    planned = bed("atlas", BedState(0.0, 0.1, 0.0), stages=stages)
    assert [(item.task, item.days) for item in due([planned], TODAY).items] == [
        ("exchange-stage", 0),
        ("exchange-stage", 28),
        ("retest", 60),
    ]


def test_a_stage_waits_until_the_exchange_before_it_is_read_though_that_is_foreseen() -> None:
    stage = TODAY + timedelta(days=28)
    unread = bed("atlas", BedState(0.0, 0.6, 0.0, unread=True), stages=(stage,))
    reading, later = due([unread], TODAY).items
    assert (reading.task, reading.days, reading.rank) == ("retest", 60, Rank.READ)
    assert (later.task, later.days, later.rank) == ("exchange-stage", 60, Rank.TEND)
    assert later.why == "as planned, once it is read"


@pytest.mark.parametrize(
    ("now", "then", "need"),
    [
        ((0.01, 0.55, 0.0), (0.0, 0.2, 0.0), None),
        ((0.20, 0.90, 0.0), (0.0, 0.2, 0.0), "retest"),
        ((0.97, 1.00, 0.0), (0.0, 0.2, 0.0), "retest"),
        ((0.01, 0.55, 0.0), (0.01, 0.52, 0.0), "exchange"),
        ((0.20, 0.90, 0.0), (0.20, 0.90, 0.0), "exchange"),
    ],
)
def test_nobody_is_told_to_exchange_by_a_forecast(
    now: tuple[float, float, float], then: tuple[float, float, float], need: str | None
) -> None:
    asks = asked_by(BedState(*then), TODAY)
    foretold = asks is None or asks.need != "exchange"
    found = asked_by(BedState(*now, foretold=foretold), TODAY)
    assert (None if found is None else found.need) == need
    # What is planned is done as planned.
    stage = asked_by(BedState(*now, foretold=foretold), TODAY, TODAY)
    assert stage is not None
    assert stage.need == "exchange-stage"


def test_a_bed_a_little_above_its_range_is_let_be() -> None:
    assert asked_by(BedState(0.0, 0.0, 0.6), TODAY) is None
    surely = asked_by(BedState(0.0, 0.0, 0.85), TODAY)
    assert surely is not None
    assert surely.need == "exchange"
