"""What is due, on a page: overdue, today, coming; and what to type when it is done."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from typing import TYPE_CHECKING

from slurrycalc.day.months.duties import Duties, Duty
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.due import DueItem

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page

MOST = 40
"""So many things get a line each."""
NAMED = 3
"""So many overdue things are named in a line."""


def command_of(duty: Duty) -> str:
    """Give the command to type for a thing that is due.

    Parameters
    ----------
    duty : Duty
        What is due.

    Returns
    -------
    str
        A command line; what the keeper alone knows stands in capitals.
    """
    name = shlex.quote(duty.thing.name)
    return {
        **dict.fromkeys(("meter", "bench", "mix-again", "retest"), "slurrycalc bench"),
        "exchange": f"slurrycalc exchange {name}",
        "steady-jar": "slurrycalc bench",
        "leaf-litter": f"slurrycalc event {name} leaf-litter --amount AMOUNT",
        "charcoal": f"slurrycalc event {name} charcoal --amount AMOUNT",
        "exchange-stage": f"slurrycalc event {name} exchange --amount AMOUNT",
        "buffer-bottle": f"slurrycalc kit bottle {name} --retired today",
        "probe-check": f"slurrycalc probe READING --probe {name} --enclosure NAME",
    }[duty.due.task]


def show_due(page: Page, found: Duties, names: Sequence[str], ahead: int | None) -> None:
    """Write what is due, the overdue first.

    Parameters
    ----------
    page : Page
        Where to.
    found : Duties
        What is due.
    names : sequence of str
        What was asked about; everything where it is empty.
    ahead : int or None
        How far it was asked. [d]
    """
    of = f" of {', '.join(names)}" if names else ""
    page.title(f"Due{of}, by the record, on {spoken(found.today)}")
    if not found.every:
        far = "" if ahead is None else f" within {ahead} {'day' if ahead == 1 else 'days'}"
        page.say(f"Nothing{far}.")
        _withdrawn(page, found)
        page.gap()
        if ahead is None:
            page.do("put an enclosure, a bottle or a probe on record, or walk a bench day, which does so:")
            page.command("slurrycalc bench")
        return
    late = len(found.overdue)
    now = sum(duty.due.days == 0 for duty in found.every)
    page.say(f"{late} overdue, {now} today, {len(found.every) - late - now} coming.")
    shown = found.every[:MOST]
    for heading, part in (
        ("Now, what matters most first", [duty for duty in shown if duty.due.days <= 0]),
        ("Coming", [duty for duty in shown if duty.due.days > 0]),
    ):
        if part:
            page.title(heading)
            page.table(("what", "day", "because"), [due_row(duty) for duty in part])
    _withdrawn(page, found)
    page.gap()
    if len(found.every) > MOST:
        page.say(f"{len(found.every) - MOST} more come later: name what they are of, or --json tells all.")
    do_next(page, found)


def _withdrawn(page: Page, found: Duties) -> None:
    """Write which stages are due no more, and why."""
    if found.withdrawn:
        page.title("Withdrawn")
        page.points(each.text for each in found.withdrawn)


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


def do_next(page: Page, found: Duties) -> None:
    """Write what to do first, and the command for it.

    Parameters
    ----------
    page : Page
        Where to.
    found : Duties
        What is due, at least one thing.
    """
    first = found.every[0]
    item = first.due
    page.do(said(item))
    page.command(command_of(first))
    if item.task == "buffer-bottle":
        page.say("and put the new one on record:")
        label = first.thing.get("label") or "LABEL"
        page.command(f"slurrycalc kit bottle NAME --label {label} --opened today")
