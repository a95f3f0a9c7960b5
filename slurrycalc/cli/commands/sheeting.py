"""The sheet of a bench day that is still to come."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from typer import Argument, Option

from slurrycalc.cli import names, options
from slurrycalc.cli.files import write_new
from slurrycalc.cli.moment import day_of
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import Recording, present, reading
from slurrycalc.cli.words import count, option
from slurrycalc.data.assumed import SLURRIES_EACH
from slurrycalc.data.cautions import cautions
from slurrycalc.day.bench.blank import blank_worksheet
from slurrycalc.day.bench.guided.journal import room_on
from slurrycalc.day.bench.guided.kit import MOST_EACH
from slurrycalc.day.bench.sheet import DaySheet, day_sheet, pencil, written
from slurrycalc.day.bench.sheet.needed import needed
from slurrycalc.logbook.own import taken_from_kit
from slurrycalc.logbook.recall import Recall
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.report.page import Block, Cautions, Do, Heading, Say, noted
from slurrycalc.report.pages.sheet import sheet_blocks
from slurrycalc.report.terminal import draw

if TYPE_CHECKING:
    from slurrycalc.day.bench.guided.room import KnownCase, Room

WORKSHEET, PAPER, PRINTED = ".toml", ".txt", ".html"
PAPER_WIDTH = 92
"""Of a sheet in a file: what A4 and Letter take at 10 points (our own figure). [characters]"""
NOT_DUE = "Nothing is to be read by {}, so nothing was written; without --due, all that is in use is."


@dataclass(frozen=True)
class SheetBegun:
    """A sheet that was begun from the record."""

    path: str | None
    """None where it was only shown."""
    sheet: DaySheet | None
    """None where nothing is on record yet, and it is blank."""


def sheet(
    file: Annotated[
        str | None,
        Argument(metavar="DAY.toml", help="The file to write; one that is there already is left alone."),
    ] = None,
    *,
    out: Annotated[
        str | None, Option("-o", "--out", metavar="DAY.toml|.txt|.html", help="The same; -o for short.")
    ] = None,
    enclosure: Annotated[
        list[str] | None,
        Option(
            "--enclosure",
            metavar="NAME",
            help="Which enclosure, once for each; all in use unless given.",
            autocompletion=names.enclosures,
        ),
    ] = None,
    due: Annotated[bool, Option("--due", help="Only those that are to be read by that day.")] = False,
    slurries: Annotated[
        str | None, Option(metavar="NUMBER", help="How many of each enclosure; 2 unless given.")
    ] = None,
    blank: Annotated[bool, Option("--blank", help="A blank worksheet with a comment at each key.")] = False,
    on: Annotated[
        str | None,
        Option(metavar="DATE", help="The bench day, which may lie ahead: 2024-05-04; else today."),
    ] = None,
    by: options.By = None,
    logbook: options.Logbook = None,
) -> Outcome[SheetBegun]:
    """Begin a bench day's sheet from the record: a worksheet, or one for a pencil.

    slurrycalc sheet
    slurrycalc sheet --out my-day.toml
    slurrycalc sheet --out my-day.toml --due --on 2024-06-01
    slurrycalc sheet --out my-day.txt
    slurrycalc sheet --out sheet.html

    Enclosures, jar labels, amounts, meter, probe and bottles in use stand there already; only readings are
    left to write. A .toml goes through slurrycalc run once they are typed; without a file, as .txt and as
    .html, to be printed, the sheet is one for a pencil. Where nothing is on record, the worksheet is blank.
    """
    if file is not None and out is not None:
        raise Refusal("the file is given twice; a right line: slurrycalc sheet --out my-day.toml")
    path = file or out
    suffix = None if path is None else Path(path).suffix.casefold()
    if suffix not in (None, WORKSHEET, PAPER, PRINTED):
        raise Refusal(f"{quoted(str(path), 200)} is no name for a sheet; end it with .toml: my-day.toml.")
    if blank and suffix != WORKSHEET:
        raise Refusal("--blank is for a worksheet; a right line: slurrycalc sheet --blank --out my-day.toml")
    each = int(SLURRIES_EACH.value) if slurries is None else count(slurries, "--slurries", MOST_EACH)
    today = present().date()
    with option("--on"):
        day = today if on is None else day_of(on, today, future=True)
    with reading(Recording(logbook=logbook).path) as book:
        recall, room = Recall(book), room_on(book, day)
        cases = _cases(recall, room, enclosure, day if due else None)
        known = (
            None
            if blank or not (room.cases or room.meters)
            else day_sheet(recall, room, day, cases, each=each, by=by)
        )
    taken = () if known is None else taken_from_kit(room.taken_for(known.by if by is None else None))
    if suffix == WORKSHEET:
        write_new(str(path), blank_worksheet() if known is None else written(known), "my-day.toml")
    elif known is None:
        raise Refusal(
            "nothing is on record to fill a sheet from; a blank one: slurrycalc sheet --out my-day.toml"
        )
    elif path is not None:
        write_new(path, _drawn(known) if suffix == PAPER else _printed(known), f"my-day{suffix}")

    def page() -> Iterator[Block]:
        if path is None and known is not None:
            yield from sheet_blocks(pencil(known))
        elif path is not None:
            yield from _said(path, known)
        yield noted(taken)

    return Outcome(SheetBegun(path, known), tuple(page()), taken)


def _drawn(known: DaySheet) -> str:
    minds = cautions("sheet")
    return draw(sheet_blocks(pencil(known)), PAPER_WIDTH, "utf-8", bold=False, cautions=minds)


def _printed(known: DaySheet) -> str:
    from slurrycalc.report.html import sheet_html

    return sheet_html(pencil(known), cautions("sheet"))


def _cases(recall: Recall, room: Room, named: Sequence[str] | None, due_by: date | None) -> list[KnownCase]:
    """Find the enclosures that are to be read."""
    for name in named or ():
        recall.things.find("enclosure", name)
    chosen = [case for case in room.cases if not named or case.name.casefold() in map(_key, named)]
    if due_by is None:
        return chosen
    wanted = needed(recall, due_by)
    found = [case for case in chosen if case.name in wanted]
    if not found:
        raise Refusal(NOT_DUE.format(due_by))
    return found


def _key(name: str) -> str:
    return name.strip().casefold()


def _said(path: str, known: DaySheet | None) -> Iterator[Block]:
    """Say what was written, and what to do with it."""
    if known is None:
        yield Heading(f"{path} is written, blank")
        yield Do(f'fill in each "?" by its comment, then slurrycalc run {shlex.quote(path)}')
        return
    enclosures = len({jar.enclosure for jar in known.jars})
    many = "1 enclosure" if enclosures == 1 else f"{enclosures} enclosures"
    yield Heading(f"{path} is written: {len(known.jars)} jars of {many}, {known.on}")
    if Path(path).suffix.casefold() in (PAPER, PRINTED):
        yield Do("print it; what the pencil wrote is typed into slurrycalc bench --on DATE")
    else:
        yield Do(f'type a reading over each "?", then slurrycalc run {shlex.quote(path)}')
    yield Cautions()
    yield Say(f"From the record: {', '.join(_known(known))}.")


def _known(known: DaySheet) -> Iterator[str]:
    if known.meter:
        yield f"meter {known.meter}"
    yield from (f"bottle {bottle.name}" for bottle in known.points)
    if known.probe:
        yield f"probe {known.probe}"
    yield from (f"enclosure {name}" for name in dict.fromkeys(jar.enclosure for jar in known.jars))
