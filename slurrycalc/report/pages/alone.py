"""Where the enclosures stand by the record, in a line each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from slurrycalc.data.method import METHOD
from slurrycalc.day.bench.changed_answer import ChangedAnswer
from slurrycalc.day.bench.result import EnclosureResult
from slurrycalc.day.bench.standing import Standing
from slurrycalc.day.months.duties import Duties
from slurrycalc.deciding.doubt import doubts, in_doubt
from slurrycalc.deciding.due import DueItem
from slurrycalc.metrology.figures import plus_minus
from slurrycalc.metrology.remark import Remark
from slurrycalc.report.page import GAP, Block, Command, Do, Heading, Say, State, points, table
from slurrycalc.report.pages.case import span_of
from slurrycalc.report.pages.due import do_next, overdue_line
from slurrycalc.report.pages.stands import stands_word

AT_MOST = 30
"""So many enclosures get a line each."""


def alone_blocks(
    whole: Standing, found: Duties, begun: date | None, changed: Sequence[ChangedAnswer] = ()
) -> Iterator[Block]:
    """Tell where the enclosures stand, those first that need somebody, and what to do next.

    Parameters
    ----------
    whole : Standing
        Where they stand.
    found : Duties
        What is due.
    begun : date or None
        Of a bench day that is not finished.
    changed : sequence of ChangedAnswer
        Whose answers are others by the present method.
    """
    if whole.enclosures:
        need = [one for one in whole.enclosures if _is_now(found.first_of(one.name or ""))]
        many = len(whole.enclosures)
        verb = "needs" if len(need) == 1 else "need"
        yield Heading(f"{len(need)} of {many} {verb} you" if need else "None needs you now")
        yield from _table(whole.enclosures, found)
    yield GAP
    yield from _bench(whole)
    if changed:
        yield Say(f"Answered otherwise now, without a new reading (method {METHOD}):")
        yield points(each.text for each in changed[:AT_MOST])
        if len(changed) > AT_MOST:
            yield Say(f"{len(changed) - AT_MOST} more: slurrycalc show NAME tells each.")
        yield GAP
    if whole.unread:
        yield Say(f"Not read yet: {', '.join(whole.unread)}.")
    yield from _next(whole.enclosures, found, begun)


def _is_now(item: DueItem | None) -> bool:
    return item is not None and item.days <= 0


def _table(stands: tuple[EnclosureResult, ...], found: Duties) -> Iterator[Block]:
    order = {name: i for i, name in enumerate(found.first)}
    first = sorted(stands, key=lambda one: order.get(one.name or "", len(order)))
    yield table(
        ("do", "enclosure", "pH", "stands", "read on"),
        [
            (
                _task(found.first_of(one.name or "")),
                one.name or "",
                plus_minus(one.slurry.ph.n, one.slurry.interval(one.judgement.p).half_width),
                stands_word(one.judgement),
                one.day,
            )
            for one in first[:AT_MOST]
        ],
        spans=[span_of(one) for one in first[:AT_MOST]],
        names=2,
        states=[_state(one, found.first_of(one.name or "")) for one in first[:AT_MOST]],
    )
    if len(stands) > AT_MOST:
        yield Say(f"{len(stands) - AT_MOST} more stand better than these.")


def _state(one: EnclosureResult, item: DueItem | None) -> State:
    if _is_now(item):
        return "act"
    return "well" if one.settled else "open"


def _task(item: DueItem | None) -> str:
    return "never to be read" if item is None else item.in_short


def _bench(whole: Standing) -> Iterator[Block]:
    """Write what puts days of the table in doubt, and what the steady jars say of their last."""
    said = [(one.day, (*_of_bench(one), *one.judgement.doubts)) for one in whole.enclosures]
    said += [(jar.day, (*jar.said.remarks, *doubts(jar.remarks))) for jar in whole.steady]
    lines = dict.fromkeys((day, remark.text) for day, remarks in said for remark in remarks)
    yield points(f"{day}: {text}" for day, text in sorted(lines, key=lambda line: line[0], reverse=True))
    for jar in whole.steady:
        if not jar.said.remarks and not in_doubt(jar.remarks):
            yield Say(f"{jar.name}, {jar.said.day}: {jar.said.text}")


def _of_bench(one: EnclosureResult) -> tuple[Remark, ...]:
    return tuple(remark for remark in one.remarks if remark.kind.startswith("steady-jar-"))


def _next(stands: tuple[EnclosureResult, ...], found: Duties, begun: date | None) -> Iterator[Block]:
    """Write when the last bench day was, what is overdue, and the next command."""
    if stands:
        last = date.fromisoformat(max(one.day for one in stands))
        yield Say(f"Last bench day: {last.day} {last:%B} {last.year}, {_ago((found.today - last).days)}.")
    if found.overdue:
        yield Say(overdue_line(found))
    yield points(each.text for each in found.withdrawn)
    if begun is not None:
        yield Do(f"go on with the bench day of {begun.day} {begun:%B}, which is not finished:")
        yield Command("slurrycalc bench")
    elif found.every:
        yield from do_next(found)
    else:
        yield Do("the next bench day, when you like:")
        yield Command("slurrycalc bench")
    yield Say(
        "What is due: slurrycalc due. What is on record: slurrycalc history. Every command: slurrycalc --help"
    )


def _ago(days: int) -> str:
    if days <= 0:
        return "today"
    return "yesterday" if days == 1 else f"{days} days ago"
