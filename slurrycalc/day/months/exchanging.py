"""An exchange, from what the line says and what the record knows; and its stages, put on record."""

from __future__ import annotations

import datetime
import shlex
from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING

from slurrycalc.data.assumed import COVERAGE, MOST_AT_ONCE, STAGE_SPACING, WANTED_ROOM, WANTED_STEP
from slurrycalc.day.months.changing import (
    NAMELESS,
    BedGathered,
    BedGiven,
    ahead_of,
    bed_ph,
    found_out_first,
    gather,
    task_of,
)
from slurrycalc.day.record.limits import chosen_limits
from slurrycalc.deciding.agenda import EXCHANGES
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.exchange import Exchange, exchange
from slurrycalc.deciding.exchange.planning import days_between
from slurrycalc.deciding.exchange.words import percent
from slurrycalc.deciding.given import nominal, taken
from slurrycalc.measuring.wording import in_hundred, typed
from slurrycalc.metrology.coverage import probability
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Result

if TYPE_CHECKING:
    from slurrycalc.day.months.stages import OpenPlan
    from slurrycalc.day.record.keeper import Keeper
    from slurrycalc.deciding.bed.ahead import Ahead
    from slurrycalc.deciding.due import DueItem
    from slurrycalc.deciding.exchange.case import Direction
    from slurrycalc.deciding.trend import ReadFirst
    from slurrycalc.logbook.recall import Recall
    from slurrycalc.logbook.things import Thing


SAME = 0.005
"""Two pH are one to a keeper. [pH]"""
ROUNDING = 1e-9


@dataclass(frozen=True)
class StageSpread:
    """How an exchange is spread over time, and for which probability it is planned."""

    start: datetime.date | None = None
    """Day of the first stage; with a bed on record today, or its turn after the last exchange."""
    every: str | None = None
    """From one stage to the next, as typed."""
    at_once: str | None = None
    """Largest part at a time, as typed."""
    p: float = 0.95
    cup: str = "us"


@dataclass(frozen=True)
class ExchangePlanned(Result, says=("exchange", "first"), of="enclosure"):
    """An exchange, and what it was computed from."""

    exchange: Exchange | None
    """None where the bed is to be read first, or none is asked for and none would do."""
    first: ReadFirst | None
    enclosure: str | None
    basis: tuple[str, ...]
    """What was taken from the record, a sentence each."""
    remarks: tuple[Remark, ...]
    task: DueItem | None = None
    """The first thing to do of the bed by the agenda, where its record says where it stands."""

    @property
    def is_asked(self) -> bool:
        """Whether an exchange comes first by the agenda, or nothing is known of one."""
        return self.task is None or self.task.task in EXCHANGES


def plan_exchange(
    line: BedGiven,
    want: str | None,
    spread: StageSpread,
    today: datetime.date,
    *,
    keeper: Keeper | None = None,
    enclosure: str | None = None,
) -> ExchangePlanned:
    """Plan an exchange.

    Parameters
    ----------
    line : BedGiven
        What the line says of bed and mix.
    want : str or None
        pH wanted, as typed; of a bed on record the middle of its target. [pH]
    spread : StageSpread
        How it is spread over time.
    today : date
        The present day.
    keeper : Keeper, optional
        Where the record is asked.
    enclosure : str, optional
        Name of the bed on record.

    Returns
    -------
    ExchangePlanned

    Raises
    ------
    Refusal
        If something is missing or cannot stand.

    Examples
    --------
    >>> today = datetime.date(2024, 5, 4)
    >>> planned = plan_exchange(BedGiven(now="5.1", fresh="6.6"), "5.9", StageSpread(), today)
    >>> f"{planned.exchange.assured_fraction:.3f}"
    '0.681'
    """
    recall = None if keeper is None else keeper.recall
    found = gather(line, recall, enclosure, today)
    former = _former_plan(found, recall, today)
    name = None if found.bed is None else found.bed.name
    if found.bed is None:
        _refuse_without(want)
    task = task_of(found, line, recall, today)
    first = bed_ph(found, recall, today) or found_out_first(found, task)
    if first is not None:
        return ExchangePlanned(None, first, name, tuple(found.basis), tuple(found.remarks), task)
    wanted = _wanted(found, want, former)
    if found.fresh is None:
        raise Refusal("the fresh mix is measured, not assumed: give what it reads, --fresh 6.6+-0.2.")
    assert found.now is not None
    every = STAGE_SPACING.value if spread.every is None else spread.every
    start, waits = spread.start, None
    if keeper is not None and found.bed is not None:
        start, waits = _start(found.bed, keeper, today, days_between(every), start)
    ahead = None if line.now is not None else ahead_of(found, max(start or today, today))
    try:
        plan = exchange(
            found.now,
            found.fresh,
            wanted,
            found.volume,
            found.buffering,
            start=start,
            spacing=every,
            at_once=MOST_AT_ONCE.value if spread.at_once is None else spread.at_once,
            p=spread.p,
            cup=spread.cup,
            toward=_side(found, former),
            ahead=ahead,
        )
    except Refusal as refusal:
        if want is not None or task is None or task.task in EXCHANGES:
            raise
        found.remarks.append(Remark("no-exchange", str(refusal)))
        return ExchangePlanned(None, None, name, tuple(found.basis), tuple(found.remarks), task)
    _say_former(found, former)
    if plan.enough:
        _say_if_beyond(found)
        return ExchangePlanned(plan, None, name, tuple(found.basis), tuple(found.remarks), task)
    if want is None:
        _say_if_inside(found)
    if waits is not None:
        found.remarks.append(waits)
    if want is None and line.now is None:
        _say_middle(found, plan, ahead, spread.p)
    return ExchangePlanned(plan, None, name, tuple(found.basis), tuple(found.remarks), task)


def _former_plan(found: BedGathered, recall: Recall | None, today: datetime.date) -> OpenPlan | None:
    """Give what is still to be done of the plan that is on record."""
    if recall is None or found.bed is None:
        return None
    from slurrycalc.day.months.stages import open_plan  # noqa: PLC0415  only with the record

    return open_plan(recall, found.bed, found.series, today)


def _side(found: BedGathered, former: OpenPlan | None) -> Direction | None:
    """Tell on which side of the pH wanted the bed is well; None where that cannot be known.

    A plan on record says it. A bed within its range is well where it is, whatever is wanted; one outside may
    be taken further away by the wrong mix, and to call that enough would comfort falsely.
    """
    if found.bed is None:
        return None
    if former is not None and former.side is not None:
        return former.side
    from slurrycalc.day.record.limits import limits_of  # noqa: PLC0415  only with the record

    (low, high), _ = chosen_limits(limits_of(found.bed))
    assert found.now is not None
    assert found.fresh is not None
    now = nominal(taken(found.now, "ph", "pH now"))
    if not low <= now <= high:
        return None
    return "up" if nominal(taken(found.fresh, "ph", "pH of the fresh mix")) > now else "down"


def _say_former(found: BedGathered, former: OpenPlan | None) -> None:
    if former is None or found.bed is None:
        return
    if former.enough is None:
        said = f"On record for {found.bed.name}: {former.words}. What --plan saves replaces it."
        found.remarks.append(Remark("planned-already", said))
        return
    from slurrycalc.day.months.stages import withdrawn_words  # noqa: PLC0415  only with the record

    found.remarks.append(Remark("stages-withdrawn", withdrawn_words(found.bed.name, former)))


def _say_if_beyond(found: BedGathered) -> None:
    """Say of a bed where it is enough that it is more than that, and outside its range."""
    from slurrycalc.day.record.limits import limits_of  # noqa: PLC0415  only with the record

    assert found.bed is not None
    assert found.now is not None
    (low, high), _ = chosen_limits(limits_of(found.bed))
    now = nominal(taken(found.now, "ph", "pH now"))
    if low <= now <= high:
        return
    side, other = ("above", "below") if now > high else ("below", "above")
    said = (
        f"It lies {side} its range, {typed(low)} to {typed(high)}: what brings it back is a mix that lies "
        f"{other} the pH wanted, and not more of the one before."
    )
    found.remarks.append(Remark("beyond-range", said))


def _refuse_without(want: str | None) -> None:
    if want is None:
        raise Refusal(f"the pH wanted is missing: {NAMELESS.format(option='--want 5.9')}")


def _wanted(found: BedGathered, want: str | None, former: OpenPlan | None) -> str | float:
    if want is not None:
        return want
    if former is not None and former.enough is None:
        found.note("Wanted", f"pH {typed(former.wanted)}, as planned")
        return former.wanted
    assert found.bed is not None
    from slurrycalc.day.record.limits import limits_of  # noqa: PLC0415  only with the record

    own = limits_of(found.bed)
    (low, high), _ = chosen_limits(own)
    whose = "its range" if own[0] is not None else "the usual range"
    known = "" if own[0] is not None else ", common practice"
    if found.series is None or found.now is None or found.fresh is None:
        middle = (low + high) / 2.0
        ends = f"{typed(low)} to {typed(high)}{known}"
        found.note("Wanted", f"pH {typed(middle)}, the middle of {whose}, {ends}")
        return middle
    least, end = least_that_serves(found, (low, high))
    found.note(
        "Wanted",
        f"pH {typed(least)}, the {end} end of {whose}, {typed(low)} to {typed(high)}{known}, and room for "
        "its drift until it is read again; --want asks for more",
    )
    return least


def least_that_serves(found: BedGathered, limits: tuple[float, float]) -> tuple[float, str]:
    """Give the pH that is enough for a bed: the end of its range, with room for the drift toward it. [pH]."""
    assert found.series is not None
    low, high = limits
    now, mix = (nominal(taken(each, "ph", "pH")) for each in (found.now, found.fresh) if each is not None)
    rate, middle = found.series.taught.rate().n, (low + high) / 2.0
    months, step = WANTED_ROOM.value, WANTED_STEP.value
    if mix > now:
        room = ceil(max(-rate, 0.0) * months / step - ROUNDING) * step
        return min(round(low + room, 2), middle), "lower"
    room = ceil(max(rate, 0.0) * months / step - ROUNDING) * step
    return max(round(high - room, 2), middle), "upper"


def _say_if_inside(found: BedGathered) -> None:
    """Say that a bed that is surely inside its range needs no exchange to get there."""
    from slurrycalc.day.record.limits import limits_of  # noqa: PLC0415  only with the record

    assert found.bed is not None
    assert found.now is not None
    (low, high), _ = chosen_limits(limits_of(found.bed))
    now = taken(found.now, "ph", "pH now")
    inside = probability(now, above=low) - probability(now, above=high)
    if inside >= COVERAGE.value:
        said = f"It is inside its range already, {in_hundred(inside)}: an exchange is a choice, and no need."
        found.remarks.append(Remark("inside-already", said))


def _say_middle(found: BedGathered, plan: Exchange, ahead: Ahead | None, p: float) -> None:
    """Say what it takes to the middle of the range, beside what serves."""
    from slurrycalc.day.record.limits import limits_of  # noqa: PLC0415  only with the record

    if ahead is None or found.bed is None:
        return
    limits, _ = chosen_limits(limits_of(found.bed))
    middle = sum(limits) / 2.0
    if abs(middle - plan.wanted) < SAME:
        return
    part = ahead.part(("floor" if plan.direction == "up" else "ceiling", middle), p)
    price = "no part is sure to be enough" if part is None else f"it takes {percent(part, up=True)}"
    said = f"To the middle of its range, {typed(middle)}, {price}: --want {typed(middle)}."
    found.remarks.append(Remark("price-of-the-middle", said))


def _start(
    bed: Thing, keeper: Keeper, today: datetime.date, spacing: float, asked: datetime.date | None
) -> tuple[datetime.date, Remark | None]:
    """Begin on the day asked for, else today, or when the stage before has had its time; and say why."""
    from slurrycalc.logbook.latest import event_days  # noqa: PLC0415  only with the record

    done = event_days(keeper.recall, bed.id, "exchange", today)
    if not done:
        return asked or today, None
    turn = done[-1] + datetime.timedelta(days=round(spacing))
    if asked is not None:
        if turn <= asked:
            return asked, None
        said = (
            f"Its last exchange was on {spoken(done[-1])}: with {spacing:g} days from one to the next its "
            f"turn would be {spoken(turn)}."
        )
        return asked, Remark("too-soon", said)
    if turn <= today:
        return today, None
    said = f"The first stage waits until {spoken(turn)}, since the last exchange was on {spoken(done[-1])}."
    return turn, Remark("waits", said)


def keep_stages(keeper: Keeper, planned: ExchangePlanned) -> bool:
    """Put the stages of an exchange into a step, in place of those of an earlier plan.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    planned : ExchangePlanned
        Of a bed on record.

    Returns
    -------
    bool
        Whether there is anything to record: stages, or an earlier plan that is taken back. Where the bed is
        to be read first an earlier plan stands.

    Raises
    ------
    Refusal
        If the first stage lies before the day of the plan.
    """
    assert planned.enclosure is not None
    if planned.exchange is None:
        return False
    bed = keeper.recall.things.find("enclosure", planned.enclosure)
    stages = [
        [stage.on.isoformat(), round(stage.fraction, 4)]
        for stage in planned.exchange.stages
        if stage.on is not None
    ]
    if not stages and bed.get("stages") is None:
        return False
    first = planned.exchange.stages[0].on if stages else None
    if first is not None and first < keeper.day:
        raise Refusal(
            f"a first stage on `{first}` lies before {keeper.day}, and nothing is planned for days that are "
            f"past: give such as --start {keeper.day}; what was done then is an event, slurrycalc event "
            f"{shlex.quote(bed.name)} exchange --on {first}"
        )
    keeper.step.setting(bed.uid, "stages", stages or None)
    keeper.step.setting(bed.uid, "wanted", planned.exchange.wanted if stages else None)
    return True
