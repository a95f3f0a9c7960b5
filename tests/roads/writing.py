"""A drawn day in the words of each road: command lines, a worksheet, tables, answers at the table."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace

from tests.roads.days import (
    BOTTLES,
    CASES,
    DATE,
    FRESH,
    LIMITS,
    METER,
    PROBE,
    STEADY,
    BenchDay,
    Jar,
    Point,
    earlier_days,
)
from tests.roads.program import Act

ON = ("--on", DATE)


def room(day: BenchDay) -> list[Act]:
    """Set up what is on record before the day; nothing, for a nameless one."""
    if not day.named:
        return []
    acts = []
    for case in CASES:
        words = ["enclosure", case, "--new"]
        words += ["--steady", "yes"] if case == STEADY else ["--fresh", "yes"] if case == FRESH else []
        acts.append(Act(words + limits_words(LIMITS[day.limits].get(case))))
    acts += [Act(["kit", "meter", METER, "--shows", day.shows]), Act(["kit", "probe", PROBE])]
    if day.bottles:
        acts += [Act(["kit", "bottle", name, "--label", label]) for label, name in BOTTLES.items()]
    for past, date in zip(earlier_days(day.shows, day.earlier), ("2024-03-09", "2024-04-06"), strict=False):
        text = worksheet(replace(past, bottles=day.bottles), date=date)
        acts.append(Act(["run", "earlier.toml"], "earlier.toml", text))
    return acts


def limits_words(limits: tuple[str, str, str] | None) -> list[str]:
    return [] if limits is None else ["--target", f"{limits[0]}:{limits[1]}", "--floor", limits[2]]


# A worksheet.


def worksheet(day: BenchDay, *, date: str = DATE, bad: bool = False, meter: str | None = None) -> str:
    """Write a day as a worksheet; a meter that has no name may be given one."""
    figures = dict(day.figures)
    thermometer = figures.pop("thermometer", None)
    meter = METER if day.named else meter
    lines = [f"date = {date}", f'fit = "{day.fit}"', "[meter]", f'shows = "{day.shows}"']
    lines += [] if meter is None else [f'name = "{meter}"']
    lines += [f"{key} = {'false' if value == 'no' else value}" for key, value in figures.items()]
    lines += [] if thermometer is None else ["[thermometer]", f"tolerance = {thermometer}"]
    if not day.named and day.bottles:
        for label in dict.fromkeys(
            point.label for point in (*day.points, *filter(None, (day.check, day.close)))
        ):
            lines += ["[[bottle]]", f'name = "{BOTTLES[label]}"', f'label = "{label}"']
    for head, point in (
        *(("[[point]]", point) for point in day.points),
        ("[check]", day.check),
        ("[close]", day.close),
    ):
        # Twice in a bottle is two points, as on a command line.
        for shows in () if point is None else point.shows:
            lines += [head, *_point_lines(day, point, shows)]
    if any(jar.probe for jar in day.jars):
        lines += ["[probe]"]
        lines += [f'name = "{PROBE}"'] if day.named else []
        lines += [] if day.next is None else [f"next = {day.next}"]
    for case in day.cases:
        lines += ["[[enclosure]]", f"name = {json.dumps(case)}"]
        limits = day.limits_of(case)
        if not day.named and limits is not None:
            lines += [f"target = [{limits[0]}, {limits[1]}]", f"floor = {limits[2]}"]
    for jar in (*day.jars, *([day.bad] if bad and day.bad else [])):
        lines += ["[[jar]]", f'label = "{jar.label}"', f"enclosure = {json.dumps(jar.case)}"]
        lines += [f"shows = {json.dumps(jar.shows) if jar is day.bad else jar.shows}"]
        for key in ("temperature", "probe"):
            lines += [] if getattr(jar, key) is None else [f"{key} = {getattr(jar, key)}"]
        lines += [] if jar.spot is None else [f"spot = {json.dumps(jar.spot)}"]
        lines += [] if jar.calibration == 1 else [f"calibration = {jar.calibration}"]
    return "\n".join(lines) + "\n"


def _point_lines(day: BenchDay, point: Point, shows: str) -> list[str]:
    lines = [f'buffer = "{day.buffer(point)}"', f"shows = {shows}"]
    lines += [] if point.temperature is None else [f"temperature = {point.temperature}"]
    return lines if point.calibration == 1 else [*lines, f"calibration = {point.calibration}"]


# A table.

COLUMNS = ("jar", "enclosure", "reading", "temperature", "probe", "spot")


def table(day: BenchDay, number: int, *, bad: bool = False) -> str:
    """Write the jars that were read under one calibration as a table."""
    rows = [",".join(COLUMNS)]
    jars = [jar for jar in day.jars if jar.calibration == number]
    for jar in (*jars, *([day.bad] if bad and day.bad else [])):
        cells = (jar.label, jar.case, jar.shows, jar.temperature, jar.probe, jar.spot)
        rows.append(",".join(cell or "" for cell in cells))
    return "\n".join(rows) + "\n"


def run_words(day: BenchDay, number: int) -> list[str]:
    """What stands behind a table on the line."""
    words = [*bench_words(day, number), *figures_words(day), *scatter_words(day)]
    if day.named:
        words += ["--meter", METER, *ON]
        words += ["--probe", PROBE] if any(jar.probe for jar in day.jars) else []
    else:
        words += limits_words(day.limits_of(day.cases[0]))
    return words + ["--try"] * day.tries


# Command lines.


def unit(day: BenchDay) -> str:
    return "mV" if day.shows == "mV" else ""


def reading(day: BenchDay, shows: str, temperature: str | None) -> str:
    return f"{shows}{unit(day)}" + ("" if temperature is None else f"@{temperature}C")


def point_words(day: BenchDay, point: Point) -> list[str]:
    """One word for each time that the bottle was read."""
    return [f"{day.buffer(point)}={reading(day, shows, point.temperature)}" for shows in point.shows]


def again_words(day: BenchDay, number: int, *, close: bool = True) -> list[str]:
    """Check and close, which belong to the last calibration."""
    if number != day.calibrations[-1]:
        return []
    words = [] if day.check is None else ["--check", *point_words(day, day.check)]
    return words + ([] if day.close is None or not close else ["--close", *point_words(day, day.close)])


def bench_words(day: BenchDay, number: int) -> list[str]:
    """Buffers, check and close as options."""
    words = []
    for point in day.points:
        if point.calibration == number:
            words += [word for each in point_words(day, point) for word in ("--buffer", each)]
    if day.bottles and not day.named:
        words += [word for label, name in BOTTLES.items() for word in ("--bottle", f"{name}={label}")]
    return [*words, *again_words(day, number), *fit_words(day)]


def fit_words(day: BenchDay) -> list[str]:
    return [] if day.fit == "line" else ["--fit", day.fit]


def figures_words(day: BenchDay) -> list[str]:
    return [word for key, value in day.figures for word in (f"--{key}", value)]


def scatter_words(day: BenchDay) -> list[str]:
    return [] if day.scatter is None else ["--scatter", day.scatter]


def calibrate_words(day: BenchDay, number: int) -> list[str]:
    points = [word for point in day.points if point.calibration == number for word in point_words(day, point)]
    again = again_words(day, number, close=not day.late)
    return ["calibrate", *points, *again, *fit_words(day), *figures_words(day), "--meter", METER, *ON]


def read_words(day: BenchDay, case: str, jars: tuple[Jar, ...]) -> list[str]:
    """Read one enclosure's jars, under the meter's last calibration or with the buffers behind them."""
    words = ["read", *(reading(day, jar.shows, jar.temperature) for jar in jars), *scatter_words(day)]
    if any(jar.spot for jar in day.jars):
        words += ["--spots", ",".join(jar.spot or "" for jar in jars)]
    if day.inline or not day.on_record:
        words += [*bench_words(day, jars[0].calibration), *figures_words(day)]
    if day.named:
        words += ["--meter", METER, "--enclosure", case, *ON]
    else:
        words += limits_words(day.limits_of(case))
    return words + ["--try"] * day.tries


def strictest(day: BenchDay) -> list[str]:
    """Limits of the bed that asks the most of a probe: whose floor lies closest to its range."""
    beds = [day.limits_of(case) or ("5.4", "6.5", "5.0") for case in day.cases if case not in (STEADY, FRESH)]
    return limits_words(min(beds, key=lambda each: float(each[0]) - float(each[2])))


# At the table.


def answers(day: BenchDay) -> Iterator[tuple[str, str]]:
    """Give the answer to each question of the guided day, by its key, but for those of jars being read."""
    most = max(len(day.of(case)) for case in day.cases)
    yield "cases", ", ".join(day.cases)
    yield "each", str(most)
    yield "meter", METER
    yield "bottles", ", ".join(day.buffer(point) for point in day.points if point.calibration == 1)
    yield "cup", "us"
    yield "probe", PROBE
    yield "buffers at", ""
    yield "jars at", ""
    for letter, case in zip("ABC", day.cases, strict=False):
        jars = {jar.label: jar for jar in day.of(case)}
        for k in range(1, most + 1):
            jar = jars.get(label := f"{letter}{k}")
            yield f"probe {label}", "s" if jar is None or jar.probe is None else jar.probe
            yield f"stirred {label}", "s" if jar is None else "40 min ago"
    yield "close", "s" if day.close is None else reading(day, day.close.shows[0], day.close.temperature)
    yield "done", ""
