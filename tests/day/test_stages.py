"""Which stages of a planned exchange are still to be done, and when."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

import pytest

from slurrycalc.day.months.series import series_of
from slurrycalc.day.months.stages import OpenStage, open_plan, open_stages
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory
from slurrycalc.logbook.things import Said, Thing

PLAN = [["2024-06-01", 0.3], ["2024-06-29", 0.3], ["2024-07-27", 0.25]]
DAYS = (date(2024, 6, 1), date(2024, 6, 29), date(2024, 7, 27))


def planned(plan: object, made: str = "2024-05-20T10:00:00Z") -> Thing:
    said = (Said("stages", plan, 7, made, stands=True),)
    return Thing("", 1, "enclosure", "atlas", {} if plan is None else {"stages": plan}, said)


def days(stages: tuple[OpenStage, ...]) -> list[date]:
    return [stage.on for stage in stages]


def test_without_a_plan_nothing_is_open() -> None:
    assert open_stages(planned(None), [DAYS[0]]) == ()


def test_what_was_exchanged_before_the_plan_was_made_is_no_stage_of_it() -> None:
    assert days(open_stages(planned(PLAN), [date(2024, 3, 1), date(2024, 5, 20)])) == list(DAYS)


def test_each_exchange_is_the_next_stage_early_or_on_its_day() -> None:
    assert open_stages(planned(PLAN), [date(2024, 5, 28)]) == (
        OpenStage(DAYS[1], 0.3),
        OpenStage(DAYS[2], 0.25),
    )
    assert days(open_stages(planned(PLAN), [DAYS[1], DAYS[0]])) == [DAYS[2]]
    assert open_stages(planned(PLAN), [*DAYS, date(2024, 9, 1)]) == ()


def test_one_exchanged_on_the_day_of_a_plan_that_begins_that_day_counts() -> None:
    assert days(open_stages(planned(PLAN, "2024-06-01T08:00:00Z"), [DAYS[0]])) == list(DAYS[1:])


def test_a_late_stage_moves_those_after_it() -> None:
    assert days(open_stages(planned(PLAN), [date(2024, 6, 8)])) == [date(2024, 7, 6), date(2024, 8, 3)]


def record(book: Store, step: Step, day: date) -> None:
    Keeper(book, step, now=datetime.combine(day, time(18), UTC)).record(book)


@pytest.mark.parametrize(("read", "mix"), [(5.70, 6.6), (5.60, 4.8)])
def test_a_day_read_beyond_the_ph_wanted_by_its_scatter_does_not_turn_a_plan_round(
    read: float, mix: float
) -> None:
    """Stages are withdrawn where the bed lies on the side to which its mix moves it, and there alone."""
    past = 5.5 if mix > 5.65 else 5.8
    with in_memory() as book:
        step = Step("run", When.on(DAYS[0], UTC))
        atlas = step.thing("enclosure", "atlas", {"target": [5.4, 6.5], "floor": 5.0})
        meter = step.thing("meter", "desk", {"shows": "pH"})
        bottles = [step.thing("bottle", name, {"label": name}) for name in ("7.00", "4.01")]
        for day, ph in ((DAYS[0], read), (date(2024, 6, 8), past)):
            step = step if day == DAYS[0] else Step("run", When.on(day, UTC))
            under = step.calibration("pH", meter=meter)
            for bottle, shown in zip(bottles, (7.0, 4.01), strict=True):
                step.point(under, bottle, shown, 25.0)
            for shown in (ph - 0.02, ph, ph + 0.02):
                step.reading(step.slurry(atlas), under, shown, 25.0)
            record(book, step, day)
            if day == DAYS[0]:
                step = Step("exchange", When.on(day, UTC))
                step.setting(atlas, "stages", PLAN)
                step.setting(atlas, "wanted", 5.65)
                record(book, step, day)
                step = Step("event", When.on(day, UTC))
                event = step.event(atlas, "exchange", amount=5.0, unit="%")
                step.mix(event, None, mix, 0.1)
                record(book, step, day)
        recall, today = Recall(book), date(2024, 6, 8)
        bed = recall.things.find("enclosure", "atlas")
        plan = open_plan(recall, bed, series_of(recall, bed, until=today), today)
        assert plan is not None
        assert plan.side == ("up" if mix > 5.65 else "down")
        assert plan.enough is None
        assert days(plan.stages) == list(DAYS[1:])
