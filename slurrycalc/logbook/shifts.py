"""What shifted the level of enclosures: exchanges with what went in, and other events."""

from __future__ import annotations

import datetime
from collections.abc import Collection
from dataclasses import dataclass

from slurrycalc.data.assumed import DISTURBED_SCATTER, SCATTER_RENEWED, SCATTER_STAYS
from slurrycalc.data.events import PERCENT, SHIFTS
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.things import Thing
from slurrycalc.logbook.volumes import volume_of
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import magnitude


@dataclass(frozen=True, slots=True)
class KeptShift:
    """One event that shifts an enclosure's level, as it is on record."""

    enclosure: int
    """Its number."""
    day: datetime.date
    kind: str
    amount: float | None
    """In `unit`."""
    unit: str | None
    tub: int | None
    """Number of the tub that the mix came from."""
    ph: float | None
    """Of the mix, where it was given. [pH]"""
    half_width: float | None
    """[pH]"""


def shifts_of(recall: Recall, enclosures: Collection[int]) -> dict[int, list[KeptShift]]:
    """Give what shifted the level of enclosures.

    Parameters
    ----------
    recall : Recall
        The record.
    enclosures : collection of int
        Numbers of those that are wanted; of several, all are looked through.

    Returns
    -------
    dict of int to list of KeptShift
        Number of an enclosure to what stands, in the order of time, and of the record within a moment.
    """
    marks = ", ".join("?" * len(SHIFTS))
    whose, values = "", SHIFTS
    if len(enclosures) == 1:
        whose, values = "AND ev.enclosure = ? ", (*SHIFTS, *enclosures)  # type: ignore[assignment]
    rows = recall.book.rows(
        "SELECT ev.entry, ev.n, ev.enclosure, ev.kind, e.day, ev.amount, ev.unit, m.tub, m.ph, m.half_width "
        "FROM event ev JOIN entry e ON e.id = ev.entry "
        "LEFT JOIN mix m ON m.event_entry = ev.entry AND m.event_n = ev.n "
        f"WHERE ev.kind IN ({marks}) {whose}ORDER BY e.at, e.id, ev.n",
        values,
    )
    found: dict[int, list[KeptShift]] = {}
    for entry, n, enclosure, kind, day, *rest in rows:
        if recall.stands.has(entry, n):
            one = KeptShift(enclosure, datetime.date.fromisoformat(day), kind, *rest)
            found.setdefault(enclosure, []).append(one)
    return found


def part_of(bed: Thing, shift: KeptShift) -> float | None:
    """Give the part of a bed that an exchange replaced; None where that is not on record. [1]."""
    if shift.amount is None or shift.unit is None:
        return None
    if shift.unit == PERCENT:
        return min(shift.amount / 100.0, 1.0)
    known = volume_of(bed)
    if known is None:
        return None
    try:
        part = magnitude(f"{shift.amount!r} {shift.unit}", "volume") / known[0]
    except Refusal:
        return None  # a mass, of which nobody knows how much room it took
    return part if part <= 1.0 else None


def renews_scatter(bed: Thing, shift: KeptShift) -> bool:
    """Tell whether the scatter of jars is more likely another than not after an event.

    By the chances of the model of a bed: 1 - (1 - f)^4 after an exchange of a part f, and 0.7 after one of an
    unknown part, or any other event.
    """
    part = part_of(bed, shift) if shift.kind == "exchange" else None
    chance = DISTURBED_SCATTER.value if part is None else 1.0 - (1.0 - part) ** SCATTER_STAYS.value
    return chance > SCATTER_RENEWED.value
