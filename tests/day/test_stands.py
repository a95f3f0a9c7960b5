"""Where all enclosures stand, from one walk through the record: as each by itself."""

from __future__ import annotations

import datetime
import random

import pytest

from slurrycalc.day.bench.standing import standing, stood_on
from slurrycalc.deciding.judgement import judge
from slurrycalc.logbook.mend import undo
from slurrycalc.logbook.past import OWN_DAYS, Expectations, expectation
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record, record_within
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.replicates import replicates
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory
from slurrycalc.metrology.uncertain import Inputs

NOW = datetime.datetime(2030, 1, 1, tzinfo=datetime.UTC)
FIRST = datetime.date(2014, 1, 4)
CASES = ("window", "stairs", "atlas", "annex", "jar")


def bench(days: int, spread: float = 0.1, wild: int = 0) -> Store:
    """Give a record of bench days of two or three slurries each; the first few scatter wildly."""
    draw, book = random.Random(7), in_memory()
    kit = Step("kit", When.on(FIRST, datetime.UTC))
    desk = kit.thing("meter", "desk", {"shows": "pH"})
    neutral, acid = (kit.thing("bottle", label, {"label": label}) for label in ("7.00", "4.01"))
    cases = [kit.thing("enclosure", name, {"steady": True} if name == "jar" else {}) for name in CASES]
    kit.thing("enclosure", "cellar")
    record(book, kit, NOW)
    steps = []
    for i in range(days):
        step = Step("run", When.on(FIRST + datetime.timedelta(days=28 * i), datetime.UTC))
        calibration = step.calibration("pH", meter=desk)
        step.point(calibration, neutral, 7.04, 21.0)
        step.point(calibration, acid, 4.06, 21.0)
        for n, case in enumerate(cases):
            if n == 3 and i > days - 4:
                continue  # annex was not read of late
            for k in range(2 + (i + n) % 2):
                slurry = step.slurry(case, label=f"{'ABCDE'[n]}{k}", ratio=5.0 if k == 2 and n == 1 else 2.0)
                sd = 1.0 if i < wild else spread
                step.reading(slurry, calibration, round(5.6 + 0.2 * n + draw.gauss(0.0, sd), 2), 21.0)
        steps.append(step)
    with book.transaction():
        record_within(book, steps, NOW)
    return book


@pytest.fixture(scope="module")
def book() -> Store:
    found = bench(14)
    undo(found, NOW, "7.3", why="read too early")
    return found


def test_each_stands_as_it_does_by_itself(book: Store) -> None:
    recall = Recall(book, Inputs())
    whole = standing(recall)
    assert {one.name for one in whole.enclosures} == {"window", "stairs", "atlas", "annex"}
    assert whole.unread == ("cellar",)
    assert [(one.name, one.said.state) for one in whole.steady] == [("jar", "steady")]
    for one in whole.enclosures:
        day = datetime.date.fromisoformat(one.day)
        alone = stood_on(recall, recall.things.find("enclosure", one.name), day)
        assert alone is not None
        assert (alone.slurry.ph.n, alone.slurry.ph.s) == pytest.approx((one.slurry.ph.n, one.slurry.ph.s))
        assert alone.judgement.in_range == one.judgement.in_range
        assert alone.shares == one.shares
        assert alone.slurry.n == one.slurry.n


def test_what_is_known_already_is_expected_as_what_is_read_anew(book: Store) -> None:
    recall, day = Recall(book, Inputs()), FIRST + datetime.timedelta(days=28 * 10)
    own: dict[int, list] = {}
    for each in replicates(recall.readings()):
        if each.enclosure is not None:
            own.setdefault(each.enclosure, []).append(each)
    known = Expectations(recall, own)
    for name in (*CASES, "cellar"):
        thing = recall.things.find("enclosure", name)
        assert known.of(thing, day) == expectation(recall, thing, day)


def test_an_enclosure_s_scatter_is_that_of_its_newest_days() -> None:
    long = bench(OWN_DAYS + 10, 0.1, wild=10)
    recall = Recall(long, Inputs())
    known = expectation(recall, recall.things.find("enclosure", "window"), NOW.date())
    assert known.own_days == OWN_DAYS
    assert known.own is not None
    # the wild ones lie before them
    assert known.own.sd == pytest.approx(0.1, abs=0.02)


def test_what_was_done_since_is_said() -> None:
    found = bench(3)
    recall = Recall(found, Inputs())
    step = Step("event", When.on(FIRST + datetime.timedelta(days=60), datetime.UTC))
    step.event(recall.things.find("enclosure", "atlas").uid, "exchange")
    record(found, step, NOW)
    changed = {one.name: one.changed for one in standing(Recall(found, Inputs())).enclosures}
    assert changed == {"window": None, "stairs": None, "atlas": "2014-03-05"}


def test_what_would_settle_a_question_is_found_only_where_somebody_asks(book: Store) -> None:
    whole = standing(Recall(book, Inputs()))
    first, *others = whole.enclosures
    alike = judge(first.slurry, first.judgement.target, first.judgement.floor, on_record=True)
    assert first.judgement.advice == alike.advice
    assert "advice" in vars(first.judgement)
    assert not any("advice" in vars(one.judgement) or "advice" in vars(one.slurry) for one in others)
