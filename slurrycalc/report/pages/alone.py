"""Where the enclosures stand by the record, in a line each."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from datetime import date

from slurrycalc.data.method import METHOD
from slurrycalc.day.bench.overview import Overview
from slurrycalc.day.bench.result import EnclosureResult
from slurrycalc.day.months.duties import Duties
from slurrycalc.deciding.doubt import doubts, in_doubt
from slurrycalc.deciding.due import DueItem
from slurrycalc.metrology.figures import plus_minus
from slurrycalc.report.page import GAP, Block, Command, Do, Heading, Say, State, points, table
from slurrycalc.report.pages.case import span_of
from slurrycalc.report.pages.due import do_next, overdue_line
from slurrycalc.report.pages.stands import stands_word

AT_MOST = 30
"""So many enclosures get a line each."""


def alone_blocks(whole: Overview, begun: date | None) -> Iterator[Block]:
    """Tell where the enclosures stand, those first that need somebody, and what to do next.

    Parameters
    ----------
    whole : Overview
        What there is to know.
    begun : date or None
        Of a bench day that is not finished.
    """
    found, stands, changed = whole.found, whole.stands, whole.changed
    read = dict.fromkeys([*whole.read, *(one.name or "" for one in stands.enclosures)])
    if read:
        yield Heading(need_words(read, found))
        yield from standing_blocks(stands.enclosures, found, len(read))
        yield GAP
    yield from _next(found, begun)
    yield GAP
    yield from _bench(whole)
    if changed:
        yield Say(f"Answered otherwise now, without a new reading (method {METHOD}):")
        yield points(each.text for each in changed[:AT_MOST])
        if len(changed) > AT_MOST:
            yield Say(f"{len(changed) - AT_MOST} more: slurrycalc show NAME tells each.")
        yield GAP
    if stands.unread:
        yield Say(f"Not read yet: {', '.join(stands.unread)}.")
    yield from _days(whole)
    yield Say(
        "What is due: slurrycalc due. What is on record: slurrycalc history. Every command: slurrycalc --help"
    )


def need_words(names: Collection[str], found: Duties) -> str:
    """Say how many enclosures ask for something now."""
    need = sum(_is_now(found.first_of(name)) for name in names)
    if not need:
        return "No enclosure needs you now"
    if len(names) == 1:
        return "Your enclosure needs you"
    return f"{need} of your {len(names)} enclosures {'needs' if need == 1 else 'need'} you"


def _is_now(item: DueItem | None) -> bool:
    return item is not None and item.days <= 0


def standing_blocks(stands: Sequence[EnclosureResult], found: Duties, many: int) -> Iterator[Block]:
    """Write a line for each of some enclosures, of so many, those first that ask for something first."""
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
    if many > AT_MOST:
        yield Say(f"{many - AT_MOST} more stand better than these.")


def _state(one: EnclosureResult, item: DueItem | None) -> State:
    if _is_now(item):
        return "act"
    return "well" if one.settled else "open"


def _task(item: DueItem | None) -> str:
    return "never to be read" if item is None else item.in_short


def _bench(whole: Overview) -> Iterator[Block]:
    """Write what puts last bench days in doubt, and what the steady jars say of their last."""
    said = list(whole.bench)
    for one in whole.stands.enclosures:
        said += [(one.day, remark) for remark in one.judgement.doubts]
    for jar in whole.stands.steady:
        said += [(jar.day, remark) for remark in (*jar.said.remarks, *doubts(jar.remarks))]
    lines = dict.fromkeys((day, remark.text) for day, remark in said)
    yield points(f"{day}: {text}" for day, text in sorted(lines, key=lambda line: line[0], reverse=True))
    for jar in whole.stands.steady:
        if not jar.said.remarks and not in_doubt(jar.remarks):
            yield Say(f"{jar.name}, {jar.said.day}: {jar.said.text}")


def _days(whole: Overview) -> Iterator[Block]:
    """Write when the last bench day was, what is overdue, and what is due no more."""
    found = whole.found
    if whole.read:
        last = max(whole.read.values())
        yield Say(f"Last bench day: {last.day} {last:%B} {last.year}, {_ago((found.today - last).days)}.")
    if found.overdue:
        yield Say(overdue_line(found))
    yield points(each.text for each in found.withdrawn)


def _next(found: Duties, begun: date | None) -> Iterator[Block]:
    """Write the next command."""
    if begun is not None:
        yield Do(f"go on with the bench day of {begun.day} {begun:%B}, which is not finished:")
        yield Command("slurrycalc bench")
    elif found.every:
        yield from do_next(found)
    else:
        yield Do("the next bench day, when you like:")
        yield Command("slurrycalc bench")


def _ago(days: int) -> str:
    if days <= 0:
        return "today"
    return "yesterday" if days == 1 else f"{days} days ago"
