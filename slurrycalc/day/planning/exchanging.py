"""An exchange, from what the line says and what the record knows; and its stages, put on record."""

from __future__ import annotations

import datetime
import shlex
from dataclasses import dataclass
from typing import TYPE_CHECKING

from slurrycalc.data.assumed import COVERAGE, EXCHANGE_DRIFT, MOST_AT_ONCE, STAGE_SPACING
from slurrycalc.day.limits import chosen_limits
from slurrycalc.day.planning.changing import NAMELESS, Gathered, Line, bed_ph, gather
from slurrycalc.deciding.days import DAYS_PER_MONTH, spoken
from slurrycalc.deciding.exchange import Exchange, exchange
from slurrycalc.deciding.exchange.planning import days_between
from slurrycalc.deciding.exchange.words import percent
from slurrycalc.deciding.given import taken
from slurrycalc.measuring.wording import in_hundred, typed
from slurrycalc.metrology.coverage import probability
from slurrycalc.metrology.remark import Refusal, Remark

if TYPE_CHECKING:
    from slurrycalc.day.keeping.keeper import Keeper
    from slurrycalc.deciding.trend import ReadFirst



@dataclass(frozen=True)
class Spread:
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
class ExchangePlanned:
    """An exchange, and what it was computed from."""

    exchange: Exchange | None
    """None where the bed is to be read first."""
    first: ReadFirst | None
    enclosure: str | None
    basis: tuple[str, ...]
    """What was taken from the record, a sentence each."""
    remarks: tuple[Remark, ...]


def plan_exchange(
    line: Line,
    want: str | None,
    spread: Spread,
    today: datetime.date,
    *,
    keeper: Keeper | None = None,
    enclosure: str | None = None,
) -> ExchangePlanned:
    """Plan an exchange.

    Parameters
    ----------
    line : Line
        What the line says of bed and mix.
    want : str or None
        pH wanted, as typed; of a bed on record the middle of its target. [pH]
    spread : Spread
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
    >>> planned = plan_exchange(Line(now="5.1", fresh="6.6"), "5.9", Spread(), today)
    >>> f"{planned.exchange.assured_fraction:.3f}"
    '0.681'
    """
    recall = None if keeper is None else keeper.recall
    found = gather(line, recall, enclosure, today)
    wanted = _wanted(found, want)
    name = None if found.bed is None else found.bed.name
    first = bed_ph(found, recall, today)
    if first is not None:
        return ExchangePlanned(None, first, name, tuple(found.basis), tuple(found.remarks))
    if found.fresh is None:
        raise Refusal("the fresh mix is measured, not assumed: give what it reads, --fresh 6.6+-0.2.")
    assert found.now is not None
    if want is None:
        _say_if_inside(found)
    every = STAGE_SPACING.value if spread.every is None else spread.every
    start = spread.start
    if keeper is not None and found.bed is not None:
        start = _start(found, keeper, today, days_between(every), start)
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
    )
    if line.now is None:
        _say_drift(found, plan, today)
    return ExchangePlanned(plan, None, name, tuple(found.basis), tuple(found.remarks))


def _wanted(found: Gathered, want: str | None) -> str | float:
    if want is not None:
        return want
    if found.bed is None:
        raise Refusal(f"the pH wanted is missing: {NAMELESS.format(option='--want 5.9')}")
    from slurrycalc.day.keeping.slurries import limits_of  # noqa: PLC0415  only with the record

    own = limits_of(found.bed)
    (low, high), _ = chosen_limits(own)
    middle = (low + high) / 2.0
    whose = "its range" if own[0] is not None else "the usual range"
    known = "" if own[0] is not None else ", common practice"
    found.note("Wanted", f"pH {typed(middle)}, the middle of {whose}, {typed(low)} to {typed(high)}{known}")
    return middle


def _say_if_inside(found: Gathered) -> None:
    """Say that a bed that is surely inside its range needs no exchange to get there."""
    from slurrycalc.day.keeping.slurries import limits_of  # noqa: PLC0415  only with the record

    assert found.bed is not None
    assert found.now is not None
    (low, high), _ = chosen_limits(limits_of(found.bed))
    now = taken(found.now, "ph", "pH now")
    inside = probability(now, above=low) - probability(now, above=high)
    if inside >= COVERAGE.value:
        said = f"It is inside its range already, {in_hundred(inside)}: an exchange is a choice, and no need."
        found.remarks.append(Remark("inside-already", said))


def _say_drift(found: Gathered, plan: Exchange, today: datetime.date) -> None:
    """Say how far the bed drifts until the last stage, which what is predicted leaves out."""
    from slurrycalc.day.planning.series import drift_or_why  # noqa: PLC0415  only with the record
    from slurrycalc.deciding.trend import Trend  # noqa: PLC0415

    last = plan.stages[-1].on if plan.stages else None
    drift = None if found.series is None or last is None else drift_or_why(found.series, today=today)
    if last is None or not isinstance(drift, Trend) or not drift.shown:
        return
    by = drift.per_month.n * (last - today).days / DAYS_PER_MONTH
    if abs(by) >= EXCHANGE_DRIFT.value:
        until = spoken(last)
        said = f"By its line the bed drifts by {by:+.2f} pH until {until}, which is not in these numbers."
        found.remarks.append(Remark("drift-left-out", said))


def _start(
    found: Gathered, keeper: Keeper, today: datetime.date, spacing: float, asked: datetime.date | None
) -> datetime.date:
    """Begin on the day asked for, else today, or when the stage before has had its time."""
    from slurrycalc.day.planning.stages import open_stages  # noqa: PLC0415  only with the record
    from slurrycalc.logbook.latest import event_days  # noqa: PLC0415

    assert found.bed is not None
    done = [day for day in event_days(keeper.recall, found.bed.id, "exchange") if day <= today]
    planned = open_stages(found.bed, done)
    if planned:
        days = ", ".join(f"{percent(stage.fraction, up=True)} on {spoken(stage.on)}" for stage in planned)
        said = f"On record for {found.bed.name}: {days}. What --plan saves replaces it."
        found.remarks.append(Remark("planned-already", said))
    if not done:
        return asked or today
    turn = done[-1] + datetime.timedelta(days=round(spacing))
    if asked is not None:
        if turn > asked:
            said = (
                f"Its last exchange was on {spoken(done[-1])}: with {spacing:g} days from one to the next "
                f"its turn would be {spoken(turn)}."
            )
            found.remarks.append(Remark("too-soon", said))
        return asked
    if turn <= today:
        return today
    said = f"The first stage waits until {spoken(turn)}, since the last exchange was on {spoken(done[-1])}."
    found.remarks.append(Remark("waits", said))
    return turn


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
    return True
