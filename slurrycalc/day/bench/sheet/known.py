"""What the record knows of a bench day before its first reading."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from slurrycalc.day.bench.guided.labels import cup_labels
from slurrycalc.day.bench.guided.room import KnownBottle, KnownCase, Room, far_apart, neutral_first
from slurrycalc.logbook.calibrations import KeptCalibration
from slurrycalc.logbook.recall import Recall
from slurrycalc.measuring.recipe import mix

LOOKED_THROUGH = 50
"""So many of a meter's newest calibrations are looked at for one that stands (our own figure)."""


@dataclass(frozen=True)
class SheetBottle:
    """A buffer bottle that is to be read."""

    name: str
    label: str
    lot: str | None = None
    opened: str | None = None
    """Year, month, day."""
    expires: str | None = None
    past: bool = False
    """Whether it has expired by the bench day."""

    @property
    def words(self) -> str:
        """Say what is known of it besides its name.

        Examples
        --------
        >>> SheetBottle("acid 2", "4.01", "31", "2024-03-01").words
        '4.01, lot 31, opened 2024-03-01'
        """
        ends = "expired" if self.past else "expires"
        known = (("lot", self.lot), ("opened", self.opened), (ends, self.expires))
        label = () if self.label == self.name else (self.label,)
        return ", ".join([*label, *(f"{word} {said}" for word, said in known if said)])


@dataclass(frozen=True)
class SheetJar:
    """A slurry that is to be mixed and read."""

    label: str
    enclosure: str
    kind: Literal["bed", "steady jar", "fresh mix"]
    substrate: str
    """How much, in the keeper's measure."""
    water: str


@dataclass(frozen=True)
class DaySheet:
    """A bench day as far as the record knows it: what is left are its readings."""

    on: str
    """Year, month, day."""
    by: str | None
    meter: str | None
    shows: Literal["mV", "pH"] | None
    """What the meter shows, where it is known."""
    warmth_counts: bool
    """Whether the jars' temperature changes what their readings mean."""
    points: tuple[SheetBottle, ...]
    """Bottles that the meter is calibrated by, in the order of reading; none where there are not two."""
    check: SheetBottle | None
    close: SheetBottle | None
    probe: str | None
    cup: str
    jars: tuple[SheetJar, ...]


def day_sheet(
    recall: Recall,
    room: Room,
    day: datetime.date,
    cases: Sequence[KnownCase],
    *,
    each: int,
    by: str | None = None,
) -> DaySheet:
    """Gather what the record knows of a bench day.

    Parameters
    ----------
    recall : Recall
        The record.
    room : Room
        What of it is in use on that day.
    day : date
        The bench day, which may lie ahead.
    cases : sequence of KnownCase
        Which enclosures are to be read.
    each : int
        Slurries of each.
    by : str, optional
        Who reads; the reader of the kit unless given.

    Returns
    -------
    DaySheet
        The keeper's own meter and probe, or the only ones; of several meters the one calibrated last. The
        bottles are those in use with the labels of the meter's last calibration.
    """
    calibrations = _calibrations(recall, day)
    name = room.own_meter or (room.meters[0].name if len(room.meters) == 1 else None)
    used = (one.named.name for one in calibrations if one.named is not None)
    name = name or next((one for one in used if room.meter(one) is not None), None)
    meter = None if name is None else room.meter(name)
    last = next((one for one in calibrations if one.named is not None and one.named.name == name), None)
    points, check, close = _bottles(room, last, day)
    shows = None if meter is None else meter.shows or (last.meter.shows if last else None)
    return DaySheet(
        on=day.isoformat(),
        by=by or room.reader,
        meter=name,
        shows=shows,
        warmth_counts=shows == "mV" or meter is None or not meter.compensates,
        points=points,
        check=check,
        close=close,
        probe=room.own_probe or (room.probes[0] if len(room.probes) == 1 else None),
        cup=room.cup or "us",
        jars=tuple(_jars(room, cases, each)),
    )


def _calibrations(recall: Recall, day: datetime.date) -> list[KeptCalibration]:
    """Give the newest calibrations of named meters, the newest first."""
    rows = recall.book.rows(
        "SELECT c.entry, c.n FROM calibration c JOIN entry e ON e.id = c.entry "
        "WHERE c.meter IS NOT NULL AND e.day <= ? ORDER BY e.at DESC, e.id DESC, c.n DESC LIMIT ?",
        (day.isoformat(), LOOKED_THROUGH),
    )
    kept = recall.kept((entry, n) for entry, n in rows)
    return [kept[entry, n] for entry, n in rows if (entry, n) in kept]


def _bottles(
    room: Room, last: KeptCalibration | None, day: datetime.date
) -> tuple[tuple[SheetBottle, ...], SheetBottle | None, SheetBottle | None]:
    """Give the bottles to calibrate by, to check with and to close with."""
    newest = {one.label: one for one in sorted(room.bottles, key=_opened)}
    points, check = _labels(last, "point", newest), _labels(last, "check", newest)
    if len(points) < 2 or not far_apart(points):
        check, points = [], list(newest)
    if len(points) < 2 or not far_apart(points):
        return (), None, None
    order = neutral_first([newest[label].name for label in points], room)
    found = [_bottle(one, day) for name in order if (one := room.bottle(name)) is not None]
    close = next((one for one in found if one.label in _labels(last, "close", newest)), found[0])
    other = next((_bottle(newest[label], day) for label in check if label not in points), None)
    return tuple(found), other, close


def _labels(last: KeptCalibration | None, role: str, newest: Iterable[str]) -> list[str]:
    """Give the labels of a calibration's bottles that there are bottles in use of."""
    read = () if last is None else (one.bottle.get("label") for one in last.of(role))
    return list(dict.fromkeys(label for label in read if label in newest))


def _opened(one: KnownBottle) -> datetime.date:
    return one.opened or datetime.date.min


def _bottle(one: KnownBottle, day: datetime.date) -> SheetBottle:
    return SheetBottle(
        one.name,
        one.label,
        one.lot,
        None if one.opened is None else one.opened.isoformat(),
        None if one.expires is None else one.expires.isoformat(),
        one.expires is not None and one.expires < day,
    )


def _jars(room: Room, cases: Sequence[KnownCase], each: int) -> Iterable[SheetJar]:
    amounts: dict[float | None, tuple[str, str]] = {}
    labelled = cup_labels([case.name for case in cases], each, room.taken)
    for known, (_, labels) in zip(cases, labelled, strict=True):
        if known.bed not in amounts:
            way = mix(slurries=each, cup=room.cup or "us", bed=known.bed).ways[0]
            amounts[known.bed] = way.substrate, way.water
        for label in labels:
            kind: Literal["bed", "steady jar", "fresh mix"] = "bed"
            if known.steady or known.fresh:
                kind = "steady jar" if known.steady else "fresh mix"
            yield SheetJar(label, known.name, kind, *amounts[known.bed])
