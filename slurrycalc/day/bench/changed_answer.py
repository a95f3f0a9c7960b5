"""Which enclosures are answered otherwise than when they were read: the method is another one since."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter
from typing import Any, Final

import msgspec

from slurrycalc.data.method import METHOD
from slurrycalc.day.bench.result import EnclosureResult
from slurrycalc.day.bench.standing import Standing
from slurrycalc.day.months.duties import duties
from slurrycalc.day.record.shown import FIRST, WAITS, first_word
from slurrycalc.deciding.days import as_day, spoken
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.standing import chunked
from slurrycalc.logbook.things import Thing
from slurrycalc.metrology.results import Result

SAME: Final = 1e-6
"""Limits are kept to so many pH."""
TASKS: Final = {
    WAITS: "nothing before its day",
    "retest": "read it at once",
    "exchange": "exchange a part",
    "exchange-stage": "exchange the next part",
    "upkeep": "see to its upkeep",
    "mix-again": "mix another jar",
    "meter": "see to the meter",
    "bench": "see to the bench",
}
"""What a first task is called beside another one."""


@dataclass(frozen=True)
class ChangedAnswer(Result, says=("text",)):
    """An enclosure whose first task or verdict is another one, without a new reading."""

    enclosure: str
    read: datetime.date
    """Its last bench day; both answers are of that day."""
    method: str
    """Version of the method that answered then."""
    text: str
    """What was said then, and what is said now."""


def changed_answers(recall: Recall, whole: Standing) -> tuple[ChangedAnswer, ...]:
    """Find the enclosures that another version of the method answered, and otherwise.

    Parameters
    ----------
    recall : Recall
        The record.
    whole : Standing
        Where its enclosures stand by the present method.

    Returns
    -------
    tuple of ChangedAnswer
        In the order of `whole`. Not those that the present method has read since, whose readings of that day
        were mended, or whose limits are others now: those changed by what somebody did.
    """
    by = {one.name: one for one in whole.enclosures if one.name is not None}
    others = _by_others(recall, {name: as_day(one.day) for name, one in by.items()})
    older = [
        (others[name][0], one, others[name][1])
        for name, one in by.items()
        if name in others and _same_limits(one, others[name][1].said)
    ]
    first = _first_tasks(recall, [(one.day, thing) for thing, one, _ in older])
    found = []
    for thing, one, then in older:
        said = "; ".join((*_task(then.said, first.get(thing.id)), *_verdict(then.said, one)))
        if said:
            on = as_day(one.day)
            found.append(ChangedAnswer(thing.name, on, then.method, f"{thing.name}, {spoken(on)}: {said}."))
    return tuple(found)


def answered_otherwise(recall: Recall, read: Mapping[str, datetime.date]) -> set[str]:
    """Give the names of enclosures whose last bench day another version of the method answered."""
    return set(_by_others(recall, read))


def _by_others(recall: Recall, read: Mapping[str, datetime.date]) -> dict[str, tuple[Thing, _Then]]:
    """Give what other versions of the method answered last of each enclosure's last bench day."""
    if not recall.book.rows("SELECT 1 FROM shown WHERE method <> ? LIMIT 1", (METHOD,)):
        return {}
    kept = _kept(recall, {day.isoformat() for day in read.values()})
    found = {}
    for thing in recall.things.of("enclosure", retired=True):
        on = str(read.get(thing.name))
        then = next((kept[was, on] for was in (thing.name, *thing.former_names) if (was, on) in kept), None)
        if then is not None and then.method != METHOD:
            found[thing.name] = thing, then
    return found


def _first_tasks(recall: Recall, read: Sequence[tuple[str, Thing]]) -> dict[int, str]:
    """Give the first task of each of these enclosures on its day, by number."""
    found: dict[int, str] = {}
    for day, those in groupby(sorted(read, key=itemgetter(0)), key=itemgetter(0)):
        things = [thing for _, thing in those]
        first = duties(recall, as_day(day), of=things).first
        found |= {thing.id: first_word(first[thing.name]) for thing in things if thing.name in first}
    return found


@dataclass(frozen=True)
class _Then:
    said: Mapping[str, Any]
    method: str


def _kept(recall: Recall, days: set[str]) -> dict[tuple[str, str], _Then]:
    """Give what was shown last of each enclosure on each of these days, by its name then."""
    rows = chunked(
        recall.book,
        "SELECT s.entry, e.day, s.result, s.method, s.n FROM shown s JOIN entry e ON e.id = s.entry "
        "WHERE e.day IN ({})",
        days,
    )
    mended = {entry for entry, _ in recall.stands.values}
    found: dict[tuple[str, str], _Then] = {}
    for entry, day, result, method, _ in sorted(rows, key=lambda row: (row[0], row[4])):
        said = msgspec.json.decode(result)
        if not said.get("slurries") or "in_range" not in said or not recall.stands.has(entry):
            continue
        key = (str(said["enclosure"]), day)
        found[key] = _Then({} if entry in mended else said, method)
    return found


def _same_limits(one: EnclosureResult, then: Mapping[str, Any]) -> bool:
    """Tell whether range and floor are those that were answered then; never of an answer that was mended."""
    limits = (*one.judgement.target, one.judgement.floor)
    kept = (*then.get("target", ()), then.get("floor"))
    return len(kept) == len(limits) and all(abs(a - b) < SAME for a, b in zip(kept, limits, strict=True))


def _verdict(then: Mapping[str, Any], one: EnclosureResult) -> Iterator[str]:
    """Say which question is answered otherwise; nothing where it was asked for another probability."""
    now = one.judgement
    for key, what in (("in_range", "inside its range"), ("above_floor", "above its floor")):
        was, state = then[key][0], getattr(now, key).state
        if abs(then["p"] - now.p) < SAME and was != state:
            yield f"{what} was {was}, is {state}"


def _task(then: Mapping[str, Any], now: str | None) -> Iterator[str]:
    """Hold the first task of that day against the one that was kept, or what the verdict asked for."""
    if now is None:
        return
    if FIRST in then:
        was = str(then[FIRST])
        if was != now:
            yield f"first task was {TASKS.get(was, was)}, is {TASKS[now]}"
        return
    # Method 1 kept no task: it said to act where a question was answered no, and else not to act yet.
    states = [then[key][0] for key in ("in_range", "above_floor")]
    settled = states == ["yes", "yes"]
    was = "to act" if "no" in states else "nothing now" if settled else "not to act yet"
    others = (WAITS, "retest", "mix-again") if "no" in states else ("exchange",)
    if now in (*others, *(("retest", "mix-again") if settled else ())):
        yield f"the answer was {was}, the first task is {TASKS[now]}"
