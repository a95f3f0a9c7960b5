"""A page as data: what a person sees, block by block, whatever draws it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal, TypeAlias

from slurrycalc.data.assumed import COVERAGE
from slurrycalc.metrology.figures import coverage, number, signed
from slurrycalc.metrology.remark import Remark
from slurrycalc.report.plot import Months
from slurrycalc.report.strip import Span

State = Literal["act", "open", "well", ""]
"""Of what is told: it asks for something now, it is not settled, it stands well, or nothing is said."""


@dataclass(frozen=True, slots=True)
class Gap:
    """One empty line; several in a row are one."""


@dataclass(frozen=True, slots=True)
class Heading:
    """A line of its own, after a gap."""

    text: str
    struck: bool = False


@dataclass(frozen=True, slots=True)
class Headline:
    """A number with its interval, between gaps."""

    label: str
    value: float
    """[unit]"""
    ends: tuple[float, float]
    """Of its interval. [unit]"""
    p: float = 0.95
    """Coverage probability. [1]"""
    unit: str = ""
    """Stands behind the numbers, if any."""
    sign: bool = False
    """Whether the numbers are differences, which show their sign."""


@dataclass(frozen=True, slots=True)
class Say:
    """A paragraph."""

    text: str
    indent: int = 2
    """[characters]"""
    struck: bool = False


@dataclass(frozen=True, slots=True)
class Do:
    """What to do."""

    text: str
    command: str = ""
    """The line that does it, to be copied."""


@dataclass(frozen=True, slots=True)
class Command:
    """A command line or a path, to be copied: never broken, and to the logbook that was named."""

    line: str


@dataclass(frozen=True, slots=True)
class Steps:
    """A numbered list."""

    texts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Points:
    """An unnumbered list."""

    texts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cautions:
    """What to mind at the step: what was not written before it."""

    first: bool = False
    """Only the first of them, without a heading."""
    texts: tuple[str, ...] = ()
    """Others than the step's own, which stand where they are."""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under headings; the first cell of a row names it, the last may be broken into lines."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: frozenset[int] = frozenset()
    """Columns whose cells are aligned to the right."""
    spans: tuple[Span | None, ...] = ()
    """Where the pH of each row lies, if anywhere, to be drawn on one scale behind the last column."""
    states: tuple[State, ...] = ()
    """Of each row, which its words say already: a colour where there are any."""
    names: int = 1
    """So many cells name a row: they stand on its first line where it is drawn as a block."""


@dataclass(frozen=True, slots=True)
class Strip:
    """Where one pH lies, drawn on a scale."""

    span: Span


@dataclass(frozen=True, slots=True)
class Plot:
    """How a pH moved through the months, drawn small."""

    months: Months


@dataclass(frozen=True, slots=True)
class Write:
    """Room to write by hand."""

    label: str
    lines: int = 1


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing, which is said in words and in numbers too; a terminal shows what stands for it."""

    name: str
    """Of the function that draws it: one of `slurrycalc.report.figures`."""
    of: tuple[Any, ...]
    """What that function takes beside the axes: plain results."""
    height: float
    """[inch]"""
    text: str
    """What it shows, for whoever does not see it."""
    numbers: Table
    """All that it draws."""
    plain: tuple[Strip | Plot, ...] = ()
    """What a terminal draws in its place."""


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a long page, which its head lists."""

    title: str
    blocks: tuple[Block, ...]
    alone: bool = False
    """Whether it is printed on a sheet of its own."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """What an answer rests on, and what changes no action: shown where it is asked for."""

    blocks: tuple[Block, ...]


Block: TypeAlias = (
    Gap
    | Heading
    | Headline
    | Say
    | Do
    | Command
    | Steps
    | Points
    | Cautions
    | Table
    | Strip
    | Plot
    | Write
    | Figure
    | Section
    | Evidence
)
Page: TypeAlias = tuple[Block, ...]
GAP = Gap()


def points(texts: Iterable[str]) -> Points:
    """Give an unnumbered list."""
    return Points(tuple(texts))


def steps(texts: Iterable[str]) -> Steps:
    """Give a numbered list."""
    return Steps(tuple(texts))


def noted(remarks: Iterable[Remark]) -> Points:
    """Give what results say about themselves, each once."""
    return Points(tuple(dict.fromkeys(remark.text for remark in remarks)))


def table(
    columns: Sequence[str],
    rows: Iterable[Sequence[str]],
    right: Iterable[int] = (),
    *,
    spans: Iterable[Span | None] = (),
    states: Iterable[State] = (),
    names: int = 1,
) -> Table:
    """Give a table."""
    cells = tuple(tuple(row) for row in rows)
    return Table(tuple(columns), cells, frozenset(right), tuple(spans), tuple(states), names)


def evidence(blocks: Iterable[Block]) -> Evidence:
    """Give what is shown only where somebody asks why."""
    return Evidence(tuple(blocks))


def minded(page: Iterable[Block], cautions: Sequence[str] = ()) -> Iterator[Block]:
    """Write out what is to be minded: at each place what was not written before it."""
    return _minded(page, list(cautions))


def _minded(page: Iterable[Block], left: list[str]) -> Iterator[Block]:
    for block in page:
        match block:
            case Section() | Evidence():
                yield replace(block, blocks=tuple(_minded(block.blocks, left)))
            case Cautions(texts=texts) if texts:
                yield Points(texts)
                left[:] = (text for text in left if text not in texts)
            case Cautions(first=first):
                said = tuple(left[: 1 if first else None])
                yield from (Points(said),) if first else (Heading("Mind"), Points(said), GAP) if said else ()
                del left[: len(said)]
            case _:
                yield block


def headline_words(said: Headline) -> tuple[str, str]:
    """Write a headline's number, and its interval.

    Examples
    --------
    >>> headline_words(Headline("pH", 5.604, (5.41, 5.80)))
    ('pH 5.60', '(5.41 to 5.80)')
    """
    half = (said.ends[1] - said.ends[0]) / 2
    write = signed if said.sign else number
    shown, low, high = (write(one, half) for one in (said.value, *said.ends))
    unit = f" {said.unit}" if said.unit else ""
    holds = "" if said.p == COVERAGE.value else f", {coverage(said.p)}"
    return f"{said.label} {shown}{unit}", f"({low} to {high}{holds})"


def has_evidence(page: Iterable[Block]) -> bool:
    """Tell whether a page has more to show to somebody who asks why."""
    return any(isinstance(block, Evidence) and block.blocks for block in page)


def answer(text: str) -> Iterator[Block]:
    """Give a text from below: what it means, and after "Do:" what to do."""
    meaning, found, task = text.partition(" Do: ")
    if meaning:
        yield Say(meaning)
    if found:
        yield Do(task)
