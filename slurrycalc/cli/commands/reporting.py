"""The page of a whole record, as one file."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Annotated

from typer import Option

from slurrycalc.cli import names, options
from slurrycalc.cli.files import kept_free
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import Recording, day_asked, keeping
from slurrycalc.cli.waiting import Waiting
from slurrycalc.cli.words import coverage
from slurrycalc.data.cautions import cautions
from slurrycalc.day.bench.whole import Whole, whole
from slurrycalc.deciding.days import spoken
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.watch import Watch
from slurrycalc.report.page import GAP, Block, Heading, Say
from slurrycalc.report.pages.alone import need_words
from slurrycalc.report.pages.due import do_next
from slurrycalc.report.pages.whole import whole_page

LIKE = "record.html"
MOST_NAMED = 4
"""So many enclosures the title names."""


@dataclass(frozen=True)
class Reported:
    """The page that was written."""

    on: date
    """The day on which the record was asked."""
    path: str
    enclosures: tuple[str, ...]
    """Those that it shows, what asks for something first, first."""
    figures: int
    bytes: int
    logbook: str


def report(
    *,
    out: Annotated[
        str | None, Option("-o", "--out", metavar="PAGE.html", help="The file to write; -o for short.")
    ] = None,
    enclosure: Annotated[
        list[str] | None,
        Option(
            "--enclosure",
            metavar="NAME",
            help="Of this one only; give it again for more.",
            autocompletion=names.enclosures,
            rich_help_panel=options.RECORD,
        ),
    ] = None,
    p: options.Coverage = "0.95",
    strict: options.Strict = False,
    on: options.AskedOn = None,
    logbook: options.Logbook = None,
) -> Outcome[Reported]:
    """Write the record as one page: for keeper, vet and class, on screen and paper.

    slurrycalc report --out record.html
    slurrycalc report --enclosure atlas -o atlas.html

    What to do now, where each enclosure stands, its months, what was done and is due, the probe, a sheet for
    the vet, a part for a class, and what all of it rests on. One file that asks for nothing from anywhere.
    It only looks, and records nothing.
    """
    if out is None or Path(out).suffix.casefold() != ".html":
        what = "lacks --out" if out is None else f"--out: {quoted(out, 200)} ends otherwise than .html"
        raise Refusal(f"slurrycalc report {what}; a right line: slurrycalc report --out {LIKE}")
    recording, today, chance = Recording(on, logbook=logbook), day_asked(on), coverage(p)
    with kept_free(out, LIKE) as write, Waiting("Drawing the page") as waiting:
        with keeping("report", Recording(logbook=logbook), "") as keeper:
            found = whole(keeper, today, enclosure or (), chance, watch=waiting.along)
        made, figures = _written(found, chance, logbook, waiting.along)
        write(made)

    def page() -> Iterator[Block]:
        yield Heading(need_words([one.thing.name for one in found.beds], found.due))
        if found.due.every:
            yield from do_next(found.due)
        yield GAP
        count = f"{figures} figure{'' if figures == 1 else 's'}"
        size = round(len(made) / 1024)
        yield Say(f"The page is in {shlex.quote(str(out))}: {count}, {size} KiB. Open it in a browser.")

    shown = tuple(one.thing.name for one in found.beds)
    result = Reported(today, out, shown, figures, len(made), str(recording.path))
    return Outcome(result, tuple(page()), needs_action=bool(found.due.overdue), minds=False, p=chance)


def _written(found: Whole, p: float, logbook: str | None, watch: Watch) -> tuple[bytes, int]:
    """Draw the page; give it with the number of its figures."""
    from slurrycalc.report.html import html
    from slurrycalc.report.pictures import pictures

    page = whole_page(found, p)
    figures = sum(1 for _ in pictures(page))
    names = ", ".join(one.thing.name for one in found.beds) if len(found.beds) <= MOST_NAMED else "the record"
    title = f"Soil pH of {names}"
    last = (
        f"Written by slurrycalc on {spoken(found.today)} from the record; slurrycalc report writes it anew."
    )
    made = html(
        page,
        title,
        cautions=cautions("report"),
        logbook=logbook,
        last=last,
        watch=watch,
    )
    return made.encode(), figures
