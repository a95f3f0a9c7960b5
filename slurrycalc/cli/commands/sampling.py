"""Before the bench day: how many spots."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from typer import Option

from slurrycalc.cli.options import Coverage
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.words import coverage, number
from slurrycalc.measuring.slurry import spots as sampling
from slurrycalc.metrology import figures
from slurrycalc.metrology.annotate import NumberValue, PHValue
from slurrycalc.report.page import Block, Do, Heading, Say


@dataclass(frozen=True)
class Spots:
    """How many spots bring the mean within a margin."""

    spots: int
    spread: PHValue
    margin: PHValue
    p: NumberValue


def spots(
    spread: Annotated[str, Option(metavar="NUMBER", help="Standard deviation between spots [pH].")],
    margin: Annotated[str, Option(metavar="NUMBER", help="How far the mean may be off [pH].")],
    p: Coverage = "0.95",
) -> Outcome[Spots]:
    """Say how many spots to sample for a wanted margin.

    slurrycalc spots --spread 0.2 --margin 0.1

    It counts the scatter between spots alone; what the meter's calibration leaves unknown comes on top and
    does not shrink with more spots.
    """
    wanted = number(spread, "--spread"), number(margin, "--margin"), coverage(p)
    result = Spots(sampling.spots(*wanted), *wanted)

    def page() -> Iterator[Block]:
        yield Heading(f"{result.spots} spots")
        yield Say(
            f"Where spots differ by {result.spread:g} pH (standard deviation), the mean of {result.spots} "
            f"lies within {result.margin:g} of the enclosure's own in {figures.coverage(result.p)} cases."
        )
        yield Do("take a spoon from each, or spread them over several slurries, each with its own spots.")

    return Outcome(result, tuple(page()), p=result.p)
