"""What mending the record did: what was struck out, what fell with it, what is different now."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from slurrycalc.day.record.telling import tell
from slurrycalc.logbook.mend import fix, undo
from slurrycalc.logbook.move import move
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import Saved
from slurrycalc.logbook.refs import Id
from slurrycalc.logbook.store import Store
from slurrycalc.metrology.uncertain import Inputs

MARK_AND_VALUE = 2
"""Items of an entry that is told by its one value: what it says, and perhaps what that strikes out."""


@dataclass(frozen=True)
class RecordedThing:
    """One thing on record, with what it says."""

    id: str
    text: str


@dataclass(frozen=True)
class UndoneTold:
    """What was struck out."""

    struck: tuple[RecordedThing, ...]
    """What was named."""
    fell: tuple[RecordedThing, ...]
    """What rested on it, in other entries, and fell with it."""
    came_back: tuple[RecordedThing, ...]
    """What stands again."""
    why: str | None
    after: str | None
    """Number of the last entry, where that is an undo already and the step before it was taken."""


@dataclass(frozen=True)
class FixedTold:
    """What was entered anew."""

    old: RecordedThing
    new: RecordedThing
    affected: tuple[RecordedThing, ...]
    """Readings that rest on it and mean another pH now."""
    why: str | None


@dataclass(frozen=True)
class MovedTold:
    """What was moved to another enclosure."""

    old: tuple[RecordedThing, ...]
    """What is struck out."""
    new: tuple[RecordedThing, ...]
    """What stands in its place, in the same order."""
    to: str
    """Name of the other enclosure."""
    why: str | None


def undo_entries(
    book: Store,
    now: datetime.datetime,
    what: str | None = None,
    *,
    day: datetime.date | None = None,
    why: str | None = None,
    keeper: str | None = None,
) -> tuple[UndoneTold, Saved]:
    """Strike out an entry, one value of it or a whole day, and tell what that did.

    Parameters
    ----------
    book, now, what, day, why, keeper
        As `slurrycalc.logbook.mend.undo` takes them.

    Returns
    -------
    UndoneTold
        What was struck out.
    Saved
        What the striking out is called.

    Raises
    ------
    Refusal
        If there is no such thing, or a calibration could not stand without it.
    LogbookFault
        If the file cannot be written.
    """
    ((last, kind),) = book.rows("SELECT id, kind FROM entry ORDER BY id DESC LIMIT 1") or [(None, None)]
    after = str(last) if kind == "undo" and what is None and day is None else None
    done = undo(book, now, what, day=day, why=why, keeper=keeper)
    told = _Words(book, (*done.struck, *done.fell, *done.came_back))
    return (
        UndoneTold(
            tuple(map(told.named, done.struck)),
            tuple(map(told.named, done.fell)),
            tuple(map(told.named, done.came_back)),
            why,
            after,
        ),
        done.saved,
    )


def fix_entry(
    book: Store,
    now: datetime.datetime,
    what: str,
    shows: str,
    *,
    temperature: float | None = None,
    why: str | None = None,
    keeper: str | None = None,
) -> tuple[FixedTold, Saved]:
    """Enter a value anew, and tell what that did.

    Parameters
    ----------
    book, now, what, shows, temperature, why, keeper
        As `slurrycalc.logbook.mend.fix` takes them.

    Returns
    -------
    FixedTold
        What was entered.
    Saved
        What the fixing is called.

    Raises
    ------
    Refusal
        If there is no such value, or it cannot stand.
    LogbookFault
        If the file cannot be written.
    """
    done = fix(book, now, what, shows, temperature=temperature, why=why, keeper=keeper)
    new = done.saved.values[0] if done.saved.values else done.saved.id
    told = _Words(book, (done.old, new, *done.affected))
    return (
        FixedTold(told.named(done.old), told.named(new), tuple(map(told.named, done.affected)), why),
        done.saved,
    )


def move_entry(
    book: Store,
    now: datetime.datetime,
    what: str,
    enclosure: str,
    *,
    why: str | None = None,
    keeper: str | None = None,
) -> tuple[MovedTold, Saved]:
    """Move what was read in one enclosure to another one, and tell what that did.

    Parameters
    ----------
    book, now, what, enclosure, why, keeper
        As `slurrycalc.logbook.move.move` takes them.

    Returns
    -------
    MovedTold
        What was moved.
    Saved
        What the moving is called.

    Raises
    ------
    Refusal
        If there is no such entry, or it is of no enclosure, of several, or of that one already.
    LogbookFault
        If the file cannot be written.
    """
    done = move(book, now, what, enclosure, why=why, keeper=keeper)
    told = _Words(book, (*done.old, *done.saved.values))
    old, new = (tuple(map(told.named, ids)) for ids in (done.old, done.saved.values))
    return MovedTold(old, new, done.to, why), done.saved


class _Words:
    """Tells entries and values in words."""

    def __init__(self, book: Store, ids: Iterable[Id]) -> None:
        entries = tell(Recall(book, Inputs()), entries={one.entry for one in ids})
        self.entries = {one.id: one for one in entries}
        self.items = {item.id: item for one in entries for item in one.items if item.id is not None}

    def named(self, one: Id) -> RecordedThing:
        """Say what an entry or a value of it is."""
        item = self.items.get(str(one))
        if item is not None:
            return RecordedThing(str(one), item.text)
        entry = self.entries.get(str(one.entry))
        if entry is None:
            return RecordedThing(str(one), "an entry")
        values = [item for item in entry.items if item.id is not None]
        if len(values) == 1 and len(entry.items) <= MARK_AND_VALUE:
            return RecordedThing(str(one), values[0].text)
        about = list(dict.fromkeys(item.of for item in values or entry.items if item.of))
        of = f" of {', '.join(about[:4])}{' and more' if len(about) > 4 else ''}" if about else ""
        many = f", {len(values)} values" if len(values) > 1 else ""
        return RecordedThing(str(one), f"{entry.kind} on {entry.at[:10]}{of}{many}")
