"""Steps that are recorded: what a command line says of it, and the line that a keeper leaves with."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from slurrycalc.cli.moment import day_of, instant, time_of
from slurrycalc.cli.whereabouts import is_there, logbook_path
from slurrycalc.cli.words import option
from slurrycalc.cli.writing import complain
from slurrycalc.metrology.calendar import misdated
from slurrycalc.metrology.names import line_about, on_logbook
from slurrycalc.metrology.quote import clean, quoted
from slurrycalc.metrology.remark import Refusal

if TYPE_CHECKING:
    from slurrycalc.day.record.keeper import Keeper
    from slurrycalc.deciding.due import DueItem
    from slurrycalc.logbook.record import Saved
    from slurrycalc.logbook.refs import When
    from slurrycalc.logbook.store import Store
    from slurrycalc.metrology.remark import Remark

FARTHEST_ZONE = timedelta(hours=18)
"""No place's time is farther from UTC: java.time.ZoneOffset allows as much; in use are 14 h and less."""
A_MINUTE = timedelta(minutes=1)
"""A clock on the wall may be ahead by so much."""
TRIED = "Tried only; nothing is saved."


@dataclass(frozen=True)
class SavedAs:
    """What a step is called now that it is on record."""

    id: str
    values: tuple[str, ...]
    """Of its values, in the order in which they were given."""
    logbook: str
    """Where it lies."""
    clock: str | None = None
    """What must be said of the clock that it was recorded by."""


@dataclass(frozen=True)
class Recording:
    """What a command line says of recording."""

    on: str | None = None
    at: str | None = None
    by: str | None = None
    try_: bool = False
    new: bool = False
    logbook: str | None = None

    @property
    def path(self) -> Path:
        """Where the logbook lies."""
        return logbook_path(self.logbook)

    def when(self, now: datetime) -> When:
        """Read ``--on`` and ``--at``; now, where neither is given."""
        from slurrycalc.logbook.refs import When

        if self.on is None and self.at is None:
            return When(now)
        day, at = now.date(), None
        if self.on is not None:
            with option("--on"):
                day = day_of(self.on, now.date())
        if self.at is not None:
            with option("--at"):
                at = time_of(self.at)
                when = When(instant(day, at, now))
                if when.at > now + A_MINUTE:
                    raise Refusal(f"`{when.at:%H:%M}` on {day} lies in the future; give the day too: --on")
                return when
        return When(instant(day, None, now), day_only=True)


def day_asked(on: str | None) -> date:
    """Read ``--on`` of a command that only asks; today, where it is not given."""
    today = present().date()
    if on is None:
        return today
    with option("--on"):
        return day_of(on, today)


def present() -> datetime:
    """Give the present, in local time with its offset from UTC.

    Raises
    ------
    Refusal
        If the computer's clock or its time zone cannot be meant.
    """
    try:
        now = datetime.now(UTC).astimezone()
        odd = abs(now.utcoffset() or timedelta()) > FARTHEST_ZONE
    except (ValueError, OverflowError, OSError):
        odd = True
    if odd:
        zone = os.environ.get("TZ", "")
        raise Refusal(
            f"the time zone of this computer, TZ={quoted(zone)}, is none on earth; set it like TZ=UTC, or "
            "leave TZ out."
        )
    if why := misdated(now.date()):
        raise Refusal(f"the clock of this computer says {now.date()}, which {why}; set the clock.")
    return now


@contextmanager
def keeping(kind: str, recording: Recording, *names: str | None) -> Iterator[Keeper]:
    """Open the logbook for a step; one that names nothing on record gets a record in memory.

    Parameters
    ----------
    kind : str
        Name of the command.
    recording : Recording
        What the line says of it.
    names : str or None
        The names of things on the line: without any, the logbook is not even looked at.

    Yields
    ------
    Keeper
        Of the step.

    Raises
    ------
    Refusal
        If the time cannot be meant.
    LogbookFault
        If the logbook cannot be read.
    """
    from slurrycalc.day.record.keeper import Keeper
    from slurrycalc.day.record.nameless import nameless

    now = present()
    if all(name is None for name in names):
        yield nameless(kind, now)
        return
    from slurrycalc.logbook.step import Step

    step = Step(kind, recording.when(now), keeper=recording.by)
    with reading(recording.path) as book:
        yield Keeper(book, step, now=now, new=recording.new, tries=recording.try_, sure=_sure)


def _sure(question: str) -> bool:
    """Ask, where somebody is at the terminal; nobody is sure of nothing."""
    from slurrycalc.cli.prompting import has_terminal

    if not has_terminal():
        return False
    from typer import confirm

    return confirm(clean(question), default=False, err=True)


@contextmanager
def reading(path: Path) -> Iterator[Store]:
    """Open the logbook for reading; where there is none yet, an empty one.

    Parameters
    ----------
    path : Path
        Of its file.

    Yields
    ------
    Store
        The record.

    Raises
    ------
    LogbookFault
        If it cannot be read.
    """
    from slurrycalc.logbook.faults import NoLogbook
    from slurrycalc.logbook.store import in_memory, open_logbook

    try:
        book = open_logbook(path, writes=False)
    except NoLogbook:
        book = in_memory()
    with book:
        yield book


@contextmanager
def writing_into(path: Path) -> Iterator[Store]:
    """Open the logbook for writing, and say where no copy could be put beside it before.

    Parameters
    ----------
    path : Path
        Of its file; it is begun where there is none.

    Yields
    ------
    Store
        The record.

    Raises
    ------
    LogbookFault
        If it cannot be used.
    """
    from slurrycalc.logbook.store import open_logbook

    with open_logbook(path) as book:
        yield book
        if book.no_copy:
            complain(book.no_copy)


@contextmanager
def mending(path: Path) -> Iterator[Store]:
    """Open the logbook for mending; where there is none, an empty one that is gone afterwards.

    Parameters
    ----------
    path : Path
        Of its file.

    Yields
    ------
    Store
        The record, for writing.

    Raises
    ------
    LogbookFault
        If it cannot be used.
    """
    from slurrycalc.logbook.faults import NoLogbook
    from slurrycalc.logbook.store import in_memory, open_logbook

    try:
        # Looked at first: opened for writing, a logbook would be begun.
        open_logbook(path, writes=False).close()
        opened: AbstractContextManager[Store] = writing_into(path)
    except NoLogbook:
        opened = in_memory()
    with opened as book:
        yield book


def own_meter(recording: Recording, shows: str | None) -> str | None:
    """Give the name of the keeper's own meter, where there is a record that says so, and it shows that."""
    if not is_there(recording.path):
        return None
    from slurrycalc.logbook.faults import LogbookFault
    from slurrycalc.logbook.own import own
    from slurrycalc.logbook.things import things_of

    try:
        with reading(recording.path) as book:
            mine = own(things_of(book), "meter", recording.when(present()).day)
    except LogbookFault:
        # A line that names nothing needs no record.
        return None
    return mine.name if mine is not None and mine.get("shows") in (None, shows or mine.get("shows")) else None


def who(book: Store, by: str | None, now: datetime) -> tuple[str | None, tuple[Remark, ...]]:
    """Say who mends a record, and what of that the kit gave: the name on the line, else whoever reads."""
    from slurrycalc.logbook.own import reader, taken_from_kit
    from slurrycalc.logbook.things import things_of

    if by is not None or (name := reader(things_of(book), now.date())) is None:
        return by, ()
    return name, taken_from_kit({"reader": name})


def save(keeper: Keeper, recording: Recording) -> SavedAs | None:
    """Put a step on record, unless it was only tried.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    recording : Recording
        What the line says of it.

    Returns
    -------
    SavedAs or None
        None where nothing was recorded.

    Raises
    ------
    Refusal
        If something it rests on changed meanwhile.
    LogbookFault
        If the logbook cannot be written.
    """
    if not keeper.kept or recording.try_:
        return None
    with writing_into(recording.path) as book:
        return saved_as(keeper.record(book), recording.path)


def saved_as(saved: Saved, path: Path) -> SavedAs:
    """Say what a step is called, and where it lies."""
    return SavedAs(str(saved.id), tuple(map(str, saved.values)), str(path), saved.clock)


def first_task(keeper: Keeper, enclosure: str) -> DueItem | None:
    """Say what the agenda asks for first of an enclosure, by the record as it will be with the step."""
    from slurrycalc.day.months.duties import first_task as first_of

    recall = keeper.after().recall
    bed = recall.things.seek("enclosure", enclosure)
    if bed is None or (bed.retired is not None and bed.retired <= keeper.day):
        return None
    return first_of(recall, bed, keeper.day)


def recalled(saved: SavedAs | None) -> str:
    """Give the line that shows a recorded step again; nothing where none was recorded."""
    return "" if saved is None else f"slurrycalc history {saved.id}"


def asked_again(command: str, saved: SavedAs | None, name: str | None) -> str:
    """Give the line that asks the record what a step was told; nothing where none was recorded."""
    return "" if saved is None or name is None else line_about(command, name)


def last_line(saved: SavedAs | None, recording: Recording, add: str) -> str:
    """Say whether a step is on record, and what to do if that is wrong.

    Parameters
    ----------
    saved : SavedAs or None
        What it is called.
    recording : Recording
        What the line says of it.
    add : str
        What to add to a line that records nothing.

    Returns
    -------
    str
        A sentence or two.

    Examples
    --------
    >>> last_line(SavedAs("41", ("41.1", "41.2"), "bench.sqlite"), Recording(), "")
    'Saved as 41 (41.1 and 41.2). Wrong? slurrycalc undo, or slurrycalc fix 41.1 VALUE'
    >>> last_line(None, Recording(), "--enclosure NAME")
    'Not saved; add --enclosure NAME'
    """
    if saved is None:
        return TRIED if recording.try_ else f"Not saved; add {add}"
    if not saved.values:
        return f"Saved as {saved.id}. Wrong? {on_logbook('slurrycalc undo', recording.logbook)}"
    named = ""
    if len(saved.values) == 2:
        named = f" ({saved.values[0]} and {saved.values[1]})"
    elif len(saved.values) > 2:
        named = f" ({saved.values[0]} to {saved.values[-1]})"
    lines = ("slurrycalc undo", f"slurrycalc fix {saved.values[0]} VALUE")
    undo, fix = (on_logbook(line, recording.logbook) for line in lines)
    return f"Saved as {saved.id}{named}. Wrong? {undo}, or {fix}"
