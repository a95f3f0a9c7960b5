"""A guided bench day as the declared day that it comes to: from here on both take one road."""

from __future__ import annotations

import datetime
from typing import Any

from slurrycalc.day.bench.guided.state import Cup, Progress
from slurrycalc.day.bench.worksheet import Day, EnclosureEntry, JarEntry, MeterEntry, PointEntry, ProbeEntry


def day_of(progress: Progress, *, date: datetime.date | None = None, by: str | None = None) -> Day:
    """Write the day down as a worksheet would declare it.

    Parameters
    ----------
    progress : Progress
        The answers.
    date : date, optional
        The local day on which it began.
    by : str, optional
        Who was at the table.

    Returns
    -------
    Day
        Jars that were neither probed nor mixed are left out, and so are enclosures without a jar.

    Examples
    --------
    >>> noon = datetime.datetime(2024, 5, 4, 12, tzinfo=datetime.UTC)
    >>> from slurrycalc.day.bench.guided.state import Reply
    >>> answers = {"labels": [["atlas", ["A1"]]], "probe A1": 5.9, "read A1": {"shows": 5.41}}
    >>> day = day_of(Progress(Reply(key, value, noon) for key, value in answers.items()))
    >>> day.jars[0].enclosure, day.jars[0].probe, day.jars[0].shows
    ('atlas', 5.9, 5.41)
    """
    meter = progress.meter
    cups = [cup for cup in progress.cups() if cup.probe is not None or cup.stirred or cup.shows is not None]
    used = {cup.calibration for cup in cups if cup.shows is not None} | {progress.calibrations()[-1]}
    numbers = {number: n for n, number in enumerate(sorted(used), 1)}
    probe = progress.get("probe")
    names = dict.fromkeys(cup.place.case for cup in cups)
    return Day(
        meter=MeterEntry(shows=meter["shows"], name=meter["name"]),
        points=tuple(
            point_of(bottle, answer.value, progress, number)
            for calibration, number in numbers.items()
            for bottle, answer in progress.points(calibration)
        ),
        jars=tuple(_jar(cup, numbers.get(cup.calibration, 1)) for cup in cups),
        enclosures=tuple(EnclosureEntry(name=name) for name in names),
        close=_close(progress),
        probe=ProbeEntry(name=probe) if probe is not None else None,
        date=date,
        by=by,
        note="; ".join(note["text"] for note in progress.notes() if note["about"] is None),
    )


def point_of(bottle: str, value: dict[str, Any], progress: Progress, calibration: int = 1) -> PointEntry:
    """Write down what the meter showed in a bottle."""
    temperature = value.get("temperature")
    at = progress.get("buffers at") if temperature is None else temperature
    return PointEntry(buffer=bottle, shows=value["shows"], temperature=at, calibration=calibration)


def _close(progress: Progress) -> PointEntry | None:
    value = progress.get("close")
    return None if value is None else point_of(progress.bottles[0], value, progress)


def _jar(cup: Cup, calibration: int) -> JarEntry:
    return JarEntry(
        label=cup.label,
        enclosure=cup.place.case,
        shows=cup.shows,
        temperature=cup.temperature,
        probe=cup.probe,
        note="; ".join(cup.notes),
        calibration=calibration,
    )


def calibrated_at(progress: Progress, begun: datetime.datetime) -> datetime.datetime:
    """Tell when the meter was first calibrated, or when the day began if that was on another date."""
    times = [answer.at for _, answer in progress.points(progress.calibrations()[0])]
    return max(times) if times and max(times).date() == begun.date() else begun


def lone_probings(progress: Progress) -> tuple[tuple[str, float], ...]:
    """Give the probe's indications where no slurry was read: they make no pair, but they were read."""
    return tuple(
        (cup.place.case, cup.probe) for cup in progress.cups() if cup.probe is not None and cup.shows is None
    )
