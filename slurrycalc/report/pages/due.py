"""What is due, on a page: overdue, today, coming; and what to type when it is done."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.due import DueItem
from slurrycalc.report.page import GAP, Block, Command, Do, Heading, Say, evidence, points, table

if TYPE_CHECKING:
    from slurrycalc.day.months.duties import Duties, Duty

MOST = 40
"""So many things get a line each."""
NAMED = 3
"""So many overdue things are named in a line."""


def command_of(item: DueItem) -> str:
    """Give the command to type for a thing that is due.

    Parameters
    ----------
    item : DueItem
        What is due.

    Returns
    -------
    str
        A command line; what the keeper alone knows stands in capitals.
    """
    name = shlex.quote(item.subject)
    return {
        **dict.fromkeys(("meter", "bench", "mix-again", "retest"), "slurrycalc bench"),
        "exchange": f"slurrycalc exchange {name}",
        "steady-jar": "slurrycalc bench",
        "leaf-litter": f"slurrycalc event {name} leaf-litter --amount AMOUNT",
        "charcoal": f"slurrycalc event {name} charcoal --amount AMOUNT",
        "upkeep": f"slurrycalc upkeep {name}",
        "exchange-stage": f"slurrycalc event {name} exchange --amount AMOUNT",
        "buffer-bottle": f"slurrycalc kit bottle {name} --retired today",
        "probe-check": f"slurrycalc probe READING --probe {name} --enclosure NAME",
    }[item.task]


def due_blocks(found: Duties, names: Sequence[str], ahead: int | None) -> Iterator[Block]:
    """Write what is due, the overdue first.

    Parameters
    ----------
    found : Duties
        What is due.
    names : sequence of str
        What was asked about; everything where it is empty.
    ahead : int or None
        How far it was asked. [d]
    """
    of = f" of {', '.join(names)}" if names else ""
    yield Heading(f"Due{of}, by the record, on {spoken(found.today)}")
    if not found.every:
        far = "" if ahead is None else f" within {ahead} {'day' if ahead == 1 else 'days'}"
        yield Say(f"Nothing{far}.")
        yield from _withdrawn(found)
        yield GAP
        if ahead is None:
            yield Do("put an enclosure, a bottle or a probe on record, or walk a bench day, which does so:")
            yield Command("slurrycalc bench")
        return
    late = len(found.overdue)
    now = sum(duty.due.days == 0 for duty in found.every)
    yield from do_next(found)
    yield GAP
    yield Say(f"{late} overdue, {now} today, {len(found.every) - late - now} coming.")
    shown = found.every[:MOST]
    for heading, part in (
        ("Now, what matters most first", [duty for duty in shown if duty.due.days <= 0]),
        ("Coming", [duty for duty in shown if duty.due.days > 0]),
    ):
        if part:
            yield Heading(heading)
            yield table(("what", "day", "because"), [due_row(duty) for duty in part])
    yield from _withdrawn(found)
    if len(found.every) > MOST:
        yield GAP
        yield Say(f"{len(found.every) - MOST} more come later: name what they are of, or --json tells all.")
    lines = dict.fromkeys(command_of(duty.due) for duty in shown)
    yield evidence([Heading("What to type when it is done"), *map(Command, lines)])


def _withdrawn(found: Duties) -> Iterator[Block]:
    """Write which stages are due no more, and why."""
    if found.withdrawn:
        yield Heading("Withdrawn")
        yield points(each.text for each in found.withdrawn)


def due_row(duty: Duty) -> tuple[str, str, str]:
    """Give a line of a table: what, on which day, and why."""
    item = duty.due
    when = "" if item.days == 0 else f"{item.when}: "
    return item.what, f"{item.on.day} {item.on:%b} {item.on.year}", f"{when}{item.why}"


def overdue_line(found: Duties) -> str:
    """Say in a line what is overdue, longest overdue first.

    Parameters
    ----------
    found : Duties
        What is due, of which something is overdue.

    Returns
    -------
    str
        The first three by name.
    """
    late = [f"{duty.due.what} ({duty.due.when.removesuffix(' overdue')})" for duty in found.overdue]
    more = f", and {len(late) - NAMED} more" if len(late) > NAMED else ""
    return f"Overdue: {', '.join(late[:NAMED])}{more}."


def said(item: DueItem) -> str:
    """Say a thing to do as every page says it."""
    if item.days > 0:
        return f"nothing now. Next, on {spoken(item.on)}: {item.what} ({item.why})."
    return f"{item.what}, {item.when}: {item.why}."


def do_next(found: Duties) -> Iterator[Block]:
    """Write what to do first, and the command for it.

    Parameters
    ----------
    found : Duties
        What is due, at least one thing.
    """
    first = found.every[0]
    item = first.due
    yield Do(said(item), command_of(item))
    if item.task == "buffer-bottle":
        yield Say("and put the new one on record:")
        label = first.thing.get("label") or "LABEL"
        yield Command(f"slurrycalc kit bottle NAME --label {label} --opened today")
