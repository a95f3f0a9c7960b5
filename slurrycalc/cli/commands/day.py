"""A bench day from a file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import nullcontext
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated

from typer import Argument, Option

from slurrycalc.cli import options
from slurrycalc.cli.bench_words import BuffersSaid, limits_words, scatter_words
from slurrycalc.cli.file_kind import refuse_other, refuse_package
from slurrycalc.cli.files import read_file, with_new
from slurrycalc.cli.meter_words import MeterWords
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import Recording, SavedAs, keeping, last_line, present, recalled, save
from slurrycalc.cli.waiting import Waiting
from slurrycalc.cli.words import coverage
from slurrycalc.day.bench.bench_day import bench_day
from slurrycalc.day.bench.places import RowPlaces
from slurrycalc.day.bench.result import DayResult
from slurrycalc.day.bench.results import results_table
from slurrycalc.day.bench.standing import JudgedBy
from slurrycalc.day.bench.table import read_jars
from slurrycalc.day.bench.worksheet import read_worksheet
from slurrycalc.metrology.budget import Budget
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.report.page import Block, Say
from slurrycalc.report.pages.day import day_blocks

SHEET, TABLES = ".toml", (".csv", ".tsv", ".txt")
EXAMPLE = "slurrycalc run day.csv --buffer 7.00=7.04@21C --buffer 4.01=4.06@21C"

SomeBuffers = Annotated[
    list[str] | None,
    Option("--buffer", metavar="POINT", help="For a CSV, two or more: what a buffer read, 4.01=4.06@21C."),
]


Results = Annotated[
    str | None,
    Option("-o", "--out", metavar="RESULTS.csv", help="Also write a table of results; -o for short."),
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
    saved: SavedAs | None
    results: str | None = None
    """The table of results that was written."""


def run(
    file: Annotated[str, Argument(metavar="FILE", help="A worksheet (.toml), or a table of jars (.csv).")],
    *,
    try_: options.Try = False,
    buffer: SomeBuffers = None,
    meter: options.Meter = None,
    probe: options.Probe = None,
    shows: options.Shows = None,
    resolution: options.Resolution = None,
    repeatability: options.Repeatability = None,
    compensates: options.Compensates = None,
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
    out: Results = None,
    strict: options.Strict = False,
    on: options.On = None,
    at: options.At = None,
    by: options.By = None,
    new: options.New = False,
    logbook: options.Logbook = None,
) -> Outcome[DayRun]:
    """Compute a whole bench day from a worksheet or a CSV of jars, and record it.

    slurrycalc run examples/reading-room.toml --try
    slurrycalc run examples/forty-jars.csv --buffer 7.00=7.04@21C --buffer 4.01=4.06@21C
    slurrycalc run day.csv --meter lab --on 2024-03-05 --out results.csv

    A worksheet declares everything, and what it declares is added to the record; slurrycalc sheet DAY.toml
    writes a blank one. A CSV has a row a jar, jar,enclosure,reading,temperature,probe,note, and takes its
    buffers and limits from the options; it is recorded with --meter, for enclosures that are on record. Rows
    that cannot stand are held back and named.

    A row (in a worksheet a [[jar]]) that names a buffer instead of an enclosure is a check bottle, read among
    the jars, say every ten. Where it disagrees, the jars since the check before it are in doubt, and those
    after it until one agrees; all are named.
    """
    chance, name = coverage(p), Path(file).name
    if out is not None and Path(out).suffix.casefold() != ".csv":
        no = "is no name for a table of results; end it with .csv: results.csv."
        raise Refusal(f"--out: {quoted(out, 200)} {no}")
    refuse_package(file)
    data = read_file(file, "day.toml")
    kind = refuse_other(file, data, "worksheet", "jars")
    asked = JudgedBy(limits_words(target, floor), scatter_words(scatter, 2, "slurry"), chance)
    recording = Recording(on, at, by, try_, new, logbook)
    suffix = Path(file).suffix.casefold()
    if kind == "worksheet" or (kind is None and suffix == SHEET):
        of_table = {
            "--buffer": buffer,
            "--meter": meter,
            "--probe": probe,
            "--shows": shows,
            "--resolution": resolution,
            "--repeatability": repeatability,
            "--compensates": compensates,
            "--thermometer": thermometer,
            "--bottle": bottle,
            "--fit": fit != "line",
            "--check": check,
            "--close": close,
            "--target": target,
            "--floor": floor,
        }
        _refuse_any(of_table, name)
        sheet, places = read_worksheet(data, name, today=present().date())
        if sheet.date is not None:
            _refuse_any({"--on": on}, name)
            recording = replace(recording, on=sheet.date.isoformat())
        _refuse_any({"--by": by} if sheet.by is not None else {}, name)
        with keeping("run", recording, name) as keeper, Waiting("Computing the day") as waiting:
            day = bench_day(sheet, places, keeper=keeper, asked=asked, watch=waiting.along)
    elif kind == "jars" or suffix in TABLES:
        bench = BuffersSaid(buffer or (), bottle or (), check, close)
        words = MeterWords(shows, resolution, repeatability, compensates, thermometer, fit)
        if not bench.points and meter is None:
            raise Refusal(f"{quoted(name)} needs its buffers: {EXAMPLE}")
        table = read_jars(data, name)
        declared = bench.day(words, meter, table.jars, tells_unit=False, probe=probe)
        rows = RowPlaces(name, buffers=bench.buffers, rows=table.rows)
        with keeping("run", recording, meter, probe) as keeper:
            left_out = table.held_back
            with Waiting("Computing the day") as waiting:
                day = bench_day(
                    declared, rows, keeper=keeper, asked=asked, holds_back=left_out, watch=waiting.along
                )
    else:
        raise Refusal(
            f"{quoted(name)} is neither a worksheet (.toml) nor a table of jars (.csv); "
            "let the spreadsheet save it as CSV."
        )
    with nullcontext() if out is None else with_new(out, results_table(day, chance), "results.csv"):
        saved = save(keeper, recording)
    last = last_line(saved, recording, "--meter NAME")
    return of_day(day, saved, name, chance, budget=budget, last=last, out=out)


def of_day(
    day: DayResult,
    saved: SavedAs | None,
    name: str,
    p: float,
    *,
    budget: bool,
    last: str,
    out: str | None = None,
) -> Outcome[DayRun]:
    """Hand back a bench day, from a file or from the table, as it is shown and written.

    Parameters
    ----------
    day : DayResult
        The day.
    saved : SavedAs or None
        What it is called on record.
    name : str
        Where it came from, in a word or three.
    p : float
        Coverage probability. [1]
    budget : bool
        Whether to show where each enclosure's uncertainty comes from.
    last : str
        The line that a person leaves with.
    out : str, optional
        The table of results that was written.

    Returns
    -------
    Outcome
        The one that both have.
    """
    budgets = None
    if budget:
        budgets = tuple(EnclosureBudget(one.name or "", one.slurry.budget) for one in day.read)

    def page() -> Iterator[Block]:
        yield from day_blocks(day, name, p, budget=budget)
        if out is not None:
            yield Say(f"Results of every jar and enclosure: {out}")

    meters = (*day.before, day.calibration)
    remarks = [*day.remarks, *(remark for one in meters for remark in one.remarks)]
    remarks += [remark for check in day.checks for remark in check.remarks]
    remarks += [remark for jar in day.steady for remark in jar.remarks]
    remarks += [remark for tub in day.fresh for remark in tub.remarks]
    remarks += [remark for one in day.enclosures for remark in one.remarks]
    remarks += day.probe.comparison.remarks if day.probe else ()
    remarks += [Remark("held-back", f"row {held.row}: {held.text}") for held in day.held_back]
    return Outcome(
        DayRun(day, budgets, saved, out),
        tuple(page()),
        tuple(remarks),
        needs_action=not (
            all(one.verdict.state == "good" for one in meters)
            and all(one.check.agrees for one in day.checks)
            and all(one.settled for one in day.read)
        ),
        p=p,
        last=last,
        again=recalled(saved),
    )


def _refuse_any(options: Mapping[str, object], name: str) -> None:
    """Refuse options that a worksheet declares for itself."""
    for option, given in options.items():
        if given:
            raise Refusal(
                f"{option} is for a table of jars (.csv), and the worksheet {quoted(name)} declares its own; "
                "write it there."
            )
