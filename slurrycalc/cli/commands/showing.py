"""The cards of what is on record."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Annotated

from typer import Argument

from slurrycalc.cli import names, options
from slurrycalc.cli.commands.duties import DutyTold, told_of
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import Recording, day_asked, reading
from slurrycalc.cli.words import coverage
from slurrycalc.day.bench.card import Card, card
from slurrycalc.day.bench.changed_answer import ChangedAnswer
from slurrycalc.day.bench.standing import Standing
from slurrycalc.day.months.ageing import MeterLife
from slurrycalc.day.months.salts_beside import SaltsBeside
from slurrycalc.day.record.stating import ThingShown
from slurrycalc.day.record.telling import EntryTold, find_every
from slurrycalc.logbook.recall import Recall
from slurrycalc.report.page import Block
from slurrycalc.report.pages.card import card_blocks


@dataclass(frozen=True)
class CardTold:
    """One thing on record."""

    thing: ThingShown
    standing: Standing
    """Where an enclosure stood on its last bench day; empty of one that was not read, and of other things."""
    salts: SaltsBeside | None
    """Of an enclosure, beside its pH, where both were read."""
    changed: tuple[ChangedAnswer, ...]
    """That its last bench day is answered otherwise now, by another version of the method."""
    method: str | None
    """Version of the method that answered its last bench day then, where it is not the present one."""
    due: tuple[DutyTold, ...]
    electrode: MeterLife | None
    """How a meter's electrode ages, where it was calibrated."""
    entries: tuple[EntryTold, ...]
    """The newest, in the order of time."""
    earlier: int
    """Entries that are not told."""


@dataclass(frozen=True)
class Cards:
    """Everything of one name."""

    on: date
    cards: tuple[CardTold, ...]
    logbook: str


def show(
    name: Annotated[
        list[str],
        Argument(
            metavar="NAME",
            help="Of an enclosure, a meter, a probe or a bottle.",
            autocompletion=names.enclosures,
        ),
    ],
    *,
    p: options.Coverage = "0.95",
    strict: options.Strict = False,
    on: options.AskedOn = None,
    logbook: options.Logbook = None,
) -> Outcome[Cards]:
    """Show one thing on record: where it stands, what is due, what was done.

    slurrycalc show atlas
    slurrycalc show leaf mix
    slurrycalc show desk --on 2024-05-04

    It only looks, and adds nothing. Of two things with one name it shows both. For everything that was done
    to it there is slurrycalc history NAME.
    """
    recording, today, chance = Recording(logbook=logbook), day_asked(on), coverage(p)
    with reading(recording.path) as book:
        recall = Recall(book)
        cards = [card(recall, thing, today, chance) for thing in find_every(recall.things, " ".join(name))]
    result = Cards(today, tuple(map(_told, cards)), str(recording.path))

    def page() -> Iterator[Block]:
        for one in cards:
            yield from card_blocks(one)

    acts = any(one.due is not None and one.due.overdue for one in cards)
    acts = acts or any(bed.act for one in cards for bed in one.standing.enclosures)
    return Outcome(result, tuple(page()), needs_action=acts, p=chance)


def _told(one: Card) -> CardTold:
    due = () if one.due is None else told_of(one.due)
    return CardTold(
        one.thing,
        one.standing,
        one.salts,
        one.changed,
        one.method,
        due,
        one.electrode,
        one.entries,
        one.earlier,
    )
