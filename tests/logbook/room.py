"""The invented reading-room's record, written step by step as a keeper would."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path

from slurrycalc.logbook.blends import add_blend
from slurrycalc.logbook.conductivities import add_conductivity
from slurrycalc.logbook.outside import add_outside
from slurrycalc.logbook.record import Saved, record
from slurrycalc.logbook.refs import Ref, When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store
from slurrycalc.logbook.things import things_of

EAST = datetime.timezone(datetime.timedelta(hours=2))
MAY = datetime.datetime(2024, 5, 4, 10, 30, tzinfo=EAST)
"""A bench day."""
DAY = datetime.timedelta(days=1)
LATER = MAY + 40 * DAY
"""When slips are found."""


def at(day: int, hour: int = 10, minute: int = 30) -> datetime.datetime:
    """Give a moment so many days after the first bench day."""
    return MAY.replace(hour=hour, minute=minute) + day * DAY


@dataclass(frozen=True)
class Kit:
    """Uids of what the room has."""

    desk: str
    acid: str
    neutral: str
    stick: str
    window: str
    stairs: str
    atlas: str


def furnish(book: Store, now: datetime.datetime = MAY) -> Kit:
    """Put meter, bottles, probe and cases on record."""
    step = Step("kit", When(now), keeper="desk team")
    kit = Kit(
        desk=step.thing("meter", "desk", {"shows": "pH"}),
        acid=step.thing("bottle", "acid 2", {"label": "4.01", "tolerance": 0.02}),
        neutral=step.thing("bottle", "neutral 2", {"label": "7.00"}),
        stick=step.thing("probe", "stick"),
        window=step.thing("enclosure", "window", {"target": [5.4, 6.5], "floor": 5.0}),
        stairs=step.thing("enclosure", "stairs"),
        atlas=step.thing("enclosure", "atlas"),
    )
    record(book, step, now)
    return kit


def kit_of(book: Store) -> Kit:
    """Find what the room has."""
    things = things_of(book)

    def find(kind: str, name: str) -> str:
        return things.find(kind, name).uid

    return Kit(
        find("meter", "desk"),
        find("bottle", "acid 2"),
        find("bottle", "neutral 2"),
        find("probe", "stick"),
        *(find("enclosure", name) for name in ("window", "stairs", "atlas")),
    )


def calibrate(
    book: Store,
    kit: Kit,
    when: datetime.datetime,
    shows: tuple[float, float] = (7.04, 4.06),
    close: float | None = None,
) -> tuple[Saved, Ref]:
    """Calibrate the desk's meter."""
    step = Step("calibrate", When(when))
    calibration = step.calibration("pH", meter=kit.desk)
    step.point(calibration, kit.neutral, shows[0], 21.0)
    step.point(calibration, kit.acid, shows[1], 21.0)
    if close is not None:
        step.point(calibration, kit.neutral, close, 21.5, role="close")
    return record(book, step, when), calibration


def read(
    book: Store,
    kit: Kit,
    when: datetime.datetime,
    calibration: Ref,
    enclosure: str,
    shows: tuple[float, ...] = (5.97, 6.02),
    probe: tuple[float, ...] = (),
) -> Saved:
    """Read an enclosure's jars, with the probe beside where it was."""
    step = Step("read", When(when))
    for i, shown in enumerate(shows):
        jar = step.slurry(enclosure, label=f"C{i + 1}")
        step.reading(jar, calibration, shown, 21.5)
        if i < len(probe):
            step.probing(probe[i], probe=kit.stick, enclosure=enclosure, slurry=jar)
    return record(book, step, when)


def copy_of(path: Path) -> bytes:
    """Give a file's bytes, to see whether they change."""
    return path.read_bytes()


def sundries(book: Store, enclosure: str, now: datetime.datetime) -> Saved:
    """Put salts, a trial and an outside result of an enclosure on record."""
    step = Step("salts", When(now))
    common = {"enclosure": enclosure, "compensates": False}
    add_conductivity(step, "standard", 1398.0, 23.0, standard=1413.0, **common)
    add_conductivity(step, "blank", 6.0, 22.0, **common)
    for shows in (850.0, 930.0):
        add_conductivity(step, "slurry", shows, 21.0, ratio=2.0, basis="volume", **common)
    for dose, ph in ((0.0, 5.1), (20.0, 5.4), (40.0, 5.7)):
        add_blend(step, dose, ph, enclosure=enclosure, amendment="fresh mix", weeks=1.0)
    add_outside(
        step,
        enclosure,
        5.85,
        half_width=0.15,
        laboratory="county soil laboratory",
        preparation="1:2.5 water",
    )
    return record(book, step, now)
