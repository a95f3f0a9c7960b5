"""One enclosure's pH and where it stands, on a page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from slurrycalc.data.assumed import from_where
from slurrycalc.day.record.slurries import Shares
from slurrycalc.deciding.doubt import see_to
from slurrycalc.deciding.due import DueItem
from slurrycalc.deciding.judgement import Judgement
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.electrode.checks import CHECKED, HELD
from slurrycalc.measuring.slurry import SlurryResult
from slurrycalc.metrology.coverage import Interval
from slurrycalc.report.page import GAP, Block, Do, Headline, Say, noted
from slurrycalc.report.pages.due import said

if TYPE_CHECKING:
    from slurrycalc.day.record.keeper import Keeper

MOST_JARS = 12
"""So many slurries are told one by one."""


def case_blocks(
    ends: Interval,
    result: SlurryResult,
    standing: Judgement,
    calibration: Calibration | None,
    *,
    shares: Shares | None = None,
    first: DueItem | None = None,
) -> Iterator[Block]:
    """Write an enclosure's pH: the number, what it means, what to do, what it rests on.

    Parameters
    ----------
    ends : Interval
        The interval of its pH, at the coverage probability of `standing`. [pH]
    result : SlurryResult
        Its pH.
    standing : Judgement
        Where it stands.
    calibration : Calibration or None
        The calibration that the readings were made under.
    shares : Shares, optional
        How much of its scatter rests on what, where the record was asked.
    first : DueItem, optional
        What comes first by the agenda, where the record was asked.
    """
    yield Headline("pH", result.ph.n, ends, standing.p)
    yield Say(" ".join(standing.sentences))
    yield Do(what_to_do(result, standing, first))
    yield GAP
    if 1 < len(result.jars) <= MOST_JARS:
        yield Say(f"Slurries read pH {', '.join(f'{jar.n:.2f}' for jar in result.jars)}.")
    yield Say(rests_on(result, calibration, shares))
    yield GAP
    yield noted((*standing.remarks, *result.remarks))


def what_to_do(result: SlurryResult, standing: Judgement, first: DueItem | None = None) -> str:
    """Say what to do next.

    Parameters
    ----------
    result : SlurryResult
        One enclosure's pH.
    standing : Judgement
        Where it stands.
    first : DueItem, optional
        What comes first by the agenda, where the record was asked.

    Returns
    -------
    str
        A sentence or a few.
    """
    if (doubt := see_to(standing.doubts)) is not None:
        return doubt.do
    if first is not None:
        would = [advice.text for advice in standing.advice] or [result.advice.text]
        return " ".join(dict.fromkeys([said(first), *would]))
    if standing.ready:
        return (
            "act; it is sure enough. Change a part of the substrate, animals out first, and read it again "
            "when it has settled."
        )
    if standing.advice:
        return " ".join(dict.fromkeys(advice.text for advice in standing.advice))
    return f"nothing now. {result.advice.text}"


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
