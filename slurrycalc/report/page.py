"""A page as data: what a person sees, block by block, whatever draws it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

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
