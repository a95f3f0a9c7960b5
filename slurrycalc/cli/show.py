"""A page: headline numbers, sentences, tables. Everything that a person sees goes through here."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence

from slurrycalc.cli.front import fill
from slurrycalc.cli.wording import coverage, decimals, number
from slurrycalc.cli.writing import clean, spelled, wide
from slurrycalc.metrology.remark import Remark

NARROW = 60
"""Below this width a table turns into blocks. [characters]"""
GAP = 3
"""Between two columns. [characters]"""
LEAST = 20
"""A last column, which alone is broken into lines, gets so much room, or the table turns into blocks."""


class Page:
    """A page that is being written, line by line; `text` gives it whole.

    Every text that comes in is made safe: control characters become visible, and what the terminal cannot
    show gets a plain spelling. Nothing is read as markup.

    Parameters
    ----------
    width : int
        Width of the page. [characters]
    encoding : str, optional
        Encoding of what will be written; that of standard output if not given.
    bold : bool, optional
        Whether headings and headline numbers are bold; by default where standard output is a terminal and
        NO_COLOR is not set.
    cautions : iterable of str
        What to mind at this step, for `mind`.

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
    ) -> None:
        self.width = width
        self.narrow = width < NARROW
        self.encoding = encoding or getattr(sys.stdout, "encoding", None) or "utf-8"
        self.bold = _can_be_bold() if bold is None else bold
        self._lines: list[str] = []
        self._cautions = tuple(cautions)

    def text(self) -> str:
        """Give the whole page, ending in one line break."""
        return "\n".join(self._lines).strip("\n") + "\n"

    def gap(self) -> None:
        """Leave one empty line, never two."""
        if self._lines and self._lines[-1]:
            self._lines.append("")

    def title(self, text: str) -> None:
        """Write a heading after a gap."""
        self.gap()
        self._lines += [self._strong(line) for line in fill(self._safe(text), self.width)]

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
        first = self._safe(f"{label} {shown}{unit}")
        second = self._safe(f"{low} to {high}{unit} ({coverage(p)})")
        beside = self._safe(f"between {low} and {high}{unit} ({coverage(p)})")
        self.gap()
        if self.narrow or wide(first) + wide(beside) + 5 > self.width:
            lines = [self._strong(line) for line in fill(first, self.width, "  ")]
            self._lines += [*lines, *fill(second, self.width, "  ")]
        else:
            self._lines.append(f"  {self._strong(first)}   {beside}")
        self.gap()

    def say(self, text: str, indent: int = 2) -> None:
        """Write a paragraph, broken at words."""
        self._lines += fill(self._safe(text), self.width, " " * indent)

    def do(self, text: str) -> None:
        """Write what to do."""
        first, *rest = fill(self._safe(text), self.width, " " * 6)
        self._lines += ["  " + self._strong("Do:") + " " + first.strip(), *rest]

    def answer(self, text: str) -> None:
        """Write a text from below: what it means, and after "Do:" what to do."""
        meaning, found, task = text.partition(" Do: ")
        if meaning:
            self.say(meaning)
        if found:
            self.do(task)

    def steps(self, texts: Iterable[str]) -> None:
        """Write numbered steps."""
        for count, text in enumerate(texts, 1):
            first, *rest = fill(self._safe(text), self.width, " " * 5)
            self._lines += [f"{count:>3}. {first.strip()}", *rest]

    def command(self, line: str) -> None:
        """Write a command line, unbroken whatever the width, so that it can be copied."""
        self._lines.append("  " + self._strong(self._safe(line)))

    def points(self, texts: Iterable[str]) -> None:
        """Write an unnumbered list."""
        for text in texts:
            first, *rest = fill(self._safe(text), self.width, " " * 4)
            self._lines += [f"  - {first.strip()}", *rest]

    def remarks(self, remarks: Iterable[Remark]) -> None:
        """Write what results say about themselves, each once."""
        self.points(dict.fromkeys(remark.text for remark in remarks))

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
        widest = [max(wide(line[column]) for line in [heads, *cells]) for column in range(len(heads))]
        left = self.width - 2 - sum(widest[:-1]) - GAP * (len(heads) - 1)
        if self.narrow or left < min(widest[-1], LEAST):
            self._blocks(heads, cells)
        else:
            self._grid(heads, cells, [*widest[:-1], min(left, widest[-1])], frozenset(right))

    def _blocks(self, heads: list[str], cells: list[list[str]]) -> None:
        for name, *others in cells:
            self._lines += [self._strong(line) for line in fill(name, self.width, "  ")]
            for head, cell in zip(heads[1:], others, strict=True):
                if cell:
                    first, *rest = fill(f"{head}: {cell}" if head else cell, self.width, "      ")
                    self._lines += [f"    {first.strip()}", *rest]

    def _grid(
        self, heads: list[str], cells: list[list[str]], widths: list[int], right: frozenset[int]
    ) -> None:
        def laid(row: Sequence[str]) -> list[str]:
            *short, last = row
            texts = [*((one, wide(one)) for one in short)]
            padded = [
                " " * (widths[n] - size) + one if n in right else one + " " * (widths[n] - size)
                for n, (one, size) in enumerate(texts)
            ]
            before = "  " + "".join(one + " " * GAP for one in padded)
            end = len(widths) - 1
            lines = fill(last, widths[end]) or [""]
            lines = [" " * (widths[end] - wide(one)) + one if end in right else one for one in lines]
            return [(before if n == 0 else " " * wide(before)) + one for n, one in enumerate(lines)]

        rule = spelled("─", self.encoding) * (sum(widths) + GAP * (len(widths) - 1))
        rows = [line for row in cells for line in laid(row)]
        self._lines += [line.rstrip() for line in [*laid(heads), f"  {rule}", *rows]]

    def _safe(self, text: str) -> str:
        return spelled(clean(text), self.encoding)

    def _strong(self, text: str) -> str:
        return f"\x1b[1m{text}\x1b[0m" if self.bold else text


def _can_be_bold() -> bool:
    return (
        sys.stdout is not None
        and sys.stdout.isatty()
        and not os.environ.get("NO_COLOR")
        and os.environ.get("TERM") != "dumb"
        and (os.name != "nt" or "WT_SESSION" in os.environ)
    )


def plus_minus(value: float, half_width: float) -> str:
    """Write a number with its half-width, for a cell of a table.

    Examples
    --------
    >>> plus_minus(5.604, 0.197)
    '5.60 ± 0.20'
    """
    return f"{number(value, half_width)} ± {half_width:.{decimals(half_width)}f}"


def typed(value: float) -> str:
    """Write a number as a display shows it, with one decimal at least.

    Examples
    --------
    >>> typed(6.0), typed(5.41)
    ('6.0', '5.41')
    """
    text = f"{value:g}"
    return text if "." in text else f"{text}.0"


def signed(value: float, half_width: float) -> str:
    """Write a difference with its sign.

    Examples
    --------
    >>> signed(0.451, 0.2), signed(-0.3, 0.2), signed(-1e-9, 0.2)
    ('+0.45', '-0.30', '+0.00')
    """
    text = number(value, half_width)
    return text if text.startswith("-") else f"+{text}"
