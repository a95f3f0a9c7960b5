"""A bench day from a file, and the blank file for one."""

from __future__ import annotations

import shlex
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from typer import Argument, Option

from slurrycalc.cli import options
from slurrycalc.cli.bench_words import Bench, limits_words, meter_words, scatter_words
from slurrycalc.cli.files import read_file, write_new
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.show_day import show_day
from slurrycalc.cli.words import coverage
from slurrycalc.day.bench import bench_day, bench_table
from slurrycalc.day.blank import blank_worksheet
from slurrycalc.day.result import DayResult, EnclosureResult
from slurrycalc.day.worksheet import read_worksheet
from slurrycalc.metrology.budget import Budget
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page

SHEET, TABLES = ".toml", (".csv", ".tsv", ".txt")
EXAMPLE = "slurrycalc run day.csv --buffer 7.00=7.04@21C --buffer 4.01=4.06@21C"
NOT_SAVED = "Not saved: this version keeps no record yet; the file itself is your record."


SomeBuffers = Annotated[
    list[str] | None,
    Option("--buffer", metavar="POINT", help="For a CSV, two or more: what a buffer read, 4.01=4.06@21C."),
]


@dataclass(frozen=True)
class EnclosureBudget:
    """Where the uncertainty of one enclosure's pH comes from."""

    name: str
    budget: Budget


@dataclass(frozen=True)
class DayRun:
    """A bench day from a file."""

    day: DayResult
    budgets: tuple[EnclosureBudget, ...] | None
    """Where they were asked for, the worst enclosure first. [pH]"""
    saved: bool
    """Whether it was recorded; nothing is, in this version."""


@dataclass(frozen=True)
class SheetWritten:
    """A blank worksheet that was written."""

    path: str


def run(
    file: Annotated[str, Argument(metavar="FILE", help="A worksheet (.toml), or a table of jars (.csv).")],
    *,
    try_: Annotated[bool, Option("--try", help="Compute only, and record nothing.")] = False,
    buffer: SomeBuffers = None,
    shows: options.Shows = None,
    resolution: options.Resolution = None,
    repeatability: options.Repeatability = None,
    compensates: options.Compensates = "yes",
    thermometer: options.Thermometer = None,
    bottle: options.Bottles = None,
    fit: options.Fit = "line",
    check: options.Check = None,
    close: options.Close = None,
    scatter: options.Scatter = None,
    target: options.Target = None,
    floor: options.Floor = None,
    p: options.Coverage = "0.95",
    budget: options.Budget = False,
    strict: options.Strict = False,
) -> Outcome[DayRun]:
    """Compute a whole bench day from a worksheet or a CSV of jars.

    slurrycalc run examples/reading-room.toml --try
    slurrycalc run examples/forty-jars.csv --buffer 7.00=7.04@21C --buffer 4.01=4.06@21C

    A worksheet declares everything; slurrycalc sheet DAY.toml writes a blank one. A CSV has a row a jar,
    jar,enclosure,reading,temperature,probe,note, and takes its buffers and limits from the options; rows
    that cannot stand are held back and named.
    """
    chance, name = coverage(p), Path(file).name
    data = read_file(file, "day.toml")
    expected = scatter_words(scatter, 2, "slurry")
    suffix = Path(file).suffix.casefold()
    of_table = {
        "--buffer": buffer,
        "--shows": shows,
        "--resolution": resolution,
        "--repeatability": repeatability,
        "--compensates": compensates != "yes",
        "--thermometer": thermometer,
        "--bottle": bottle,
        "--fit": fit != "line",
        "--check": check,
        "--close": close,
        "--target": target,
        "--floor": floor,
    }
    if suffix == SHEET:
        _refuse_any(of_table, name)
        today = datetime.now(UTC).astimezone().date()
        day = bench_day(*read_worksheet(data, name, today=today), expected=expected, p=chance)
    elif suffix in TABLES:
        limits = limits_words(target, floor)
        bench = Bench(buffer or (), bottle or (), check, close)
        if not bench.points:
            raise Refusal(f"{quoted(name)} needs its buffers: {EXAMPLE}")
        meter = meter_words(bench.shown, shows, resolution, repeatability, compensates)
        calibration, checked = bench.calibrated(meter, thermometer, fit)
        day = bench_table(
            data, name, calibration, checked, target=limits[0], floor=limits[1], expected=expected, p=chance
        )
    else:
        raise Refusal(
            f"{quoted(name)} is neither a worksheet (.toml) nor a table of jars (.csv); "
            "let the spreadsheet save it as CSV."
        )
    budgets = None
    if budget:
        budgets = tuple(EnclosureBudget(one.name, one.slurry.budget) for one in day.enclosures)

    def show(page: Page) -> None:
        show_day(page, day, name, chance, budget=budget)
        page.say("Tried only; nothing is saved." if try_ else NOT_SAVED, indent=0)

    remarks = [*day.remarks, *day.calibration.remarks]
    remarks += [remark for one in day.enclosures for remark in one.remarks]
    remarks += day.probe.comparison.remarks if day.probe else ()
    remarks += [Remark("held-back", f"row {held.row}: {held.text}") for held in day.held_back]
    return Outcome(
        DayRun(day, budgets, saved=False),
        show,
        tuple(remarks),
        needs_action=day.calibration.verdict.state != "good" or not all(map(_settled, day.enclosures)),
        p=chance,
    )


def _settled(enclosure: EnclosureResult) -> bool:
    standing = enclosure.judgement
    return standing.in_range.state == standing.above_floor.state == "yes"


def _refuse_any(options: Mapping[str, object], name: str) -> None:
    """Refuse options that a worksheet declares for itself."""
    for option, given in options.items():
        if given:
            raise Refusal(
                f"{option} is for a table of jars (.csv), and the worksheet {quoted(name)} declares its own; "
                "write it there."
            )


def sheet(
    file: Annotated[
        str, Argument(metavar="DAY.toml", help="The file to write; one that is there already is left alone.")
    ],
) -> Outcome[SheetWritten]:
    """Write a commented blank worksheet to fill in.

    slurrycalc sheet my-day.toml
    """
    if Path(file).suffix.casefold() != SHEET:
        raise Refusal(f"{quoted(file, 200)} is no name for a worksheet; end it with .toml: my-day.toml.")
    write_new(file, blank_worksheet(), "my-day.toml")

    def show(page: Page) -> None:
        page.title(f"{file} is written, blank")
        page.do(f'fill in each "?" by its comment, then slurrycalc run {shlex.quote(file)}')

    return Outcome(SheetWritten(file), show)
