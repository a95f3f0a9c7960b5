"""How fast an enclosure's pH drifts, by numbers or by the record."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Annotated

from typer import Argument, Option

from slurrycalc.cli import names, options
from slurrycalc.cli.bench_words import limits_words, scatter_words
from slurrycalc.cli.moment import day_of
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import Recording, day_asked, reading
from slurrycalc.cli.subject import subject
from slurrycalc.cli.trend_words import dated, day_words, days_in, step_name, step_words
from slurrycalc.cli.waiting import Waiting
from slurrycalc.cli.words import coverage, option
from slurrycalc.day.months.drifting import DriftAsked, Drifting, by_numbers
from slurrycalc.deciding.trend import LevelStep
from slurrycalc.metrology.budget import Budget
from slurrycalc.metrology.budget import budget as budget_of
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import magnitude
from slurrycalc.report.page import Block
from slurrycalc.report.pages.budget import budget_blocks
from slurrycalc.report.pages.trend import drift_blocks, drifts_blocks, remarks_of


@dataclass(frozen=True)
class Drifts:
    """How fast enclosures drift: one, or all that are on record, those that fall fastest first."""

    on: date
    """The day on which it was asked."""
    drifts: tuple[Drifting, ...]
    unread: tuple[str, ...]
    """Enclosures that were not read yet."""
    budget: Budget | None
    """Of the straight line's drift of one."""


def trend(
    days: Annotated[
        list[str] | None,
        Argument(
            metavar="DATE=PH|NAME",
            help="A bench day and its pH, the earliest first: 2024-05-04=5.60; or an enclosure on record.",
            autocompletion=names.enclosures,
        ),
    ] = None,
    *,
    file: Annotated[
        str | None,
        Option("--days", metavar="FILE.csv", help="Bench days from a file with the columns date,ph."),
    ] = None,
    enclosure: options.AskedEnclosure = None,
    since: Annotated[
        str | None,
        Option(metavar="DATE", help="Bench days on record from that day on; the newest 36 unless given."),
    ] = None,
    exchange: Annotated[
        list[str] | None,
        Option(metavar="DATE", help="Part of the substrate was exchanged, which shifts the level."),
    ] = None,
    step: Annotated[
        list[str] | None,
        Option(metavar="NAME=DATE", help="Something else shifted the level: calcium=2024-04-01."),
    ] = None,
    without: Annotated[
        list[str] | None,
        Option(metavar="NAME", help="Leave these steps out, as if they had done nothing: calcium."),
    ] = None,
    limit: Annotated[
        list[str] | None, Option(metavar="NUMBER", help="When would it be reached [pH]: 5.2.")
    ] = None,
    predict: Annotated[
        str | None, Option(metavar="DATE", help="What would a bench day read then: 2024-12-01.")
    ] = None,
    scatter: Annotated[
        str | None,
        Option(
            metavar="own|NUMBER",
            help="How jars scatter [pH]: `own` trusts these days alone, a number states it.",
        ),
    ] = None,
    target: options.Target = None,
    floor: options.Floor = None,
    p: options.Coverage = "0.95",
    budget: options.Budget = False,
    strict: options.Strict = False,
    on: options.AskedOn = None,
    logbook: options.Logbook = None,
) -> Outcome[Drifts]:
    """Say how fast pH drifts, when it meets a limit, and by when to read again.

    slurrycalc trend 2024-01-02=5.82 2024-02-01=5.71+-0.1 2024-03-03=5.69 2024-04-02=5.58
    slurrycalc trend --days days.csv --exchange 2024-03-10 --limit 5.2 --predict 2024-12-01
    slurrycalc trend atlas --without calcium
    slurrycalc trend

    Without numbers it asks the record: of one enclosure, or of each, those that fall fastest first. It only
    looks, and records nothing. A bench day of the same date as a step counts as before it.
    """
    today, chance = day_asked(on), coverage(p)
    days, named = subject(days or (), logbook, enclosure=enclosure)
    enclosure = named["enclosure"]
    asked = DriftAsked(
        today,
        limits_words(target, floor),
        tuple(_limits(limit or ())),
        _day(predict, "--predict", today, future=True),
        tuple(map(step_name, without or ())),
        scatter_words(scatter, 2, "bench day"),
        chance,
    )
    steps = step_words(exchange or (), step or (), today)
    start = _day(since, "--since", today)
    given = [*(days_in(file, today) if file else ()), *(day_words(day, today) for day in days)]
    _refuse_mixed(bool(given), enclosure, start, steps)
    unread: tuple[str, ...] = ()
    if given:
        drifts: tuple[Drifting, ...] = (by_numbers(given, steps, asked),)
    else:
        from slurrycalc.day.months.drifts import of_record
        from slurrycalc.logbook.recall import Recall

        with reading(Recording(logbook=logbook).path) as book, Waiting("Going through the record"):
            drifts, unread = of_record(Recall(book), enclosure, asked, start)
    one = drifts[0] if given or enclosure is not None else None
    slope = one.trend.per_month if one is not None and one.trend is not None else None
    parts = budget_of(slope, chance) if budget and slope is not None else None

    def page() -> Iterator[Block]:
        if one is None:
            yield from drifts_blocks(drifts, unread, today, chance)
        else:
            yield from drift_blocks(one, today, chance)
        if parts is not None:
            yield from budget_blocks(parts, "the straight line's drift", "pH/month")

    remarks = () if one is None else remarks_of(one)
    needs_action = any(each.act for each in drifts)
    result = Drifts(today, drifts, unread, parts)
    return Outcome(result, tuple(page()), remarks, needs_action=needs_action, p=chance)


def _limits(texts: Sequence[str]) -> Iterator[float]:
    for text in texts:
        with option("--limit"):
            yield magnitude(text, "ph")


def _day(text: str | None, name: str, today: date, *, future: bool = False) -> date | None:
    if text is None:
        return None
    with option(name):
        return dated(text, today, future=future) if future else day_of(text, today)


def _refuse_mixed(
    numbers: bool, enclosure: str | None, since: date | None, steps: Sequence[LevelStep]
) -> None:
    """Keep numbers and the record apart."""
    if numbers and enclosure is not None:
        raise Refusal(
            f"bench days on the line and the enclosure {quoted(enclosure)} are two questions: write "
            "slurrycalc trend 2024-04-02=5.71 2024-05-04=5.60, or slurrycalc trend NAME"
        )
    if numbers and since is not None:
        raise Refusal(f"--since: `{since}` asks the record; leave earlier bench days out of the line instead")
    if not numbers and steps:
        name = "ENCLOSURE" if enclosure is None else enclosure
        raise Refusal(
            f"the {steps[0].name} of `{steps[0].on}` goes on record as an event: slurrycalc event {name} "
            f"{steps[0].name} --on {steps[0].on}; then it counts by itself"
        )
