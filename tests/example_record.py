"""The example logbook: eighteen months of an invented reading-room, made up and written out.

Run ``python tests/example_record.py`` to write ``examples/eighteen-months`` anew, after a change of the form
of the record. Everything in it is invented: a public library keeps three planted cases. One is exchanged in
three parts, one stays as it is, one turns acid. A jar of dry substrate is slurried on every bench day, and on
one day it shows that the bottles of buffer had gone off.
"""

from __future__ import annotations

import datetime
import random
import shutil
from collections.abc import Iterator
from hashlib import sha256
from itertools import count
from pathlib import Path
from unittest.mock import patch

from slurrycalc.logbook import refs
from slurrycalc.logbook.blends import add_blend
from slurrycalc.logbook.conductivities import add_conductivity
from slurrycalc.logbook.exporting import export
from slurrycalc.logbook.outside import add_outside
from slurrycalc.logbook.record import record_within
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory

FOLDER = Path(__file__).parent.parent / "examples" / "eighteen-months"
FIRST = datetime.date(2024, 5, 4)
DAYS = tuple(FIRST + datetime.timedelta(days=28 * i) for i in range(20))
"""Bench days: every fourth Saturday, the last one on 18 October 2025."""
OFF = datetime.date(2025, 7, 26)
"""On that bench day a bottle had gone off; the day was struck out, and done again a day later."""
WRITTEN = datetime.datetime(2025, 11, 1, 12, tzinfo=datetime.UTC)
SALTS_DAYS = DAYS[::6] + DAYS[-1:]
SCATTER = 0.08
"""Of slurries from different spots of one case. [pH]"""
WHO = "desk team"


def level(name: str, day: datetime.date) -> float:
    """Give the true pH of a substrate."""
    months = (day - FIRST).days / 30.4375
    if name == "atlas":
        return 5.98 - 0.036 * months
    if name == "stairs":
        return 5.62
    if name == "window":
        start, gains = 5.12, ((datetime.date(2024, 5, 11), 0.46), (datetime.date(2024, 6, 8), 0.36))
        late = ((datetime.date(2025, 4, 12), 0.32),)
        return start + sum(gain for on, gain in (*gains, *late) if day > on) - 0.024 * months
    return {"shelf jar": 6.18, "leaf mix": 6.62}[name]


class Room:
    """What the steps have in common: things, chance, and the steps themselves."""

    def __init__(self) -> None:
        self.draw = random.Random(20240504)
        self.steps: list[Step] = []
        kit = self.step("kit", FIRST)
        limits = {"target": [5.4, 6.5], "floor": 5.0}
        sizes = {"window": ([60.0, 45.0], 10.0), "stairs": ([45.0, 45.0], 8.0), "atlas": ([90.0, 45.0], 12.0)}
        self.cases = {
            name: kit.thing("enclosure", name, {"size": size, "bed_depth": depth, **limits})
            for name, (size, depth) in sizes.items()
        }
        self.cases["shelf jar"] = kit.thing("enclosure", "shelf jar", {"steady": True})
        self.cases["leaf mix"] = kit.thing("enclosure", "leaf mix", {"fresh": True})
        self.desk = kit.thing("meter", "desk", {"shows": "pH"})
        self.stick = kit.thing("probe", "stick")
        self.bottles: tuple[str, str] = ("", "")

    def step(self, kind: str, day: datetime.date, note: str | None = None) -> Step:
        """Begin a step."""
        made = Step(kind, When.on(day, datetime.UTC), keeper=WHO, note=note)
        self.steps.append(made)
        return made

    def open_bottles(self, number: int, day: datetime.date) -> None:
        """Open a pair of buffer bottles; the former pair is used up."""
        step = self.step("kit", day)
        for bottle in filter(None, self.bottles):
            step.setting(bottle, "retired", (day - datetime.timedelta(days=1)).isoformat())
        said = {"opened": day.isoformat(), "expires": (day + datetime.timedelta(days=400)).isoformat()}
        self.bottles = tuple(  # type: ignore[assignment]
            step.thing("bottle", f"{name} {number}", {"label": label, **said})
            for name, label in (("neutral", "7.00"), ("acid", "4.01"))
        )

    def bench_day(self, day: datetime.date, off: float = 0.0) -> Step:
        """Calibrate the meter, read two slurries a case with the probe before them, and the steady jar."""
        step = self.step("run", day, "the buffers were old" if off else None)
        months = (day - FIRST).days / 30.4375
        slope, at_7 = 0.989 - 0.0034 * months, 0.03 + 0.002 * months
        drift = self.draw.gauss(0.0, 0.006)

        def shows(ph: float) -> float:
            return round(7.0 + at_7 + drift + slope * (ph - 7.0) + self.draw.gauss(0.0, 0.006), 2)

        under = step.calibration("pH", meter=self.desk)
        for bottle, ph in zip(self.bottles, (7.0, 4.0), strict=True):
            step.point(under, bottle, shows(ph - off), 21.0)
        for name, letter in (("window", "A"), ("stairs", "B"), ("atlas", "C")):
            for n in (1, 2):
                spot = level(name, day) + self.draw.gauss(0.0, SCATTER)
                jar = step.slurry(self.cases[name], label=f"{letter}{n}")
                step.reading(jar, under, shows(spot), 21.0)
                probe = round(spot + 0.58 + self.draw.gauss(0.0, 0.2), 1)
                step.probing(probe, probe=self.stick, enclosure=self.cases[name], slurry=jar)
        jar = step.slurry(self.cases["shelf jar"], label="S1")
        step.reading(jar, under, shows(level("shelf jar", day) + self.draw.gauss(0.0, 0.03)), 21.0)
        if day == DAYS[0] or day == DAYS[-1]:
            for n in (1, 2):
                jar = step.slurry(self.cases["leaf mix"], label=f"M{n}")
                step.reading(jar, under, shows(level("leaf mix", day) + self.draw.gauss(0.0, 0.05)), 21.0)
        step.point(under, self.bottles[0], shows(7.0 - off), 21.5, role="close")
        return step

    def salts(self, day: datetime.date, name: str) -> None:
        """Read a conductivity meter in a standard, in the water, and in two slurries."""
        step = self.step("salts", day)
        months = (day - FIRST).days / 30.4375
        ec = 310.0 if name == "leaf mix" else 520.0 + 21.0 * months
        add_conductivity(step, "standard", 1380.0, 24.0, standard=1413.0, enclosure=self.cases[name])
        add_conductivity(step, "blank", 3.0, 21.0, enclosure=self.cases[name])
        for _ in range(2):
            shows = 0.98 * (1.0 - 0.0191 * 4.0) * ec * self.draw.gauss(1.0, 0.05)
            add_conductivity(
                step,
                "slurry",
                round(shows, -1),
                21.0,
                enclosure=self.cases[name],
                ratio=2.0,
                basis="volume",
                solution="distilled water",
            )

    def trial(self, day: datetime.date) -> None:
        """Read jars in which the bed of atlas and the fresh mix had stood together."""
        step = self.step("trial", day, "six jars, three weeks moist, on the shelf")
        bed, fresh, capacity = level("atlas", day), level("leaf mix", day), 1.3
        for percent in (0, 15, 30, 45, 60, 100):
            f = percent / 100
            moved = f * capacity / (1.0 - f + f * capacity)
            ph = round(bed + moved * (fresh - bed) + self.draw.gauss(0.0, 0.04), 2)
            add_blend(step, percent, ph, enclosure=self.cases["atlas"], amendment="leaf mix", weeks=3)

    def outside(self, day: datetime.date) -> None:
        """Enter what a laboratory said of a case."""
        step = self.step("agree", day)
        add_outside(
            step,
            self.cases["stairs"],
            5.71,
            half_width=0.15,
            laboratory="county soil laboratory",
            preparation="1:2 water",
        )

    def event(self, day: datetime.date, name: str, kind: str, litres: float | None, note: str) -> None:
        """Note what was done."""
        amount = {} if litres is None else {"amount": 1000.0 * litres, "unit": "mL"}
        step = self.step("event", day)
        done = step.event(self.cases[name], kind, note=note, **amount)  # type: ignore[arg-type]
        if kind == "exchange":
            step.mix(done, self.cases["leaf mix"], None, None)


def steps() -> list[Step]:
    """Make up the record, step by step."""
    room = Room()
    room.open_bottles(2, FIRST)
    for day in DAYS:
        if day == datetime.date(2024, 11, 16):
            room.open_bottles(3, day)
        if day == OFF:
            stale = room.bench_day(day, off=0.31)
            undo = room.step("undo", day)
            undo.void(stale.uid, None, "the steady jar alarmed: the buffers had stood open since November")
            day += datetime.timedelta(days=1)  # noqa: PLW2901
            room.open_bottles(4, day)
        room.bench_day(day)
        if day in SALTS_DAYS:
            room.salts(day, "atlas")
        if day == DAYS[-1]:
            room.salts(day, "leaf mix")
        if day == DAYS[-2]:
            room.trial(day)
            room.outside(day)
        for when, name, kind, litres, note in sorted(EVENTS):
            if day <= when < day + datetime.timedelta(days=28):
                room.event(when, name, kind, litres, note)
    return room.steps


def on(month: int, day: int, year: int = 2025) -> datetime.date:
    """Give a day."""
    return datetime.date(year, month, day)


EVENTS = (
    (on(5, 11, 2024), "window", "exchange", 9.0, "first third, animals out for a day"),
    (on(6, 8, 2024), "window", "exchange", 9.0, "second part; a third of the old bed stays"),
    (on(4, 12), "window", "exchange", 9.0, "a third, as planned"),
    *((on(m, 15, y), "window", "leaf-litter", 1.0, "")
      for m, y in ((7, 2024), (10, 2024), (1, 2025), (7, 2025))),
    *((on(m, 15, y), "stairs", "leaf-litter", 0.5, "")
      for m, y in ((6, 2024), (11, 2024), (4, 2025), (9, 2025))),
    *((on(m, 15, y), "atlas", "leaf-litter", 1.5, "")
      for m, y in ((8, 2024), (12, 2024), (5, 2025), (8, 2025))),
    (on(11, 9, 2024), "stairs", "charcoal", 0.5, "handful under the bark"),
    (on(2, 15), "atlas", "moved-in", None, "twelve isopods from the stairs"),
)


def build(book: Store, *, undone: bool = True) -> Store:
    """Put the made-up record into an empty logbook, what was struck out with its striking or without."""
    numbers = count(1)
    # Names that are the same each time, so that the files change only where the story does.
    with patch.object(
        refs.os, "urandom", lambda size: sha256(f"reading-room {next(numbers)}".encode()).digest()[:size]
    ):
        made = [step for step in steps() if undone or step.kind != "undo"]
    with book.transaction():
        record_within(book, made, WRITTEN)
    return book


def written() -> Iterator[Path]:
    """Write the example anew; give its files."""
    shutil.rmtree(FOLDER, ignore_errors=True)
    export(build(in_memory()), FOLDER, WRITTEN)
    yield from sorted(FOLDER.iterdir())


if __name__ == "__main__":
    for file in written():
        print(f"{file.stat().st_size:8,} {file.name}")
