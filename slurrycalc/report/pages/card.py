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
from slurrycalc.report.page import (
    GAP,
    Block,
    Do,
    Heading,
    Headline,
    Plot,
    Say,
    Strip,
    evidence,
    points,
    table,
)
from slurrycalc.report.pages.case import SAID, case_evidence, span_of, stands
from slurrycalc.report.pages.due import command_of, due_row, said
from slurrycalc.report.pages.fresh import fresh_blocks
from slurrycalc.report.pages.meter_life import meter_life_blocks
from slurrycalc.report.pages.record import history_blocks
from slurrycalc.report.pages.remarks import remarks_blocks
from slurrycalc.report.pages.steady import steady_blocks
from slurrycalc.report.pages.things import one_blocks
from slurrycalc.report.plot import Months

if TYPE_CHECKING:
    from slurrycalc.day.bench.result import EnclosureResult

MOST_DUE = 5
"""So many things that are due get a line."""


def card_blocks(card: Card) -> Iterator[Block]:
    """Write a thing's card: where it stands, what is due, what was last done, what is set for it.

    Parameters
    ----------
    card : Card
        Of one thing.
    """
    name, stood, due = card.thing.name, card.standing, card.due
    for bed in stood.enclosures:
        yield from _stood(card, bed)
    yield points(each.text for each in card.changed)
    for jar in stood.steady:
        yield Heading(f"{name}, read on {spoken(date.fromisoformat(jar.day))}")
        yield from steady_blocks(jar, None, 0.95)
    for tub in stood.fresh:
        yield Heading(f"{name}, read on {spoken(date.fromisoformat(tub.day))}")
        yield from fresh_blocks(tub, None, 0.95)
    if stood.unread:
        yield Heading(f"{name} was not read yet")
        yield Do("read it on the next bench day.", "slurrycalc bench")
    if due is not None and due.every:
        first = due.every[0].due
        if not stood.enclosures and not stood.unread:
            yield Do(said(first), command_of(first))
        yield Heading(f"Due, on {spoken(due.today)}")
        yield table(("what", "day", "because"), [due_row(duty) for duty in due.every[:MOST_DUE]])
        if len(due.every) > MOST_DUE:
            yield Say(f"{len(due.every) - MOST_DUE} more: slurrycalc due {shlex.quote(name)}")
    if card.electrode is not None:
        yield from meter_life_blocks(card.electrode)
    set_for = list(one_blocks(Stated(card.thing, added=False, changed=())))
    done: list[Block] = []
    if card.entries:
        done = [GAP, *history_blocks(card.entries, card.earlier, name, foot=False)]
    # What was done to a bed is asked for more often than what is set for it.
    yield from [*done, *set_for] if card.series is not None else [*set_for, *done]
    if card.method is not None:
        yield GAP
        yield Say(f"Its last bench day was answered by method {card.method}; here by method {METHOD}.")


def _stood(card: Card, bed: EnclosureResult) -> Iterator[Block]:
    """Tell where a bed stood on its last bench day, what to do, and how it moved."""
    standing, salts = bed.judgement, card.salts
    first = None if card.due is None else card.due.first_of(bed.name or "")
    yield Heading(f"{bed.name}, read on {spoken(date.fromisoformat(bed.day))}")
    yield Headline("pH", bed.slurry.ph.n, bed.slurry.interval(standing.p), standing.p)
    if first is not None:
        yield Do(said(first), command_of(first) if first.days <= 0 else "")
    yield GAP
    where: list[Block] = [Say(stands(standing))]
    if salts is not None:
        newest = salts.days[-1]
        where.append(Say(f"Salts {spoken_ec(newest.ec.n)} on {spoken(newest.on)}."))
    where.append(Strip(span_of(bed)))
    # What was just exchanged is the question then, and the answer has twelve lines.
    yield from where if card.enough is None else [Say(card.enough.text)]
    if card.series is not None and len(card.series.days) > 1:
        read, steps = card.series.ph.values.tolist(), tuple(step.on for step in card.series.steps)
        yield GAP
        names = tuple(step.name for step in card.series.steps)
        limits = standing.target, standing.floor
        yield Plot(Months(card.series.days, tuple(read), *limits, steps, names=names))
        yield GAP
    yield from [] if card.enough is None else where
    said_already = () if standing.doubts else SAID
    yield from remarks_blocks((*bed.remarks, *(() if salts is None else salts.remarks)), said_already)
    yield evidence(case_evidence(bed, None))
