"""One bench day on the invented example."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from importlib.resources import as_file
from pathlib import Path
from typing import Any

from slurrycalc.cli.group import group
from slurrycalc.cli.outcome import Outcome
from slurrycalc.data.shipped import shipped
from slurrycalc.metrology.figures import in_a_line
from slurrycalc.report.page import Block, Cautions, Command, Heading, Say

BUFFERS = ("7.00=7.04@21C", "4.01=4.06@21C")


@dataclass(frozen=True)
class DemoStep:
    """One step of the day: a real command line, and what it says in short."""

    says: str
    command: str
    answer: tuple[str, ...]


@dataclass(frozen=True)
class Demo:
    """One bench day in steps, on an invented reading-room."""

    steps: tuple[DemoStep, ...]
    folder: str
    """Where the example's files lie."""


def demo() -> Outcome[Demo]:
    """Show one bench day of an invented reading-room, in five steps.

    slurrycalc demo

    From the recipe to each enclosure's pH; what a record of months adds is left out. Each step is a command
    line of your own program, run here and now; copy any of them to see all that it says. Nothing is kept.
    """
    with ExitStack() as stack:
        worksheet, pairs = (
            Path(stack.enter_context(as_file(shipped("examples", name)))).resolve()
            for name in ("reading-room.toml", "pairs.csv")
        )
        buffers = [word for point in BUFFERS for word in ("--buffer", point)]
        steps = (
            _step("Mix: how much of what", _mixed, "mix", "--slurries", "6"),
            _step("Meter: two bottles say whether to trust it", _metered, "calibrate", *BUFFERS),
            _step("Read: two slurries of one case", _read, "read", "5.14@21C", "5.19@21C", *buffers),
            _step("Probe: what its next indication means", _probed, "probe", "6.0", "--pairs", _near(pairs)),
            _step(
                "The whole bench day from one file",
                _whole,
                "run",
                _near(worksheet),
                "--try",
                # Names that a keeper's own record has must make no difference.
                unseen=("--logbook", str(worksheet.with_name("no-logbook.sqlite"))),
            ),
        )
    result = Demo(steps, str(worksheet.parent))

    def page() -> Iterator[Block]:
        yield Heading("A public library keeps three planted cases: window, stairs, atlas (all invented)")
        yield Cautions()
        for count, step in enumerate(steps, 1):
            yield Heading(f"{count} of {len(steps)}  {step.says}")
            yield Command(step.command)
            for line in step.answer:
                yield Say(line)
        yield Heading("The example's files lie in")
        yield Command(result.folder)
        yield Say("Yours: a blank worksheet, filled in, then run:")
        yield Command("slurrycalc sheet my-day.toml")
        yield Command("slurrycalc run my-day.toml")

    return Outcome(result, tuple(page()))


def _step(
    says: str,
    answer: Callable[[Any, Any], tuple[str, ...]],
    *words: str,
    unseen: tuple[str, ...] = (),
) -> DemoStep:
    """Run a command line as the program does, and put what comes of it in short."""
    outcome = group().main(args=[*words, *unseen], prog_name="slurrycalc", standalone_mode=False)
    return DemoStep(says, shlex.join(("slurrycalc", *words)), answer(outcome.result, outcome))


def _near(path: Path) -> str:
    """Name a file from where the person is, if it lies below."""
    here = Path.cwd()
    return str(path.relative_to(here) if path.is_relative_to(here) else path)


def _mixed(recipe: Any, _: Any) -> tuple[str, ...]:
    way = recipe.ways[0]
    return (f"Each slurry: {way.substrate} of substrate and {way.water} of distilled water.",)


def _metered(meter: Any, _: Any) -> tuple[str, ...]:
    verdict = meter.calibration.verdict
    return (f"The meter is {verdict.state}, by {verdict.known}. {verdict.reasons[0]}",)


def _read(read: Any, outcome: Any) -> tuple[str, ...]:
    one = read.enclosure
    return (in_a_line(one.slurry.ph.n, one.slurry.interval(outcome.p), outcome.p), *one.judgement.sentences)


def _probed(probe: Any, _: Any) -> tuple[str, ...]:
    return (probe.update.text,)


def _whole(run: Any, outcome: Any) -> tuple[str, ...]:
    return tuple(
        f"{one.name}: {in_a_line(one.slurry.ph.n, one.slurry.interval(outcome.p), outcome.p)}. "
        f"{one.judgement.sentences[-2]}"
        for one in run.day.enclosures
    )
