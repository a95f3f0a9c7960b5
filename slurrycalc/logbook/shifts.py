"""What shifted the level of enclosures: exchanges with what went in, and other events."""

from __future__ import annotations

import datetime
from collections.abc import Collection
from dataclasses import dataclass

from slurrycalc.data.events import SHIFTS
from slurrycalc.logbook.recall import Recall


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
