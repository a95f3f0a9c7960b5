"""The record on a page: its history, and what mending did to it."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from slurrycalc.day.record.mended import FixedTold, MovedTold, RecordedThing, UndoneTold
from slurrycalc.day.record.telling import EntryTold, ItemTold

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page

MOST = 20
"""So many things that fell are told one by one."""


def show_history(page: Page, entries: Sequence[EntryTold], earlier: int, name: str | None) -> None:
    """Write entries in the order of time, struck-out ones struck through.

    Parameters
    ----------
    page : Page
        Where to.
    entries : sequence of EntryTold
        What to tell.
    earlier : int
        How many are not told.
    name : str or None
        What was asked for.
    """
    if not entries:
        page.title(f"Nothing of {name} is on record yet" if name else "Nothing is on record yet")
        return
    if earlier:
        of = "" if name is None else f" {shlex.quote(name)}"
        page.say(f"{earlier} earlier: slurrycalc history{of} --all", indent=0)
    for entry in entries:
        page.title(_head(entry), struck=entry.struck is not None)
        if entry.struck:
            page.say(entry.struck)
        if entry.note and entry.note not in [item.note for item in entry.items]:
            page.say(f"Noted: {entry.note}")
        if entry.kind == "bench" and entry.part_of is None and name is None:
            page.say(f"Its answers one by one: slurrycalc history {entry.id}")
        for item in entry.items:
            page.say(_line(item), struck=item.struck is not None or entry.struck is not None)
            if item.struck and not entry.struck:
                page.say(item.struck, indent=6)


def _head(entry: EntryTold) -> str:
    words = [f"{entry.id}  {spoken_time(entry.at)}", entry.kind]
    words += [f"by {entry.keeper}"] if entry.keeper else []
    words += [f"belongs to {entry.part_of}"] if entry.part_of else []
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


def show_undone(page: Page, undone: UndoneTold) -> None:
    """Write what was struck out, and what fell with it."""
    page.title("Struck out" + (f": {undone.why}" if undone.why else ""))
    _list(page, undone.struck)
    if undone.fell:
        page.gap()
        page.say("With it fell what rested on it:")
        _list(page, undone.fell)
    if undone.came_back:
        page.gap()
        page.say("Stands again:")
        _list(page, undone.came_back)
    if undone.after:
        page.gap()
        page.say(
            f"{undone.after}, the last entry, is an undo already, so this is the step before it. "
            f"slurrycalc undo {undone.after} brings back what that one struck out."
        )


def show_fixed(page: Page, fixed: FixedTold) -> None:
    """Write what was entered anew."""
    page.title("Entered anew" + (f": {fixed.why}" if fixed.why else ""))
    page.say(f"{fixed.old.id}  {fixed.old.text}", struck=True)
    page.say(f"{fixed.new.id}  {fixed.new.text}")
    if fixed.affected:
        page.gap()
        page.say("Rests on it, and means another pH now:")
        _list(page, fixed.affected)


def show_moved(page: Page, moved: MovedTold) -> None:
    """Write what was moved to another enclosure, each with what it was."""
    page.title(f"Moved to {moved.to}" + (f": {moved.why}" if moved.why else ""))
    for old, new in list(zip(moved.old, moved.new, strict=True))[:MOST]:
        page.say(f"{old.id}  {old.text}", struck=True)
        page.say(f"{new.id}  {new.text}")
    if len(moved.old) > MOST:
        page.points([f"{len(moved.old) - MOST} more; --json names each."])


def _list(page: Page, named: Sequence[RecordedThing]) -> None:
    page.points(f"{one.id}  {one.text}" for one in named[:MOST])
    if len(named) > MOST:
        page.points([f"{len(named) - MOST} more; --json names each."])
