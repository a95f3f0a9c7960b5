"""What ``slurrycalc`` alone says: where the enclosures stand by the record, or, without one, the ways in."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from slurrycalc.cli.front import fill, front_page
from slurrycalc.cli.waiting import Waiting
from slurrycalc.cli.whereabouts import logbook_path
from slurrycalc.metrology.quote import clean
from slurrycalc.metrology.remark import Refusal


def alone(columns: int) -> str:
    """Lay out what ``slurrycalc`` alone says. A logbook that cannot be read is said, and stops nothing.

    Parameters
    ----------
    columns : int
        Width of the page. [characters]

    Returns
    -------
    str
        The page.
    """
    path = logbook_path()
    there = False
    with suppress(OSError, ValueError):
        there = path.exists()
    if not there:
        return front_page(columns)
    from slurrycalc.logbook.faults import LogbookFault

    try:
        page = _by_the_record(path, columns)
    except Exception as error:
        if os.environ.get("SLURRYCALC_TRACEBACK"):
            raise
        why = str(error) if isinstance(error, LogbookFault | Refusal) else f"{type(error).__name__}: {error}"
        said = f"Where your enclosures stand cannot be said: {clean(why)}"
        return front_page(columns) + "\n".join(["", *fill(said, columns)]) + "\n"
    return front_page(columns) if page is None else page


def _by_the_record(path: Path, columns: int) -> str | None:
    """Lay out where the enclosures stand; None where the record has none."""
    from slurrycalc.cli.recording import present
    from slurrycalc.data.cautions import all_lines
    from slurrycalc.day.bench.overview import overview
    from slurrycalc.logbook.recall import Recall
    from slurrycalc.logbook.sessions import open_session
    from slurrycalc.logbook.store import open_logbook
    from slurrycalc.report.page import GAP, Say
    from slurrycalc.report.pages.alone import AT_MOST, alone_blocks
    from slurrycalc.report.terminal import draw

    with open_logbook(path, writes=False) as book, Waiting("Going through the record"):
        whole, begun = overview(Recall(book), present().date(), AT_MOST), open_session(book)
    stands = whole.stands
    if not stands.enclosures and not stands.unread and not stands.steady and begun is None:
        return None
    page = (*alone_blocks(whole, None if begun is None else begun.when.day), GAP, Say(all_lines()["alone"]))
    return draw(page, columns)
