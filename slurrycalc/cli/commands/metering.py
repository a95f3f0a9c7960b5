"""The meter: its buffers, its calibration, its readings of slurries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from typer import Argument, Option

from slurrycalc.cli import options
from slurrycalc.cli.bench_words import Bench, limits_words, meter_words, scatter_words
from slurrycalc.cli.notation import reading_words
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.show_budget import show_budget
from slurrycalc.cli.show_case import show_case
from slurrycalc.cli.show_meter import show_calibration, show_doubts
from slurrycalc.cli.words import coverage
from slurrycalc.data.assumed import Known
from slurrycalc.deciding.judgement import Judgement, judge
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.electrode.buffers import tables
from slurrycalc.measuring.electrode.checks import BufferCheck
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.measuring.slurry import SlurryResult, slurry_ph
from slurrycalc.metrology.annotate import DegCValue, PHValue
from slurrycalc.metrology.budget import Budget
from slurrycalc.metrology.budget import budget as budget_of

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page


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


@dataclass(frozen=True)
class ReadResult:
    """One enclosure's pH from readings under a calibration, and where it stands."""

    slurry: SlurryResult
    standing: Judgement
    calibration: Calibration
    check: BufferCheck | None
    budget: Budget | None
    """Of the pH, where it was asked for. [pH]"""


def buffers(
    temperature: Annotated[
        list[str] | None,
        Argument(metavar="TEMPERATURE", help="Of the bottles: 21C. 25 degC unless given."),
    ] = None,
) -> Outcome[BufferList]:
    """List the buffers and their pH at a temperature.

    slurrycalc buffers 21C

    A bottle's own label wins over this list where it states a measured value.
    """
    at = bench_temperature(" ".join(temperature or ["25 degC"]))
    result = BufferList(
        at,
        tuple(
            BufferValue(one.label, one.at(at)[0], one.substance, one.known, one.source)
            for one in tables().values()
        ),
    )

    def show(page: Page) -> None:
        page.title(f"Buffers at {at:.4g} degC")
        rows = [(one.label, f"{one.ph:.3f}", one.known, one.substance) for one in result.buffers]
        page.table(("bottle", "pH", "known", "holds"), rows, right=(1,))
        page.gap()
        page.say("Linear between the rows of each source's table:")
        page.points(dict.fromkeys(one.source for one in result.buffers))

    return Outcome(result, show)


def calibrate(
    points: Annotated[
        list[str], Argument(metavar="POINT...", help="A buffer and what was shown in it: 4.01=178.2mV@22C.")
    ],
    *,
    shows: options.Shows = None,
    resolution: options.Resolution = None,
    repeatability: options.Repeatability = None,
    compensates: options.Compensates = "yes",
    thermometer: options.Thermometer = None,
    bottle: options.Bottles = None,
    fit: options.Fit = "line",
    check: options.Check = None,
    close: options.Close = None,
    p: options.Coverage = "0.95",
    budget: options.Budget = False,
    strict: options.Strict = False,
) -> Outcome[MeterResult]:
    """Judge a meter by the buffers it read.

    slurrycalc calibrate 4.01=178.2mV@22C 7.00=1.8mV@22C
    slurrycalc calibrate 4.01=4.06@21C 7.00=7.04@21C

    A meter that shows only pH: calibrate it by its own key first, then read the bottles as if they were
    samples. Give a point twice where it was read twice.
    """
    chance = coverage(p)
    bench = Bench(points, bottle or (), check, close)
    meter = meter_words(bench.shown, shows, resolution, repeatability, compensates)
    calibration, checked = bench.calibrated(meter, thermometer, fit)
    parts = budget_of(calibration.efficiency, chance) if budget else None

    def show(page: Page) -> None:
        show_calibration(page, calibration, chance, checked)
        if parts is not None:
            show_budget(page, parts, "the efficiency", "%")

    result = MeterResult(calibration, checked, parts)
    return Outcome(
        result, show, calibration.remarks, needs_action=calibration.verdict.state != "good", p=chance
    )


def read(
    readings: Annotated[
        list[str],
        Argument(metavar="READING...", help="What the meter showed in each slurry: 84.3mV@21C, or 5.41@21C."),
    ],
    *,
    buffer: options.Buffers,
    shows: options.Shows = None,
    resolution: options.Resolution = None,
    repeatability: options.Repeatability = None,
    compensates: options.Compensates = "yes",
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
) -> Outcome[ReadResult]:
    """Turn meter readings of slurries into a pH with its interval.

    slurrycalc read 84.3mV@21C 85.1mV@21C --buffer 4.01=178.2mV@22C --buffer 7.00=1.8mV@22C
    slurrycalc read 5.58 5.66 --buffer 4.01=4.06 --buffer 7.00=7.04

    All readings are of slurries of one enclosure, each slurry from its own spots.
    """
    chance, limits = coverage(p), limits_words(target, floor)
    slurries = [reading_words(reading) for reading in readings]
    bench = Bench(buffer, bottle or (), check, close)
    shown = [*bench.shown, *(words.reading for words in slurries)]
    meter = meter_words(shown, shows, resolution, repeatability, compensates)
    calibration, checked = bench.calibrated(meter, thermometer, fit)
    result = slurry_ph(
        calibration,
        [(words.reading, words.temperature) for words in slurries],
        spots=None if spots is None else [mark.strip() or None for mark in spots.split(",")],
        expected=scatter_words(scatter, len(slurries), "slurry"),
    )
    standing = judge(result, *limits, chance)
    parts = budget_of(result.ph, chance) if budget else None

    def show(page: Page) -> None:
        show_case(page, result.interval(chance), result, standing, calibration)
        show_doubts(page, calibration, checked)
        if calibration.verdict.state != "good":
            page.points(calibration.verdict.reasons)
        if parts is not None:
            show_budget(page, parts, "the pH", "pH")

    remarks = (*standing.remarks, *result.remarks, *calibration.remarks)
    settled = standing.in_range.state == standing.above_floor.state == "yes"
    whole = ReadResult(result, standing, calibration, checked, parts)
    return Outcome(whole, show, remarks, needs_action=not settled, p=chance)
