"""The meter: its buffers, its calibration, its readings of slurries."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from typer import Argument, Option

from slurrycalc.cli import options
from slurrycalc.cli.bench_words import BuffersSaid, jar_words, limits_words, scatter_words
from slurrycalc.cli.meter_words import MeterWords
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import Recording, SavedAs, keeping, last_line, own_meter, recalled, save
from slurrycalc.cli.subject import subject
from slurrycalc.cli.words import coverage
from slurrycalc.data.assumed import LABEL_TEMPERATURE, Known
from slurrycalc.day.bench.bench_day import bench_day, calibration_of
from slurrycalc.day.bench.enter import enter
from slurrycalc.day.bench.places import LinePlaces
from slurrycalc.day.bench.result import EnclosureResult, FreshResult, SteadyResult
from slurrycalc.day.bench.sole import with_meter
from slurrycalc.day.bench.standing import JudgedBy
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.electrode.buffer_kinds import tables
from slurrycalc.measuring.electrode.checks import BufferCheck
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.metrology.annotate import DegCValue, PHValue
from slurrycalc.metrology.budget import Budget
from slurrycalc.metrology.budget import budget as budget_of
from slurrycalc.metrology.remark import Refusal
from slurrycalc.report.page import GAP, Block, Heading, Say, noted, points, table
from slurrycalc.report.pages.budget import budget_blocks
from slurrycalc.report.pages.case import heading, on_record_already, rests_briefly
from slurrycalc.report.pages.day import read_blocks
from slurrycalc.report.pages.meter import calibration_blocks, doubts_blocks


@dataclass(frozen=True)
class BufferValue:
    """A kind of buffer bottle at a temperature."""

    label: str
    ph: PHValue
    substance: str
    known: Known
    source: str


@dataclass(frozen=True)
class BufferList:
    """Every kind of buffer bottle that is known, at one temperature."""

    temperature: DegCValue
    buffers: tuple[BufferValue, ...]


@dataclass(frozen=True)
class MeterResult:
    """A calibrated meter."""

    calibration: Calibration
    check: BufferCheck | None
    budget: Budget | None
    """Of the efficiency, where it was asked for. [%]"""
    saved: SavedAs | None


@dataclass(frozen=True)
class ReadResult:
    """One enclosure's pH from readings under a calibration, and where it stands."""

    enclosure: EnclosureResult | None
    """None where a steady jar or a tub of fresh mix was read."""
    steady: SteadyResult | None
    fresh: FreshResult | None
    calibration: Calibration
    check: BufferCheck | None
    budget: Budget | None
    """Of the pH, where it was asked for. [pH]"""
    meter: str | None
    on: str | None
    """The day, where the step named something on record: year, month, day."""
    saved: SavedAs | None


def buffers(
    temperature: Annotated[
        list[str] | None,
        Argument(metavar="TEMPERATURE", help="Of the bottles: 21C. 25 degC unless given."),
    ] = None,
) -> Outcome[BufferList]:
    """List the buffers and their pH at a temperature.

    slurrycalc buffers 21C

    A bottle's own label wins over this list where it states a measured value. Labels mostly speak of 25 degC
    (common practice); one that says 20 degC is named with it, --bottle blue=9.22@20C.
    """
    at = bench_temperature(" ".join(temperature or ["25 degC"]))
    result = BufferList(
        at,
        tuple(
            BufferValue(one.label, one.at(at)[0], one.substance, one.known, one.source)
            for one in tables().values()
        ),
    )

    def page() -> Iterator[Block]:
        yield Heading(f"Buffers at {at:.4g} degC")
        rows = [(one.label, f"{one.ph:.3f}", one.known, one.substance) for one in result.buffers]
        yield table(("bottle", "pH", "known", "holds"), rows, right=(1,))
        yield GAP
        yield Say("Linear between the rows of each source's table:")
        yield points(dict.fromkeys(one.source for one in result.buffers))
        yield GAP
        yield Say(
            "Labels mostly speak of 25 degC (common practice). At 20 degC these buffers lie "
            f"{', '.join(_off_at_20())} from there: where a label speaks of 20 degC, say so, --bottle "
            "blue=9.22@20C."
        )

    return Outcome(result, tuple(page()))


def _off_at_20() -> Iterator[str]:
    """Say how far each buffer lies at 20 degC from its label's 25. [pH]."""
    for one in tables().values():
        off = one.at(20.0)[0] - one.at(LABEL_TEMPERATURE.value)[0]
        yield f"{off:+.3f} ({one.label})"


def calibrate(
    points: Annotated[
        list[str] | None,
        Argument(
            metavar="POINT...",
            help="A buffer and what was shown in it: 4.01=178.2mV@22C; or a meter on record.",
        ),
    ] = None,
    *,
    meter: options.Meter = None,
    shows: options.Shows = None,
    resolution: options.Resolution = None,
    repeatability: options.Repeatability = None,
    compensates: options.Compensates = None,
    thermometer: options.Thermometer = None,
    bottle: options.Bottles = None,
    fit: options.Fit = "line",
    check: options.Check = None,
    close: options.Close = None,
    p: options.Coverage = "0.95",
    budget: options.Budget = False,
    strict: options.Strict = False,
    on: options.On = None,
    at: options.At = None,
    by: options.By = None,
    try_: options.Try = False,
    new: options.New = False,
    logbook: options.Logbook = None,
) -> Outcome[MeterResult]:
    """Judge a meter by the buffers it read.

    slurrycalc calibrate 4.01=178.2mV@22C 7.00=1.8mV@22C
    slurrycalc calibrate desk 4.01=4.06@21C 7.00=7.04@21C
    slurrycalc calibrate desk --close 7.00=7.05@21C

    A meter that shows only pH: calibrate it by its own key first, then read the bottles as if they were
    samples. Give a point twice where it was read twice. With a meter's name, or with a meter of your own (kit
    meter desk --mine yes), it is recorded; a buffer is then a bottle's name, or the label of the one that is
    in use. Without a point, --check and --close belong to the meter's last calibration of that day.

    Strong buffers and thin slurries meet the electrode's junction unlike: 0.02 pH (from memory). To test it,
    read a cup of 4.01 buffer, then one of 1 part of it and 9 of distilled water: that reads 0.16 higher, pH
    4.17 (computed). A rise within 0.05 of 0.16 bears the 0.02 out. One that stays off by more is stated, and
    nothing is corrected: slurrycalc kit meter desk --junction 0.07
    """
    chance, recording = coverage(p), Recording(on, at, by, try_, new, logbook)
    points, named = subject(points or (), logbook, meter=meter)
    meter = named["meter"]
    bench = BuffersSaid(points, bottle or (), check, close)
    words = MeterWords(shows, resolution, repeatability, compensates, thermometer, fit)
    if not points and check is None and close is None:
        right = "slurrycalc calibrate 4.01=178.2mV@22C 7.00=1.8mV@22C"
        raise Refusal(f"slurrycalc calibrate lacks POINT...; a right line: {right}")
    given = bench.day(words, meter)
    mine = meter or own_meter(recording, (given.meter.shows or "pH") if points else None)
    with keeping("calibrate", recording, mine) as keeper:
        entered = enter(with_meter(given, keeper), keeper, LinePlaces(buffers=bench.buffers))
        calibration, checked = calibration_of(entered)
        parts = budget_of(calibration.efficiency, chance) if budget else None
        if points and keeper.kept:
            from slurrycalc.day.months.ageing import say_if_ending

            say_if_ending(keeper, calibration)
    saved = save(keeper, recording)

    def page() -> Iterator[Block]:
        if keeper.kept:
            yield Heading(heading(f"Meter {calibration.meter.name}", keeper))
        yield from calibration_blocks(calibration, chance, checked)
        if parts is not None:
            yield from budget_blocks(parts, "the efficiency", "%")
        yield noted(keeper.remarks)

    return Outcome(
        MeterResult(calibration, checked, parts, saved),
        tuple(page()),
        (*calibration.remarks, *keeper.remarks),
        needs_action=calibration.verdict.state != "good",
        p=chance,
        last=last_line(saved, recording, "--meter NAME"),
    )


def read(
    readings: Annotated[
        list[str],
        Argument(
            metavar="READING...",
            help="What the meter showed in each slurry: 84.3mV@21C, or 5.41@21C; or names on record.",
        ),
    ],
    *,
    buffer: options.Buffers = None,
    meter: options.Meter = None,
    enclosure: options.Enclosure = None,
    shows: options.Shows = None,
    resolution: options.Resolution = None,
    repeatability: options.Repeatability = None,
    compensates: options.Compensates = None,
    thermometer: options.Thermometer = None,
    bottle: options.Bottles = None,
    fit: options.Fit = "line",
    check: options.Check = None,
    close: options.Close = None,
    spots: Annotated[
        str | None,
        Option(metavar="A,A,B", help="A mark for each slurry; slurries of the same spots count as one."),
    ] = None,
    scatter: options.Scatter = None,
    target: options.Target = None,
    floor: options.Floor = None,
    p: options.Coverage = "0.95",
    budget: options.Budget = False,
    strict: options.Strict = False,
    on: options.On = None,
    at: options.At = None,
    by: options.By = None,
    try_: options.Try = False,
    new: options.New = False,
    logbook: options.Logbook = None,
) -> Outcome[ReadResult]:
    """Turn meter readings of slurries into a pH with its interval.

    slurrycalc read 84.3mV@21C 85.1mV@21C --buffer 4.01=178.2mV@22C --buffer 7.00=1.8mV@22C
    slurrycalc read 5.58 5.66 --buffer 4.01=4.06 --buffer 7.00=7.04
    slurrycalc read atlas 5.58@21C 5.66@21C

    All readings are of slurries of one enclosure, each slurry from its own spots. With the name of an
    enclosure or a meter, alone or after --enclosure or --meter, they are recorded; a meter that was
    calibrated that day needs no --buffer, and no name where it is the only one. What is on record of that
    day counts as well, and earlier days say how much the slurries scatter. One jar of three or more that
    lies by itself is said first: until another agrees with it, or it is struck out, it teaches no later day.
    """
    chance, recording = coverage(p), Recording(on, at, by, try_, new, logbook)
    readings, named = subject(readings, logbook, enclosure=enclosure, meter=meter)
    enclosure, meter = named["enclosure"], named["meter"]
    if not readings:
        right = f"slurrycalc read {shlex.quote(enclosure or 'atlas')} 5.58@21C 5.66@21C"
        raise Refusal(f"slurrycalc read lacks READING...; a right line: {right}")
    limits, jars = limits_words(target, floor), jar_words(readings, enclosure, spots)
    bench = BuffersSaid(buffer or (), bottle or (), check, close)
    words = MeterWords(shows, resolution, repeatability, compensates, thermometer, fit)
    asked = JudgedBy(limits, scatter_words(scatter, len(jars), "slurry"), chance)
    with keeping("read", recording, meter, enclosure) as keeper:
        given = with_meter(bench.day(words, meter, jars), keeper)
        day = bench_day(given, LinePlaces(buffers=bench.buffers), keeper=keeper, asked=asked)
    saved = save(keeper, recording)
    (one,) = day.read
    calibration, slurry = day.calibration, one.slurry
    parts = budget_of(slurry.ph, chance) if budget else None

    def page() -> Iterator[Block]:
        if keeper.kept:
            yield Heading(heading(one.name, keeper, calibration.meter.name))
        yield from read_blocks(one, calibration, chance)
        # What disputes its buffers is among the doubts already.
        if calibration.verdict.state not in ("good", "disputed"):
            yield points(calibration.verdict.reasons)
        yield from doubts_blocks(calibration, day.check)
        if one.earlier:
            yield points([on_record_already(one.earlier)])
        yield noted(keeper.remarks)
        if parts is not None:
            yield from budget_blocks(parts, "the pH", "pH")

    whole = ReadResult(
        one if isinstance(one, EnclosureResult) else None,
        one if isinstance(one, SteadyResult) else None,
        one if isinstance(one, FreshResult) else None,
        calibration,
        day.check,
        parts,
        calibration.meter.name,
        keeper.day.isoformat() if keeper.kept else None,
        saved,
    )
    return Outcome(
        whole,
        tuple(page()),
        (*one.remarks, *calibration.remarks, *day.remarks),
        needs_action=calibration.doubt is not None or not one.settled,
        p=chance,
        last=last_line(saved, recording, "--enclosure NAME"),
        rests=rests_briefly(slurry, calibration),
        again=recalled(saved),
    )
