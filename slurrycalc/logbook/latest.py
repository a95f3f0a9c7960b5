"""When things were last done: of each kind of event in each enclosure, and of each probe."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from msgspec import json

from slurrycalc.logbook.recall import Recall


def last_events(
    recall: Recall, kinds: Sequence[str], until: datetime.date
) -> dict[tuple[int, str], datetime.date]:
    """Give the last day of each kind of event in each enclosure.

    Parameters
    ----------
    recall : Recall
        The record.
    kinds : sequence of str
        Which kinds.
    until : date
        Up to that day.

    Returns
    -------
    dict
        Number of an enclosure and a kind, to the local day. What was struck out does not count.
    """
    marks = ", ".join("?" * len(kinds))
    standing, struck = _standing(recall, "ev")
    rows = recall.book.rows(
        "SELECT ev.enclosure, ev.kind, max(e.day) FROM event ev JOIN entry e ON e.id = ev.entry "
        f"WHERE ev.kind IN ({marks}) AND e.day <= ? {standing}GROUP BY ev.enclosure, ev.kind",
        (*kinds, until.isoformat(), *struck),
    )
    return {(enclosure, kind): datetime.date.fromisoformat(day) for enclosure, kind, day in rows}


def last_probings(recall: Recall, until: datetime.date) -> dict[int, datetime.date]:
    """Give the last day on which each probe was read, alone or beside a slurry.

    Parameters
    ----------
    recall : Recall
        The record.
    until : date
        Up to that day.

    Returns
    -------
    dict
        Number of a probe, to the local day. What was struck out does not count.
    """
    standing, struck = _standing(recall, "p")
    rows = recall.book.rows(
        "SELECT p.probe, max(e.day) FROM probing p JOIN entry e ON e.id = p.entry "
        f"WHERE p.probe IS NOT NULL AND e.day <= ? {standing}GROUP BY p.probe",
        (until.isoformat(), *struck),
    )
    return {probe: datetime.date.fromisoformat(day) for probe, day in rows}


def event_days(
    recall: Recall, enclosure: int, kind: str, until: datetime.date = datetime.date.max
) -> list[datetime.date]:
    """Give the days of one kind of event in one enclosure.

    Parameters
    ----------
    recall : Recall
        The record.
    enclosure : int
        Its number.
    kind : str
        Which kind.
    until : date, optional
        Up to that day.

    Returns
    -------
    list of date
        In the order of time. What was struck out does not count.
    """
    rows = recall.book.rows(
        "SELECT ev.entry, ev.n, e.day FROM event ev JOIN entry e ON e.id = ev.entry "
        "WHERE ev.enclosure = ? AND ev.kind = ? AND e.day <= ? ORDER BY e.at, e.id, ev.n",
        (enclosure, kind, until.isoformat()),
    )
    return [datetime.date.fromisoformat(day) for entry, n, day in rows if recall.stands.has(entry, n)]


def _standing(recall: Recall, table: str) -> tuple[str, tuple[str, ...]]:
    """Give the condition that keeps what stands, and what it needs to know."""
    if not recall.stands:
        return "", ()
    condition = (
        f"AND {table}.entry NOT IN (SELECT value FROM json_each(?)) AND ({table}.entry, {table}.n) NOT IN "
        "(SELECT json_extract(value, '$[0]'), json_extract(value, '$[1]') FROM json_each(?)) "
    )
    struck = (list(recall.stands.entries), list(recall.stands.values))
    return condition, (json.encode(struck[0]).decode(), json.encode(struck[1]).decode())
