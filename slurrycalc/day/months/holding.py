"""An upkeep, from what the line says and what the record knows."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from slurrycalc.data.assumed import MOST_AT_ONCE, UPKEEP_DAYS, UPKEEP_EVERY
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
from slurrycalc.deciding.given import Given, nominal, taken
from slurrycalc.deciding.upkeep import Rhythm, SaltRise, Upkeep, upkeep, wait_for_days
from slurrycalc.measuring.wording import typed
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import number, two_figures
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Result

if TYPE_CHECKING:
    from slurrycalc.day.record.keeper import Keeper
    from slurrycalc.deciding.due import DueItem
    from slurrycalc.deciding.trend import ReadFirst
    from slurrycalc.logbook.recall import Recall


@dataclass(frozen=True)
class Holding:
    """What an upkeep shall hold, and how, as typed."""

    drift: str | None = None
    """[pH/month]"""
    floor: str | None = None
    ceiling: str | None = None
    every: str | None = None
    """From one exchange to the next; that on record, or three months, unless given. [months]"""
    at_once: str | None = None
    salt_rise: str | None = None
    """[uS/cm a month]"""
    fresh_salts: str | None = None
    salt_limit: str | None = None
    salts_now: str | None = None
    p: float = 0.95
    cup: str = "us"

    @property
    def salts(self) -> SaltRise | None:
        """How salts gather; None where nothing is said of them."""
        said = {
            "--salt-rise '60 uS/cm'": self.salt_rise,
            "--fresh-salts '0.4 mS/cm'": self.fresh_salts,
            "--salt-limit '1.25 mS/cm'": self.salt_limit,
        }
        missing = [option for option, text in said.items() if text is None]
        if len(missing) == len(said) and self.salts_now is None:
            return None
        if self.salt_rise is None or self.fresh_salts is None or self.salt_limit is None:
            raise Refusal(f"salts need a rise, those of the fresh mix and a limit: add {missing[0]}.")
        return SaltRise(self.salt_rise, self.fresh_salts, self.salt_limit, self.salts_now)

    @property
    def only_salts(self) -> bool:
        """Whether nothing is asked of pH."""
        return self.salts is not None and self.drift is self.floor is self.ceiling is None


@dataclass(frozen=True)
class UpkeepPlanned(Result, says=("upkeep", "first"), of="enclosure"):
    """An upkeep, and what it was computed from."""

    upkeep: Upkeep | None
    """None where the bed is to be read first."""
    first: ReadFirst | None
    enclosure: str | None
    basis: tuple[str, ...]
    """What was taken from the record, a sentence each."""
    remarks: tuple[Remark, ...]
    task: DueItem | None = None
    """The first thing to do of the bed by the agenda, where its record says where it stands."""

    @property
    def rhythm(self) -> Rhythm | None:
        """How often, and how much each time; None where nothing is exchanged, or nothing holds the limit."""
        return None if self.upkeep is None else self.upkeep.rhythm


def plan_upkeep(
    line: BedGiven,
    holding: Holding,
    today: datetime.date,
    *,
    recall: Recall | None = None,
    enclosure: str | None = None,
) -> UpkeepPlanned:
    """Plan an upkeep.

    Parameters
    ----------
    line : BedGiven
        What the line says of bed and mix.
    holding : Holding
        What it shall hold; of a bed on record the drift is that of its trend, and the limit its floor, or
        the upper end of its range where its pH is shown to rise. Salts count too, where the record shows
        that they rise and how much the fresh mix holds.
    today : date
        The present day.
    recall : Recall, optional
        The record.
    enclosure : str, optional
        Name of the bed on record.

    Returns
    -------
    UpkeepPlanned

    Raises
    ------
    Refusal
        If something is missing or cannot stand.

    Examples
    --------
    >>> today = datetime.date(2024, 5, 4)
    >>> f"{plan_upkeep(BedGiven(fresh='6.6'), Holding('-0.08', '5.4'), today).upkeep.fraction:.2f}"
    '0.20'
    """
    of_ph = enclosure is not None or not holding.only_salts
    found = gather(line, recall, enclosure, today, wants_fresh=of_ph)
    drift: Given | None = holding.drift
    floor: str | float | None = holding.floor
    ceiling: str | float | None = holding.ceiling
    name = None if found.bed is None else found.bed.name
    task = task_of(found, line, recall, today)
    first = _read_first(found, drift, today) or found_out_first(found, task)
    if first is not None:
        return UpkeepPlanned(None, first, name, tuple(found.basis), tuple(found.remarks), task)
    if of_ph:
        drift = _drift(found, today) if drift is None else drift
        if floor is None and ceiling is None:
            floor, ceiling = _limit(found, drift)
        _level(found, recall, today)
    salts = _salts(found, holding, recall, today)
    of_record = line.now is None and holding.drift is None
    plan = upkeep(
        drift,
        found.fresh,
        floor,
        _every(found, holding),
        found.buffering,
        ceiling=ceiling,
        now=found.now,
        salts=salts,
        volume=found.volume,
        at_once=MOST_AT_ONCE.value if holding.at_once is None else holding.at_once,
        p=holding.p,
        cup=holding.cup,
        ahead=ahead_of(found, today) if of_record and of_ph else None,
    )
    if of_record and _is_young(found):
        days = 0 if found.series is None else len(found.series.days)
        plan = wait_for_days(plan, days, round(UPKEEP_DAYS.value))
    return UpkeepPlanned(plan, None, name, tuple(found.basis), tuple(found.remarks), task)


def _every(found: BedGathered, holding: Holding) -> str:
    """Take the interval that is given, else that of the upkeep on record, else the usual one."""
    from slurrycalc.day.months.rhythm import upkeep_days  # noqa: PLC0415  only with the record

    own = None if found.bed is None else upkeep_days(found.bed)
    if holding.every is not None or own is None:
        return f"{UPKEEP_EVERY.value:g}" if holding.every is None else holding.every
    found.note("Interval", f"{own} days, as its upkeep on record has it")
    return f"{own} d"


def _is_young(found: BedGathered) -> bool:
    """Tell whether a bed was read too seldom for an upkeep, and shows no drift."""
    if found.series is None or len(found.series.days) >= UPKEEP_DAYS.value:
        return False
    rate = found.series.taught.rate()
    return bool(abs(rate.n) <= half_width(rate))


def _drift(found: BedGathered, today: datetime.date) -> Given:
    """Take the drift from the bed's own trend."""
    if found.bed is None:
        raise Refusal(f"the drift per month is missing: {NAMELESS.format(option='--drift -0.08+-0.02')}")
    from slurrycalc.day.months.beds import unread  # noqa: PLC0415  only with the record

    if found.series is None:
        raise unread(found.bed)
    n, rate = len(found.series.days), found.series.taught.rate()
    if n == 1:
        raise Refusal(
            f"{quoted(found.bed.name)} was read on one day only, which shows no drift: read it again in a "
            "month, or give it, --drift -0.08+-0.02."
        )
    half = half_width(rate)
    found.note("Drift", f"pH {number(rate.n, half)} ± {two_figures(half)} a month, by its {n} bench days")
    if abs(rate.n) <= half:
        name = found.bed.name
        said = f"{name} shows no drift: this holds it against the one that it may have."
        found.remarks.append(Remark("no-drift-shown", said))
    return rate


def _limit(found: BedGathered, drift: Given) -> tuple[float | None, float | None]:
    """Hold a bed above its floor; one that is shown to rise under the upper end of its range."""
    if found.bed is None:
        raise Refusal(f"a limit to hold is missing: {NAMELESS.format(option='--floor 5.4 or --ceiling 6.5')}")
    from slurrycalc.day.record.limits import limits_of  # noqa: PLC0415  only with the record

    own = limits_of(found.bed)
    (_, high), floor = chosen_limits(own)
    rise = taken(drift, "number", "drift per month")
    # As for reading again: a rise counts once it is shown. Until then the floor does, whatever the trend.
    if nominal(rise) <= half_width(rise):
        known = "" if own[1] is not None else ", common practice"
        found.note("Limit", f"pH {typed(floor)}, its floor{known}")
        return floor, None
    known = "" if own[0] is not None else ", common practice"
    found.note("Limit", f"pH {typed(high)}, the upper end of its range{known}, since it rises")
    return None, high


def _salts(
    found: BedGathered, holding: Holding, recall: Recall | None, today: datetime.date
) -> SaltRise | None:
    """Take what the line leaves open of salts from the record, where it shows that they rise."""
    rise, fresh, limit = holding.salt_rise, holding.fresh_salts, holding.salt_limit
    if recall is None or found.bed is None or None not in (rise, fresh, limit):
        return holding.salts
    from slurrycalc.day.months.gathering_salts import salts_to_hold  # noqa: PLC0415  only with the record

    known = salts_to_hold(found, recall, today, rise=rise, fresh=fresh, limit=limit)
    if known is None:
        return holding.salts
    return known if holding.salts_now is None else replace(known, now=holding.salts_now)


def _read_first(found: BedGathered, drift: Given | None, today: datetime.date) -> ReadFirst | None:
    """Tell whether the bed is to be read first: its level, or the drift that is taken from its record."""
    if found.series is None:
        return None
    from slurrycalc.day.months.beds import first_of  # noqa: PLC0415  only with the record

    if found.now is None:
        return first_of(found.series, today)
    # A drift outlasts what was done since, but no longer than the record that shows it.
    return None if drift is not None else first_of(replace(found.series, happened=()), today)


def _level(found: BedGathered, recall: Recall | None, today: datetime.date) -> None:
    """Begin the first cycles where the bed stands, if it was ever read."""
    if found.bed is None or found.now is not None:
        return
    if found.series is None:
        said = f"Where {found.bed.name} stands is not known: it was never read."
        found.remarks.append(Remark("level-unknown", said))
        return
    bed_ph(found, recall, today)


def keep_upkeep(keeper: Keeper, planned: UpkeepPlanned) -> bool:
    """Put how often an upkeep exchanges into a step; tell whether there is anything to put."""
    from slurrycalc.day.months.rhythm import UPKEEP  # noqa: PLC0415  only with the record

    if planned.rhythm is None or planned.enclosure is None:
        return False
    bed = keeper.recall.things.find("enclosure", planned.enclosure)
    keeper.step.setting(bed.uid, UPKEEP, float(planned.rhythm.days))
    return True
