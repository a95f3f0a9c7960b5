"""The card of one thing, on a page."""

from __future__ import annotations

import shlex
from datetime import date
from typing import TYPE_CHECKING

from slurrycalc.cli.show_due import command_of, due_row, said
from slurrycalc.cli.show_meter_life import show_meter_life
from slurrycalc.cli.show_record import show_history
from slurrycalc.cli.show_things import show_one
from slurrycalc.day.bench.card import Card
from slurrycalc.day.record.stating import Stated
from slurrycalc.deciding.days import spoken

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page
    from slurrycalc.day.bench.result import EnclosureResult
    from slurrycalc.deciding.due import DueItem

MOST_DUE = 5
"""So many things that are due get a line."""


def show_card(page: Page, card: Card) -> None:
    """Write a thing's card: where it stands, what is due, what is set for it, what was last done.

    Parameters
    ----------
    page : Page
        Where to.
    card : Card
        Of one thing.
    """
    name, stood = card.thing.name, card.standing
    for bed in stood.enclosures:
        _stood(page, bed, None if card.due is None else card.due.first_of(bed.name or ""))
    for jar in stood.steady:
        page.title(f"{name}, read on {spoken(date.fromisoformat(jar.day))}")
        page.say(jar.said.text)
    for tub in stood.fresh:
        page.title(f"{name}, read on {spoken(date.fromisoformat(tub.day))}")
        page.headline("pH", tub.slurry.ph.n, tub.slurry.interval(0.95), 0.95)
    if stood.unread:
        page.title(f"{name} was not read yet")
        page.command("slurrycalc bench")
    if card.due is not None and card.due.every:
        page.title(f"Due, on {spoken(card.due.today)}")
        page.table(("what", "day", "because"), [due_row(duty) for duty in card.due.every[:MOST_DUE]])
        page.command(command_of(card.due.every[0]))
        if len(card.due.every) > MOST_DUE:
            page.say(f"{len(card.due.every) - MOST_DUE} more: slurrycalc due {shlex.quote(name)}")
    show_one(page, Stated(card.thing, added=False, changed=()))
    if card.electrode is not None:
        show_meter_life(page, card.electrode)
    if card.entries:
        page.gap()
        show_history(page, card.entries, card.earlier, name)


def _stood(page: Page, bed: EnclosureResult, first: DueItem | None) -> None:
    """Write where a bed stood on its last bench day, and what to do."""
    standing = bed.judgement
    page.title(f"{bed.name}, read on {spoken(date.fromisoformat(bed.day))}")
    page.headline("pH", bed.slurry.ph.n, bed.slurry.interval(standing.p), standing.p)
    page.say(" ".join(standing.sentences))
    if first is not None:
        page.do(said(first))
    page.remarks(bed.remarks)
