"""Salts: what a conductivity meter shows in slurries, and what that means."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from typer import Argument, Option

from slurrycalc.cli import options
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import Recording, SavedAs, asked_again, keeping, last_line, save
from slurrycalc.cli.salt_words import given_words, scatter_of_salts
from slurrycalc.cli.subject import subject
from slurrycalc.cli.words import coverage
from slurrycalc.day.bench.salt_day import SaltsFound, Wish, salts_found
from slurrycalc.deciding.bands import TOO_SALT
from slurrycalc.deciding.days import as_day, spoken
from slurrycalc.metrology.budget import Budget
from slurrycalc.metrology.budget import budget as budget_of
from slurrycalc.metrology.remark import Refusal
from slurrycalc.report.page import Block, Heading, noted
from slurrycalc.report.pages.budget import budget_blocks
from slurrycalc.report.pages.salts import salts_blocks


@dataclass(frozen=True)
class SaltsTold:
    """An enclosure's salts."""

    found: SaltsFound
    budget: Budget | None
    saved: SavedAs | None


def salts(
    readings: Annotated[
        list[str] | None,
        Argument(
            metavar="READING",
            help="What the meter shows in a slurry, like 0.85mS/cm@21C; or a name on record.",
        ),
    ] = None,
    *,
    standard: Annotated[
        list[str] | None,
        Option(
            metavar="LABEL=READING", help="What it shows in a bottle of standard: 1413uS/cm=1398uS/cm@23C."
        ),
    ] = None,
    blank: Annotated[
        str | None, Option(metavar="READING", help="What it shows in the water alone: 6uS/cm@21C.")
    ] = None,
    compensates: Annotated[
        str | None,
        Option(metavar="yes|no", help="Whether the meter itself shows everything at 25 degC; no."),
    ] = None,
    thermometer: options.Thermometer = None,
    scatter: Annotated[
        str | None,
        Option(
            metavar="own|NUMBER",
            help="How slurries of one enclosure scatter: `own` trusts these alone, 80uS/cm states it.",
        ),
    ] = None,
    to: Annotated[
        str | None,
        Option(metavar="BAND", help="How much to exchange to come to it: normal, or 1.1mS/cm."),
    ] = None,
    fresh: Annotated[
        str | None,
        Option(metavar="READING", help="The fresh mix for it: 0.4mS/cm, or the name of its tub on record."),
    ] = None,
    enclosure: options.Enclosure = None,
    meter: options.Meter = None,
    p: options.Coverage = "0.95",
    budget: options.Budget = False,
    strict: options.Strict = False,
    on: options.On = None,
    at: options.At = None,
    by: options.By = None,
    try_: options.Try = False,
    new: options.New = False,
    logbook: options.Logbook = None,
) -> Outcome[SaltsTold]:
    """Turn a conductivity meter's readings of slurries into salts, and say what they mean.

    slurrycalc salts 0.85mS/cm@21C 0.93mS/cm@21C --blank 6uS/cm@21C
    slurrycalc salts atlas 0.85mS/cm@21C --standard 1413uS/cm=1398uS/cm@23C
    slurrycalc salts 1.9mS/cm@21C 2.1mS/cm@21C --to normal --fresh 0.4mS/cm
    slurrycalc salts atlas

    The slurries are those for pH, 1:2 by volume in distilled water. Units are uS/cm, mS/cm and dS/m. With an
    enclosure's name and readings they are recorded; with the name alone it only looks, shows the last on
    record up to --on and how salts change with time, and records nothing.
    """
    chance, recording = coverage(p), Recording(on, at, by, try_, new, logbook)
    readings, named = subject(readings or (), logbook, enclosure=enclosure, meter=meter)
    enclosure, meter = named["enclosure"], named["meter"]
    given = given_words(readings, standard or (), blank, compensates, thermometer)
    wish = _wish(to, fresh)
    if given is None and enclosure is None:
        raise Refusal(
            "no reading was given: write slurrycalc salts 0.85mS/cm@21C, or slurrycalc salts NAME"
        )
    with keeping("salts", recording, enclosure, meter) as keeper:
        expected = scatter_of_salts(scatter, len(given.slurries) if given else 2)
        found = salts_found(
            given, wish=wish, expected=expected, p=chance, keeper=keeper, enclosure=enclosure, meter=meter
        )
    saved = save(keeper, recording) if given is not None else None
    said = keeper.remarks
    parts = budget_of(found.salts.ec, chance) if budget else None

    def page() -> Iterator[Block]:
        if found.on is not None:
            under = f", meter {meter}" if meter else ""
            yield Heading(f"{found.enclosure}, {spoken(as_day(found.on))}{under}")
        yield from salts_blocks(found, chance)
        yield noted(said)
        if parts is not None:
            yield from budget_blocks(parts, "the salts", "uS/cm")

    last = last_line(saved, recording, "--enclosure NAME") if given is not None else ""
    needs_action = found.standing.band in TOO_SALT or not found.standing.settled
    result, remarks = SaltsTold(found, parts, saved), (*found.remarks, *said)
    again = asked_again("salts", saved, found.enclosure)
    return Outcome(result, tuple(page()), remarks, needs_action, p=chance, last=last, again=again)


def _wish(to: str | None, fresh: str | None) -> Wish | None:
    if to is not None:
        return Wish(to, fresh)
    if fresh is not None:
        raise Refusal("--fresh says what goes in; say where the salts are to come to as well: --to normal")
    return None
