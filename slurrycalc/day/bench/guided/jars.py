"""Answers about jars and buffers: what probe and meter show, when a jar was stirred."""

from __future__ import annotations

import datetime
import re
from typing import Any

from slurrycalc.day.bench.guided.asking import unread
from slurrycalc.day.bench.guided.clock import left, minutes
from slurrycalc.day.bench.guided.reading import Doubt, probe_reading, reading, temperature
from slurrycalc.day.bench.guided.room import Room
from slurrycalc.day.bench.guided.state import SETTLES, Progress, Reply
from slurrycalc.day.bench.guided.times import as_written, is_time, moment, on_clock
from slurrycalc.measuring.electrode import Calibration, Meter, calibrate
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.slurry.duplicates import limit
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs

_ASKS = {
    "probe": ("what the probe shows", "5.9"),
    "buffers": ("how warm they are", "21"),
    "jars": ("how warm they are", "21"),
}
"""Of what is no reading of the meter: what is asked, and a right answer."""
_READ_AT = re.compile(r"(?P<shows>.*\S)\s+at\s+(?P<at>\d{1,2}:\d{2})", re.I | re.ASCII)
"""A reading from paper, with the time that stands beside it."""


def take_at_bench(
    key: str, line: str, *, progress: Progress, room: Room, now: datetime.datetime, sure: frozenset[str]
) -> Any:
    """Take an answer about a jar, a bottle or a temperature.

    Parameters
    ----------
    key : str
        What was asked.
    line : str
        The answer.
    progress : Progress
        The day so far.
    room : Room
        What is known.
    now : datetime
        When it was typed.
    sure : frozenset of str
        Doubts that were settled.

    Returns
    -------
    object
        As it is kept.

    Raises
    ------
    Refusal
        If it cannot stand.
    Doubt
        If a slip is likely.
    """
    what = key.partition(" ")[0]
    if what == "stirred":
        return stirred_at(line, progress, now)
    if is_time(line):
        asks, right = _ASKS.get(what, ("what the meter shows", "5.41"))
        raise Refusal(f"{quoted(line.strip())} is a time, and this asks {asks}: write like {right}.")
    if what == "probe":
        return probe_reading(line)
    if what in ("buffers", "jars"):
        return _warmth(what, line, progress, room)
    meter = Meter(progress.meter["shows"])
    at = None
    if what == "read" and progress.paper and (timed := _READ_AT.fullmatch(line.strip())):
        line, at = timed["shows"], on_clock(timed["at"], now)
    shows, warmth = reading(line, meter)
    value = {"shows": shows} | ({} if warmth is None else {"temperature": warmth})
    if what == "read":
        return _of_jar(key.split()[1], value, progress, at or now, sure, timed=at is not None)
    if what == "point":
        _not_another_bottle(int(key.split()[2]), shows, progress, room, sure)
        found = _calibrated(key, value, progress, room, now)
        value |= {"doubt": True} if found is not None and found.doubt is not None else {}
    return value


def stirred_at(line: str, progress: Progress, now: datetime.datetime) -> str:
    """Take when a jar was stirred; of a day from paper the day alone, where nobody wrote the time down."""
    if progress.paper is None:
        return moment(line, now).isoformat(timespec="seconds")
    written = as_written(line, now)
    return progress.paper.isoformat() if written is None else written.isoformat(timespec="seconds")


def _warmth(what: str, line: str, progress: Progress, room: Room) -> float:
    degrees = temperature(line)
    if what == "buffers":
        for bottle in progress.bottles:
            Bottle(room.label(bottle)).at(degrees)
    return degrees


def _of_jar(
    label: str,
    value: dict[str, Any],
    progress: Progress,
    now: datetime.datetime,
    sure: frozenset[str],
    *,
    timed: bool,
) -> dict[str, Any]:
    """Take a jar's reading, with the calibration that it falls under and whether it had settled."""
    cup = progress.cup(label)
    assert cup is not None
    assert cup.stirred is not None
    value["calibration"] = progress.calibrations()[-1]
    if progress.paper is not None:
        # Nobody can wait any more: what the paper says of times is noted, and no more is asked.
        settled = now - cup.stirred if timed and cup.stirred.tzinfo is not None else SETTLES
        if datetime.timedelta() <= settled < SETTLES:
            value["settled"] = round(settled.total_seconds() / 60)
        return value
    short = left(cup, now) if cup.shows is None else datetime.timedelta()
    if short:
        if "early" not in sure:
            so_far = f"{minutes(SETTLES - short)} of {minutes(SETTLES)}"
            raise Doubt(f"{label} has settled {so_far}. Read it all the same?", likely=False, about="early")
        value["settled"] = round((SETTLES - short).total_seconds() / 60)
    return value


def _not_another_bottle(
    number: int, shows: float, progress: Progress, room: Room, sure: frozenset[str]
) -> None:
    """Ask where a display of pH is nearer to another bottle of the day."""
    if progress.meter["shows"] != "pH" or "bottle" in sure:
        return
    marks = [float(room.label(bottle)) for bottle in progress.bottles]
    nearest = min(range(len(marks)), key=lambda n: abs(shows - marks[n]))
    if nearest != number:
        asked, other = (room.called(progress.bottles[n]) for n in (number, nearest))
        raise Doubt(
            f"{shows:g} is nearer to {other}. Is the electrode in {asked}?", likely=False, about="bottle"
        )


def _calibrated(
    key: str, value: dict[str, Any], progress: Progress, room: Room, now: datetime.datetime
) -> Calibration | None:
    """See that the bottles of a calibration can stand together, once all are read; None before."""
    trial = Progress([*progress, Reply(key, value, now)])
    return calibration_of(trial, room) if _all_read(trial) else None


def _all_read(progress: Progress) -> bool:
    calibration = progress.calibrations()[-1]
    return all(f"point {calibration} {n}" in progress for n in range(len(progress.bottles)))


def calibration_of(progress: Progress, room: Room) -> Calibration:
    """Compute the day's last calibration, for a look at it at the bench.

    Parameters
    ----------
    progress : Progress
        With its bottles read.
    room : Room
        What is known.

    Returns
    -------
    Calibration
        Not the one of the record: its errors have keys of their own.

    Raises
    ------
    Refusal
        If its bottles cannot stand together.
    """
    usual = progress.get("buffers at")
    read = progress.points(progress.calibrations()[-1])
    poured = [
        (room.poured(bottle), answer.value["shows"], answer.value.get("temperature", usual))
        for bottle, answer in read
    ]
    found = calibrate(poured, Meter(progress.meter["shows"]), inputs=Inputs())
    return found.on(read[-1][1].at.date())


def said_after(key: str, progress: Progress, room: Room) -> tuple[str, ...]:
    """Say what an answer shows that can still be mended at the bench.

    Parameters
    ----------
    key : str
        What was answered.
    progress : Progress
        The day, that answer among it.
    room : Room
        What is known.

    Returns
    -------
    tuple of str
        The meter's verdict after its last bottle, duplicates that lie apart after a case's last jar.
    """
    what, *rest = key.split()
    if what == "point" and _all_read(progress):
        again = [cup.label for cup in unread(progress) if cup.again]
        said = [f"Read once more under it: {', '.join(again)}."] if again else []
        return (*_verdict(calibration_of(progress, room)), *said)
    return _apart(rest[0], progress, room) if what == "read" else ()


def _verdict(calibration: Calibration) -> tuple[str, ...]:
    verdict = calibration.verdict
    if verdict.state == "good":
        return (f"Good: {verdict.reasons[0][0].lower()}{verdict.reasons[0][1:]}",)
    return (*verdict.reasons, "To calibrate again now, type c.")


def _apart(label: str, progress: Progress, room: Room) -> tuple[str, ...]:
    """Tell of replicates that lie apart, while they can be read again."""
    cup = progress.cup(label)
    if cup is None or cup.shows is None or any(one.place.case == cup.place.case for one in unread(progress)):
        return ()
    read = [
        one
        for one in progress.cups()
        if one.place.case == cup.place.case and one.shows is not None and one.calibration == cup.calibration
    ]
    if len(read) < 2:
        return ()
    calibration = calibration_of(progress, room)
    values = [calibration.ph(one.shows, one.temperature).n for one in read if one.shows is not None]
    width, allowed = max(values) - min(values), limit(len(values))
    if width <= allowed:
        return ()
    labels = f"{', '.join(one.label for one in read[:-1])} and {read[-1].label}"
    return (
        f"{labels} lie {two_figures(width)} pH apart, farther than the {allowed:.2f} that good ones mostly "
        "keep. To read one again, type its label.",
    )
