"""Carrying the record elsewhere and back: open tables out, and tables in."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, BinaryIO

from typer import Argument, Option

from slurrycalc.cli import names, options
from slurrycalc.cli.file_kind import START, FileKind, refuse_other
from slurrycalc.cli.files import open_file
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import Recording, present, writing_into
from slurrycalc.cli.waiting import Waiting
from slurrycalc.cli.words import option
from slurrycalc.metrology.names import on_logbook
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.watch import Watch
from slurrycalc.report.page import GAP, Block, Do, Say, points

if TYPE_CHECKING:
    from slurrycalc.logbook.foreign import Foreign, Order
    from slurrycalc.logbook.merging import Imported
    from slurrycalc.logbook.store import Store


@dataclass(frozen=True)
class Carried:
    """A record that was written out."""

    path: str
    entries: int
    rows: int
    """In all tables."""


@dataclass(frozen=True)
class NewName:
    """A thing that came in under a name that was taken here."""

    kind: str
    name: str
    now: str


@dataclass(frozen=True)
class BroughtIn:
    """What came in."""

    path: str
    entries: int
    known: int
    """Entries or readings that were here already."""
    rows: int
    """In all tables."""
    renamed: tuple[NewName, ...]
    left_out: tuple[str, ...]
    """Rows that could not be read."""
    saved: str | None
    """The entry by which it can be undone."""
    struck: str | None
    """The entry that struck out what was here already."""
    readings: int | None
    """Of a CSV: how many came in."""
    enclosures: int | None
    """Of how many enclosures they are."""


def export(
    path: Annotated[
        str, Argument(metavar="PATH", help="A new folder, or a new archive whose name ends in .zip.")
    ],
    *,
    logbook: options.Logbook = None,
) -> Outcome[Carried]:
    """Write the whole record out as open tables, to keep or to merge.

    slurrycalc export reading-room.zip
    slurrycalc export spring-2024

    CSV files with a descriptor (datapackage.json) after the open Frictionless Data Package standard: any
    spreadsheet reads them, and `slurrycalc import` brings all of it back. A name or note that a spreadsheet
    would run as a formula has an apostrophe in front there, which goes when it comes back.
    """
    from slurrycalc.logbook.exporting import export as write
    from slurrycalc.logbook.store import open_logbook

    with open_logbook(Recording(logbook=logbook).path, writes=False) as book:
        done = write(book, Path(path), present())
    result = Carried(str(done.path), done.entries, done.rows)

    def page() -> Iterator[Block]:
        yield Say(f"{_entries(result.entries, result.rows)}, written to {quoted(result.path, 200)}.")
        yield Do(f"keep it safe, or give it to another keeper: slurrycalc import {result.path}")

    return Outcome(result, tuple(page()))


def import_(
    path: Annotated[
        str, Argument(metavar="PATH", help="An exported record, or a CSV of past readings, a row a reading.")
    ],
    *,
    columns: Annotated[
        str | None,
        Option(metavar="OURS=THEIRS,...", help="What the CSV calls its columns: date=Date,ph=pH."),
    ] = None,
    order: Annotated[
        str | None, Option(metavar="ymd|dmy|mdy", help="In which order the CSV writes its dates.")
    ] = None,
    leave_out: Annotated[
        bool, Option("--leave-out", help="Bring in the rows that can be read, and leave the others out.")
    ] = False,
    enclosure: Annotated[
        str | None,
        Option(metavar="NAME", help="Where all rows are from.", autocompletion=names.enclosures),
    ] = None,
    probe: Annotated[
        str | None, Option(metavar="NAME", help="Which probe was read.", autocompletion=names.probes)
    ] = None,
    by: options.By = None,
    new: options.New = False,
    logbook: options.Logbook = None,
) -> Outcome[BroughtIn]:
    """Bring in an exported record, or a CSV of past readings.

    slurrycalc import reading-room.zip
    slurrycalc import old.csv --columns date=Date,ph=pH --enclosure atlas --new

    All of it comes in or nothing does, doing it twice adds nothing, and undo takes it back. Of a CSV the
    columns date and ph are needed; enclosure, time, plus_minus, jar, spot, probe and note are read where they
    are there.
    """
    from slurrycalc.logbook.handing_down import import_foreign
    from slurrycalc.logbook.merging import import_package
    from slurrycalc.logbook.packages import is_folder, is_package

    where, source = Recording(logbook=logbook).path, Path(path)
    if is_package(source):
        if not is_folder(source):
            with open_file(path, "reading-room.zip"):
                pass  # what is no file is refused, with a guess at what was meant
        if columns or order or leave_out or enclosure or probe:
            raise Refusal(f"{quoted(path, 200)} is an exported record, which says all that; name it alone.")
        done = _taken_in(where, lambda book, watch: import_package(book, source, present(), watch))
    else:
        with open_file(path, "old.csv") as file:
            # Columns that are named tell more than a header.
            ours: tuple[FileKind, ...] = ("past", "jars", "pairs") if columns else ("past",)
            refuse_other(path, file.read(START), *ours)
            file.seek(0)
            foreign = _foreign(file, source.name, columns, order)
            done = _taken_in(
                where,
                lambda book, watch: import_foreign(
                    book,
                    foreign,
                    present(),
                    enclosure=enclosure,
                    probe=probe,
                    adds=new,
                    new=new,
                    leave_out=leave_out,
                    keeper=by,
                    watch=watch,
                ),
            )
    renamed = tuple(NewName(one.kind, one.name, one.now) for one in done.renamed)
    saved = None if done.saved is None else str(done.saved)
    left_out = tuple(str(row) for row in done.left_out)
    struck = None if done.struck is None else str(done.struck)
    result = BroughtIn(
        path,
        done.entries,
        done.known,
        done.rows,
        renamed,
        left_out,
        saved,
        struck,
        done.readings,
        done.enclosures,
    )
    return Outcome(result, tuple(_show(result, logbook)))


def _taken_in(where: Path, enter: Callable[[Store, Watch], Imported]) -> Imported:
    from slurrycalc.logbook.store import try_first

    with Waiting("Trying what comes in") as waiting:
        try_first(where, lambda book: enter(book, waiting.along))
    with writing_into(where) as book, Waiting("Putting it on record") as waiting:
        return enter(book, waiting.along)


def _foreign(file: BinaryIO, name: str, columns: str | None, order: str | None) -> Foreign:
    from slurrycalc.logbook.foreign import read_foreign

    with option("--columns"):
        pairs = dict(_pair(text) for text in columns.split(",")) if columns else None
    with option("--order"):
        written = _order(order)
    return read_foreign(file, name, pairs, written)


def _pair(text: str) -> tuple[str, str]:
    ours, sign, theirs = (part.strip() for part in text.partition("="))
    if not (ours and sign and theirs):
        raise Refusal(f"{quoted(text)} names no column; write like date=Date,ph=pH")
    return ours, theirs


def _order(text: str | None) -> Order | None:
    match text:
        case None | "ymd" | "dmy" | "mdy":
            return text
    raise Refusal(f"{quoted(text)} is no order of a date; write ymd, dmy or mdy")


def _entries(count: int, rows: int) -> str:
    return f"{'1 entry' if count == 1 else f'{count} entries'}, {rows} rows"


def _show(result: BroughtIn, logbook: str | None) -> Iterator[Block]:
    if result.readings and result.enclosures:
        of = f"{result.enclosures} enclosure{'' if result.enclosures == 1 else 's'}"
        came = "1 reading" if result.readings == 1 else f"{result.readings} readings"
        yield Say(f"{came} of {of} {'is' if result.readings == 1 else 'are'} in.")
    if result.entries:
        yield Say(f"{_entries(result.entries, result.rows)}, brought in from {quoted(result.path, 200)}.")
    else:
        yield Say(f"Nothing new in {quoted(result.path, 200)}.")
    if result.known:
        yield Say(f"{result.known} were here already.")
    if result.struck:
        yield Say(f"Some are struck out here: slurrycalc undo {result.struck} brings them back.")
    yield points(
        f"the {one.kind} {one.name} is called {one.now} here: that name was taken" for one in result.renamed
    )
    yield points(f"left out, {row}" for row in result.left_out)
    yield GAP
    wrong = f" Wrong? {on_logbook(f'slurrycalc undo {result.saved}', logbook)}" if result.saved else ""
    yield Say(f"{on_logbook('slurrycalc history', logbook)} shows it.{wrong}", indent=0)
