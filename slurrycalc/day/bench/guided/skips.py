"""What leaving a question out comes to."""

from __future__ import annotations

import datetime
from typing import Any

from slurrycalc.day.bench.guided.asking import KIT, Question, unread
from slurrycalc.day.bench.guided.jars import calibration_of
from slurrycalc.day.bench.guided.room import Room, far_apart
from slurrycalc.day.bench.guided.state import FIRST, Cup, Progress, Reply
from slurrycalc.metrology.remark import Refusal

Kept = list[tuple[str, Any]]
"""Answers by key."""


def skipped_keys(
    asked: Question, progress: Progress, room: Room, now: datetime.datetime, *, every: bool
) -> Kept:
    """Give the answers that a skipped question leaves.

    Parameters
    ----------
    asked : Question
        The question.
    progress : Progress
        The day so far.
    room : Room
        What is known.
    now : datetime
        The present.
    every : bool
        Whether all such questions that are open are meant.

    Returns
    -------
    list of (str, object)
        Keys and values; a skipped question is None.

    Raises
    ------
    Refusal
        If the day needs an answer.
    """
    what = asked.key.partition(" ")[0]
    if asked.key in KIT:
        raise Refusal("this one is needed for the day.")
    if what == "point":
        return _point(asked.key, progress, room, now)
    if what in ("done", "wait"):
        raise Refusal("there is nothing to skip here; type a jar's label and then s to leave it out.")
    if what == "read":
        cups = unread(progress) if every else [progress.cup(asked.key.partition(" ")[2])]
        return [_jar(cup, progress) for cup in cups if cup is not None]
    if not every or asked.key in ("probe", "close") or asked.key.endswith(" at"):
        return [(asked.key, None)]
    open_ = [f"{what} {place.label}" for place in progress.places()]
    return [(asked.key, None), *((key, None) for key in open_ if key not in progress and key != asked.key)]


def _jar(cup: Cup, progress: Progress) -> tuple[str, Any]:
    """Leave a jar unread; what was read under a calibration in doubt stands as it is, with its doubt."""
    key = f"read {cup.label}"
    return key, {**progress.get(key), "stands": True} if cup.again else None


def _point(key: str, progress: Progress, room: Room, now: datetime.datetime) -> Kept:
    """Leave out a bottle, where enough others remain; or take back a calibration that was just begun."""
    calibration = int(key.split()[1])
    if calibration > FIRST and not any(
        f"point {calibration} {n}" in progress for n in range(len(progress.bottles))
    ):
        return [(f"again {calibration}", False)]
    trial = Progress([*progress, Reply(key, None, now)])
    kept = [
        room.label(bottle)
        for n, bottle in enumerate(progress.bottles)
        if trial.get(f"point {calibration} {n}", "open") is not None
    ]
    if len(kept) < 2 or not far_apart(kept):
        raise Refusal("the meter needs two bottles, 1 pH apart or more.")
    if not all(f"point {calibration} {n}" in trial for n in range(len(progress.bottles))):
        return [(key, None)]
    doubted = calibration_of(trial, room).doubt is not None
    # A bottle that was left out shows no doubt; the newest of the others does.
    shown = [answer for _, answer in trial.points(calibration)]
    newest = max(shown, key=lambda answer: answer.at)
    return [(key, None), *([(newest.key, {**newest.value, "doubt": True})] if doubted else [])]
