"""A whole bench day, on a page."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from slurrycalc.cli.show_budget import show_budget
from slurrycalc.cli.show_case import on_record_already, show_case
from slurrycalc.cli.show_fresh import show_fresh
from slurrycalc.cli.show_meter import show_calibration, show_doubts
from slurrycalc.cli.show_probe import show_answer, show_comparison, show_update
from slurrycalc.cli.show_steady import show_steady
from slurrycalc.day.bench.result import DayResult, EnclosureResult, FreshResult, ProbeResult, SteadyResult
from slurrycalc.deciding.doubt import see_to
from slurrycalc.deciding.judgement import Judgement
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.metrology.figures import plus_minus

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page

FEW = 6
"""Enclosures that are told one by one; more make a table."""


MOST_NAMED = 40
"""Rows held back and notes that are told one by one."""


def show_day(page: Page, day: DayResult, file: str, p: float, *, budget: bool = False) -> None:
    """Write a bench day: what to mind, the meter, each enclosure with the worst first, the probe.

    Parameters
    ----------
    page : Page
        Where to.
    day : DayResult
        The day.
    file : str
        Name of the file that it came from.
    p : float
        Coverage probability. [1]
    budget : bool
        Whether to write where each enclosure's uncertainty comes from.
    """
    page.title(", ".join(["Bench day", *_heading(day), file]))
    if day.note:
        page.say(day.note)
    page.mind()
    show_held_back(page, day)
    many = len(day.enclosures) > FEW
    meter = f"Meter {day.calibration.meter.name or ''}".rstrip()
    for place, calibration in enumerate(day.before, 1):
        under = tuple(jar.label for jar in day.jars if jar.calibration == place)
        page.title(f"{meter}, before it was calibrated again" + (f": {_jars(under)}" if under else ""))
        show_calibration(page, calibration, p, slurries_read=True)
    page.title(f"{meter}, calibrated again" if day.before else meter)
    if many:
        page.say(" ".join(day.calibration.verdict.reasons))
        show_doubts(page, day.calibration, day.check)
    else:
        show_calibration(page, day.calibration, p, day.check, slurries_read=True)
    page.points(one.text for one in day.checks)
    show_bench(page, day, p)
    if many:
        show_enclosures(page, day)
    else:
        show_one_by_one(page, day, p)
    show_mixes(page, day, p)
    if budget:
        for enclosure in day.enclosures:
            show_budget(page, enclosure.slurry.budget, f"the pH of {enclosure.name}", "pH")
    if day.probe is not None:
        show_probe(page, day.probe, p, many=many)
    notes = [f"{jar.label}: {jar.note}" for jar in day.jars if jar.note]
    if day.remarks or notes:
        page.title("Noted")
        page.remarks(day.remarks[:MOST_NAMED])
        page.points(notes[:MOST_NAMED])
    page.gap()


def show_read(
    page: Page, one: EnclosureResult | SteadyResult | FreshResult, calibration: Calibration, p: float
) -> None:
    """Write what one enclosure read: where it stands, or what it is read for."""
    if isinstance(one, SteadyResult):
        show_steady(page, p, one.slurry, one.said, calibration, shares=one.shares)
    elif isinstance(one, FreshResult):
        show_fresh(page, p, one.slurry, calibration, shares=one.shares)
    else:
        ends = one.slurry.interval(p)
        show_case(
            page, ends, one.slurry, one.judgement, calibration, shares=one.shares, again=one.again
        )


def show_one_by_one(page: Page, day: DayResult, p: float) -> None:
    """Write each enclosure by itself, the worst first."""
    for one in day.enclosures:
        page.title(f"{one.name}, {_jars(one.jars)}")
        show_read(page, one, day.calibration, p)
        told = (*one.judgement.remarks, *one.slurry.remarks)
        page.remarks(remark for remark in one.remarks if remark not in told)
        _show_more(page, one)


def show_bench(page: Page, day: DayResult, p: float) -> None:
    """Write what the steady jars of a day say of the bench, before what rests on it."""
    for jar in day.steady:
        page.title(f"{jar.name}, the steady jar, {_jars(jar.jars)}")
        show_read(page, jar, day.calibration, p)
        told = (*jar.said.remarks, *jar.slurry.remarks)
        page.remarks(remark for remark in jar.remarks if remark not in told)
        _show_more(page, jar)


def show_mixes(page: Page, day: DayResult, p: float) -> None:
    """Write the pH of the tubs of fresh mix."""
    for tub in day.fresh:
        page.title(f"{tub.name}, fresh mix, {_jars(tub.jars)}")
        show_read(page, tub, day.calibration, p)
        page.remarks(remark for remark in tub.remarks if remark not in tub.slurry.remarks)
        _show_more(page, tub)


def _show_more(page: Page, one: EnclosureResult | SteadyResult | FreshResult) -> None:
    if one.earlier:
        page.points([on_record_already(one.earlier)])
    if one.note:
        page.say(f"Noted: {one.note}")


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


def show_held_back(page: Page, day: DayResult) -> None:
    """Write which rows of a table could not stand, and why."""
    if not day.held_back:
        return
    page.gap()
    page.say(f"{len(day.jars)} jars stand, {len(day.held_back)} held back:")
    page.points(f"row {held.row}: {held.text}" for held in day.held_back[:MOST_NAMED])
    if len(day.held_back) > MOST_NAMED:
        page.points([f"{len(day.held_back) - MOST_NAMED} more; --json names each."])


def show_enclosures(page: Page, day: DayResult) -> None:
    """Write one line an enclosure, the worst first, and what to do with which."""
    page.title(f"{len(day.enclosures)} enclosures, the worst first")
    page.table(
        ("enclosure", "pH", "range", "floor", "jars", "do"),
        [
            (
                one.name or "",
                plus_minus(one.slurry.ph.n, one.slurry.interval(one.judgement.p).half_width),
                in_range_word(one.judgement),
                above_floor_word(one.judgement),
                str(len(one.jars)),
                task_word(one.judgement),
            )
            for one in day.enclosures
        ],
        right=(4,),
    )
    page.gap()
    doubt = see_to(remark for one in day.enclosures for remark in one.judgement.doubts)
    if doubt is not None:
        page.do(doubt.do)
    act = [one.name or "" for one in day.enclosures if one.judgement.ready]
    if act:
        page.do(f"act on {_some(act)}: sure enough. Change a part of the substrate, animals out first.")
    if any(one.judgement.advice for one in day.enclosures):
        page.say(
            "Where a limit lies inside the interval, the last column says the least that is likely to settle "
            "it; --json has the chances."
        )
    remarks: dict[str, list[tuple[str, str]]] = {}
    for one in day.enclosures:
        for remark in one.remarks:
            if remark not in one.judgement.remarks:
                remarks.setdefault(remark.kind, []).append((one.name or "", remark.text))
    page.gap()
    for named in remarks.values():
        page.points(f"{name}: {text}" for name, text in named[:FEW])
        if len(named) > FEW:
            page.points([f"The same of {len(named) - FEW} more; --json has each."])


def _some(names: list[str]) -> str:
    more = len(names) - 2 * FEW
    return ", ".join(names[: 2 * FEW]) + (f" and {more} more" if more > 0 else "")


def task_word(standing: Judgement) -> str:
    """Say in a word or three what to do next."""
    if (first := see_to(standing.doubts)) is not None:
        return first.word
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


def show_probe(page: Page, probe: ProbeResult, p: float, *, many: bool = False) -> None:
    """Write how the probe compares with the slurries, and what its next indication means."""
    name = f"Probe {probe.name or ''}".rstrip()
    if many:
        page.title(f"{name}, against {probe.comparison.n} slurries of the same spots")
        show_answer(page, probe, p)
    else:
        earlier = f" and {probe.earlier} on record" if probe.earlier else ""
        page.title(f"{name}, against {_jars(probe.jars)}{earlier}")
        show_comparison(page, probe, p)
    if probe.next is not None and probe.judgement is not None and probe.do is not None:
        told = () if many else (*probe.comparison.remarks, *probe.response.remarks)
        texts = [probe.response.text, *(remark.text for remark in told)]
        show_update(page, probe.next, probe.judgement, probe.do, told=texts)
