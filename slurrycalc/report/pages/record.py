"""The record on a page: its history, and what mending did to it."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime

from slurrycalc.data.method import METHOD
from slurrycalc.day.record.mended import FixedTold, MovedTold, RecordedThing, UndoneTold
from slurrycalc.day.record.telling import EntryTold, ItemTold
from slurrycalc.report.page import GAP, Block, Heading, Say, points

MOST = 20
"""So many things that fell are told one by one."""


def history_blocks(
    entries: Iterable[EntryTold], earlier: int, name: str | None, *, foot: bool = True
) -> Iterator[Block]:
    """Write entries in the order of time, struck-out ones struck through.

    Parameters
    ----------
    entries : iterable of EntryTold
        What to tell.
    earlier : int
        How many are not told.
    name : str or None
        What was asked for.
    foot : bool
        Whether to end with the versions of the method that answered them.
    """
    if earlier:
        of = "" if name is None else f" {shlex.quote(name)}"
        yield Say(f"{earlier} earlier: slurrycalc history{of} --all", indent=0)
    read, nothing = set(), True
    for entry in entries:
        nothing = False
        if any(item.what == "reading" for item in entry.items):
            read.add(entry.method)
        yield Heading(_head(entry), struck=entry.struck is not None)
        if entry.struck:
            yield Say(entry.struck)
        if entry.note and entry.note not in [item.note for item in entry.items]:
            yield Say(f"Noted: {entry.note}")
        if entry.kind == "bench" and entry.part_of is None and name is None:
            yield Say(f"Its answers one by one: slurrycalc history {entry.id}")
        for item in entry.items:
            yield Say(_line(item), struck=item.struck is not None or entry.struck is not None)
            if item.struck and not entry.struck:
                yield Say(item.struck, indent=6)
    if nothing:
        yield Heading(f"Nothing of {name} is on record yet" if name else "Nothing is on record yet")
    if foot and (older := sorted(read - {METHOD})):
        yield GAP
        yield Say(
            f"Answered by method {' and '.join(older)} when it was recorded, all of it or a part (--json "
            f"says which); every pH here is by method {METHOD}."
        )


def _head(entry: EntryTold) -> str:
    words = [f"{entry.id}  {spoken_time(entry.at)}", entry.kind]
    words += [f"by {entry.keeper}"] if entry.keeper else []
    words += [f"with entry {entry.part_of}"] if entry.part_of else []
    return ", ".join(words)


def _line(item: ItemTold) -> str:
    note = f" ({item.note})" if item.note else ""
    number = f"{item.id}  " if item.id is not None else ""
    return f"{number}{item.text}{note}"


def spoken_time(at: str) -> str:
    """Write a local time, or a day, for people.

    Examples
    --------
    >>> spoken_time("2024-05-04T10:30+02:00"), spoken_time("2024-05-04")
    ('4 May 2024, 10:30', '4 May 2024')
    """
    day = date.fromisoformat(at[:10])
    said = f"{day.day} {day:%B} {day.year}"
    return said if len(at) == 10 else f"{said}, {datetime.fromisoformat(at):%H:%M}"


def undone_blocks(undone: UndoneTold) -> Iterator[Block]:
    """Write what was struck out, and what fell with it."""
    yield Heading("Struck out" + (f": {undone.why}" if undone.why else ""))
    yield from _list(undone.struck)
    if undone.fell:
        yield GAP
        yield Say("With it fell what rested on it:")
        yield from _list(undone.fell)
    if undone.came_back:
        yield GAP
        yield Say("Stands again:")
        yield from _list(undone.came_back)
    if undone.after:
        yield GAP
        yield Say(
            f"{undone.after}, the last entry, is an undo already, so this is the step before it. "
            f"slurrycalc undo {undone.after} brings back what that one struck out."
        )


def fixed_blocks(fixed: FixedTold) -> Iterator[Block]:
    """Write what was entered anew."""
    yield Heading("Entered anew" + (f": {fixed.why}" if fixed.why else ""))
    yield Say(f"{fixed.old.id}  {fixed.old.text}", struck=True)
    yield Say(f"{fixed.new.id}  {fixed.new.text}")
    if fixed.affected:
        yield GAP
        yield Say("Rests on it, and means another pH now:")
        yield from _list(fixed.affected)


def moved_blocks(moved: MovedTold) -> Iterator[Block]:
    """Write what was moved to another enclosure, each with what it was."""
    yield Heading(f"Moved to {moved.to}" + (f": {moved.why}" if moved.why else ""))
    for old, new in list(zip(moved.old, moved.new, strict=True))[:MOST]:
        yield Say(f"{old.id}  {old.text}", struck=True)
        yield Say(f"{new.id}  {new.text}")
    if len(moved.old) > MOST:
        yield points([f"{len(moved.old) - MOST} more; --json names each."])


def _list(named: Sequence[RecordedThing]) -> Iterator[Block]:
    yield points(f"{one.id}  {one.text}" for one in named[:MOST])
    if len(named) > MOST:
        yield points([f"{len(named) - MOST} more; --json names each."])
