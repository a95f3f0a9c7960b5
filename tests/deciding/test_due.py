"""What is due: by trend, by the keeper's intervals, by common practice."""

from __future__ import annotations

from datetime import date, timedelta
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurrycalc.deciding.agenda import Need
from slurrycalc.deciding.due import Due, InUse, OpenBottle, ProbeInUse, due
from slurrycalc.deciding.tasks import TO_DO, USUAL, Task
from slurrycalc.deciding.trend import trend
from slurrycalc.deciding.trend.crossing import retest_after_one
from slurrycalc.metrology.remark import Refusal

TODAY = date(2024, 6, 1)
READ = date(2024, 5, 4)


def on(found: Due) -> dict[tuple[str, str], date]:
    return {(item.task, item.subject): item.on for item in found.items}


def test_every_task_has_words_and_an_interval_or_a_plan() -> None:
    assert set(TO_DO) == set(get_args(Task)) == {*USUAL, *get_args(Need)}
    assert all(usual.known == "common practice" for usual in USUAL.values())


class TestEnclosures:
    def test_one_that_was_never_read_is_due_today(self) -> None:
        (item,) = due([InUse("atlas")], TODAY).items
        assert (item.task, item.on, item.days) == ("retest", TODAY, 0)
        assert item.text == "1 June 2024: read atlas, today (no 1:2 slurry of it was read yet)."

    def test_after_one_bench_day_it_is_a_month(self) -> None:
        (item,) = due([InUse("atlas", READ, retest_after_one(READ))], TODAY).items
        assert (item.on, item.known) == (date(2024, 6, 3), "common practice")

    def test_with_a_trend_it_is_when_the_limit_may_be_passed(self) -> None:
        days = [date(2024, month, 4) for month in range(1, 6)]
        retest = trend(days, [5.8, 5.7, 5.6, 5.5, 5.4]).retest_by(5.0)
        (item,) = due([InUse("atlas", READ, retest)], TODAY).items
        assert (item.on, item.known) == (retest.by, "computed")
        assert "it may then reach its limit" in item.text

    def test_an_interval_of_the_keeper_s_own_wins_where_it_is_earlier(self) -> None:
        retest = retest_after_one(READ)
        sooner = due([InUse("atlas", READ, retest, every={"retest": 14})], TODAY).items[0]
        later = due([InUse("atlas", READ, retest, every={"retest": 90})], TODAY).items[0]
        assert (sooner.on, sooner.known) == (READ + timedelta(days=14), "given")
        assert later.on == retest.by

    def test_leaf_litter_and_charcoal_are_asked_for_only_where_they_are_used(self) -> None:
        used = InUse("atlas", READ, last={"charcoal": date(2023, 8, 1)}, every={"leaf-litter": 60})
        found = on(due([used, InUse("window", READ)], TODAY))
        assert found == {
            ("retest", "atlas"): date(2024, 6, 3),
            ("retest", "window"): date(2024, 6, 3),
            ("charcoal", "atlas"): date(2024, 7, 31),
            ("leaf-litter", "atlas"): TODAY + timedelta(days=60),
        }

    def test_an_interval_of_none_is_never(self) -> None:
        never = InUse("atlas", READ, last={"charcoal": READ}, every={"charcoal": None})
        assert "charcoal" not in {item.task for item in due([never], TODAY).items}

    def test_one_that_is_never_to_be_read_is_not_asked_for_by_its_trend_either(self) -> None:
        every: dict[Task, float | None] = {"retest": None}
        cases = [InUse("atlas", READ, retest_after_one(READ), every=every), InUse("new", every=every)]
        assert not due(cases, TODAY).items

    def test_the_steady_jar_is_slurried_and_not_retested(self) -> None:
        found = due([InUse("jar", READ, steady=True), InUse("new jar", steady=True)], TODAY)
        assert on(found) == {
            ("steady-jar", "jar"): date(2024, 6, 3),
            ("steady-jar", "new jar"): date(2024, 7, 1),
        }

    def test_planned_stages_are_due_on_their_days(self) -> None:
        stages = (date(2024, 5, 20), date(2024, 6, 20))
        found = due([InUse("atlas", READ, stages=stages)], TODAY)
        assert [item.on for item in found.items if item.task == "exchange-stage"] == list(stages)
        assert [item.days for item in found.overdue] == [-12]


class TestBottlesAndProbes:
    def test_a_bottle_is_due_by_its_label_or_half_a_year_open(self) -> None:
        bottles = [
            OpenBottle("blue", date(2024, 1, 1), date(2025, 12, 31)),
            OpenBottle("grey", date(2024, 1, 1), date(2024, 3, 1)),
            OpenBottle("sealed", None, date(2025, 1, 1)),
            OpenBottle("unknown"),
        ]
        found = due([], TODAY, bottles=bottles)
        assert on(found) == {
            ("buffer-bottle", "grey"): date(2024, 3, 1),
            ("buffer-bottle", "blue"): date(2024, 7, 2),
            ("buffer-bottle", "sealed"): date(2025, 1, 1),
        }
        assert [item.known for item in found.items] == ["given", "common practice", "given"]

    def test_a_probe_is_due_weekly_and_a_new_one_today(self) -> None:
        probes = [ProbeInUse("stick", date(2024, 5, 30)), ProbeInUse("new"), ProbeInUse("idle", every=None)]
        assert on(due([], TODAY, probes=probes)) == {
            ("probe-check", "new"): TODAY,
            ("probe-check", "stick"): date(2024, 6, 6),
        }


class TestOrderAndReach:
    @given(
        st.lists(st.tuples(st.sampled_from("abcdef"), st.integers(0, 400)), max_size=8), st.integers(0, 60)
    )
    def test_items_stand_by_date_and_reach_as_far_as_asked(
        self, given_: list[tuple[str, int]], ahead: int
    ) -> None:
        cases = [InUse(name, TODAY - timedelta(days=ago)) for name, ago in given_]
        everything, near = due(cases, TODAY), due(cases, TODAY, ahead=ahead)
        assert [item.on for item in everything.items] == sorted(item.on for item in everything.items)
        assert near.items == tuple(item for item in everything.items if item.days <= ahead)
        assert len(everything.items) == len(cases)
        assert all((item.on - TODAY).days == item.days for item in everything.items)


@pytest.mark.parametrize(
    ("case", "said"),
    [
        (InUse("atlas", date(2031, 1, 1)), "`2031-01-01` lies in the future"),
        (InUse("atlas", READ, last={"charcoal": date(2031, 1, 1)}), "`2031-01-01` lies in the future"),
        (InUse("atlas", READ, every={"charcoal": 0.0}), "`0` days for the charcoal of atlas is no interval"),
        (InUse("atlas", READ, every={"charcoal": float("nan")}), "`nan` days"),
        (InUse("atlas", READ, every={"paint": 30.0}), "`paint` of atlas is nothing that comes due"),  # type: ignore[dict-item]
    ],
)
def test_what_cannot_stand_is_refused(case: InUse, said: str) -> None:
    with pytest.raises(Refusal, match=said):
        due([case], TODAY)


def test_a_bottle_opened_tomorrow_is_refused() -> None:
    with pytest.raises(Refusal, match="lies in the future"):
        due([], TODAY, bottles=[OpenBottle("blue", date(2024, 6, 2))])
