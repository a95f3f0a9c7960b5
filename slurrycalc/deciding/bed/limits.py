"""When a bed may be past a limit, and by when to read it again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal, TypeAlias, get_args

import numpy as np

from slurrycalc.data.assumed import (
    BED_OUTLOOK,
    FIRST_RETEST,
    FLOOR_CHANCE,
    READ_AGAIN_CHANCE,
    READ_AGAIN_LATEST,
    READ_AGAIN_SOONEST,
)
from slurrycalc.deciding.bed.answers import levels
from slurrycalc.deciding.bed.bed import Bed, alike
from slurrycalc.deciding.bed.nodes import Nodes, advanced
from slurrycalc.deciding.bed.prior import Floats
from slurrycalc.deciding.days import DAYS_PER_MONTH, months_on

Side: TypeAlias = Literal["floor", "ceiling"]
Bound: TypeAlias = tuple[Side, float]
"""A limit and whether the level must not fall below it or not rise above it. [pH]"""
Bounds: TypeAlias = tuple[Side, float | Floats]
"""The same for many beds: one limit for all or one for each, nan where a bed has none. [pH]"""

_HALVINGS = 12
"""A month over 4096: ten minutes."""


def past(nodes: Nodes, bound: Bounds, u_shared: object = 0.0) -> Floats:
    """Give the chance that each bed is past a limit."""
    side, limit = bound
    level = levels(nodes, u_shared)
    return level.below(limit) if side == "floor" else level.above(limit)


def first_months(
    nodes: Nodes,
    bound: Bounds,
    chances: Sequence[float],
    until: object,
    *,
    u_shared: object = 0.0,
) -> list[Floats]:
    """Find when the chance to be past a limit first rises above each of several chances.

    Parameters
    ----------
    nodes : Nodes
    bound : (side, pH)
    chances : sequence of float
    until : float or array
        Months since each bed's first day at which the search ends. [month]
    u_shared : float or array
        [pH]

    Returns
    -------
    list of array
        Months since each bed's first day: now where it is larger already, nan where it stays below. The
        chance is looked at when each month of the bed's own calendar ends, and within the first month that
        ends above the one asked for, by halving. [month]
    """
    end = np.maximum(np.broadcast_to(np.asarray(until, dtype=float), (nodes.beds,)), nodes.months)
    shape = (len(chances), nodes.beds)
    asked = np.reshape(np.asarray(chances, dtype=float), (-1, 1))
    found = np.where(past(nodes, bound, u_shared) > asked, nodes.months, np.full(shape, np.nan))
    before: list[Nodes | None] = [None] * len(chances)
    low, high = np.zeros(shape), np.zeros(shape)
    hit = ~np.isnan(found)
    now = nodes
    while not hit.all() and (now.months < end).any():
        later = advanced(now, np.minimum(end, np.floor(now.months + 1e-9) + 1.0))
        new = (past(later, bound, u_shared) > asked) & ~hit & (later.months > now.months)
        for c in np.flatnonzero(new.any(axis=1)).tolist():
            held = before[c]
            before[c] = now if held is None else _of_either(new[c], now, held)
            low[c], high[c] = np.where(new[c], now.months, low[c]), np.where(new[c], later.months, high[c])
        hit |= new
        now = later
    for c, (start, chance) in enumerate(zip(before, chances, strict=True)):
        if start is None:
            continue
        lo, hi = low[c], high[c]
        for _ in range(_HALVINGS):
            middle = (lo + hi) / 2.0
            beyond = past(advanced(start, middle), bound, u_shared) > chance
            lo, hi = np.where(beyond, lo, middle), np.where(beyond, middle, hi)
        found[c] = np.where(high[c] > 0.0, hi, found[c])
    return list(found)


def _of_either(first: np.ndarray[tuple[int], np.dtype[np.bool_]], one: Nodes, other: Nodes) -> Nodes:
    """Take some beds from one state of a batch and the rest from another."""
    each = first.reshape(-1, 1, 1, 1)
    return replace(
        other,
        weight=np.where(each, one.weight, other.weight),
        moments=np.where(each, one.moments, other.moments),
        months=np.where(first, one.months, other.months),
    )


@dataclass(frozen=True)
class LimitDates:
    """When a bed may pass a limit, probably has, and surely has; None where not within the outlook."""

    bound: Bound
    earliest: date | None
    """It may be past from this day on."""
    even: date | None
    """From this day on it is as likely past as not."""
    latest: date | None
    """By this day it is past; mostly there is no such day."""


def limit_dates(bed: Bed, bound: Bound, u_shared: float = 0.0, p: float = 0.95) -> LimitDates:
    """Say when a bed may pass a limit, if nothing is done meanwhile.

    Parameters
    ----------
    bed : Bed
    bound : (side, pH)
    u_shared : float
        Standard uncertainty that all its days share. [pH]
    p : float
        Coverage of the days from the earliest to the latest. [1]

    Returns
    -------
    LimitDates
        From the day of the last entry on; rounded up to whole days, so that the chance is larger on each.
    """
    return all_limit_dates([bed], [bound], [u_shared], p)[0]


def all_limit_dates(
    several: Sequence[Bed], bounds: Sequence[Bound], u_shared: Sequence[float], p: float = 0.95
) -> list[LimitDates]:
    """Say when each of several beds may pass its limit, as `limit_dates` says it of one."""
    chances = ((1.0 - p) / 2.0, 0.5, (1.0 + p) / 2.0)
    found: dict[int, LimitDates] = {}
    for side in get_args(Side):
        mine = [i for i, bound in enumerate(bounds) if bound[0] == side]
        for batch, nodes in alike([several[i] for i in mine]):
            some = [mine[k] for k in batch]
            limit, u = (np.array([of[i] for i in some]) for of in ([bound[1] for bound in bounds], u_shared))
            until = np.array([several[i].months(several[i].last) for i in some]) + BED_OUTLOOK.value
            months = first_months(nodes, (side, limit), chances, until, u_shared=u)
            for i, when in zip(some, np.transpose(months).tolist(), strict=True):
                days = (None if np.isnan(each) else several[i].day(each) for each in when)
                found[i] = LimitDates(bounds[i], *days)
    return [found[i] for i in range(len(several))]


@dataclass(frozen=True)
class ReadBy:
    """By when to read a bed again."""

    by: date
    reason: Literal["at once", "limit", "first reading", "longest"]
    """It may be past a limit now, or come to be; one bench day shows no drift; or a record grows stale."""
    chance: float
    """To be past any of the limits on the day asked about, each by itself, the largest. [1]"""


def read_again_months(
    nodes: Nodes, bounds: Sequence[Bound], u_shared: object = 0.0, chance: float = READ_AGAIN_CHANCE.value
) -> Floats:
    """Give the months from now by which each bed is to be read again, 0 where at once.

    Parameters
    ----------
    nodes : Nodes
        On the day of the last reading.
    bounds : sequence of (side, pH)
    u_shared : float or array
        [pH]
    chance : float
        To be past a limit, at which it is read. [1]

    Returns
    -------
    array
        [month]
    """
    latest = np.where(nodes.days < 2, FIRST_RETEST.value, READ_AGAIN_LATEST.value)
    by = nodes.months + latest
    for bound in bounds:
        (when,) = first_months(nodes, bound, [chance], by, u_shared=u_shared)
        by = np.fmin(by, when)
    wait = np.maximum(by - nodes.months, READ_AGAIN_SOONEST.value / DAYS_PER_MONTH)
    now = np.max([past(nodes, bound, u_shared) for bound in bounds], axis=0) if bounds else np.zeros(1)
    return np.asarray(np.where(now > FLOOR_CHANCE.value, 0.0, wait))


def read_by(bed: Bed, bounds: Sequence[Bound], on: date | None = None, u_shared: float = 0.0) -> ReadBy:
    """Say by when to read a bed again.

    Parameters
    ----------
    bed : Bed
    bounds : sequence of (side, pH)
        Its limits.
    on : date, optional
        The day on which it is asked, not before the last entry; that day unless given.
    u_shared : float
        Standard uncertainty that all its days share. [pH]

    Returns
    -------
    ReadBy
        At once where the chance to be past a limit is above 5 % on the day asked about. Else the first day
        with a chance above 1 %: within a month of the reading while there is but one, no sooner than a week
        after the last entry, at most four months after the last reading.
    """
    return all_read_by([bed], [bounds], on, [u_shared])[0]


def all_read_by(
    several: Sequence[Bed],
    bounds: Sequence[Sequence[Bound]],
    on: date | None = None,
    u_shared: Sequence[float] | None = None,
) -> list[ReadBy]:
    """Say by when to read each of several beds again, as `read_by` says it of one."""
    found: dict[int, ReadBy] = {}
    for some, nodes in alike(several):
        beds = [several[i] for i in some]
        u = np.zeros(len(some)) if u_shared is None else np.array([u_shared[i] for i in some])
        columns = list(_columns([bounds[i] for i in some]))
        today = [on or bed.last for bed in beds]
        state = advanced(nodes, [bed.months(day) for bed, day in zip(beds, today, strict=True)])
        chance = np.zeros(len(some))
        for bound in columns:
            chance = np.fmax(chance, past(state, bound, u))
        latest = [FIRST_RETEST.value if bed.days < 2 else READ_AGAIN_LATEST.value for bed in beds]
        by = [months_on(bed.read, months) for bed, months in zip(beds, latest, strict=True)]
        ends = [max(bed.months(day), bed.months(bed.last)) for bed, day in zip(beds, by, strict=True)]
        until = np.where(chance > FLOOR_CHANCE.value, nodes.months, ends)
        when = np.full(len(some), np.nan)
        for bound in columns:
            end = np.where(np.isnan(bound[1]), nodes.months, until)
            when = np.fmin(when, first_months(nodes, bound, [READ_AGAIN_CHANCE.value], end, u_shared=u)[0])
        for k, i in enumerate(some):
            found[i] = _read_by(beds[k], today[k], float(chance[k]), by[k], float(when[k]))
    return [found[i] for i in range(len(several))]


def _read_by(bed: Bed, today: date, chance: float, latest: date, when: float) -> ReadBy:
    """Say by when to read a bed that meets a limit so many months after its first day, nan: it does not."""
    if chance > FLOOR_CHANCE.value:
        return ReadBy(today, "at once", chance)
    by, reason = latest, "first reading" if bed.days < 2 else "longest"
    if not np.isnan(when) and bed.day(when) < by:
        by, reason = bed.day(when), "limit"
    soonest = bed.last + timedelta(days=READ_AGAIN_SOONEST.value)
    return ReadBy(max(by, soonest, today), reason, chance)  # type: ignore[arg-type]


def _columns(bounds: Sequence[Sequence[Bound]]) -> Iterator[Bounds]:
    """Lay the limits of many beds out by side: first limits of each, second limits, and so on."""
    for side in get_args(Side):
        mine = [[limit for which, limit in some if which == side] for some in bounds]
        for k in range(max(map(len, mine))):
            yield side, np.array([limits[k] if k < len(limits) else np.nan for limits in mine])
