"""Many beds asked side by side: each is answered as alone, and twice as many take twice the work."""

from __future__ import annotations

import datetime
import random
import sys
from collections.abc import Callable
from types import FrameType
from typing import Any

import pytest
from uncertainties import UFloat

from slurrycalc.day.bench.bench_day import bench_day
from slurrycalc.day.bench.overview import overview
from slurrycalc.day.bench.standing import FEW, standing, standing_on
from slurrycalc.day.bench.table import read_jars
from slurrycalc.day.bench.worksheet import Day, EnclosureEntry, MeterEntry, PointEntry
from slurrycalc.day.months.drifting import DriftAsked, Drifting
from slurrycalc.day.months.drifts import of_record
from slurrycalc.day.months.duties import duties
from slurrycalc.day.months.outlook import Outlook
from slurrycalc.logbook.blends import add_blend
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record_within
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory
from slurrycalc.metrology.uncertain import Inputs
from slurrycalc.report.pages.alone import AT_MOST
from slurrycalc.report.pages.day import AT_MOST as LINES
from slurrycalc.report.pages.day import day_blocks

FIRST = datetime.date(2024, 1, 6)
TODAY = datetime.date(2024, 12, 1)
DAYS = 8
CLOSE = 1e-9
"""Numbers found side by side are those found alone, to so many. [pH and pH/month]"""


def bench(beds: int, days: int = DAYS) -> Store:
    """Make up beds whose months are all kinds: exchanged, tried, disturbed, odd, in doubt, read once."""
    draw, book = random.Random(3), in_memory()
    kit = Step("kit", When.on(FIRST, datetime.UTC))
    desk = kit.thing("meter", "desk", {"shows": "pH"})
    bottles = [kit.thing("bottle", name, {"label": label}) for name, label in (("n", "7.00"), ("a", "4.01"))]
    cases = [kit.thing("enclosure", f"case {i}") for i in range(beds)]
    steps = [kit]
    for n in range(days):
        on = FIRST + datetime.timedelta(days=1 + 35 * n)
        step = Step("run", When.on(on, datetime.UTC))
        steps.append(step)
        good = step.calibration("pH", meter=desk)
        # The last calibration of some is condemned: its slope is far off.
        bad = step.calibration("pH", meter=desk) if n == days - 1 else good
        for under, acid in {good: 4.03, bad: 4.03 if bad is good else 4.60}.items():
            step.point(under, bottles[0], 7.02, 21.0)
            step.point(under, bottles[1], acid, 21.0)
        for i, case in enumerate(cases):
            if i % 12 == 5 and n < days - 1:
                continue  # read once, on the last day
            level = 6.2 if i % 12 == 5 else 5.1 + 0.13 * (i % 12) - 0.04 * n * (i % 3)
            for k in range(3 if i % 4 == 1 else 2):
                slip = 0.9 if i % 12 == 1 and k == 2 and n in (3, days - 1) else 0.0
                jar = step.slurry(case, label=f"{i}{'ABC'[k]}")
                under = bad if i % 12 == 7 else good
                step.reading(jar, under, round(level + slip + draw.gauss(0.0, 0.05), 2), 21.0)
            if i % 12 == 2 and n in (2, 4):
                step.mix(step.event(case, "exchange", amount=30.0, unit="%"), None, 6.6, 0.1)
            if i % 12 == 3 and n == 5:
                step.event(case, "calcium")
            if i % 12 == 4 and n == days - 1:
                step.event(case, "exchange")
            if i % 12 == 6 and n == 3:
                for dose, ph in ((0, 5.3), (20, 5.6), (40, 5.9), (60, 6.1)):
                    add_blend(step, dose, ph, enclosure=case, amendment="fresh mix")
    with book.transaction():
        record_within(book, steps, datetime.datetime(2025, 1, 1, tzinfo=datetime.UTC))
    return book


def numbers_of(one: Drifting) -> dict[str, Any]:
    """Give all that is said of a bed's drift, its numbers by value and standard uncertainty."""
    ahead = one.outlook
    found: dict[str, Any] = {
        "retest": one.retest,
        "remarks": ahead.remarks,
        "to do": ahead.to_do,
        "why": one.why,
    }
    found |= {"meaning": ahead.meaning, "met": [(each.what, each.text) for each in ahead.met]}
    for name in ("level", "now", "per_month", "falling", "below"):
        value = getattr(ahead, name)
        found[name] = (value.n, value.s) if isinstance(value, UFloat) else value
    found["line"] = None if one.trend is None else (one.trend.per_month.n, one.trend.per_month.s)
    return found


def test_a_whole_record_s_drifts_are_those_of_each_bed_alone() -> None:
    book, asked = bench(12), DriftAsked(TODAY)
    drifts, _ = of_record(Recall(book, Inputs()), None, asked)
    assert len(drifts) == 12
    assert {one.retest.reason for one in drifts} >= {"step", "in doubt", "at once", "first reading"}
    assert any(one.outlook.remarks for one in drifts)
    for whole in drifts:
        ((alone,), _) = of_record(Recall(book, Inputs()), whole.enclosure, asked)
        for (name, one), other in zip(numbers_of(whole).items(), numbers_of(alone).values(), strict=True):
            if isinstance(one, float | tuple) and name not in ("remarks",):
                assert one == pytest.approx(other, rel=CLOSE, abs=CLOSE), (whole.enclosure, name)
            else:
                assert one == other, (whole.enclosure, name)


def test_what_is_due_of_a_whole_record_is_what_is_due_of_each_bed_alone() -> None:
    recall = Recall(bench(12), Inputs())
    whole = duties(recall, TODAY)
    for thing in recall.things.of("enclosure"):
        alone = duties(recall, TODAY, of=[thing])
        assert alone.first_of(thing.name) == whole.first_of(thing.name), thing.name
        assert [one.due for one in alone.every] == [one.due for one in whole.every if one.thing == thing]


def test_at_a_glance_a_record_says_no_less_than_where_all_of_it_stands() -> None:
    recall = Recall(bench(24), Inputs())
    whole, few = standing(recall), overview(recall, TODAY, 3)
    by = {one.name: one for one in few.stands.enclosures}
    assert {*list(few.found.first)[:3]} <= set(by)
    assert len(by) < len(whole.enclosures)
    for one in whole.enclosures:
        assert one.name is not None
        assert few.read[one.name].isoformat() == one.day
        if one.judgement.doubts or one.name in by:
            same = by[one.name]
            assert (same.judgement.doubts, same.judgement.sentences, same.slurry.ph.n) == (
                one.judgement.doubts,
                one.judgement.sentences,
                pytest.approx(one.slurry.ph.n, abs=CLOSE),
            )
    assert [one.name for one in few.stands.enclosures] == [
        one.name for one in whole.enclosures if one.name in by
    ]


@pytest.mark.parametrize("n", [DAYS - 1, 4])
def test_a_day_of_many_cases_learns_of_each_what_a_day_of_it_alone_learns(n: int) -> None:
    recall = Recall(bench(FEW + 4), Inputs())
    day, things = FIRST + datetime.timedelta(days=1 + 35 * n), recall.things.of("enclosure")
    whole = {one.name: one for one in standing_on(recall, day, things).enclosures}
    for thing in things[:24]:
        alone = standing_on(recall, day, [thing]).enclosures
        assert [one.name for one in alone] == [thing.name] * (thing.name in whole)
        for one in alone:
            same = whole[one.name]
            assert (same.shares, same.first, same.judgement.sentences, same.remarks) == (
                one.shares,
                one.first,
                one.judgement.sentences,
                one.remarks,
            )
            assert same.slurry.ph.s == pytest.approx(one.slurry.ph.s, rel=CLOSE)


def work(of: Callable[[], object]) -> int:
    """Count how often anything is called, which is the same in every run."""
    calls = 0

    def counted(_frame: FrameType, event: str, _arg: object) -> None:
        nonlocal calls
        calls += event in ("call", "c_call")

    sys.setprofile(counted)
    try:
        of()
    finally:
        sys.setprofile(None)
    return calls


MANY = 24
QUESTIONS = {
    "trend": lambda recall: of_record(recall, None, DriftAsked(TODAY)),
    "when limits are met": lambda recall: [
        one.outlook.met for one in of_record(recall, None, DriftAsked(TODAY))[0]
    ],
    "due": lambda recall: duties(recall, TODAY),
    "alone": lambda recall: overview(recall, TODAY, AT_MOST),
    "standing": standing,
}


@pytest.mark.parametrize("question", QUESTIONS)
def test_twice_as_many_beds_take_no_more_than_twice_the_work(question: str) -> None:
    once, twice = bench(MANY, 4), bench(2 * MANY, 4)
    ask = QUESTIONS[question]
    ask(Recall(once, Inputs()))  # what is found once for all, such as tables, is found
    few, many = (work(lambda book=book: ask(Recall(book, Inputs()))) for book in (once, twice))  # type: ignore[misc]
    assert many < 2.1 * few


POINTS = tuple(
    PointEntry(buffer=label, shows=shows, temperature=21.0)
    for label, shows in (("4.01", 4.06), ("7.00", 7.04))
)


def a_day(cases: int) -> Day:
    """Make up a table of jars, two a case."""
    draw = random.Random(5)
    rows = ["jar,enclosure,reading,temperature"]
    for i in range(cases):
        level = draw.gauss(5.7, 0.5)
        rows += [f"{i}{k},case {i},{level + draw.gauss(0.0, 0.1):.2f},21" for k in "AB"]
    jars = read_jars("\n".join(rows).encode(), "day.csv").jars
    named = tuple(EnclosureEntry(name=f"case {i}") for i in range(cases))
    return Day(jars=jars, enclosures=named, meter=MeterEntry(shows="pH"), points=POINTS)


def test_twice_as_many_jars_take_no_more_than_twice_the_work() -> None:
    small, large = (a_day(cases) for cases in (60, 120))
    bench_day(small, inputs=Inputs())
    few, many = (work(lambda day=day: bench_day(day, inputs=Inputs())) for day in (small, large))  # type: ignore[misc]
    assert many < 2.1 * few


def test_a_large_day_finds_what_settles_a_question_for_the_lines_that_are_shown() -> None:
    day = bench_day(a_day(3 * LINES), inputs=Inputs())
    list(day_blocks(day, "day.csv", 0.95))
    asked = [one for one in day.enclosures if "advice" in vars(one.judgement)]
    assert 0 < len(asked) <= LINES
    assert all(one.judgement.advice is vars(one.judgement)["advice"] for one in asked)


def test_a_limit_s_dates_are_found_only_where_somebody_asks() -> None:
    drifts, _ = of_record(Recall(bench(12), Inputs()), None, DriftAsked(TODAY))
    assert not any("met" in vars(one.outlook) or "trend" in vars(one) for one in drifts)
    assert isinstance(drifts[0].outlook, Outlook)
    assert drifts[0].outlook.met
    assert all("met" in vars(one.outlook) for one in drifts)
