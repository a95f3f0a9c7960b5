"""Files that any command writes beside what it shows: its page as HTML, its figure as SVG or PNG."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.writing import CUT_OFF, SAVED_UNSEEN, complain
from slurrycalc.metrology.remark import Refusal

if TYPE_CHECKING:
    from slurrycalc.report.figures.canvas import Kind

Write = Callable[[bytes], None]
ENDINGS = {"--page": (".html",), "--plot": (".svg", ".png")}


@dataclass
class Files:
    """Names that a line keeps free, and what came of them."""

    page: tuple[str, Write] | None = None
    plot: tuple[str, Write] | None = None
    told: list[str] = field(default_factory=list)
    """What was written, a sentence each."""
    status: int = 0
    """Exit status, where something could not be written."""

    def write(
        self, name: str, outcome: Outcome[object], cautions: Sequence[str], brief: str, logbook: str | None
    ) -> None:
        """Write what was asked for, now that the answer is known.

        Parameters
        ----------
        name : str
            Of the command.
        outcome : Outcome
            What it handed back.
        cautions : sequence of str
            What to mind at this step.
        brief : str
            The same in a line, where that stands in their place.
        logbook : str or None
            The logbook that the line named.
        """
        if self.page is not None:
            from slurrycalc.report.html import html
            from slurrycalc.report.page import Say

            page = (*outcome.whole, Say(brief), *outcome.foot)
            made = html(page, f"slurrycalc {name}", cautions=cautions, logbook=logbook, last=outcome.last)
            self._keep(
                *self.page, made.encode(), f"The page is in {shlex.quote(self.page[0])}.", outcome.saved
            )
        if self.plot is not None:
            self._figure(outcome, *self.plot)

    def _figure(self, outcome: Outcome[object], path: str, write: Write) -> None:
        from slurrycalc.report.figures.canvas import figure_bytes
        from slurrycalc.report.pictures import pictures

        # A strip is the smallest of them: it is the figure where there is no other.
        drawn = sorted(pictures((*outcome.page, *outcome.foot)), key=lambda one: one.name == "strips")
        if not drawn:
            self.told.append("No figure was written: there is nothing to draw.")
            return
        kind: Kind = "png" if Path(path).suffix.casefold() == ".png" else "svg"
        self._keep(
            path, write, figure_bytes(drawn[0], kind), f"The figure is in {shlex.quote(path)}.", outcome.saved
        )

    def _keep(self, path: str, write: Write, data: bytes, told: str, saved: str | None) -> None:
        try:
            write(data)
        except Refusal as refusal:
            record = "" if saved is None else f" The step is on record as {saved}: don't give the line again."
            complain(f"{refusal}{record}")
            self.status = CUT_OFF if saved is None else SAVED_UNSEEN
        else:
            self.told.append(told)


@contextmanager
def files_of(flags: Sequence[str]) -> Iterator[Files]:
    """Keep the names free that a line gives after ``--page`` and ``--plot``, before anything is recorded.

    Parameters
    ----------
    flags : sequence of str
        The words of the line.

    Yields
    ------
    Files
        That writes them.

    Raises
    ------
    Refusal
        If a name ends otherwise than it should, or is there already.
    """
    names = {option: given(flags, option) for option in ENDINGS}
    if "--help" in flags or not any(names.values()):
        yield Files()
        return
    from slurrycalc.cli.files import kept_free
    from slurrycalc.metrology.quote import quoted

    with ExitStack() as stack:
        files = Files()
        for option, name in names.items():
            if name is None:
                continue
            endings = ENDINGS[option]
            right = f"atlas{endings[0]}"
            if Path(name).suffix.casefold() not in endings:
                either = " or ".join(endings)
                raise Refusal(f"{option}: {quoted(name, 200)} ends otherwise than {either}; name it {right}.")
            setattr(files, option[2:], (name, stack.enter_context(kept_free(name, right))))
        yield files


def given(flags: Sequence[str], option: str) -> str | None:
    """Give the value of an option as the parser takes it: a word of its own or after ``=``; the last.

    Examples
    --------
    >>> given(["due", "--logbook", "a.sqlite", "--logbook=b.sqlite"], "--logbook")
    'b.sqlite'
    """
    named = None
    for flag, following in zip(flags, (*flags[1:], None), strict=False):
        name, joined, value = flag.partition("=")
        if name == option:
            named = value if joined else following
    return named
