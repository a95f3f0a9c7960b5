"""What is due, of all enclosures, bottles and probes."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Annotated

from typer import Argument, Option

from slurrycalc.cli import names as on_record
from slurrycalc.cli import options
from slurrycalc.cli.files import write_ours
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import Recording, day_asked, present, reading
from slurrycalc.cli.waiting import Waiting
from slurrycalc.cli.words import option
from slurrycalc.day.months.duties import Duties, duties
from slurrycalc.day.record.telling import find_any
from slurrycalc.deciding.days import interval_of
from slurrycalc.deciding.due import DueItem
from slurrycalc.logbook.recall import Recall
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.report.page import Block
from slurrycalc.report.pages.due import command_of, due_blocks

LIKE = "due.ics"


@dataclass(frozen=True)
class DutyTold:
    """One thing to do."""

    due: DueItem
    kind: str
    """What it is done to: an enclosure, a bottle or a probe."""
    uid: str
    """The same whenever this is asked."""
    command: str
    """What to type for it; what the keeper alone knows stands in capitals."""


@dataclass(frozen=True)
class WithdrawnTold:
    """Stages of an exchange that are due no more."""

    enclosure: str
    on: tuple[date, ...]
    """The days on which they would be due."""
    why: str
    """What was read since the plan was made."""
    text: str
    """The sentence that a person reads."""
    uids: tuple[str, ...]


@dataclass(frozen=True)
class WhatIsDue:
    """What is due, earliest first."""

    on: date
    ahead: int | None
    """How far it was asked; None: to the last. [d]"""
    overdue: int
    duties: tuple[DutyTold, ...]
    withdrawn: tuple[WithdrawnTold, ...]
    """What was planned and is due no more; nothing of it is recorded."""
    calendar: str | None
    """The calendar file that was written."""
    logbook: str


def due(
    names: Annotated[
        list[str] | None,
        Argument(
            metavar="NAME",
            help="Of an enclosure, a bottle or a probe; without, all in use.",
            autocompletion=on_record.enclosures,
        ),
    ] = None,
    *,
    ahead: Annotated[
        str | None, Option(metavar="TIME", help='How far to look, like "30 d"; to the end unless given.')
    ] = None,
    ics: Annotated[
        str | None,
        Option(
            metavar="FILE.ics",
            help="Write a calendar file too; one that was written so before is written anew.",
        ),
    ] = None,
    strict: options.Strict = False,
    on: options.AskedOn = None,
    logbook: options.Logbook = None,
) -> Outcome[WhatIsDue]:
    """Say what is due by date: readings, tending, exchanges, bottles, probes.

    slurrycalc due
    slurrycalc due atlas window --ahead "30 d"
    slurrycalc due --ics due.ics

    It only looks, and records nothing. When to read again follows from an enclosure's trend; other intervals
    are common practice unless set by slurrycalc enclosure NAME --read-every, --litter-every,
    --charcoal-every, and slurrycalc kit probe NAME --check-every. A calendar program that reads the file
    again moves its entries and has none twice; what is overdue stands there on the day of writing.
    """
    recording, today = Recording(logbook=logbook), day_asked(on)
    days = None
    if ahead is not None:
        with option("--ahead"):
            days = interval_of(ahead)
    with reading(recording.path) as book:
        recall = Recall(book)
        of = [find_any(recall.things, name) for name in dict.fromkeys(names or ())]
        with Waiting("Going through the record"):
            found = duties(recall, today, of=of or None, ahead=days)
    written = None if ics is None else _write(ics, found)
    told = told_of(found)
    overdue = len(found.overdue)
    withdrawn = tuple(
        WithdrawnTold(
            each.thing.name,
            tuple(stage.on for stage in each.plan.stages),
            each.plan.enough or "",
            each.text,
            each.uids,
        )
        for each in found.withdrawn
    )
    result = WhatIsDue(today, days, overdue, told, withdrawn, written, str(recording.path))

    def page() -> Iterator[Block]:
        yield from due_blocks(found, [thing.name for thing in of], days)

    return Outcome(result, tuple(page()), needs_action=overdue > 0, last=_last(ics, written, found))


def told_of(found: Duties) -> tuple[DutyTold, ...]:
    """Tell each thing that is due, with what to type for it."""
    return tuple(DutyTold(duty.due, duty.thing.kind, duty.uid, command_of(duty.due)) for duty in found.every)


def _write(name: str, found: Duties) -> str | None:
    """Write the calendar, unless nothing is due: a calendar without an event is none."""
    from slurrycalc.cli.as_calendar import calendar, is_ours

    if Path(name).suffix.casefold() != ".ics":
        raise Refusal(f"{quoted(name, 200)} is no name for a calendar; end it with .ics: {LIKE}.")
    if not found.every:
        return None
    write_ours(name, calendar(found, present()), is_ours, "calendar that slurrycalc wrote", LIKE)
    return name


def _last(ics: str | None, written: str | None, found: Duties) -> str:
    if ics is None:
        return ""
    if written is None:
        return "No calendar was written: one without an entry is none."
    count = len(found.every)
    entries = "1 entry" if count == 1 else f"{count} entries"
    return f"{entries} written to {shlex.quote(written)}; import it, and again whenever you write it anew."
