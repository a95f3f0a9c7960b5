"""A whole bench day, on a page: a line an enclosure, what to do first; behind it, each in full."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date

from slurrycalc.day.bench.result import DayResult, EnclosureResult, FreshResult, SteadyResult
from slurrycalc.deciding.doubt import see_to
from slurrycalc.deciding.exchange.words import in_cases
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.metrology.figures import plus_minus
from slurrycalc.report.page import (
    GAP,
    Block,
    Cautions,
    Do,
    Evidence,
    Heading,
    Page,
    Say,
    State,
    Table,
    evidence,
    noted,
    points,
    table,
)
from slurrycalc.report.pages.budget import budget_blocks
from slurrycalc.report.pages.case import SAID, case_blocks, on_record_already, span_of, task_of
from slurrycalc.report.pages.fresh import fresh_blocks
from slurrycalc.report.pages.meter import IN_SHORT, calibration_blocks, doubts_blocks
from slurrycalc.report.pages.probe import probe_evidence, probe_lines
from slurrycalc.report.pages.remarks import EVIDENCE
from slurrycalc.report.pages.stands import is_urgent, stands_word, task_word
from slurrycalc.report.pages.steady import steady_blocks
from slurrycalc.report.strip import Span

FEW = 6
"""So many enclosures of which the same is said are told one by one."""
MOST_NAMED = 40
"""Rows left out and notes that are told one by one."""
NEVER = 99
"""Rank of what the agenda asks nothing of: after all others."""
AT_MOST = 40
"""So many enclosures get a line each, those first that ask for most."""


def day_blocks(day: DayResult, file: str, p: float, *, budget: bool = False) -> Iterator[Block]:
    """Tell a bench day: what to do, a line each; the probe; behind it the meter and each case in full.

    Parameters
    ----------
    day : DayResult
        The day.
    file : str
        Name of the file that it came from.
    p : float
        Coverage probability. [1]
    budget : bool
        Whether to write where each enclosure's uncertainty comes from.
    """
    yield Heading(", ".join(["Bench day", *_heading(day), *([file] if file else [])]))
    yield Say(_meter_line(day))
    yield GAP
    beds = sorted(day.enclosures, key=_need)
    yield from _table(beds, day)
    yield GAP
    yield from _tasks(beds)
    yield from held_back_blocks(day)
    yield from _doubts(day)
    yield from _told_of(day)
    if day.probe is not None:
        yield from probe_lines(day.probe, p)
    if day.note:
        yield Say(f"Noted: {day.note}")
    notes = [f"{one.name}: {one.note}" for one in day.read if one.note]
    notes += [f"{jar.label}: {jar.note}" for jar in day.jars if jar.note]
    yield points(notes[:MOST_NAMED])
    yield noted(day.remarks[:MOST_NAMED])
    yield Say(f"± holds in {in_cases(p)}.")
    yield evidence(_behind(day, beds, p))
    if budget:
        for enclosure in day.enclosures:
            yield from budget_blocks(enclosure.slurry.budget, f"the pH of {enclosure.name}", "pH")
    yield Cautions()


def table_last(page: Page) -> tuple[Page, Page]:
    """Part the page of a day from its table, which is to be the last thing on the screen."""
    found = next((block for block in page if isinstance(block, Table)), None)
    if found is None:
        return page, ()
    return tuple(block for block in page if block is not found), (found,)


def read_blocks(
    one: EnclosureResult | SteadyResult | FreshResult, calibration: Calibration | None, p: float
) -> Iterator[Block]:
    """Tell what one enclosure read: where it stands, or what it is read for."""
    if isinstance(one, SteadyResult):
        yield from steady_blocks(one, calibration, p)
    elif isinstance(one, FreshResult):
        yield from fresh_blocks(one, calibration, p)
    else:
        yield from case_blocks(one, calibration, p)


def _need(one: EnclosureResult) -> tuple[bool, int, str]:
    """Sort by what the agenda asks for now; what was not asked of it stays as it stands, the worst first."""
    item = one.first
    if item is None:
        return True, NEVER, ""
    return item.days > 0, item.rank if item.days <= 0 else 0, item.on.isoformat()


def _meter_line(day: DayResult) -> str:
    name = f"Meter {day.calibration.meter.name or ''}".rstrip()
    again = ", calibrated again that day" if day.before else ""
    return f"{name}{again}: {IN_SHORT[day.calibration.verdict.state]}."


def _table(beds: Sequence[EnclosureResult], day: DayResult) -> Iterator[Block]:
    rows: list[tuple[str, ...]] = []
    spans: list[Span | None] = []
    states: list[State] = []
    for one in beds[:AT_MOST]:
        half = one.slurry.interval(one.judgement.p).half_width
        ph = plus_minus(one.slurry.ph.n, half)
        rows.append((task_word(one), one.name or "", ph, stands_word(one.judgement)))
        spans.append(span_of(one))
        states.append("act" if is_urgent(one) else "well" if one.settled else "open")
    others: tuple[SteadyResult | FreshResult, ...] = (*day.steady, *day.fresh)
    for other in others:
        ph = plus_minus(other.slurry.ph.n, other.interval().half_width)
        alarms = isinstance(other, SteadyResult) and other.said.state == "alarm"
        word = "steady jar" if isinstance(other, SteadyResult) else "fresh mix"
        rows.append(("bench first" if alarms else "nothing now", other.name, ph, word))
        spans.append(None)
        states.append("act" if alarms else "")
    yield table(("do", "enclosure", "pH", "stands"), rows, spans=spans, states=states, names=2)
    if len(beds) > AT_MOST:
        yield Say(f"{len(beds) - AT_MOST} more stand better than these; --json names each.")


def _tasks(beds: Sequence[EnclosureResult]) -> Iterator[Block]:
    """Say what comes first, with the line that does it."""
    doubt = see_to(remark for one in beds for remark in one.judgement.doubts)
    if doubt is not None:
        yield Do(doubt.do)
        yield Say(doubt.answer)
    elif beds:
        first = task_of(beds[0])
        yield first if beds[0].first is not None else replace(first, text=f"{beds[0].name}: {first.text}")


def _doubts(day: DayResult) -> Iterator[Block]:
    """Tell what of the meter, its bottles and the steady jars changes what may be done."""
    for calibration in (*day.before, day.calibration):
        if calibration.verdict.state not in ("good", "disputed"):
            yield points(calibration.verdict.reasons)
        check = day.check if calibration is day.calibration else None
        yield from (each for each in doubts_blocks(calibration, check) if not isinstance(each, Evidence))
    yield points(one.text for one in day.checks if not one.check.agrees)
    yield points(f"{jar.name}: {jar.said.text}" for jar in day.steady if jar.said.state == "alarm")


def _told_of(day: DayResult) -> Iterator[Block]:
    """Tell what is remarked of enclosures, each thing of a few by name."""
    kinds: dict[str, list[tuple[str, str]]] = {}
    for one in day.read:
        says_it = SAID if isinstance(one, EnclosureResult) and not one.judgement.doubts else ()
        bench = one.said.remarks if isinstance(one, SteadyResult) else ()
        for remark in one.remarks:
            if remark.kind not in EVIDENCE and remark.kind not in says_it and remark not in bench:
                kinds.setdefault(remark.kind, []).append((one.name or "", remark.text))
    for named in kinds.values():
        yield points(f"{name}: {text}" for name, text in named[:FEW])
        if len(named) > FEW:
            yield points([f"The same of {len(named) - FEW} more; --json has each."])
    yield points(f"{one.name}: {on_record_already(one.earlier)}" for one in day.read if one.earlier)


def _behind(day: DayResult, beds: Sequence[EnclosureResult], p: float) -> Iterator[Block]:
    """Tell the day in full: meter, bottles, each enclosure, the probe."""
    meter = f"Meter {day.calibration.meter.name or ''}".rstrip()
    for place, calibration in enumerate(day.before, 1):
        under = tuple(jar.label for jar in day.jars if jar.calibration == place)
        yield Heading(f"{meter}, before it was calibrated again" + (f": {_jars(under)}" if under else ""))
        yield from calibration_blocks(calibration, p, slurries_read=True)
    yield Heading(f"{meter}, calibrated again" if day.before else meter)
    yield from calibration_blocks(day.calibration, p, day.check, slurries_read=True)
    read: tuple[EnclosureResult | SteadyResult | FreshResult, ...] = (
        *day.steady,
        *beds[:AT_MOST],
        *day.fresh,
    )
    yield points(one.text for one in day.checks if one.check.agrees)
    for one in read:
        yield Heading(f"{one.name}, {_what(one)}{_jars(one.jars)}")
        yield from read_blocks(one, day.calibration, p)
    if day.probe is not None:
        yield from probe_evidence(day.probe, p)


def _what(one: EnclosureResult | SteadyResult | FreshResult) -> str:
    if isinstance(one, SteadyResult):
        return "the steady jar, "
    return "fresh mix, " if isinstance(one, FreshResult) else ""


def _heading(day: DayResult) -> list[str]:
    words = []
    if day.date is not None:
        on = date.fromisoformat(day.date)
        words.append(f"{on.day} {on:%B} {on.year}")
    if day.by:
        words.append(f"by {day.by}")
    return words


def _jars(labels: Sequence[str | None]) -> str:
    if not labels:
        return "its jars"
    *others, last = [label or "" for label in labels]
    return f"jars {', '.join(others)} and {last}" if others else f"jar {last}"


def held_back_blocks(day: DayResult) -> Iterator[Block]:
    """Write which rows of a table could not stand, and why."""
    if not day.held_back:
        return
    yield Say(f"{len(day.jars)} jars read, {len(day.held_back)} left out:")
    yield points(f"row {held.row}: {held.text}" for held in day.held_back[:MOST_NAMED])
    if len(day.held_back) > MOST_NAMED:
        yield points([f"{len(day.held_back) - MOST_NAMED} more; --json names each."])
