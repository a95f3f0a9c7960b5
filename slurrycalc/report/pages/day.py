"""A whole bench day, on a page."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from slurrycalc.day.bench.result import DayResult, EnclosureResult, FreshResult, ProbeResult, SteadyResult
from slurrycalc.deciding.doubt import see_to
from slurrycalc.deciding.judgement import Judgement
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.metrology.figures import plus_minus
from slurrycalc.report.page import GAP, Block, Cautions, Do, Heading, Say, noted, points, table
from slurrycalc.report.pages.budget import budget_blocks
from slurrycalc.report.pages.case import case_blocks, on_record_already
from slurrycalc.report.pages.fresh import fresh_blocks
from slurrycalc.report.pages.meter import calibration_blocks, doubts_blocks
from slurrycalc.report.pages.probe import answer_blocks, comparison_blocks, update_blocks
from slurrycalc.report.pages.steady import steady_blocks

FEW = 6
"""Enclosures that are told one by one; more make a table."""


MOST_NAMED = 40
"""Rows held back and notes that are told one by one."""


def day_blocks(day: DayResult, file: str, p: float, *, budget: bool = False) -> Iterator[Block]:
    """Write a bench day: what to mind, the meter, each enclosure with the worst first, the probe.

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
    yield Heading(", ".join(["Bench day", *_heading(day), file]))
    if day.note:
        yield Say(day.note)
    yield Cautions()
    yield from held_back_blocks(day)
    many = len(day.enclosures) > FEW
    meter = f"Meter {day.calibration.meter.name or ''}".rstrip()
    for place, calibration in enumerate(day.before, 1):
        under = tuple(jar.label for jar in day.jars if jar.calibration == place)
        yield Heading(f"{meter}, before it was calibrated again" + (f": {_jars(under)}" if under else ""))
        yield from calibration_blocks(calibration, p, slurries_read=True)
    yield Heading(f"{meter}, calibrated again" if day.before else meter)
    if many:
        yield Say(" ".join(day.calibration.verdict.reasons))
        yield from doubts_blocks(day.calibration, day.check)
    else:
        yield from calibration_blocks(day.calibration, p, day.check, slurries_read=True)
    yield points(one.text for one in day.checks)
    yield from bench_blocks(day, p)
    if many:
        yield from enclosures_blocks(day)
    else:
        yield from one_by_one_blocks(day, p)
    yield from mixes_blocks(day, p)
    if budget:
        for enclosure in day.enclosures:
            yield from budget_blocks(enclosure.slurry.budget, f"the pH of {enclosure.name}", "pH")
    if day.probe is not None:
        yield from probe_blocks(day.probe, p, many=many)
    notes = [f"{jar.label}: {jar.note}" for jar in day.jars if jar.note]
    if day.remarks or notes:
        yield Heading("Noted")
        yield noted(day.remarks[:MOST_NAMED])
        yield points(notes[:MOST_NAMED])
    yield GAP


def read_blocks(
    one: EnclosureResult | SteadyResult | FreshResult, calibration: Calibration, p: float
) -> Iterator[Block]:
    """Write what one enclosure read: where it stands, or what it is read for."""
    if isinstance(one, SteadyResult):
        yield from steady_blocks(p, one.slurry, one.said, calibration, shares=one.shares)
    elif isinstance(one, FreshResult):
        yield from fresh_blocks(p, one.slurry, calibration, shares=one.shares)
    else:
        ends = one.slurry.interval(p)
        yield from case_blocks(
            ends, one.slurry, one.judgement, calibration, shares=one.shares, first=one.first
        )


def one_by_one_blocks(day: DayResult, p: float) -> Iterator[Block]:
    """Write each enclosure by itself, the worst first."""
    for one in day.enclosures:
        yield Heading(f"{one.name}, {_jars(one.jars)}")
        yield from read_blocks(one, day.calibration, p)
        told = (*one.judgement.remarks, *one.slurry.remarks)
        yield noted(remark for remark in one.remarks if remark not in told)
        yield from _show_more(one)


def bench_blocks(day: DayResult, p: float) -> Iterator[Block]:
    """Write what the steady jars of a day say of the bench, before what rests on it."""
    for jar in day.steady:
        yield Heading(f"{jar.name}, the steady jar, {_jars(jar.jars)}")
        yield from read_blocks(jar, day.calibration, p)
        told = (*jar.said.remarks, *jar.slurry.remarks)
        yield noted(remark for remark in jar.remarks if remark not in told)
        yield from _show_more(jar)


def mixes_blocks(day: DayResult, p: float) -> Iterator[Block]:
    """Write the pH of the tubs of fresh mix."""
    for tub in day.fresh:
        yield Heading(f"{tub.name}, fresh mix, {_jars(tub.jars)}")
        yield from read_blocks(tub, day.calibration, p)
        yield noted(remark for remark in tub.remarks if remark not in tub.slurry.remarks)
        yield from _show_more(tub)


def _show_more(one: EnclosureResult | SteadyResult | FreshResult) -> Iterator[Block]:
    if one.earlier:
        yield points([on_record_already(one.earlier)])
    if one.note:
        yield Say(f"Noted: {one.note}")


def _heading(day: DayResult) -> list[str]:
    words = []
    if day.date is not None:
        on = date.fromisoformat(day.date)
        words.append(f"{on.day} {on:%B} {on.year}")
    if day.by:
        words.append(f"by {day.by}")
    return words


def _jars(labels: tuple[str | None, ...]) -> str:
    *others, last = [label or "" for label in labels]
    return f"jars {', '.join(others)} and {last}" if others else f"jar {last}"


def held_back_blocks(day: DayResult) -> Iterator[Block]:
    """Write which rows of a table could not stand, and why."""
    if not day.held_back:
        return
    yield GAP
    yield Say(f"{len(day.jars)} jars stand, {len(day.held_back)} held back:")
    yield points(f"row {held.row}: {held.text}" for held in day.held_back[:MOST_NAMED])
    if len(day.held_back) > MOST_NAMED:
        yield points([f"{len(day.held_back) - MOST_NAMED} more; --json names each."])


def enclosures_blocks(day: DayResult) -> Iterator[Block]:
    """Write one line an enclosure, the worst first, and what to do with which."""
    yield Heading(f"{len(day.enclosures)} enclosures, the worst first")
    yield table(
        ("do", "enclosure", "pH", "range", "floor", "jars"),
        [
            (
                task_word(one),
                one.name or "",
                plus_minus(one.slurry.ph.n, one.slurry.interval(one.judgement.p).half_width),
                in_range_word(one.judgement),
                above_floor_word(one.judgement),
                str(len(one.jars)),
            )
            for one in day.enclosures
        ],
        right=(5,),
    )
    yield GAP
    doubt = see_to(remark for one in day.enclosures for remark in one.judgement.doubts)
    if doubt is not None:
        yield Do(doubt.do)
    act = [one.name or "" for one in day.enclosures if one.asks_exchange]
    if act:
        yield Do(f"exchange a part of {_some(act)}, animals out first.")
    if any(one.judgement.advice for one in day.enclosures):
        yield Say(
            "Where a limit lies inside the interval, --json says the least that is likely to settle it, with "
            "the chances."
        )
    remarks: dict[str, list[tuple[str, str]]] = {}
    for one in day.enclosures:
        for remark in one.remarks:
            if remark not in one.judgement.remarks:
                remarks.setdefault(remark.kind, []).append((one.name or "", remark.text))
    yield GAP
    for named in remarks.values():
        yield points(f"{name}: {text}" for name, text in named[:FEW])
        if len(named) > FEW:
            yield points([f"The same of {len(named) - FEW} more; --json has each."])


def _some(names: list[str]) -> str:
    more = len(names) - 2 * FEW
    return ", ".join(names[: 2 * FEW]) + (f" and {more} more" if more > 0 else "")


def task_word(one: EnclosureResult) -> str:
    """Say in a word or three what to do next."""
    standing = one.judgement
    if (doubt := see_to(standing.doubts)) is not None:
        return doubt.word
    if one.first is not None:
        return one.first.in_short
    if standing.ready:
        return "act"
    if not standing.advice:
        return "nothing now"
    most = max(standing.advice, key=lambda advice: (advice.action in ("day", "nothing"), advice.n))
    if most.action == "slurries":
        return f"mix {most.n} more"
    return "third buffer" if most.action == "buffer" else "another day"


def in_range_word(standing: Judgement) -> str:
    """Say in a word or two where a pH stands against its range."""
    if standing.in_range.state == "yes":
        return "inside"
    side = "below" if standing.below_range >= standing.above_range else "above"
    return side if standing.in_range.state == "no" else f"perhaps {side}"


def above_floor_word(standing: Judgement) -> str:
    """Say in a word or two where a pH stands against its floor."""
    return {"yes": "above", "no": "below", "not settled": "perhaps below"}[standing.above_floor.state]


def probe_blocks(probe: ProbeResult, p: float, *, many: bool = False) -> Iterator[Block]:
    """Write how the probe compares with the slurries, and what its next indication means."""
    name = f"Probe {probe.name or ''}".rstrip()
    if many:
        yield Heading(f"{name}, against {probe.comparison.n} slurries of the same spots")
        yield from answer_blocks(probe, p)
    else:
        earlier = f" and {probe.earlier} on record" if probe.earlier else ""
        yield Heading(f"{name}, against {_jars(probe.jars)}{earlier}")
        yield from comparison_blocks(probe, p)
    if probe.next is not None and probe.judgement is not None and probe.do is not None:
        told = () if many else (*probe.comparison.remarks, *probe.response.remarks)
        texts = [probe.response.text, *(remark.text for remark in told)]
        yield from update_blocks(probe.next, probe.judgement, probe.do, told=texts)
