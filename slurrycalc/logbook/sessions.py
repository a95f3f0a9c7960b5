"""Guided bench days on record: an entry with the answers as its parts, open until one of them ends it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import msgspec

from slurrycalc.logbook.refs import Id, When
from slurrycalc.logbook.standing import StandingEntries, chunked, standing
from slurrycalc.logbook.store import Store

KIND = "bench"
"""Kind of the entry, and of the part that ends it with its readings."""
ANSWER = "answer"
"""Kind of the parts that hold its answers."""
DONE = "done"
"""Key of the mark that ends it."""


@dataclass(frozen=True, slots=True)
class Mark:
    """One answer of a guided bench day."""

    key: str
    value: Any
    when: When
    id: Id
    """Of the entry that holds it."""


@dataclass(frozen=True, slots=True)
class Session:
    """A guided bench day on record."""

    id: Id
    uid: str
    """For the parts that are still to come."""
    when: When
    """When it began."""
    keeper: str | None
    marks: tuple[Mark, ...]
    """Those that stand, in the order of recording."""

    @property
    def is_done(self) -> bool:
        """Whether it was ended."""
        return any(mark.key == DONE for mark in self.marks)


def session(book: Store, id: Id, stands: StandingEntries | None = None) -> Session:
    """Take a guided bench day from the record.

    Parameters
    ----------
    book : Store
    id : Id
        Of its entry.
    stands : StandingEntries, optional
        If it is known already.

    Returns
    -------
    Session
        With the answers that stand.
    """
    stands = standing(book) if stands is None else stands
    parts = [id.entry]
    for part in parts:
        parts += [entry for (entry,) in book.rows("SELECT id FROM entry WHERE part_of = ?", (part,))]
    rows = chunked(
        book,
        "SELECT e.id, m.n, m.key, m.value, e.at, e.utc_offset, e.day_only FROM mark m "
        "JOIN entry e ON e.id = m.entry WHERE m.entry IN ({})",
        parts,
    )
    marks = tuple(
        Mark(key, msgspec.json.decode(value), When.read(at, offset, bool(day_only)), Id(entry))
        for entry, _, key, value, at, offset, day_only in sorted(rows)
        if stands.has(entry)
    )
    uid, at, offset, day_only, keeper = book.rows(
        "SELECT uid, at, utc_offset, day_only, keeper FROM entry WHERE id = ?", (id.entry,)
    )[0]
    return Session(id, uid, When.read(at, offset, bool(day_only)), keeper, marks)


def open_session(book: Store) -> Session | None:
    """Find the guided bench day that was not ended.

    Parameters
    ----------
    book : Store

    Returns
    -------
    Session or None
        The newest one, if it was neither ended nor struck out.

    Examples
    --------
    >>> import datetime
    >>> from slurrycalc.logbook.record import record
    >>> from slurrycalc.logbook.step import Step
    >>> from slurrycalc.logbook.store import in_memory
    >>> book, now = in_memory(), datetime.datetime(2024, 5, 13, 9, tzinfo=datetime.UTC)
    >>> day = Step("bench", When(now))
    >>> id = record(book, day, now).id
    >>> answer = Step("bench", When(now), part_of=day.uid)
    >>> answer.mark("cases", ["atlas"])
    >>> id = record(book, answer, now).id
    >>> [mark.key for mark in open_session(book).marks]
    ['cases']
    """
    stands = standing(book)
    # By number, since a clock may have been set back.
    rows = book.rows("SELECT id FROM entry WHERE kind = ? AND part_of IS NULL ORDER BY id DESC", (KIND,))
    newest = next((entry for (entry,) in rows if stands.has(entry)), None)
    if newest is None:
        return None
    found = session(book, Id(newest), stands)
    return None if found.is_done else found
