"""The page of a result, for a notebook: what its command shows, figures included."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from slurrycalc.data.assumed import COVERAGE
from slurrycalc.data.cautions import cautions
from slurrycalc.day.bench.card import Card
from slurrycalc.day.bench.result import DayResult, EnclosureResult, ProbeResult
from slurrycalc.day.bench.standing import Standing
from slurrycalc.day.months.drifting import Drifting
from slurrycalc.day.months.duties import Duties
from slurrycalc.day.months.exchanging import ExchangePlanned
from slurrycalc.day.months.holding import UpkeepPlanned
from slurrycalc.deciding.exchange import Exchange
from slurrycalc.deciding.judgement import Judgement
from slurrycalc.deciding.upkeep import Upkeep
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.recipe import Ratio, Recipe
from slurrycalc.report.html import part_html
from slurrycalc.report.page import Block, Heading, Headline, Say, Strip
from slurrycalc.report.pages.card import card_blocks
from slurrycalc.report.pages.case import case_blocks, span_of, stands
from slurrycalc.report.pages.change import exchange_blocks
from slurrycalc.report.pages.day import day_blocks
from slurrycalc.report.pages.due import due_blocks
from slurrycalc.report.pages.meter import calibration_blocks
from slurrycalc.report.pages.probe import comparison_blocks
from slurrycalc.report.pages.recipe import ratio_blocks, recipe_blocks
from slurrycalc.report.pages.trend import drift_blocks
from slurrycalc.report.pages.upkeep import upkeep_blocks
from slurrycalc.report.pictures import strips_figure
from slurrycalc.report.strip import Span

P = COVERAGE.value
"""Coverage probability of what a notebook shows. [1]"""
Pages = Callable[[Any], Iterable[Block]]


def page_of(result: object) -> str | None:
    """Give a result's page as HTML; None of one that has none.

    Parameters
    ----------
    result : object
        Any result.

    Examples
    --------
    >>> from slurrycalc.measuring.recipe import mix
    >>> "<ol><li>" in page_of(mix()), page_of("no result")
    (True, None)
    """
    found = _PAGES.get(type(result))
    if found is None:
        return None
    blocks, step = found
    return part_html(blocks(result), cautions(step) if step else ())


def _standing(found: Standing) -> Iterable[Block]:
    """Draw where enclosures stand, on one scale; say where each does."""
    if found.enclosures:
        yield strips_figure(
            [span_of(one) for one in found.enclosures], [one.name or "" for one in found.enclosures]
        )
    for one in (*found.enclosures, *found.steady, *found.fresh):
        yield Say(f"{one.name}: {stands(one.judgement)}" if isinstance(one, EnclosureResult) else one._said())
    if found.unread:
        yield Say(f"Not read yet: {', '.join(found.unread)}.")


def _case(one: EnclosureResult) -> Iterable[Block]:
    if one.name is not None:
        yield Heading(one.name)
    yield from case_blocks(one, None, P)


def _judgement(found: Judgement) -> Iterable[Block]:
    ends = found.interval(found.p)
    yield Headline("pH", found.ph.n, ends, found.p)
    yield Strip(Span(ends.low, found.ph.n, ends.high, found.target, found.floor))
    yield Say(stands(found))


def _exchange(found: Exchange) -> Iterable[Block]:
    return exchange_blocks(ExchangePlanned(found, None, None, (), ()), None, found.remarks, found.p)


def _upkeep(found: Upkeep) -> Iterable[Block]:
    return upkeep_blocks(UpkeepPlanned(found, None, None, (), ()), None, found.remarks, found.p)


def _planned(found: ExchangePlanned) -> Iterable[Block]:
    remarks = (*found.remarks, *(found.exchange.remarks if found.exchange else ()))
    return exchange_blocks(found, None, remarks, found.exchange.p if found.exchange else P)


def _held(found: UpkeepPlanned) -> Iterable[Block]:
    remarks = (*found.remarks, *(found.upkeep.remarks if found.upkeep else ()))
    return upkeep_blocks(found, None, remarks, found.upkeep.p if found.upkeep else P)


_PAGES: dict[type, tuple[Pages, str]] = {
    Calibration: (calibration_blocks, "calibrate"),
    Card: (card_blocks, ""),
    DayResult: (lambda day: day_blocks(day, "", P), "run"),
    Drifting: (lambda drift: drift_blocks(drift, drift.last, P), ""),
    Duties: (lambda found: due_blocks(found, (), None), ""),
    EnclosureResult: (_case, "read"),
    Exchange: (_exchange, "exchange"),
    ExchangePlanned: (_planned, "exchange"),
    Judgement: (_judgement, ""),
    ProbeResult: (lambda probe: comparison_blocks(probe, P), "compare"),
    Ratio: (ratio_blocks, "ratio"),
    Recipe: (recipe_blocks, "mix"),
    Standing: (_standing, ""),
    Upkeep: (_upkeep, "upkeep"),
    UpkeepPlanned: (_held, "upkeep"),
}
"""What each shows, and the step whose cautions belong to it."""
