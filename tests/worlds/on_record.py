"""A bed of a simulated world on a record of the product's own, in memory."""

from __future__ import annotations

import datetime

from slurrycalc.data.assumed import MOST_AT_ONCE
from slurrycalc.day.months.changing import BedGiven
from slurrycalc.day.months.duties import first_task
from slurrycalc.day.months.exchanging import StageSpread, keep_stages, plan_exchange
from slurrycalc.day.months.holding import Holding, keep_upkeep, plan_upkeep
from slurrycalc.day.months.rhythm import UPKEEP, upkeep_days
from slurrycalc.day.months.series import Series, series_of
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.deciding.due import DueItem
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.settings import NEVER
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store
from tests.worlds.loop_truth import MIX, MIX_READ

FIRST = datetime.date(2026, 1, 3)
EXCHANGES = ("exchange", "exchange-stage")


class Record:
    """One bed on a record in memory."""

    def __init__(self, book: Store) -> None:
        self.book = book
        kit = Step("kit", When.on(FIRST, datetime.UTC))
        self.bed = kit.thing("enclosure", "east", {"target": [5.4, 6.5], "floor": 5.0})
        self.meter = kit.thing("meter", "desk", {"shows": "pH"})
        self.bottles = [kit.thing("bottle", name, {"label": name}) for name in ("7.00", "4.01")]
        self.keeper(kit, FIRST).record(self.book)

    def keeper(self, step: Step, day: datetime.date) -> Keeper:
        return Keeper(self.book, step, now=datetime.datetime.combine(day, datetime.time(18), datetime.UTC))

    def read(self, day: datetime.date, jars: list[float]) -> None:
        """Put a bench day on record: a calibration without an error, and the jars."""
        step = Step("run", When.on(day, datetime.UTC))
        under = step.calibration("pH", meter=self.meter)
        for bottle, shown in zip(self.bottles, (7.0, 4.01), strict=True):
            step.point(under, bottle, shown, 25.0)
        for ph in jars:
            step.reading(step.slurry(self.bed), under, round(ph, 2), 25.0)
        self.keeper(step, day).record(self.book)

    def exchange(self, day: datetime.date, mix: float) -> tuple[float, float | None]:
        """Plan an exchange and do its first stage: its part, and the pH wanted where a plan has stages."""
        step = Step("exchange", When.on(day, datetime.UTC))
        keeper = self.keeper(step, day)
        line = BedGiven(fresh=f"{mix!r}+-{1.96 * MIX_READ!r}")
        planned = plan_exchange(line, None, StageSpread(), day, keeper=keeper, enclosure="east")
        plan = planned.exchange
        assert plan is not None
        stages = plan.stages
        part = stages[0].fraction if stages else 0.0 if plan.enough else MOST_AT_ONCE.value
        if keep_stages(keeper, planned):
            keeper.record(self.book)
        if part > 0.0:
            self.done(day, part, mix)
        return part, plan.wanted if stages or plan.enough else None

    def first(self, day: datetime.date) -> DueItem:
        recall = Recall(self.book)
        task = first_task(recall, recall.things.find("enclosure", "east"), day)
        assert task is not None
        return task

    def series(self, day: datetime.date) -> Series:
        recall = Recall(self.book)
        series = series_of(recall, recall.things.find("enclosure", "east"), until=day)
        assert series is not None
        return series

    def plan_upkeep(self, day: datetime.date) -> float | None:
        """Plan an upkeep and have its turns on record; give the part it takes each time, if any."""
        step = Step("upkeep", When.on(day, datetime.UTC))
        keeper = self.keeper(step, day)
        line = BedGiven(fresh=f"{MIX}+-{1.96 * MIX_READ:.3f}")
        planned = plan_upkeep(line, Holding(), day, recall=keeper.recall, enclosure="east")
        if not keep_upkeep(keeper, planned):
            return None
        keeper.record(self.book)
        assert planned.rhythm is not None
        return planned.rhythm.fraction

    def end_upkeep(self, day: datetime.date) -> None:
        """Keep to no upkeep any longer."""
        step = Step("enclosure", When.on(day, datetime.UTC))
        keeper = self.keeper(step, day)
        step.setting(keeper.recall.things.find("enclosure", "east").uid, UPKEEP, NEVER)
        keeper.record(self.book)

    def done(self, day: datetime.date, part: float, mix: float) -> None:
        """Put an exchange on record."""
        step = Step("event", When.on(day, datetime.UTC))
        event = step.event(self.bed, "exchange", amount=100.0 * part, unit="%")
        step.mix(event, None, mix, 1.96 * MIX_READ)
        self.keeper(step, day).record(self.book)

    def keeps_an_upkeep(self, day: datetime.date) -> bool:
        return upkeep_days(self.series(day).enclosure) is not None
