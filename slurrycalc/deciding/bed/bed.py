"""A bed as its record teaches it: filtered through its history, one update for each new entry."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import ceil
from typing import Any

import numpy as np

from slurrycalc.deciding.bed.changes import bench_moved, disturbed, exchanged, ratio_tried
from slurrycalc.deciding.bed.history import (
    DayMean,
    Disturbed,
    Happening,
    NewBench,
    RatioTried,
    Replaced,
    counted,
)
from slurrycalc.deciding.bed.nodes import Nodes, advanced, observed, unread
from slurrycalc.deciding.bed.prior import BUFFERING_NODES, Floats, Prior
from slurrycalc.deciding.days import DAYS_PER_MONTH

_CHUNK = 12288
_ROUNDING = 1e-6


@dataclass(frozen=True, eq=False)
class Bed:
    """A bed taught by its record up to a day; it is never changed, a new entry gives another."""

    first: date
    """Day of the first reading: the bed's own calendar counts whole months from it."""
    last: date
    """Day of the last entry."""
    read: date
    """Day of the last reading."""
    nodes: Nodes
    """Its state on the day of the last entry, alone in its batch."""

    @property
    def days(self) -> int:
        """How many bench days taught it."""
        return int(self.nodes.days[0])

    def months(self, day: date) -> float:
        """Give the months from the first day to another."""
        return (day - self.first).days / DAYS_PER_MONTH

    def day(self, months: float) -> date:
        """Give the first day that is so many months or more after the first."""
        return self.first + timedelta(days=ceil(months * DAYS_PER_MONTH - _ROUNDING))

    def on(self, day: date) -> Nodes:
        """Give its state as it is foreseen for a day not before the last entry."""
        return advanced(self.nodes, self.months(day))

    def after(self, *entries: Happening, switched_off: Collection[str] = ()) -> Bed:
        """Give the bed as new entries teach it, each of a day not before the last."""
        return all_after([self], [entries], switched_off)[0]


def bed(history: Sequence[Happening], prior: Prior | None = None, switched_off: Collection[str] = ()) -> Bed:
    """Teach the model one bed by its record.

    Parameters
    ----------
    history : sequence of DayMean, Replaced, Disturbed, NewBench and RatioTried
        In order of days, and of the record within a day. What moved the level before the first reading
        teaches nothing and is passed over.
    prior : Prior, optional
        What is expected before any reading.
    switched_off : collection of str
        Names of events that the keeper says moved nothing.

    Returns
    -------
    Bed

    Raises
    ------
    Refusal
        If there is no reading, or the days are out of order.

    Examples
    --------
    >>> from slurrycalc.deciding.bed import day_mean, level
    >>> read = [day_mean(date(2026, month, 1), [6.0 - 0.05 * month] * 2, 0.012) for month in range(1, 7)]
    >>> now = level(bed(read))
    >>> print(f"{now.value:.2f}, {now.interval().low:.2f} to {now.interval().high:.2f}")
    5.70, 5.64 to 5.76
    """
    return beds([history], prior, switched_off)[0]


def beds(
    histories: Sequence[Sequence[Happening]],
    prior: Prior | None = None,
    switched_off: Collection[str] = (),
) -> list[Bed]:
    """Teach the model many beds at once; each comes out as it would alone.

    Parameters
    ----------
    histories : sequence of sequences
        As `bed` takes one.
    prior : Prior, optional
    switched_off : collection of str

    Returns
    -------
    list of Bed
        In the order given.
    """
    records = [counted(history, switched_off) for history in histories]
    first = [entries[0] for entries in records]
    begun = unread([each.mean for each in first if isinstance(each, DayMean)], prior or Prior())
    days = [each.day for each in first]
    found: dict[int, Nodes] = {}
    for some in _batches([(False, _opens(each)) for each in records], begun.grid.weight.size):
        nodes = _taught([only(begun, i) for i in some], [records[i] for i in some], [days[i] for i in some])
        found.update(zip(some, nodes, strict=True))
    return [Bed(days[i], entries[-1].day, _last_read(entries), found[i]) for i, entries in enumerate(records)]


def all_after(
    several: Sequence[Bed],
    entries: Sequence[Sequence[Happening]],
    switched_off: Collection[str] = (),
) -> list[Bed]:
    """Give beds of one prior as new entries of each teach them; as `Bed.after`, side by side."""
    new = []
    for one, mine in zip(several, entries, strict=True):
        start = DayMean(one.last, 7.0, 1, 0.0, 0.0)  # stands for the past: days must not go back before it
        new.append(counted((start, *mine), switched_off)[1:])
    found = list(several)
    moved = [i for i, mine in enumerate(new) if mine]
    kinds = [(_is_wide(several[i]), _opens(new[i])) for i in moved]
    for batch in _batches(kinds, several[0].nodes.grid.weight.size) if moved else ():
        some = [moved[k] for k in batch]
        nodes = _taught(
            [several[i].nodes for i in some],
            [new[i] for i in some],
            [several[i].first for i in some],
        )
        for i, state in zip(some, nodes, strict=True):
            read = [several[i].read, *(each.day for each in new[i] if isinstance(each, DayMean))]
            found[i] = replace(several[i], last=new[i][-1].day, read=max(read), nodes=state)
    return found


def alike(several: Sequence[Bed]) -> Iterator[tuple[list[int], Nodes]]:
    """Part beds of one prior into batches: the places of some, and their states together."""
    size = several[0].nodes.grid.weight.size if several else 1
    for some in _batches([(_is_wide(each), False) for each in several], size):
        yield some, together([several[i].nodes for i in some])


def _batches(kinds: Sequence[tuple[bool, bool]], size: int) -> Iterator[list[int]]:
    """Give the places of beds in batches, by whether they have nodes for r, and whether they will have.

    Those without beside those with would cost as much.
    """
    for kind in sorted(set(kinds)):
        group = [i for i, each in enumerate(kinds) if each == kind]
        many = max(1, _CHUNK // (size * (2 * len(BUFFERING_NODES) if any(kind) else 1)))
        yield from (group[start : start + many] for start in range(0, len(group), many))


def _opens(entries: Sequence[Happening]) -> bool:
    """Tell whether entries lay out the nodes of r."""
    return any(isinstance(each, Replaced | RatioTried) for each in entries)


def _is_wide(bed: Bed) -> bool:
    return bool(bed.nodes.ratio.shape[3] > 1)


def _last_read(entries: Sequence[Happening]) -> date:
    return max(each.day for each in entries if isinstance(each, DayMean))


def only(nodes: Nodes, i: int) -> Nodes:
    """Give one bed of a batch; where nothing touched its r, without the nodes that a neighbour needed."""
    part = slice(i, i + 1)
    weight, moments = nodes.weight[part], nodes.moments[:, part]
    if not nodes.taught[i] and weight.shape[3] > 1:
        weight, moments = weight.sum(axis=3, keepdims=True), moments[..., :1]
    one = np.ones((1, 1, 1, 1))
    plain = weight.shape[3] == 1
    return replace(
        nodes,
        weight=weight,
        moments=moments,
        ratio=one if plain else nodes.ratio[part],
        kept=one if plain else nodes.kept[part],
        capacity=one if plain else nodes.capacity[part],
        months=nodes.months[part],
        days=nodes.days[part],
        taught=nodes.taught[part],
        log_likelihood=nodes.log_likelihood[part],
    )


def together(several: Sequence[Nodes]) -> Nodes:
    """Put single beds of one prior into a batch."""
    if len(several) == 1:
        return several[0]
    names = ("weight", "ratio", "kept", "capacity", "months", "days", "taught", "log_likelihood")
    parts: dict[str, Any] = {
        name: np.concatenate([getattr(each, name) for each in several]) for name in names
    }
    return replace(several[0], moments=np.concatenate([each.moments for each in several], axis=1), **parts)


def _taught(
    states: Sequence[Nodes], records: Sequence[Sequence[Happening]], first: Sequence[date]
) -> list[Nodes]:
    """Take beds through their entries side by side: first entries, second entries, and so on."""
    nodes = together(states)
    for j in range(max(map(len, records))):
        now = [entries[j] if j < len(entries) else None for entries in records]
        to = [
            -1.0 if each is None else (each.day - day).days / DAYS_PER_MONTH
            for each, day in zip(now, first, strict=True)
        ]
        nodes = _entered(advanced(nodes, to), now)
    return [only(nodes, i) for i in range(len(states))]


def _entered(nodes: Nodes, now: Sequence[Happening | None]) -> Nodes:
    """Take in one entry of each bed, or none, on its day."""
    kinds = {type(each) for each in now}
    if DayMean in kinds:
        read, on = _columns(now, DayMean, mean=7.0, jars=1.0, squares=0.0, u=0.0)
        nodes = observed(nodes, read["mean"], read["jars"], read["squares"], read["u"], on=on)
    if Replaced in kinds:
        known = [
            each
            if isinstance(each, Replaced) and each.fraction is not None and each.mix is not None
            else None
            for each in now
        ]
        part, _ = _columns(known, Replaced, fraction=0.0, mix=7.0, u_mix=0.0)
        nodes = exchanged(nodes, part["fraction"], part["mix"], part["u_mix"])
        free = [isinstance(e, Replaced) and k is None for e, k in zip(now, known, strict=True)]
        nodes = disturbed(nodes, np.array(free)) if any(free) else nodes
    if RatioTried in kinds:
        tried, on = _columns(now, RatioTried, log_ratio=0.0, u=nodes.grid.prior.buffering)
        nodes = ratio_tried(nodes, tried["log_ratio"], tried["u"], on)
    if Disturbed in kinds:
        nodes = disturbed(nodes, np.array([isinstance(each, Disturbed) for each in now]))
    if NewBench in kinds:
        nodes = bench_moved(nodes, _columns(now, NewBench, u=0.0)[0]["u"])
    return nodes


def _columns(
    now: Sequence[Happening | None], kind: type[Happening], **missing: float
) -> tuple[dict[str, Floats], np.ndarray[tuple[int], np.dtype[np.bool_]]]:
    """Give fields of the entries of one kind, and which beds have one."""
    on = [isinstance(each, kind) for each in now]
    columns = {
        name: np.array([getattr(each, name) if is_on else other for each, is_on in zip(now, on, strict=True)])
        for name, other in missing.items()
    }
    return columns, np.array(on)
