"""What ``slurrycalc`` alone says: where the enclosures stand by the record, or, without one, the ways in."""

from __future__ import annotations

import os
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from slurrycalc.cli.front import fill, front_page
from slurrycalc.cli.whereabouts import logbook_path
from slurrycalc.metrology.quote import clean
from slurrycalc.metrology.remark import Refusal, Remark

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page
    from slurrycalc.day.bench.result import EnclosureResult
    from slurrycalc.day.bench.standing import Standing
    from slurrycalc.day.months.duties import Duties
    from slurrycalc.deciding.due import DueItem

AT_MOST = 30
"""So many enclosures get a line each."""


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
    from slurrycalc.cli.show import Page
    from slurrycalc.day.bench.standing import standing
    from slurrycalc.day.months.duties import duties
    from slurrycalc.logbook.recall import Recall
    from slurrycalc.logbook.sessions import open_session
    from slurrycalc.logbook.store import open_logbook

    with open_logbook(path, writes=False) as book:
        recall = Recall(book)
        whole = standing(recall, advised=0)
        found = duties(recall, present().date())
        begun = open_session(book)
    if not whole.enclosures and not whole.unread and not whole.steady and begun is None:
        return None
    page = Page(columns)
    if whole.enclosures:
        need = [one for one in whole.enclosures if _is_now(found.first_of(one.name or ""))]
        many = len(whole.enclosures)
        verb = "needs" if len(need) == 1 else "need"
        page.title(f"{len(need)} of {many} {verb} you" if need else "None needs you now")
        _table(page, whole.enclosures, found)
    page.gap()
    _bench(page, whole)
    if whole.unread:
        page.say(f"Not read yet: {', '.join(whole.unread)}.")
    _next(page, whole.enclosures, found, None if begun is None else begun.when.day)
    return page.text()


def _is_now(item: DueItem | None) -> bool:
    return item is not None and item.days <= 0


def _table(page: Page, stands: tuple[EnclosureResult, ...], found: Duties) -> None:
    from slurrycalc.cli.show_day import above_floor_word, in_range_word
    from slurrycalc.metrology.figures import plus_minus

    order = {name: i for i, name in enumerate(found.first)}
    first = sorted(stands, key=lambda one: order.get(one.name or "", len(order)))
    page.table(
        ("do", "enclosure", "pH", "range", "floor", "read on"),
        [
            (
                _task(found.first_of(one.name or "")),
                one.name or "",
                plus_minus(one.slurry.ph.n, one.slurry.interval(one.judgement.p).half_width),
                in_range_word(one.judgement),
                above_floor_word(one.judgement),
                one.day,
            )
            for one in first[:AT_MOST]
        ],
    )
    if len(stands) > AT_MOST:
        page.say(f"{len(stands) - AT_MOST} more stand better than these.")


def _task(item: DueItem | None) -> str:
    return "never to be read" if item is None else item.in_short


def _bench(page: Page, whole: Standing) -> None:
    """Write what puts days of the table in doubt, and what the steady jars say of their last."""
    from slurrycalc.deciding.doubt import doubts, in_doubt

    said = [(one.day, (*_of_bench(one), *one.judgement.doubts)) for one in whole.enclosures]
    said += [(jar.day, (*jar.said.remarks, *doubts(jar.remarks))) for jar in whole.steady]
    lines = dict.fromkeys((day, remark.text) for day, remarks in said for remark in remarks)
    page.points(f"{day}: {text}" for day, text in sorted(lines, key=lambda line: line[0], reverse=True))
    for jar in whole.steady:
        if not jar.said.remarks and not in_doubt(jar.remarks):
            page.say(f"{jar.name}, {jar.said.day}: {jar.said.text}")


def _of_bench(one: EnclosureResult) -> tuple[Remark, ...]:
    return tuple(remark for remark in one.remarks if remark.kind.startswith("steady-jar-"))


def _next(page: Page, stands: tuple[EnclosureResult, ...], found: Duties, begun: date | None) -> None:
    """Write when the last bench day was, what is overdue, and the next command."""
    from slurrycalc.cli.show_due import do_next, overdue_line

    if stands:
        last = date.fromisoformat(max(one.day for one in stands))
        page.say(f"Last bench day: {last.day} {last:%B} {last.year}, {_ago((found.today - last).days)}.")
    if found.overdue:
        page.say(overdue_line(found))
    page.points(each.text for each in found.withdrawn)
    if begun is not None:
        page.do(f"go on with the bench day of {begun.day} {begun:%B}, which is not finished:")
        page.command("slurrycalc bench")
    elif found.every:
        do_next(page, found)
    else:
        page.do("the next bench day, when you like:")
        page.command("slurrycalc bench")
    page.say(
        "What is due: slurrycalc due. What is on record: slurrycalc history. Every command: slurrycalc --help"
    )


def _ago(days: int) -> str:
    if days <= 0:
        return "today"
    return "yesterday" if days == 1 else f"{days} days ago"
