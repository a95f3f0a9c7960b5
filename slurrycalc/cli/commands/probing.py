"""The soil probe: what its pairs with slurries say, and what its next indication means."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from typer import Argument, Option

from slurrycalc.cli.bench_words import limits_words, scatter_words
from slurrycalc.cli.files import read_file
from slurrycalc.cli.notation import pair_words
from slurrycalc.cli.options import Coverage, Floor, ProbeScatter, Strict, Target
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.show_probe import show_comparison, show_corrected, show_meaningless
from slurrycalc.cli.words import coverage, number
from slurrycalc.day.table import read_table
from slurrycalc.deciding.fitness import Fitness, fitness
from slurrycalc.deciding.judgement import Judgement, judge
from slurrycalc.measuring.probe import Comparison, CorrectedReading
from slurrycalc.measuring.probe import compare as compare_probe
from slurrycalc.metrology.annotate import PHValue
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import NORMAL_95, Uncertain, nameless
from slurrycalc.metrology.units import magnitude, stated

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page

PairWords = Annotated[
    list[str] | None,
    Argument(metavar="PROBE=SLURRY", help="What the probe showed, and the slurry of that spot: 5.9=5.41."),
]
PairsFile = Annotated[
    str | None, Option("--pairs", metavar="FILE.csv", help="Pairs from a file with the columns probe,slurry.")
]
Step = Annotated[
    str, Option("--step", metavar="NUMBER", help="Smallest step of the display [pH], if it is coarse.")
]


@dataclass(frozen=True)
class Compared:
    """A probe against slurries, and what it is good for alone."""

    comparison: Comparison
    fitness: Fitness


@dataclass(frozen=True)
class ProbeReading:
    """What one indication of a probe means; nothing, without pairs."""

    indication: PHValue
    corrected: CorrectedReading | None
    standing: Judgement | None
    comparison: Comparison | None


def compare(
    pairs: PairWords = None,
    *,
    file: PairsFile = None,
    step: Step = "0",
    scatter: ProbeScatter = None,
    target: Target = None,
    floor: Floor = None,
    p: Coverage = "0.95",
    strict: Strict = False,
) -> Outcome[Compared]:
    """Compare a soil probe with slurries of the same spots.

    slurrycalc compare 5.9=5.41 6.1=5.70 6.4=5.95
    slurrycalc compare --pairs pairs.csv
    slurrycalc compare 5.9=5.60+-0.20

    Push the probe in before the spoon goes in at the same spot. A slurry with a stated uncertainty is written
    5.60+-0.20, a 95 % half-width.
    """
    chance = coverage(p)
    comparison = _comparison(pairs, file, step, scatter)
    result = Compared(comparison, fitness(comparison, *limits_words(target, floor), chance))

    def show(page: Page) -> None:
        show_comparison(page, comparison, result.fitness, chance)

    return Outcome(
        result, show, comparison.remarks, p=chance, needs_action=result.fitness.state != "fit"
    )


def probe(
    reading: Annotated[str, Argument(metavar="READING", help="What the probe shows now, like 6.0.")],
    pairs: PairWords = None,
    *,
    file: PairsFile = None,
    step: Step = "0",
    scatter: ProbeScatter = None,
    target: Target = None,
    floor: Floor = None,
    p: Coverage = "0.95",
    strict: Strict = False,
) -> Outcome[ProbeReading]:
    """Say which slurry pH a probe's indication means.

    slurrycalc probe 6.0 --pairs pairs.csv
    slurrycalc probe 6.0 5.9=5.41 6.1=5.70

    The pairs give the indication its meaning; without any it has none yet.
    """
    chance, limits = coverage(p), limits_words(target, floor)
    indication = magnitude(reading, "ph")
    if not pairs and file is None:
        nothing = ProbeReading(indication, None, None, None)
        return Outcome(nothing, lambda page: show_meaningless(page, indication), needs_action=True)
    comparison = _comparison(pairs, file, step, scatter)
    corrected = comparison.correct(indication, chance)
    standing = judge(corrected, *limits, chance)

    def show(page: Page) -> None:
        show_corrected(page, corrected, standing, comparison)

    result = ProbeReading(indication, corrected, standing, comparison)
    settled = standing.in_range.state == standing.above_floor.state == "yes"
    return Outcome(result, show, (*standing.remarks, *corrected.remarks), p=chance, needs_action=not settled)


def _comparison(pairs: Sequence[str] | None, file: str | None, step: str, scatter: str | None) -> Comparison:
    texts = [pair_words(pair) for pair in pairs or ()]
    texts += _pairs_in(file) if file is not None else []
    if not texts:
        raise Refusal("no pair was given: write slurrycalc compare 5.9=5.41 6.1=5.70, or --pairs FILE.csv")
    return compare_probe(
        [probe for probe, _ in texts],
        [_slurry(slurry) for _, slurry in texts],
        scatter_words(scatter, len(texts), "pair"),
        resolution=_step(step),
    )


def _pairs_in(file: str) -> list[tuple[str, str]]:
    name, columns = Path(file).name, ("probe", "slurry")
    table = read_table(read_file(file, "pairs.csv"), name, columns, columns)
    if table.held_back:
        raise Refusal(table.held_back[0].text, f"{name}, row {table.held_back[0].row}")
    pairs = []
    for row in table.rows:
        probe, slurry = row.cells["probe"], row.cells["slurry"]
        if probe is None or slurry is None:
            raise Refusal("a pair has both, like 5.9,5.41", f"{name}, row {row.number}")
        pairs.append((probe, slurry))
    return pairs


def _step(text: str) -> float:
    step = number(text, "--step")
    if not 0 <= step <= 1:
        raise Refusal(f"--step: {quoted(text)} is no step of a display, 0 to 1 pH; write for instance 0.1")
    return step


def _slurry(text: str) -> Uncertain:
    value, half = stated(text, "ph")
    if half is None:
        return value
    return value + nameless(half / NORMAL_95, "slurry, as stated", ground="a 95 % half-width")
