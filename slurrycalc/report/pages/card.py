"""The card of one thing, on a page."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from slurrycalc.data.method import METHOD
from slurrycalc.day.bench.card import Card
from slurrycalc.day.record.stating import Stated
from slurrycalc.deciding.days import spoken
from slurrycalc.measuring.salts import spoken_ec
from slurrycalc.report.page import GAP, Block, Command, Do, Heading, Headline, Say, noted, points, table
from slurrycalc.report.pages.due import command_of, due_row, said
from slurrycalc.report.pages.meter_life import meter_life_blocks
from slurrycalc.report.pages.record import history_blocks
from slurrycalc.report.pages.things import one_blocks

if TYPE_CHECKING:
    from slurrycalc.day.bench.result import EnclosureResult
    from slurrycalc.day.months.salts_beside import SaltsBeside
    from slurrycalc.deciding.due import DueItem

MOST_DUE = 5
"""So many things that are due get a line."""


def card_blocks(card: Card) -> Iterator[Block]:
    """Write a thing's card: where it stands, what is due, what is set for it, what was last done.

    Parameters
    ----------
    card : Card
        Of one thing.
    """
    name, stood = card.thing.name, card.standing
    for bed in stood.enclosures:
        yield from _stood(bed, None if card.due is None else card.due.first_of(bed.name or ""), card.salts)
    yield points(each.text for each in card.changed)
    for jar in stood.steady:
        yield Heading(f"{name}, read on {spoken(date.fromisoformat(jar.day))}")
        yield Say(jar.said.text)
    for tub in stood.fresh:
        yield Heading(f"{name}, read on {spoken(date.fromisoformat(tub.day))}")
        yield Headline("pH", tub.slurry.ph.n, tub.slurry.interval(0.95), 0.95)
    if stood.unread:
        yield Heading(f"{name} was not read yet")
        yield Command("slurrycalc bench")
    if card.due is not None and card.due.every:
        yield Heading(f"Due, on {spoken(card.due.today)}")
        yield table(("what", "day", "because"), [due_row(duty) for duty in card.due.every[:MOST_DUE]])
        yield Command(command_of(card.due.every[0]))
        if len(card.due.every) > MOST_DUE:
            yield Say(f"{len(card.due.every) - MOST_DUE} more: slurrycalc due {shlex.quote(name)}")
    yield from one_blocks(Stated(card.thing, added=False, changed=()))
    if card.electrode is not None:
        yield from meter_life_blocks(card.electrode)
    if card.entries:
        yield GAP
        yield from history_blocks(card.entries, card.earlier, name, foot=False)
    if card.method is not None:
        yield GAP
        yield Say(f"Its last bench day was answered by method {card.method}; here by method {METHOD}.")


def _stood(bed: EnclosureResult, first: DueItem | None, salts: SaltsBeside | None) -> Iterator[Block]:
    """Write where a bed stood on its last bench day, and what to do."""
    standing = bed.judgement
    yield Heading(f"{bed.name}, read on {spoken(date.fromisoformat(bed.day))}")
    yield Headline("pH", bed.slurry.ph.n, bed.slurry.interval(standing.p), standing.p)
    yield Say(" ".join(standing.sentences))
    if first is not None:
        yield Do(said(first))
    if salts is not None:
        newest = salts.days[-1]
        yield Say(f"Salts {spoken_ec(newest.ec.n)} on {spoken(newest.on)}.")
    yield noted((*bed.remarks, *(() if salts is None else salts.remarks)))
