"""Changing a bed: how much to exchange, how to hold it, and what doses do to jars."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Annotated

from typer import Argument, Option

from slurrycalc.cli import names, options
from slurrycalc.cli.bench_words import scatter_words
from slurrycalc.cli.cups import own_cup
from slurrycalc.cli.moment import day_of
from slurrycalc.cli.notation import dose_words
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import (
    Recording,
    SavedAs,
    asked_again,
    day_asked,
    first_task,
    keeping,
    last_line,
    present,
    save,
)
from slurrycalc.cli.subject import bed, subject
from slurrycalc.cli.words import coverage, option
from slurrycalc.day.months.changing import BedGiven, asks_the_record
from slurrycalc.day.months.exchanging import StageSpread, keep_stages, plan_exchange
from slurrycalc.day.months.holding import Holding, UpkeepPlanned, keep_upkeep, plan_upkeep
from slurrycalc.day.months.trying import Jars, try_jars
from slurrycalc.deciding.days import DAYS_PER_MONTH
from slurrycalc.deciding.due import DueItem
from slurrycalc.deciding.exchange import Exchange
from slurrycalc.deciding.exchange.words import percent
from slurrycalc.deciding.trend import ReadFirst
from slurrycalc.deciding.trial import Trial
from slurrycalc.deciding.upkeep import Upkeep
from slurrycalc.deciding.upkeep.words import monthly
from slurrycalc.logbook.own import taken_from_kit
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.report.page import Block
from slurrycalc.report.pages.change import exchange_blocks
from slurrycalc.report.pages.trial import trial_blocks
from slurrycalc.report.pages.upkeep import upkeep_blocks

Bed = Annotated[
    str | None,
    Option(
        "--enclosure",
        metavar="NAME",
        help="Which bed on record; only --plan records anything.",
        autocompletion=names.enclosures,
    ),
]
BedName = Annotated[
    str | None,
    Argument(
        metavar="NAME", help="Which bed on record; without, by numbers.", autocompletion=names.enclosures
    ),
]
Now = Annotated[
    str | None, Option("--now", metavar="PH", help="pH of the bed now, with its half-width: 5.10+-0.15.")
]
Fresh = Annotated[
    str | None,
    Option("--fresh", metavar="PH|NAME", help="The fresh mix: its measured pH, or its tub on record."),
]
Size = Annotated[str | None, Option(metavar="LENGTHxWIDTH", help='Footprint of the bed: "60x45 cm".')]
BedDepth = Annotated[str | None, Option(metavar="LENGTH", help='Of the substrate: "10 cm".')]
Volume = Annotated[str | None, Option(metavar="AMOUNT", help='Of the bed, instead of its size: "27 L".')]
Buffering = Annotated[
    str | None,
    Option(metavar="NUMBER", help="How well the fresh mix holds its pH over the old, by a trial: 1.4+-0.3."),
]
AtOnce = Annotated[
    str | None, Option(metavar="PART", help="Largest part exchanged at a time; 1/3 (from memory).")
]
NOTHING_TO_SAVE = "Not saved: there are no stages to plan."
NO_RHYTHM = "Not saved: nothing is exchanged again and again as it stands."
TO_ASK = "--plan to have slurrycalc due ask for each turn"
TAKEN_BACK = "No stages; those that were planned are taken back."
TO_SAVE = "--plan to have slurrycalc due ask for each stage"


@dataclass(frozen=True)
class Exchanged:
    """How much of a bed to exchange, and where that comes from."""

    exchange: Exchange | None
    """None where the bed is to be read first."""
    first: ReadFirst | None
    enclosure: str | None
    on: str | None
    """The day, where the record was asked: year, month, day."""
    basis: tuple[str, ...]
    """What was taken from the record, a sentence each."""
    saved: SavedAs | None
    task: DueItem | None = None
    """The first thing to do of the bed, as the agenda says it."""


@dataclass(frozen=True)
class Upkept:
    """How to hold a bed, and where that comes from."""

    upkeep: Upkeep | None
    """None where the bed is to be read first."""
    first: ReadFirst | None
    enclosure: str | None
    on: str | None
    basis: tuple[str, ...]
    task: DueItem | None = None
    """The first thing to do of the bed, as the agenda says it."""
    saved: SavedAs | None = None


@dataclass(frozen=True)
class TrialResult:
    """What doses did to jars."""

    trial: Trial
    enclosure: str | None
    on: str | None
    amendment: str | None
    """What was blended in."""
    basis: tuple[str, ...]
    saved: SavedAs | None


def exchange(
    name: BedName = None,
    *,
    enclosure: Bed = None,
    now: Now = None,
    fresh: Fresh = None,
    want: Annotated[
        str | None, Option(metavar="PH", help="pH that the bed shall reach; else the middle of its range.")
    ] = None,
    size: Size = None,
    bed_depth: BedDepth = None,
    volume: Volume = None,
    buffering: Buffering = None,
    start: Annotated[str | None, Option(metavar="DATE", help="Day of the first stage: 2024-06-01.")] = None,
    every: Annotated[
        str | None, Option(metavar="TIME", help='From one stage to the next; "28 d" (from memory).')
    ] = None,
    at_once: AtOnce = None,
    plan: Annotated[
        bool, Option("--plan", help="Put the stages on record, in place of those of an earlier plan.")
    ] = False,
    cup: options.Cup = None,
    p: options.Coverage = "0.95",
    strict: options.Strict = False,
    on: options.AskedOn = None,
    by: options.By = None,
    try_: options.Try = False,
    logbook: options.Logbook = None,
) -> Outcome[Exchanged]:
    """Say how much of a bed to exchange for a fresh mix, in which stages.

    slurrycalc exchange --now 5.1+-0.1 --fresh 6.6+-0.1 --want 5.9 --size "60x45 cm" --bed-depth "10 cm"
    slurrycalc exchange --now 5.1+-0.1 --fresh 6.6+-0.1 --want 5.9 --volume "27 L" --buffering 1.4+-0.3
    slurrycalc exchange atlas
    slurrycalc exchange atlas --fresh "leaf mix" --want 5.9 --every "6 weeks" --plan

    With a bed's name it takes its pH today, its size and its range from the record, and the fresh mix
    from its tub there (slurrycalc enclosure "leaf mix" --fresh yes). It only looks, and records nothing,
    unless --plan puts the dates of the stages on record. What the line gives wins.
    """
    chance, (measure, said) = coverage(p), own_cup(cup, logbook)
    enclosure = bed(name, enclosure, "exchange --now 5.1 --fresh 6.6", logbook)
    recording, today = Recording(on, None, by, try_, logbook=logbook), day_asked(on)
    if plan and enclosure is None:
        raise Refusal("--plan needs the bed whose stages they are: slurrycalc exchange NAME --plan.")
    line = BedGiven(now, fresh, buffering, size, bed_depth, volume)
    with option("--start"):
        first = None if start is None else day_of(start, present().date(), future=True)
    spread = StageSpread(first, every, at_once, chance, measure)
    with keeping("exchange", recording, enclosure, "" if asks_the_record(line) else None) as keeper:
        asked = keeper if keeper.kept else None
        planned = plan_exchange(line, want, spread, today, keeper=asked, enclosure=enclosure)
        keeps = plan and keep_stages(keeper, planned)
    saved = save(keeper, recording) if keeps else None
    plans = planned.exchange
    taken = taken_from_kit(keeper.from_kit) if keeps else ()
    remarks = (*planned.remarks, *(plans.remarks if plans else ()), *said, *taken)

    def page() -> Iterator[Block]:
        yield from exchange_blocks(planned, today if keeper.kept else None, remarks, chance)

    day = today.isoformat() if keeper.kept else None
    result = Exchanged(plans, planned.first, planned.enclosure, day, planned.basis, saved, planned.task)
    staged = plans is not None and bool(plans.stages)
    last = ""
    if planned.enclosure is not None and (plan or staged):
        last = last_line(saved, recording, TO_SAVE) if keeps or not plan else NOTHING_TO_SAVE
        last = f"{TAKEN_BACK} {last}" if saved and not staged else last
    return Outcome(
        result,
        tuple(page()),
        remarks,
        needs_action=planned.first is not None or _asks(planned.task, plans.fraction if plans else 0.0),
        minds=staged,
        p=chance,
        last=last,
        again=asked_again("exchange", saved, planned.enclosure),
    )


def upkeep(
    name: BedName = None,
    *,
    enclosure: options.AskedEnclosure = None,
    drift: Annotated[
        str | None, Option(metavar="PH", help="Change of the bed's pH in a month: -0.08+-0.02.")
    ] = None,
    fresh: Fresh = None,
    floor: Annotated[str | None, Option(metavar="PH", help="That the bed shall stay above [pH].")] = None,
    ceiling: Annotated[str | None, Option(metavar="PH", help="That the bed shall stay below [pH].")] = None,
    every: Annotated[
        str | None,
        Option(metavar="MONTHS", help='From one exchange to the next; 3 unless given: 2, or "6 weeks".'),
    ] = None,
    now: Now = None,
    salt_rise: Annotated[
        str | None, Option(metavar="AMOUNT", help='By how much salts rise in a month: "60 uS/cm".')
    ] = None,
    fresh_salts: Annotated[
        str | None, Option(metavar="AMOUNT", help='Salts of the fresh mix: "0.4 mS/cm".')
    ] = None,
    salt_limit: Annotated[
        str | None, Option(metavar="AMOUNT", help='That salts shall stay below: "1.25 mS/cm".')
    ] = None,
    salts_now: Annotated[
        str | None, Option(metavar="AMOUNT", help='Salts of the bed now: "0.8 mS/cm".')
    ] = None,
    size: Size = None,
    bed_depth: BedDepth = None,
    volume: Volume = None,
    buffering: Buffering = None,
    at_once: AtOnce = None,
    plan: Annotated[
        bool, Option("--plan", help="Put on record how often, so that its turns are asked for.")
    ] = False,
    cup: options.Cup = None,
    p: options.Coverage = "0.95",
    strict: options.Strict = False,
    on: options.AskedOn = None,
    by: options.By = None,
    try_: options.Try = False,
    logbook: options.Logbook = None,
) -> Outcome[Upkept]:
    """Say how much to exchange again and again, so that a bed keeps its limit.

    slurrycalc upkeep --drift -0.08+-0.02 --fresh 6.6+-0.1 --floor 5.4 --every 3 --volume "27 L"
    slurrycalc upkeep atlas
    slurrycalc upkeep atlas --fresh "leaf mix" --every "6 weeks" --plan
    slurrycalc upkeep --salt-rise "60 uS/cm" --fresh-salts "0.4 mS/cm" --salt-limit "1.25 mS/cm"

    With a bed's name it takes the drift from its trend, its size and its limit from the record: the
    floor, or the upper end of its range where its pH rises. Where the record knows the salts of both bed and
    fresh mix, they are held as well, and the larger exchange counts. It only looks, and records nothing,
    unless --plan puts on record how often: slurrycalc due then asks for each turn, and for a reading before
    it. To end that: slurrycalc enclosure NAME --upkeep-every never.
    """
    chance, (measure, said) = coverage(p), own_cup(cup, logbook)
    enclosure = bed(name, enclosure, "upkeep --drift -0.08 --fresh 6.6 --floor 5.4", logbook)
    recording, today = Recording(on, None, by, try_, logbook=logbook), day_asked(on)
    if plan and enclosure is None:
        raise Refusal("--plan needs the bed that it holds: slurrycalc upkeep NAME --plan.")
    line = BedGiven(now, fresh, buffering, size, bed_depth, volume)
    holding = Holding(
        drift, floor, ceiling, every, at_once, salt_rise, fresh_salts, salt_limit, salts_now, chance, measure
    )
    asks = not holding.only_salts and asks_the_record(line)
    with keeping("upkeep", recording, enclosure, "" if asks else None) as keeper:
        recall = keeper.recall if keeper.kept else None
        planned = plan_upkeep(line, holding, today, recall=recall, enclosure=enclosure)
        keeps = plan and keep_upkeep(keeper, planned)
        if keeps and enclosure is not None:
            planned = replace(planned, task=first_task(keeper, enclosure), remarks=_kept(planned))
    saved = save(keeper, recording) if keeps else None
    held = planned.upkeep
    remarks = (*planned.remarks, *(held.remarks if held else ()), *said)

    def page() -> Iterator[Block]:
        yield from upkeep_blocks(planned, today if keeper.kept else None, remarks, chance)

    on_day = today.isoformat() if keeper.kept else None
    result = Upkept(held, planned.first, planned.enclosure, on_day, planned.basis, planned.task, saved)
    acts = held is None or held.assured_fraction != 0.0 or _asks(planned.task, 0.0)
    last = ""
    if planned.enclosure is not None and (plan or planned.rhythm is not None):
        last = last_line(saved, recording, TO_ASK) if keeps or not plan else NO_RHYTHM
    return Outcome(
        result,
        tuple(page()),
        remarks,
        needs_action=acts,
        minds=held is not None,
        p=chance,
        last=last,
        again=asked_again("upkeep", saved, planned.enclosure),
    )



def _kept(planned: UpkeepPlanned) -> tuple[Remark, ...]:
    """Say what of an upkeep is put on record, beside what is to be known of it."""
    assert planned.rhythm is not None
    days, part = planned.rhythm
    often = monthly(days / DAYS_PER_MONTH)
    said = f"On record: {percent(part, up=True)} of the bed {often}, counted from its last exchange."
    return (Remark("upkeep-on-record", said), *planned.remarks)


def _asks(task: DueItem | None, fraction: float | None) -> bool:
    """Tell whether something is to be done now: by the agenda, or by the plan where there is none."""
    return fraction != 0.0 if task is None else task.days <= 0


def trial(
    jars: Annotated[
        list[str] | None,
        Argument(metavar="DOSE=PH", help="What went into a jar, and its pH weeks later: 10%=5.27."),
    ] = None,
    *,
    target: Annotated[
        str | None, Option(metavar="PH", help="pH wanted; of an enclosure the middle of its range.")
    ] = None,
    unit: Annotated[
        str, Option(metavar="UNIT", help="Of doses that bear none: % of fresh substrate by volume, g/L.")
    ] = "",
    of: Annotated[
        str | None, Option("--of", metavar="WHAT", help="What was blended in: leaf mix, limestone.")
    ] = None,
    weeks: Annotated[str | None, Option(metavar="NUMBER", help="How long the jars stood moist.")] = None,
    enclosure: options.Enclosure = None,
    scatter: options.Scatter = None,
    p: options.Coverage = "0.95",
    strict: options.Strict = False,
    on: options.On = None,
    at: options.At = None,
    by: options.By = None,
    try_: options.Try = False,
    new: options.New = False,
    logbook: options.Logbook = None,
) -> Outcome[TrialResult]:
    """Find the dose that brings a pH, from jars that were given doses.

    slurrycalc trial 0%=5.10 10%=5.27 20%=5.43 30%=5.52 40%=5.66 --target 5.4
    slurrycalc trial 0=5.10 1=5.60 2=6.05 4=6.60 --unit g/L --of limestone --target 5.9
    slurrycalc trial atlas 0%=5.10 25%=5.50 50%=5.85 75%=6.30 100%=6.60 --of "leaf mix" --weeks 4
    slurrycalc trial atlas

    Jars only, moist for weeks: never dose an occupied bed. Doses in rising order, jars of one dose beside
    each other. With an enclosure's name the jars are recorded; without a jar, its newest trial on record is
    computed anew. Where doses are percent of fresh substrate, exchange and upkeep take the buffering from it.
    """
    chance, recording = coverage(p), Recording(on, at, by, try_, new, logbook)
    jars, named = subject(jars or (), logbook, enclosure=enclosure)
    enclosure = named["enclosure"]
    given = Jars([dose_words(jar) for jar in jars], unit, of, weeks)
    expected = scatter_words(scatter, len(given.pairs) or 2, "jar")
    with keeping("trial", recording, enclosure) as keeper:
        tried = try_jars(given, target, expected=expected, p=chance, keeper=keeper, enclosure=enclosure)
    saved = save(keeper, recording) if given.pairs else None
    remarks = (*tried.remarks, *tried.trial.remarks, *keeper.remarks)

    def page() -> Iterator[Block]:
        yield from trial_blocks(tried, remarks)

    result = TrialResult(tried.trial, tried.enclosure, tried.on, tried.amendment, tried.basis, saved)
    last = last_line(saved, recording, "--enclosure NAME") if given.pairs else ""
    return Outcome(
        result,
        tuple(page()),
        remarks,
        needs_action=tried.trial.assured_dose is None,
        p=chance,
        last=last,
        again=asked_again("trial", saved, tried.enclosure),
    )
