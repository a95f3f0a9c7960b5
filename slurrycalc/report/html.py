"""A page as one HTML file that asks for nothing: words, tables, figures, and its look on screen and paper."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache
from hashlib import sha256
from itertools import count
from typing import TYPE_CHECKING, Any

from slurrycalc.metrology.names import on_logbook
from slurrycalc.metrology.quote import clean
from slurrycalc.metrology.watch import Watch, unwatched
from slurrycalc.report.figures.canvas import figure_bytes
from slurrycalc.report.figures.look import FLOOR, FOUND, INK, LEVEL, QUIET, RANGE
from slurrycalc.report.page import Block, Evidence, Gap, Section, headline_words, minded
from slurrycalc.report.pictures import picture, pictures

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

    from slurrycalc.day.bench.sheet import Pencil

_TURNING = {INK: "ink", QUIET: "quiet", RANGE: "range", FLOOR: "floor", LEVEL: "level", FOUND: "found"}
"""Colours of a figure that turn with the page's own, light or dark."""
_IDS = re.compile(r'(\bid="|url\(#|xlink:href="#)')


def html(
    page: Iterable[Block],
    title: str,
    *,
    cautions: Sequence[str] = (),
    logbook: str | None = None,
    last: str = "",
    watch: Watch = unwatched,
) -> str:
    """Write a page as HTML.

    Every text that comes in shows as text: markup is escaped, control characters become visible.

    Parameters
    ----------
    page : iterable of Block
        The page; what it rests on is folded away.
    title : str
        Its first line.
    cautions : sequence of str
        What to mind at this step.
    logbook : str, optional
        The logbook that the line named, to which commands to copy go.
    last : str
        Its last line.
    watch : Watch
        Goes along the figures while they are drawn.

    Returns
    -------
    str
        A whole file.

    Examples
    --------
    >>> from slurrycalc.report.page import Say
    >>> "&lt;b&gt;" in html([Say("<b>")], "atlas")
    True
    """
    blocks = _joined(minded(page, cautions))
    first = next((i for i, block in enumerate(blocks) if isinstance(block, Section)), 0)
    lead, blocks = blocks[:first], blocks[first:]
    parts = [(i, block.title) for i, block in enumerate(blocks, 1) if isinstance(block, Section)]
    means = _means((*lead, *blocks), logbook, "", turns=True, watch=watch)
    template = _environment().get_template("page.html")
    return template.render(lead=lead, blocks=blocks, parts=parts, title=title, last=last, **means)


def part_html(page: Iterable[Block], cautions: Sequence[str] = ()) -> str:
    """Write a page as a part of another one, such as a notebook, which has its own look.

    Parameters
    ----------
    page : iterable of Block
        The page.
    cautions : sequence of str
        What to mind at this step.

    Returns
    -------
    str
        One element; its ids are those of what it holds, so that two of them do not meet.
    """
    blocks = _joined(minded(page, cautions))
    own = sha256(repr(blocks).encode("utf-8", "backslashreplace")).hexdigest()[:8]
    means = _means(blocks, None, f"{own}-", turns=False)
    made: str = _environment().get_template("part.html").render(blocks=blocks, **means)
    return made


def _joined(page: Iterable[Block]) -> tuple[Block, ...]:
    """Fold what stands behind one answer, piece after piece, away together."""
    found: list[Block] = []
    for block in page:
        last = found[-1] if found else None
        if isinstance(block, Section):
            found.append(replace(block, blocks=_joined(block.blocks)))
        elif isinstance(block, Evidence) and isinstance(last, Evidence):
            found[-1] = Evidence((*last.blocks, *block.blocks))
        elif not (isinstance(block, Gap) and isinstance(last, Evidence)):
            found.append(block)
    return tuple(found)


def _means(
    blocks: Sequence[Block], logbook: str | None, own: str, *, turns: bool, watch: Watch = unwatched
) -> dict[str, Any]:
    """Give what the templates ask for while they write: lines to copy, and the drawings in their order."""
    told = tuple(pictures(blocks))
    drawn = iter([figure_bytes(each, "svg").decode() for each in watch(told, len(told))])
    numbers = count(1)
    return {
        "counted": lambda: f"{own}{next(numbers)}",
        "here": lambda line: on_logbook(line, logbook) if line.startswith("slurrycalc ") else line,
        "svg": lambda number: _inlined(next(drawn), number, turns=turns),
    }


def sheet_html(sheet: Pencil, cautions: Sequence[str] = ()) -> str:
    """Write a sheet for a pencil as HTML, to be printed on A4 or Letter.

    Parameters
    ----------
    sheet : Pencil
        Its parts, with what is known filled in.
    cautions : sequence of str
        What to mind, before the first hand moves.

    Returns
    -------
    str
        A whole file.
    """
    return _environment().get_template("sheet.html").render(sheet=sheet, cautions=cautions)


@cache
def _environment() -> Environment:
    from jinja2 import Environment, PackageLoader  # noqa: PLC0415  (only where a page is written)
    from markupsafe import Markup  # noqa: PLC0415

    loader = PackageLoader("slurrycalc.report")
    made = Environment(loader=loader, autoescape=True, finalize=_harmless, trim_blocks=False)
    made.globals |= {
        "style": Markup(loader.get_source(made, "page.css")[0]),
        "sheet_style": Markup(loader.get_source(made, "sheet.css")[0]),
        "kind_of": lambda block: type(block).__name__,
        "headline": headline_words,
        "picture": picture,
    }
    return made


def _harmless(value: Any) -> Any:
    return clean(value) if type(value) is str else value


def _inlined(svg: str, number: str, *, turns: bool) -> Markup:
    """Fit a drawing into a page: its ids are its own, and its colours may turn with the page's."""
    from markupsafe import Markup  # noqa: PLC0415

    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg, count=1, flags=re.DOTALL)
    if turns:
        svg = re.sub(r' (width|height)="[\d.]+pt"', "", svg, count=2)

    def turned(tag: re.Match[str]) -> str:
        made = _IDS.sub(rf"\g<1>f{number}-", tag[0]).replace("#ffffff", "none")
        for colour, name in _TURNING.items() if turns else ():
            made = made.replace(colour, f"var(--{name})")
        return made

    head = f'<svg role="img" aria-labelledby="says-{number}" '
    # Tags alone: what people wrote stands between them, its own brackets escaped.
    return Markup(re.sub("<[^>]+>", turned, svg).replace("<svg ", head, 1))
