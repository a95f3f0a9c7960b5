"""A page drawn for a terminal: broken at its width, in characters that it can show, bold where it can."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from io import StringIO
from itertools import groupby

from rich.box import SIMPLE_HEAD
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table as Grid
from rich.text import Text

from slurrycalc.metrology.names import on_logbook
from slurrycalc.metrology.quote import clean
from slurrycalc.report.page import (
    Block,
    Command,
    Do,
    Evidence,
    Figure,
    Gap,
    Heading,
    Headline,
    Plot,
    Points,
    Say,
    Section,
    State,
    Steps,
    Strip,
    Table,
    Write,
    headline_words,
    minded,
)
from slurrycalc.report.plot import plot
from slurrycalc.report.spelling import spelled
from slurrycalc.report.strip import strips

NARROW = 60
"""Below this width a table turns into blocks. [characters]"""
BETWEEN = 3
"""Between two columns of a table. [characters]"""
LEAST = 20
"""A last column, which alone is broken into lines, gets so much room, or the table turns into blocks."""
PIECE = 1000
"""A long page is drawn in pieces of so many parts or a few more."""
WIDEST_PLOT = 70
"""[characters]"""
WIDEST_STRIP, LEAST_STRIP = 40, 16
"""A strip takes the room that is left, and is left out where that is less. [characters]"""
STRONG = "bold"
COLOURS: dict[State, str] = {"act": "bold red", "open": "bold yellow", "well": "bold green", "": "bold"}
"""Of the state of a row, beside its words."""
STRUCK = "strike"
"""Never said by style alone: a pipe and many terminals show none."""
_EMPTY = Text("")


def draw(
    page: Iterable[Block],
    width: int,
    encoding: str | None = None,
    *,
    bold: bool | None = None,
    cautions: Sequence[str] = (),
    logbook: str | None = None,
    why: bool = False,
) -> str:
    """Draw a page.

    Every text that comes in is made safe: control characters become visible, and what the terminal cannot
    show gets a plain spelling. Nothing is read as markup.

    Parameters
    ----------
    page : iterable of Block
        The page.
    width : int
        Its width. [characters]
    encoding : str, optional
        Encoding of what will be written; that of standard output if not given.
    bold : bool, optional
        Whether headings and headline numbers are bold; by default where standard output is a terminal that
        can, and NO_COLOR is not set.
    cautions : sequence of str
        What to mind at this step.
    logbook : str, optional
        The logbook that the line named, to which commands to copy go.
    why : bool
        Whether the evidence is shown too.

    Returns
    -------
    str
        The whole page, ending in one line break.

    Examples
    --------
    >>> print(draw([Headline("pH", 5.604, (5.41, 5.80))], 60, "utf-8", bold=False), end="")
      pH 5.60   (5.41 to 5.80)
    """
    return "".join(pieces(page, width, encoding, bold=bold, cautions=cautions, logbook=logbook, why=why))


def pieces(
    page: Iterable[Block],
    width: int,
    encoding: str | None = None,
    *,
    bold: bool | None = None,
    cautions: Sequence[str] = (),
    logbook: str | None = None,
    why: bool = False,
) -> Iterator[str]:
    """Draw a page of any length, as `draw` does, piece by piece: a new one begins at a heading."""
    terminal = Console(file=sys.stdout)
    encoding, bold = encoding or terminal.encoding, can_be_bold(terminal) if bold is None else bold
    sheet, gap = _Sheet(width, encoding, bold, logbook), ""
    for block in minded(shown(page, why=why), cautions):
        if isinstance(block, Heading) and len(sheet) >= PIECE:
            yield gap + sheet.text()
            sheet, gap = _Sheet(width, encoding, bold, logbook), "\n"
        sheet.add(block)
    yield gap + sheet.text()


def shown(page: Iterable[Block], *, why: bool) -> Iterator[Block]:
    """Give what is drawn of a page, with its evidence or without."""
    for block in page:
        match block:
            case Evidence(blocks):
                yield from shown(blocks, why=why) if why else ()
            case Section(title, blocks):
                yield Heading(title)
                yield from shown(blocks, why=why)
            case Figure(plain=plain):
                yield from plain
            case _:
                yield block


def can_be_bold(terminal: Console) -> bool:
    """Tell whether a terminal shows bold, and nobody asked that it should not."""
    return terminal.color_system is not None and not terminal.no_color and not terminal.legacy_windows


class _Sheet:
    """A page that is being drawn, block by block; `text` gives it whole."""

    def __init__(self, width: int, encoding: str, bold: bool, logbook: str | None) -> None:
        self.width = width
        self.narrow = width < NARROW
        self.encoding = encoding
        # rich lays the page out in memory; what writes it knows of closed pipes and full disks.
        self._sheet = Console(
            file=StringIO(),
            width=width,
            height=1,  # Given, or rich takes 80 columns for a dumb terminal, whatever the width.
            color_system="standard" if bold else None,
            legacy_windows=False,
            markup=False,
            highlight=False,
            emoji=False,
        )
        self._parts: list[RenderableType] = []
        self._numbered = False
        """Whether the last block was a number: one more follows without a gap."""
        self._logbook = logbook

    def __len__(self) -> int:
        return len(self._parts)

    def text(self) -> str:
        drawn: list[str] = []
        for plain, parts in groupby(self._parts, key=lambda part: isinstance(part, str)):
            some = list(parts)
            drawn += map(str, some) if plain else self._laid_out(some)
        return spelled("\n".join(drawn).strip("\n") + "\n", self.encoding)

    def _laid_out(self, parts: Iterable[RenderableType]) -> list[str]:
        with self._sheet.capture() as captured:
            # Not cropped: a command line is wider than the page where it has to be.
            self._sheet.print(Group(*parts), crop=False)
        return [line.rstrip() for line in captured.get().removesuffix("\n").split("\n")]

    def add(self, block: Block) -> None:
        self._draw(block)
        self._numbered = isinstance(block, Headline)

    def _draw(self, block: Block) -> None:
        match block:
            case Gap():
                self._gap()
            case Heading(text, struck):
                self._gap()
                self._parts.append(self._safe(text, f"{STRONG} {STRUCK}" if struck else STRONG))
            case Headline():
                self._headline(block)
            case Say(text, indent, struck):
                safe = self._safe(text, STRUCK if struck else "")
                fits = not struck and safe.plain and safe.cell_len + indent <= self.width
                # Most lines of a long page: rich would take ten times as long for them.
                self._parts.append(" " * indent + safe.plain.rstrip() if fits else _indented(safe, indent))
            case Do():
                self._do(block)
            case Command(line):
                self._command(line)
            case Steps(texts):
                self._hanging(
                    ((Text(f"{count:>2}."), self._safe(text)) for count, text in enumerate(texts, 1)), 1
                )
            case Points(texts):
                self._points(texts)
            case Table():
                self._table(block)
            case Strip() | Plot():
                self._drawing(block)
            case Write(label, count):
                line = "_" * max(self.width - 4, 1)
                self._parts += [_indented(self._safe(label)), *[_indented(self._safe(line))] * count]

    def _gap(self) -> None:
        if self._parts and self._parts[-1] is not _EMPTY:
            self._parts.append(_EMPTY)

    def _headline(self, said: Headline) -> None:
        number, interval = headline_words(said)
        first, ends = self._safe(number, STRONG), self._safe(interval)
        beside = Text.assemble(first, "   ", ends)
        parts = [beside] if beside.cell_len + 2 <= self.width else [first, ends]
        if not self._numbered:
            self._gap()
        self._parts += map(_indented, parts)

    def _do(self, said: Do) -> None:
        command = self._here(said.command)
        beside = f"{said.text}   {command}" if command else said.text
        fits = len("  Do: ") + self._safe(beside).cell_len <= self.width
        text = Text.assemble(self._safe(said.text), "   ", self._safe(command, STRONG))
        self._hanging([(Text("Do:", STRONG), text if fits and command else self._safe(said.text))])
        if command and not fits:
            self._command(said.command)

    def _command(self, line: str) -> None:
        text = self._safe(self._here(line), STRONG)
        self._parts.append(Text.assemble("  ", text, no_wrap=True, overflow="ignore"))

    def _here(self, line: str) -> str:
        """Make a command to copy go to the logbook that the line named."""
        return on_logbook(line, self._logbook) if line.startswith("slurrycalc ") else line

    def _points(self, texts: Iterable[str]) -> None:
        self._hanging((Text("-"), self._safe(text)) for text in texts)

    def _table(self, block: Table) -> None:
        heads = [self._safe(head) for head in block.columns]
        cells = [[self._safe(cell) for cell in row] for row in block.rows]
        for (first, *_), state in zip(cells, block.states, strict=False):
            first.stylize(COLOURS[state])
        # A lone mark that belongs on another character takes no room, and would be cut where there is none.
        widest = [max(1, *(one.cell_len for one in column)) for column in zip(heads, *cells, strict=True)]
        left = self.width - 2 - sum(widest[:-1]) - BETWEEN * (len(heads) - 1)
        if self.narrow or left < min(widest[-1], LEAST):
            self._blocks(heads, cells, block)
            return
        room = min(left - widest[-1] - BETWEEN, WIDEST_STRIP)
        if any(block.spans) and room >= LEAST_STRIP:
            scale, lines = strips(block.spans, room)
            heads.append(self._safe(scale))
            for row, line in zip(cells, lines, strict=True):
                row.append(self._safe(line))
        grid = Grid(box=SIMPLE_HEAD, show_edge=False, pad_edge=False)
        for place, head in enumerate(heads):
            grid.add_column(
                head,
                min_width=1,
                justify="right" if place in block.right else "left",
                no_wrap=place < len(heads) - 1 or len(heads) > len(widest),
                overflow="fold",
            )
        for row in cells:
            grid.add_row(*row)
        self._parts.append(_indented(grid))

    def _blocks(self, heads: list[Text], cells: list[list[Text]], block: Table) -> None:
        """Write a block for each row, where the page is too narrow for the table."""
        lines: Sequence[str] = ()
        spans, names = block.spans, block.names
        if any(spans) and self.width - 4 >= LEAST_STRIP:
            scale, lines = strips(spans, min(self.width - 5, WIDEST_STRIP))
            self._parts.append(_indented(self._safe(scale), 4))
        for place, row in enumerate(cells):
            name, others = Text(", ").join(row[:names]), row[names:]
            name.stylize(STRONG)
            self._parts.append(_indented(name))
            for head, cell in zip(heads[names:], others, strict=True):
                if cell:
                    item = Text(": ").join([head, cell]) if head else cell
                    first, *rest = item.wrap(self._sheet, self.width - 6)
                    self._parts += [_indented(first, 4), *(_indented(line, 6) for line in rest)]
            if lines and lines[place]:
                self._parts.append(_indented(self._safe(lines[place]), 4))

    def _drawing(self, block: Strip | Plot) -> None:
        if isinstance(block, Plot):
            lines = plot(block.months, min(self.width - 2, WIDEST_PLOT))
        else:
            scale, drawn = strips([block.span], min(self.width - 3, WIDEST_STRIP))
            lines = (scale, *drawn)
        self._parts += [_indented(self._safe(line)) for line in lines]

    def _hanging(self, rows: Iterable[tuple[Text, Text]], by: int = 2) -> None:
        """Write texts behind marks; their further lines begin under their first words."""
        grid = Grid.grid(padding=(0, 1, 0, 0))
        grid.add_column(justify="right", no_wrap=True)
        grid.add_column(overflow="fold")
        for mark, text in rows:
            grid.add_row(mark, text)
        if grid.row_count:
            self._parts.append(_indented(grid, by))

    def _safe(self, text: str, style: str = "") -> Text:
        return Text(spelled(clean(text), self.encoding), style)


def _indented(part: RenderableType, by: int = 2) -> Padding:
    return Padding(part, (0, 0, 0, by))
