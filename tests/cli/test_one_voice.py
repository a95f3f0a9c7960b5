"""One voice: for every enclosure and day, all that say what to do say the same first task."""

from __future__ import annotations

import datetime
import os
from typing import Any

from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st

from slurrycalc.day.bench.card import card
from slurrycalc.day.bench.standing import stood_on
from slurrycalc.day.months.changing import BedGiven
from slurrycalc.day.months.drifting import DriftAsked
from slurrycalc.day.months.drifts import of_record
from slurrycalc.day.months.duties import duties
from slurrycalc.day.months.exchanging import StageSpread, plan_exchange
from slurrycalc.day.months.holding import Holding, plan_upkeep
from slurrycalc.day.months.rhythm import UPKEEP
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.deciding.days import spoken
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory
from slurrycalc.metrology.uncertain import Inputs
from slurrycalc.report.pages.due import said

RECORDS = int(os.environ.get("ONE_VOICE", "40"))
"""So many records are drawn; 1000 for all of it."""
FIRST = datetime.date(2024, 1, 6)
MIX, SOUR_MIX = BedGiven(fresh="6.6+-0.1"), BedGiven(fresh="5.2+-0.1")
NOW = datetime.datetime(2027, 1, 1, 9, tzinfo=datetime.UTC)
NAMES = ("atlas", "stairs")
LEVELS = st.floats(4.7, 6.9).map(lambda ph: round(ph, 2))
RECORD = st.fixed_dictionaries(
    {
        "gaps": st.lists(st.integers(7, 150), min_size=1, max_size=6),
        "levels": st.lists(LEVELS, min_size=14, max_size=14),
        "off": st.sampled_from((4.03, 4.03, 4.03, 4.30)),  # the last calibration: good, or condemned
        "events": st.lists(
            st.tuples(st.integers(1, 500), st.sampled_from(NAMES), st.sampled_from(("exchange", "calcium"))),
            max_size=2,
        ),
        "stage": st.none() | st.integers(1, 400),
        "upkeep": st.none() | st.tuples(st.sampled_from(NAMES), st.integers(28, 120)),
        "after": st.integers(0, 420),
    }
)
STEADY = {
    "gaps": [30, 30, 30],
    "levels": [6.0] * 14,
    "off": 4.03,
    "events": [],
    "stage": None,
    "upkeep": None,
    "after": 5,
}
ITS_TURN = {
    **STEADY,
    "events": [(100, name, "exchange") for name in NAMES],
    "gaps": [30, 30, 30, 30, 30, 38],
    "upkeep": ("stairs", 91),
}


def record(drawn: dict[str, Any], book: Store | None = None) -> tuple[Store, datetime.date]:
    """Put a drawn record into a logbook, in memory unless given; give the day on which it is asked, too."""
    book = in_memory() if book is None else book
    day, levels = FIRST, iter(drawn["levels"])
    days = [day := day + datetime.timedelta(days=gap) for gap in drawn["gaps"]]
    for day in days:
        keeper = keeper_on(book, "run", day)
        step, meter = keeper.step, keeper.thing("meter", "desk", fresh={"shows": "pH"})
        under = step.calibration("pH", meter=meter.uid)
        acid = drawn["off"] if day == days[-1] else 4.03
        for name, label, shows in (("acid 2", "4.01", acid), ("neutral 2", "7.00", 7.02)):
            step.point(under, keeper.thing("bottle", name, fresh={"label": label}).uid, shows, 21.0)
        for name in NAMES:
            ph = next(levels)
            for shows in (ph, round(ph + 0.05, 2)):
                step.reading(step.slurry(keeper.thing("enclosure", name).uid), under, shows, 21.0)
        keeper.record(book)
    for after, name, kind in sorted(drawn["events"]):
        keeper = keeper_on(book, "event", FIRST + datetime.timedelta(days=after))
        keeper.step.event(keeper.thing("enclosure", name).uid, kind)
        keeper.record(book)
    if drawn["stage"] is not None:
        keeper = keeper_on(book, "exchange", days[0])
        stages = [[(FIRST + datetime.timedelta(days=drawn["stage"])).isoformat(), 0.3]]
        keeper.step.setting(keeper.thing("enclosure", "atlas").uid, "stages", stages)
        keeper.record(book)
    if drawn["upkeep"] is not None:
        name, every = drawn["upkeep"]
        keeper = keeper_on(book, "upkeep", days[0])
        keeper.step.setting(keeper.thing("enclosure", name).uid, UPKEEP, float(every))
        keeper.record(book)
    return book, days[-1] + datetime.timedelta(days=drawn["after"])


def keeper_on(book: Store, kind: str, day: datetime.date) -> Keeper:
    return Keeper(book, Step(kind, When.on(day, datetime.UTC)), now=NOW, new=True, inputs=Inputs())


@settings(
    max_examples=RECORDS,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@given(RECORD)
@example(STEADY)
@example(ITS_TURN)
def test_all_that_say_what_to_do_say_the_same_first_task(drawn: dict[str, Any]) -> None:
    book, today = record(drawn)
    with book:
        recall = Recall(book, Inputs())
        whole = duties(recall, today)
        for name in NAMES:
            thing = recall.things.find("enclosure", name)
            first = whole.first_of(name)
            assert first is not None
            # Asked about one enclosure or about all: the same.
            assert duties(recall, today, of=[thing]).first_of(name) == first
            due = card(recall, thing, today).due
            assert due is not None
            assert due.first_of(name) == first
            (drift,), _ = of_record(recall, name, DriftAsked(today))
            task, words = first.task, drift.outlook.to_do
            if task == "retest" and first.days > 0:
                on = spoken(first.on)
                by = (f"read again by {on}", f"read it again first, by {on}")
                assert words.startswith(by), (first, words)
            elif task == "retest":
                assert words.startswith(("read it again", f"read {name}", "read again")), (first, words)
            else:
                assert words.startswith(first.what), (first, words)
            # None says nothing beside a task.
            assert ("nothing now" in said(first)) == (first.days > 0)
            assert drift.outlook.plan == (task in ("exchange", "exchange-stage"))
            # What is planned for it begins with it, and so does the day on which it was read.
            asker = keeper_on(book, "exchange", today)
            mix = MIX if "above" not in first.why else SOUR_MIX
            planned = plan_exchange(mix, None, StageSpread(), today, keeper=asker, enclosure=name)
            kept = plan_upkeep(mix, Holding(drift="-0.05"), today, recall=recall, enclosure=name)
            assert planned.task == kept.task == first
            unknown = drift.first is not None or task in ("meter", "bench", "mix-again")
            assert (planned.first is not None) == (kept.first is not None) == unknown
            assert planned.exchange is not None or not planned.is_asked or unknown
            if drift.last == today:
                assert stood_on(recall, thing, today).first == first  # type: ignore[union-attr]
