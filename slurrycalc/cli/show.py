"""A page: headline numbers, sentences, tables. Everything that a person sees goes through here."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from io import StringIO

from rich.box import SIMPLE_HEAD
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from slurrycalc.cli.whereabouts import on_logbook
from slurrycalc.cli.writing import spelled
from slurrycalc.metrology.figures import coverage, number, signed
from slurrycalc.metrology.quote import clean
from slurrycalc.metrology.remark import Remark

NARROW = 60
"""Below this width a table turns into blocks. [characters]"""
GAP = 3
"""Between two columns of a table. [characters]"""
LEAST = 20
"""A last column, which alone is broken into lines, gets so much room, or the table turns into blocks."""
STRONG = "bold"
STRUCK = "strike"
"""Never said by style alone: a pipe and many terminals show none."""
_EMPTY = Text("")


class Page:
    """A page that is being written, part by part; `text` gives it whole.

    Every text that comes in is made safe: control characters become visible, and what the terminal cannot
    show gets a plain spelling. Nothing is read as markup.

    Parameters
    ----------
    width : int
        Width of the page. [characters]
    encoding : str, optional
        Encoding of what will be written; that of standard output if not given.
    bold : bool, optional
        Whether headings and headline numbers are bold; by default where standard output is a terminal that
        can, and NO_COLOR is not set.
    cautions : iterable of str
        What to mind at this step, for `mind`.
    logbook : str, optional
        The logbook that the line named, for `here`.

    Examples
    --------
    >>> page = Page(60, "utf-8", bold=False)
    >>> page.headline("pH", 5.604, (5.41, 5.80))
    >>> print(page.text(), end="")
      pH 5.60   between 5.41 and 5.80 (95 in 100)
    """

    def __init__(
        self,
        width: int,
        encoding: str | None = None,
        bold: bool | None = None,
        cautions: Iterable[str] = (),
        logbook: str | None = None,
    ) -> None:
        terminal = Console(file=sys.stdout)
        self.width = width
        self.narrow = width < NARROW
        self.encoding = encoding or terminal.encoding
        # rich lays the page out in memory; what writes it knows of closed pipes and full disks.
        self._sheet = Console(
            file=StringIO(),
            width=width,
            height=1,  # Given, or rich takes 80 columns for a dumb terminal, whatever the width.
            color_system="standard" if (_can_be_bold(terminal) if bold is None else bold) else None,
            no_color=True,
            legacy_windows=False,
            markup=False,
            highlight=False,
            emoji=False,
        )
        self._parts: list[RenderableType] = []
        self._cautions = tuple(cautions)
        self._logbook = logbook

    def text(self) -> str:
        """Give the whole page, ending in one line break."""
        with self._sheet.capture() as captured:
            # Not cropped: a command line is wider than the page where it has to be.
            self._sheet.print(Group(*self._parts), crop=False)
        lines = [line.rstrip() for line in captured.get().split("\n")]
        return spelled("\n".join(lines).strip("\n") + "\n", self.encoding)

    def gap(self) -> None:
        """Leave one empty line, never two."""
        if self._parts and self._parts[-1] is not _EMPTY:
            self._parts.append(_EMPTY)

    def title(self, text: str, struck: bool = False) -> None:
        """Write a heading after a gap, struck through or not."""
        self.gap()
        self._parts.append(self._safe(text, f"{STRONG} {STRUCK}" if struck else STRONG))

    def headline(
        self,
        label: str,
        value: float,
        ends: tuple[float, float],
        p: float = 0.95,
        *,
        unit: str = "",
        sign: bool = False,
    ) -> None:
        """Write a number with its interval.

        Parameters
        ----------
        label : str
            What the number is.
        value : float
            The number. [unit]
        ends : pair of float
            Its interval. [unit]
        p : float
            Coverage probability. [1]
        unit : str
            Unit to write behind the numbers, if any.
        sign : bool
            Whether the numbers are differences, which show their sign.
        """
        half = (ends[1] - ends[0]) / 2
        shown, low, high = ((signed if sign else number)(one, half) for one in (value, *ends))
        unit = f" {unit}" if unit else ""
        first = self._safe(f"{label} {shown}{unit}", STRONG)
        second = self._safe(f"{low} to {high}{unit} ({coverage(p)})")
        beside = Text.assemble(first, "   ", self._safe(f"between {low} and {high}{unit} ({coverage(p)})"))
        self.gap()
        whole = not self.narrow and beside.cell_len + 2 <= self.width
        self._parts += [_indented(one) for one in ([beside] if whole else [first, second])]
        self.gap()

    def say(self, text: str, indent: int = 2, struck: bool = False) -> None:
        """Write a paragraph, broken at words, struck through or not."""
        self._parts.append(_indented(self._safe(text, STRUCK if struck else ""), indent))

    def do(self, text: str) -> None:
        """Write what to do."""
        self._hanging([(Text("Do:", STRONG), text)])

    def answer(self, text: str) -> None:
        """Write a text from below: what it means, and after "Do:" what to do."""
        meaning, found, task = text.partition(" Do: ")
        if meaning:
            self.say(meaning)
        if found:
            self.do(task)

    def steps(self, texts: Iterable[str]) -> None:
        """Write numbered steps."""
        self._hanging(((Text(f"{count:>2}."), text) for count, text in enumerate(texts, 1)), 1)

    def command(self, line: str) -> None:
        """Write a command line or a path, unbroken whatever the width, so that it can be copied."""
        if line.startswith("slurrycalc "):
            line = self.here(line)
        self._parts.append(Text.assemble("  ", self._safe(line, STRONG), no_wrap=True, overflow="ignore"))

    def here(self, line: str) -> str:
        """Make a command to copy go to the logbook that the line named."""
        return on_logbook(line, self._logbook)

    def points(self, texts: Iterable[str]) -> None:
        """Write an unnumbered list."""
        self._hanging((Text("-"), text) for text in texts)

    def remarks(self, remarks: Iterable[Remark]) -> None:
        """Write what results say about themselves, each once."""
        self.points(dict.fromkeys(remark.text for remark in remarks))

    def mind_first(self) -> None:
        """Write the first thing to mind before all else, without a heading; `mind` writes the others."""
        self.points(self._cautions[:1])
        self._cautions = self._cautions[1:]

    def mind(self) -> None:
        """Write what to mind at this step; what was written once is not written again."""
        if self._cautions:
            self.title("Mind")
            self.points(self._cautions)
            self.gap()
        self._cautions = ()

    def table(self, columns: Sequence[str], rows: Iterable[Sequence[str]], right: Iterable[int] = ()) -> None:
        """Write a table, or a block for each row where the page is too narrow for it.

        Parameters
        ----------
        columns : sequence of str
            Headings.
        rows : iterable of sequence of str
            Cells; the first of a row names it. The last column may be broken into lines.
        right : iterable of int
            Columns whose cells are aligned to the right.
        """
        heads = [self._safe(head) for head in columns]
        cells = [[self._safe(cell) for cell in row] for row in rows]
        # A lone mark that belongs on another character takes no room, and would be cut where there is none.
        widest = [max(1, *(one.cell_len for one in column)) for column in zip(heads, *cells, strict=True)]
        left = self.width - 2 - sum(widest[:-1]) - GAP * (len(heads) - 1)
        if self.narrow or left < min(widest[-1], LEAST):
            self._blocks(heads, cells)
            return
        grid = Table(box=SIMPLE_HEAD, show_edge=False, pad_edge=False)
        aligned = frozenset(right)
        for place, head in enumerate(heads):
            grid.add_column(
                head,
                min_width=1,
                justify="right" if place in aligned else "left",
                no_wrap=place < len(heads) - 1,
                overflow="fold",
            )
        for row in cells:
            grid.add_row(*row)
        self._parts.append(_indented(grid))

    def _blocks(self, heads: list[Text], cells: list[list[Text]]) -> None:
        for name, *others in cells:
            name.stylize(STRONG)
            self._parts.append(_indented(name))
            for head, cell in zip(heads[1:], others, strict=True):
                if cell:
                    item = Text(": ").join([head, cell]) if head else cell
                    first, *rest = item.wrap(self._sheet, self.width - 6)
                    self._parts += [_indented(first, 4), *(_indented(line, 6) for line in rest)]

    def _hanging(self, rows: Iterable[tuple[Text, str]], by: int = 2) -> None:
        """Write texts behind marks; their further lines begin under their first words."""
        grid = Table.grid(padding=(0, 1, 0, 0))
        grid.add_column(justify="right", no_wrap=True)
        grid.add_column(overflow="fold")
        for mark, text in rows:
            grid.add_row(mark, self._safe(text))
        if grid.row_count:
            self._parts.append(_indented(grid, by))

    def _safe(self, text: str, style: str = "") -> Text:
        return Text(spelled(clean(text), self.encoding), style)


def _indented(part: RenderableType, by: int = 2) -> Padding:
    return Padding(part, (0, 0, 0, by))


def _can_be_bold(terminal: Console) -> bool:
    return terminal.color_system is not None and not terminal.no_color and not terminal.legacy_windows
