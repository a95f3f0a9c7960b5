"""How fast the enclosures of a record drift: one, or all beside each other."""

from __future__ import annotations

import datetime
import shlex
from collections.abc import Collection, Sequence
from dataclasses import replace
from functools import partial

from slurrycalc.day.months.bench_state import BenchState
from slurrycalc.day.months.drifting import DriftAsked, Drifting, with_course
from slurrycalc.day.months.exchanged import exchanges_worked, not_learnt
from slurrycalc.day.months.outlook import Outlook, Standpoint, outlook
from slurrycalc.day.months.retest import retests_of
from slurrycalc.day.months.rhythm import upkeep_asked
from slurrycalc.day.months.salts_beside import Moves, salts_beside
from slurrycalc.day.months.series import Series, drift_or_why, series_of, series_of_many
from slurrycalc.day.months.stages import open_plan
from slurrycalc.day.months.surprise import surprises_of
from slurrycalc.day.months.teaching import Taught, foresee, teach
from slurrycalc.day.record.limits import limits_of
from slurrycalc.deciding.doubt import in_doubt
from slurrycalc.deciding.trend import Trend
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.things import Thing
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal


def of_record(
    recall: Recall, name: str | None, asked: DriftAsked, since: datetime.date | None = None
) -> tuple[tuple[Drifting, ...], tuple[str, ...]]:
    """Say how fast one enclosure of a record drifts, or each of them.

    Parameters
    ----------
    recall : Recall
        The record.
    name : str or None
        Of the enclosure; None for all.
    asked : DriftAsked
        What is asked.
    since : date, optional
        From that day on; the newest 36 bench days unless given.

    Returns
    -------
    drifts : tuple of Drifting
        As `by_record` or `by_whole_record` give them.
    unread : tuple of str
        Names of enclosures that were not read yet.

    Raises
    ------
    Refusal
        As they do.
    """
    if name is None:
        return by_whole_record(recall, asked, since)
    return (by_record(recall, name, asked, since),), ()


def by_record(recall: Recall, name: str, asked: DriftAsked, since: datetime.date | None = None) -> Drifting:
    """Say how fast an enclosure drifts by the record.

    Parameters
    ----------
    recall : Recall
        The record.
    name : str
        Of the enclosure.
    asked : DriftAsked
        What is asked.
    since : date, optional
        From that day on; the newest 36 bench days unless given.

    Returns
    -------
    Drifting
        With its level as each bench day taught it.

    Raises
    ------
    Refusal
        If no enclosure is called so, it is kept to no limit, or none of its 1:2 slurries is on record.
    """
    enclosure = recall.things.find("enclosure", name)
    _refuse_no_bed(recall, enclosure)
    series = series_of(recall, enclosure, since=since, until=asked.today)
    if series is None:
        from_when = "" if since is None else f" since {since}"
        raise Refusal(
            f"no 1:2 slurry of {quoted(enclosure.name)} was read{from_when} up to {asked.today}; read one on "
            "a bench day, slurrycalc bench, or ask for another day by --on."
        )
    _known(asked.without, [series])
    (taught,) = teach([series], asked.prior, asked.without)
    (found,) = _each(recall, [series], [taught], asked, ahead=asked.ahead, more=asked.more)
    worked = () if "exchange" in asked.without else exchanges_worked(series, asked.prior)
    moves = Moves(taught.rate(), worked, surprise=bool(found.outlook.remarks))
    beside = salts_beside(recall, series, asked.today, moves)
    why = None if "exchange" in asked.without else not_learnt(recall, enclosure, asked.today)
    return replace(with_course(found, series, taught, asked, worked), not_learnt=why, salts=beside)


def by_whole_record(
    recall: Recall, asked: DriftAsked, since: datetime.date | None = None
) -> tuple[tuple[Drifting, ...], tuple[str, ...]]:
    """Say how fast each enclosure in use drifts.

    Parameters
    ----------
    recall : Recall
        The record.
    asked : DriftAsked
        What is asked.
    since : date, optional
        From that day on; the newest 36 bench days of each unless given.

    Returns
    -------
    drifts : tuple of Drifting
        Those that are shown to fall first, the fastest foremost; then the others by how fast they seem to
        fall. Steady jars and tubs of fresh mix are no enclosures to be kept.
    unread : tuple of str
        Names of those that were not read yet.

    Raises
    ------
    Refusal
        If nothing was read yet.
    """
    beds = [one for one in recall.things.of("enclosure", asked.today) if one.is_bed]
    found = series_of_many(recall, beds, since=since, until=asked.today)
    if not found:
        raise Refusal(
            "no bench day is on record of which a trend could be drawn: give its numbers, slurrycalc trend "
            "2024-04-02=5.71 2024-05-04=5.60, or begin a record, slurrycalc bench"
        )
    _known(asked.without, list(found.values()))
    every = list(found.values())
    taught = teach(every, asked.prior, asked.without)
    drifts = _each(recall, every, taught, asked)
    return tuple(sorted(drifts, key=_falling_first)), tuple(one.name for one in beds if one.id not in found)


def _each(
    recall: Recall,
    several: Sequence[Series],
    taught: Sequence[Taught],
    asked: DriftAsked,
    *,
    ahead: datetime.date | None = None,
    more: Sequence[float] = (),
) -> list[Drifting]:
    """Say how each of several enclosures drifts; what all of them are asked is found in one pass."""
    steps = [tuple(step for step in one.steps if step.name not in asked.without) for one in several]
    again = retests_of(several, asked.limits, asked.p, taught=taught, steps=steps)
    foresee(taught, "level")
    foresee(taught, "level", asked.today)
    foresee(taught, "rate")
    odd, bench, beside = surprises_of(several, taught), BenchState(recall), list[Outlook]()
    found = []
    for k, series in enumerate(several):
        stage, doubted = _next_stage(recall, series, asked.today), in_doubt(bench.remarks(series.last))
        at = Standpoint(
            asked.today,
            series.last,
            again[k],
            (asked.limits, limits_of(series.enclosure)),
            steps[k],
            series.enclosure.name,
            series.doubted,
            asked.p,
            stage,
            not doubted,
            upkeep_asked(series),
        )
        said = None if series.doubted else odd[k]
        seen = outlook(taught[k], at, ahead=ahead, asked=more, odd=said, beside=beside)
        one = Drifting(
            at.name, at.last, seen, again[k], seen.first, series.days, tuple(series.ph.values.tolist()), (),
            (), (), series.slurries, series.earlier, series.steps, partial(_line, series, asked),
        )  # fmt: skip
        found.append(one)
    return found


def _line(series: Series, asked: DriftAsked) -> Trend | str:
    """Draw a straight line through an enclosure's bench days, or say why there is none."""
    mine = {step.name for step in series.steps}.intersection(asked.without)
    return drift_or_why(series, without=mine, expected=asked.expected, today=asked.today)


def _next_stage(recall: Recall, series: Series, today: datetime.date) -> datetime.date | None:
    """Give the day of the next stage of an exchange that is planned and not withdrawn."""
    plan = open_plan(recall, series.enclosure, series, today)
    return None if plan is None or plan.enough is not None else plan.stages[0].on


def _known(without: Collection[str], every: Sequence[Series]) -> None:
    """See that a step that is switched off is one of these."""
    names = dict.fromkeys(step.name for series in every for step in series.steps)
    for name in without:
        if name not in names:
            there = ", ".join(names) or "none"
            raise Refusal(f"{quoted(name)} is no step that could be left out; this record has {there}.")


def _refuse_no_bed(recall: Recall, thing: Thing) -> None:
    """Refuse what has no limit to drift to: its trend would lead to an exchange that nobody does."""
    if thing.is_bed:
        return
    what = "a tub of fresh mix" if thing.get("fresh") else "the steady jar"
    beds = [quoted(one.name) for one in recall.things.of("enclosure") if one.is_bed]
    such = f", such as {beds[0]}" if beds else ""
    raise Refusal(
        f"{quoted(thing.name)} is {what}, which has no range to leave: name an enclosure{such}; what it read "
        f"is shown by slurrycalc history {shlex.quote(thing.name)}"
    )


def _falling_first(one: Drifting) -> tuple[int, float, str]:
    slope = one.outlook.per_month.n
    return 0 if one.outlook.shown and slope < 0.0 else 1, slope, one.enclosure or ""
