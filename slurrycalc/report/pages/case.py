"""One enclosure's pH and where it stands, on a page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from slurrycalc.data.assumed import from_where
from slurrycalc.day.bench.result import EnclosureResult
from slurrycalc.day.record.slurries import Shares
from slurrycalc.deciding.doubt import see_to
from slurrycalc.deciding.judgement import Judgement
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.electrode.checks import CHECKED, HELD
from slurrycalc.measuring.slurry import SlurryResult
from slurrycalc.measuring.slurry.advice import Advice
from slurrycalc.measuring.wording import count, how_sure, typed
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import number
from slurrycalc.report.page import GAP, Block, Do, Headline, Say, Strip, evidence
from slurrycalc.report.pages.due import command_of, said
from slurrycalc.report.pages.remarks import remarks_blocks
from slurrycalc.report.strip import Span

if TYPE_CHECKING:
    from slurrycalc.day.record.keeper import Keeper

MOST_JARS = 12
"""So many slurries are told one by one."""
SAID = ("perhaps-below-floor",)
"""Kinds of remarks that the words of range and floor say already, but of a reading in doubt."""


def case_blocks(one: EnclosureResult, calibration: Calibration | None, p: float) -> Iterator[Block]:
    """Tell an enclosure's pH, what to do and where it stands; behind it, what it rests on.

    Parameters
    ----------
    one : EnclosureResult
        What was read.
    calibration : Calibration or None
        The calibration that the readings were made under.
    p : float
        Coverage probability. [1]
    """
    result, standing = one.slurry, one.judgement
    yield Headline("pH", result.ph.n, one.slurry.interval(p), p)
    yield task_of(one)
    yield Strip(span_of(one))
    yield GAP
    yield Say(stands(standing))
    if standing.advice and one.first is not None:
        yield Say(" ".join(dict.fromkeys(settles(advice) for advice in standing.advice)))
    yield from remarks_blocks((*standing.remarks, *result.remarks), () if standing.doubts else SAID)
    yield evidence(case_evidence(one, calibration))


def task_of(one: EnclosureResult) -> Do:
    """Say what to do: what the agenda asks for first; by the reading alone where nobody keeps a record."""
    if (first := see_to(one.judgement.doubts)) is not None:
        return Do(first.do)
    if one.first is not None:
        return Do(said(one.first), command_of(one.first) if one.first.days <= 0 else "")
    if one.judgement.ready:
        now = f"{number(one.slurry.ph.n, 0.1)}+-{number(half_width(one.slurry.ph), 0.1)}"
        return Do(
            "exchange a part of the substrate, animals out first.",
            f"slurrycalc exchange --now {now} --fresh PH --want PH",
        )
    if one.judgement.advice:
        return Do(" ".join(dict.fromkeys(advice.text for advice in one.judgement.advice)))
    return Do(" ".join(["nothing now.", *([one.again.text] if one.again else [])]))


def settles(advice: Advice) -> str:
    """Say in a line what would settle an open question, and how often it does."""
    if advice.action == "nothing":
        below = " Treat it as below until it is settled." if advice.question == "above floor" else ""
        return f"More slurries would hardly settle it.{below}"
    slurries = f"{count(advice.n)} {'slurry' if advice.n == 1 else 'slurries'}"
    what = {
        "slurries": f"{slurries} more",
        "buffer": "a third buffer",
        "day": f"another day with {slurries}",
    }[advice.action]
    often = f"{round(10 * (advice.p_settles or 0.0))} times in 10"
    return f"{what[0].upper()}{what[1:]} would settle it {often}."


def case_evidence(one: EnclosureResult, calibration: Calibration | None) -> Iterator[Block]:
    """Tell what an enclosure's pH rests on, with the figures behind the words."""
    result = one.slurry
    yield GAP
    yield Say(" ".join(one.judgement.sentences[-2:]))
    if not one.judgement.advice:
        yield Say(result.advice.text)
    elif one.first is not None:
        yield Say(" ".join(dict.fromkeys(advice.text for advice in one.judgement.advice)))
    if 1 < len(result.jars) <= MOST_JARS:
        yield Say(f"Slurries read pH {', '.join(f'{jar.n:.2f}' for jar in result.jars)}.")
    yield Say(rests_on(result, calibration, one.shares))
    if one.usual:
        (low, high), floor = one.judgement.target, one.judgement.floor
        usual = f"range {typed(low)} to {typed(high)}, floor {typed(floor)} (common practice)"
        yield Say(f"Taken unless you set it: {usual}.")
    yield GAP


def stands(standing: Judgement) -> str:
    """Say in plain words where a pH stands: what puts it in doubt, its range, its floor.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> from slurrycalc.deciding.judgement import judge
    >>> stands(judge(ufloat(5.2, 0.05)))
    'Almost surely below your range, 5.4 to 6.5. Almost surely above the floor, 5.0.'
    >>> stands(judge(ufloat(6.0, 0.1)))
    'Almost surely inside your range, 5.4 to 6.5.'
    """
    (low, high), inside = standing.target, standing.in_range.probability
    limits = f"your range, {typed(low)} to {typed(high)}"
    below, above = standing.below_range, standing.above_range
    side = "below" if below > above else "above"
    if max(below, above) < 0.9 * (1.0 - inside):
        side = "outside"
    said = [first.answer] if (first := see_to(standing.doubts)) is not None else []
    said.append(how_sure(f"inside {limits}", f"{side} {limits}", inside))
    over = standing.above_floor.probability
    if over < 0.99 or inside < 0.95:
        floor = f"the floor, {typed(standing.floor)}"
        said.append(how_sure(f"above {floor}", f"below {floor}", over))
    return " ".join(said)


def span_of(one: EnclosureResult) -> Span:
    """Give where its pH lies, to be drawn."""
    ends = one.slurry.interval(one.judgement.p)
    return Span(ends.low, one.slurry.ph.n, ends.high, one.judgement.target, one.judgement.floor)


def rests_briefly(result: SlurryResult, calibration: Calibration | None) -> str:
    """Say in a few words what a pH rests on."""
    slurries = f"From {result.n} {'slurry' if result.n == 1 else 'slurries'}"
    return slurries if calibration is None else f"{slurries} and {len(calibration.points)} buffers"


def rests_on(result: SlurryResult, calibration: Calibration | None, shares: Shares | None = None) -> str:
    """Say in a line what a pH rests on.

    Parameters
    ----------
    result : SlurryResult
        One enclosure's pH.
    calibration : Calibration or None
        The calibration that the readings were made under.
    shares : Shares, optional
        How much of its scatter rests on what, where the record was asked.

    Returns
    -------
    str
        Slurries, buffers, junction potential.
    """
    scatter = shares.text if shares and (shares.own_days or shares.other_days) else result.rests_on
    slurries = f"{result.n} slurr{'y' if result.n == 1 else 'ies'} ({scatter})"
    if calibration is None:
        return f"Rests on {slurries}."
    count = len(calibration.points)
    checked = _checked(calibration)
    buffers = f"{count} buffers ({'disputed' if calibration.disputed else checked})"
    junction = calibration.meter.residual_junction
    junctions = f"junction potential {junction.value:g} pH ({from_where(junction.known)})"
    return f"Rests on {slurries}, {buffers}, {junctions}. More: --budget"


def _checked(calibration: Calibration) -> str:
    kinds = {remark.kind for remark in calibration.remarks}
    if CHECKED in kinds:
        return "checked among the jars"
    if HELD in kinds:
        return "one read again among the jars"
    return "nothing checks them" if calibration.p_value is None else "on one line"


def heading(name: str | None, keeper: Keeper, meter: str | None = None, probe: str | None = None) -> str:
    """Head a step that names something on record: what, when, with which meter or probe."""
    day = keeper.day
    words = [f"{day.day} {day:%B} {day.year}"]
    if name is not None:
        words.insert(0, name)
    words += [f"meter {meter}"] if meter else []
    words += [f"probe {probe}"] if probe else []
    return ", ".join(words)


def on_record_already(jars: int) -> str:
    """Say that slurries of the same day were on record already."""
    if jars == 1:
        return "One of these slurries was on record for that day already."
    return f"{jars} of these slurries were on record for that day already."
