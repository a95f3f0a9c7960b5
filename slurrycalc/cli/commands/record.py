"""The record itself: what happened, what was read, and mending what is wrong in it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from typer import Argument, Option

from slurrycalc.cli import names, options
from slurrycalc.cli.moment import day_of
from slurrycalc.cli.notation import reading_words
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import (
    Recording,
    SavedAs,
    keeping,
    last_line,
    mending,
    present,
    reading,
    save,
    saved_as,
    who,
)
from slurrycalc.cli.words import count, option
from slurrycalc.data.cautions import of_event
from slurrycalc.data.events import EVENTS
from slurrycalc.day.bench.recalled import recalled_day
from slurrycalc.day.bench.result import DayResult
from slurrycalc.day.record.events import Event, add_event
from slurrycalc.day.record.mended import FixedTold, MovedTold, UndoneTold, fix_entry, move_entry, undo_entries
from slurrycalc.day.record.telling import (
    EntryTold,
    count_entries,
    find_any,
    newest_entries,
    tell,
    tell_all,
    with_answers,
)
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import Id
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.metrology.names import on_logbook
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.report.page import Block, Cautions, Heading, Say, noted
from slurrycalc.report.pages.day import day_blocks
from slurrycalc.report.pages.record import fixed_blocks, history_blocks, moved_blocks, undone_blocks

USUAL = 30
"""So many entries are told where not more are asked for."""

_NUMBER = re.compile(r"#?\d+(\.\d+)?", re.ASCII)
"""Of an entry, or of one value of it."""

@dataclass(frozen=True)
class Noted:
    """Something that was done to an enclosure, or befell it."""

    event: Event
    on: str
    """Year, month, day."""
    saved: SavedAs | None


@dataclass(frozen=True)
class Everything:
    """Every entry that is on record, told while somebody goes through them."""

    path: Path

    def __iter__(self) -> Iterator[EntryTold]:
        """Tell one after the other."""
        with reading(self.path) as book:
            yield from tell_all(Recall(book))


@dataclass(frozen=True)
class Blocks:
    """The page of every entry, made while it is drawn, and anew each time."""

    of: Everything

    def __iter__(self) -> Iterator[Block]:
        """Write one after the other."""
        return history_blocks(self.of, 0, None)


@dataclass(frozen=True)
class History:
    """What is on record, in the order of time."""

    entries: Iterable[EntryTold]
    earlier: int
    """Entries that are not told here."""
    logbook: str


@dataclass(frozen=True)
class Undone:
    """What was struck out."""

    undone: UndoneTold
    saved: SavedAs


@dataclass(frozen=True)
class Fixed:
    """What was entered anew, or moved to another enclosure: one of them."""

    fixed: FixedTold | None
    moved: MovedTold | None
    saved: SavedAs


def event(
    enclosure: Annotated[
        str, Argument(metavar="ENCLOSURE", help="Where.", autocompletion=names.enclosures)
    ],
    kind: Annotated[
        str, Argument(metavar="KIND", help=f"What: {', '.join(EVENTS)}.", autocompletion=names.events)
    ],
    *,
    amount: Annotated[
        str | None, Option(metavar="AMOUNT", help='How much: "1 L", "20 g"; of an exchange also 1/3.')
    ] = None,
    fresh: Annotated[
        str | None,
        Option(
            metavar="PH|NAME",
            help="Of an exchange, the fresh mix that went in: its tub, or what it read [pH].",
            autocompletion=names.enclosures,
        ),
    ] = None,
    note: Annotated[str | None, Option(metavar="TEXT", help="In your own words.")] = None,
    on: options.On = None,
    at: options.At = None,
    by: options.By = None,
    try_: options.Try = False,
    new: options.New = False,
    logbook: options.Logbook = None,
) -> Outcome[Noted]:
    """Note what was done to an enclosure, or befell it.

    slurrycalc event atlas leaf-litter --amount "1 L"
    slurrycalc event window exchange --amount 1/3 --fresh "leaf mix" --on yesterday
    """
    recording = Recording(on, at, by, try_, new, logbook)
    with keeping("event", recording, enclosure) as keeper:
        added = add_event(keeper, enclosure, kind, amount, note, fresh=fresh)
        day = keeper.day
    saved = save(keeper, recording)

    def page() -> Iterator[Block]:
        if added.kind == "illness":
            yield Cautions(first=True)
        yield Heading(f"{added.enclosure}, {day.day} {day:%B} {day.year}")
        yield Say(added.text)
        yield noted(keeper.remarks)

    result = Noted(added, day.isoformat(), saved)
    last = last_line(saved, recording, "")
    return Outcome(result, tuple(page()), keeper.remarks, step=of_event(added.kind), last=last)


def history(
    name: Annotated[
        str | None,
        Argument(
            metavar="NAME",
            help="Of an enclosure, meter, probe or bottle, or an entry's number; without, everything.",
            autocompletion=names.enclosures,
        ),
    ] = None,
    *,
    last: Annotated[
        str | None, Option(metavar="NUMBER", help=f"How many entries; {USUAL} unless given.")
    ] = None,
    every: Annotated[bool, Option("--all", help="Every entry there is.")] = False,
    logbook: options.Logbook = None,
) -> Outcome[History]:
    """Show what is on record, what was struck out included.

    slurrycalc history
    slurrycalc history atlas --last 10
    slurrycalc history 41.2
    """
    recording = Recording(logbook=logbook)
    most = USUAL if last is None else count(last, "--last", 10_000_000)
    day: DayResult | None = None
    with reading(recording.path) as book:
        recall = Recall(book)
        if name is None and every:
            whole = Everything(recording.path)
            return Outcome(History(whole, 0, str(recording.path)), (), long=Blocks(whole))
        if name is None:
            told = tell(recall, entries=newest_entries(recall, most))
            total = count_entries(recall)
        elif _NUMBER.fullmatch(name.strip()) and recall.things.seek("enclosure", name) is None:
            told = tell(recall, entries=with_answers(recall, Id.of(name).entry))
            total = len(told)
            if not told:
                raise Refusal(f"there is no entry {quoted(name)}; slurrycalc history lists those there are.")
            day = recalled_day(recall, Id.of(name).entry)
        else:
            told = tell(recall, find_any(recall.things, name))
            total = len(told)
            told = told if every else told[-most:]
    result = History(told, total - len(told), str(recording.path))

    def page() -> Iterator[Block]:
        if day is not None:
            yield from day_blocks(day, "", 0.95)
        yield from history_blocks(told, result.earlier, name)

    return Outcome(result, tuple(page()))


def undo(
    what: Annotated[
        str | None, Argument(metavar="ID", help="Which entry or value, like 41 or 41.2; without, the last.")
    ] = None,
    *,
    day: Annotated[
        str | None, Option(metavar="DATE", help="Take a whole day back: yesterday, 2024-03-05.")
    ] = None,
    because: options.Because = None,
    by: options.By = None,
    logbook: options.Logbook = None,
) -> Outcome[Undone]:
    """Strike out the last step, an entry, one value of it, or a whole day.

    slurrycalc undo
    slurrycalc undo 41 --because "read too early"
    slurrycalc undo --day 2024-03-05

    Nothing is erased: it stays in the history, struck out, with the reason. What rested on it falls with it.
    Taking back an undo brings everything back.
    """
    recording, now = Recording(by=by, logbook=logbook), present()
    if what is not None and day is not None:
        raise Refusal(f"{quoted(what)} and --day {day} are two things to undo; give one of them")
    chosen = None
    if day is not None:
        with option("--day"):
            chosen = day_of(day, now.date())
    with mending(recording.path) as book:
        name, taken = who(book, by, now)
        undone, saved = undo_entries(book, now, what, day=chosen, why=because, keeper=name)
    said = saved_as(saved, recording.path)
    return Outcome(
        Undone(undone, said),
        (*undone_blocks(undone), noted(taken)),
        taken,
        last=f"Saved as {said.id}. Wrong? {on_logbook(f'slurrycalc undo {said.id}', logbook)} brings it back",
    )


def fix(
    what: Annotated[str, Argument(metavar="ID", help="Which value, like 41.2; 41 where it has only one.")],
    value: Annotated[
        list[str] | None,
        Argument(metavar="VALUE", help="What it should be: 5.14, 5.14@21C, 84.3mV, 2 L."),
    ] = None,
    *,
    enclosure: Annotated[
        str | None,
        Option(
            metavar="NAME",
            help="Where it was read, or done, instead: a value, or a whole entry of one enclosure.",
            autocompletion=names.enclosures,
        ),
    ] = None,
    because: options.Because = None,
    by: options.By = None,
    logbook: options.Logbook = None,
) -> Outcome[Fixed]:
    """Enter a value anew; what rested on the old one rests on the new one.

    slurrycalc fix 41.2 5.14 --because "misread"
    slurrycalc fix 41.2 5.14@21C
    slurrycalc fix 41 --enclosure stairs

    The old value stays in the history, struck out. With --enclosure the value stays as it was read, and is of
    another enclosure; of a jar all its readings move, with the probe's indication of its spot.
    """
    if (value is None) == (enclosure is None):
        many = "takes a value or --enclosure, one of them" if value else "lacks VALUE, or --enclosure NAME"
        raise Refusal(f'slurrycalc fix {many}; a right line: slurrycalc fix 41.2 5.14 --because "misread"')
    recording, now = Recording(by=by, logbook=logbook), present()
    fixed: FixedTold | None = None
    moved: MovedTold | None = None
    if enclosure is not None:
        with mending(recording.path) as book:
            name, taken = who(book, by, now)
            moved, saved = move_entry(book, now, what, enclosure, why=because, keeper=name)
    else:
        words = reading_words(" ".join(value or ()), "5.14@21C")
        temperature = None if words.temperature is None else bench_temperature(words.temperature)
        with mending(recording.path) as book:
            name, taken = who(book, by, now)
            fixed, saved = fix_entry(
                book, now, what, words.reading, temperature=temperature, why=because, keeper=name
            )
    said = saved_as(saved, recording.path)

    def page() -> Iterator[Block]:
        if fixed is not None:
            yield from fixed_blocks(fixed)
        elif moved is not None:
            yield from moved_blocks(moved)
        yield noted(taken)

    back = on_logbook(f"slurrycalc undo {said.id}", logbook)
    brings = "brings the old value back" if moved is None else "brings it back to where it was"
    last = f"Saved as {said.id}. Wrong? {back} {brings}"
    return Outcome(Fixed(fixed, moved, said), tuple(page()), taken, last=last)
