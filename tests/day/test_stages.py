"""Which stages of a planned exchange are still to be done, and when."""

from __future__ import annotations

from datetime import date

from slurrycalc.day.months.stages import OpenStage, open_stages
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
