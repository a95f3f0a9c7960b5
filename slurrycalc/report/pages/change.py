"""An exchange, on a page; and what the pages of all changes to a bed have in common."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from slurrycalc.day.months.exchanging import ExchangePlanned
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.exchange import Amounts, Exchange
from slurrycalc.deciding.exchange.words import percent
from slurrycalc.deciding.trend import ReadFirst
from slurrycalc.measuring.recipe.bulk import Bulk
from slurrycalc.measuring.wording import lowered
from slurrycalc.metrology.coverage import half_width, interval
from slurrycalc.metrology.figures import plus_minus
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.uncertain import Uncertain
from slurrycalc.report.drawings import stages_figure
from slurrycalc.report.page import (
    GAP,
    Block,
    Cautions,
    Do,
    Heading,
    Headline,
    Say,
    evidence,
    points,
    steps,
    table,
)
from slurrycalc.report.pages.due import said
from slurrycalc.report.pages.remarks import remarks_blocks

OR_GIVE = "Or give what you read of it: --now 5.60+-0.20"
LATER = ("in-stages", "buffering-assumed", "buffering-not-shown", "buffering-of-another-mix")
"""Kinds of remarks that say why a plan is as it is: behind its steps and stages."""
MEASURES = ("what", "litres", "quarts", "cups")


def head(name: str | None, day: date | None) -> Iterator[Block]:
    """Write what the page is about, where something on record was named."""
    if name is not None and day is not None:
        yield Heading(f"{name}, {spoken(day)}")


def say_first(first: ReadFirst | None) -> Iterator[Block]:
    """Tell that a bed is read before anything else, in the same words for whatever was asked."""
    if first is not None:
        yield Do(first.text[1], "slurrycalc bench")
        yield GAP
        yield Say(first.text[0])


def ph_words(ph: Uncertain) -> str:
    """Write a pH with its half-width, for a cell; one without a doubt to two decimals."""
    half = half_width(ph)
    return plus_minus(float(getattr(ph, "n", ph)), half) if half else f"{float(getattr(ph, 'n', ph)):.2f}"


def measures(what: str, amount: Bulk) -> tuple[str, str, str, str]:
    """Write an amount as a row of a table of `MEASURES`."""
    return what, amount.litres, amount.quarts, amount.cups


def base(basis: Sequence[str]) -> Iterator[Block]:
    """Tell, to whoever asks why, what a plan was computed from."""
    if basis:
        yield evidence([Heading("From the record"), points(basis)])


def exchange_blocks(
    planned: ExchangePlanned, day: date | None, remarks: Iterable[Remark], p: float
) -> Iterator[Block]:
    """Write an exchange: what comes of it, what it means, what to mind, the steps, amounts and stages.

    Parameters
    ----------
    planned : ExchangePlanned
        The exchange.
    day : date or None
        The present day, where the record was asked.
    remarks : iterable of Remark
        What to know of it.
    p : float
        Coverage probability. [1]
    """
    yield from head(planned.enclosure, day)
    plan = planned.exchange
    if plan is None:
        if planned.first is None and planned.task is not None:
            yield Do(said(planned.task))
            yield GAP
        yield from say_first(planned.first)
        yield Say(OR_GIVE)
        yield from remarks_blocks(remarks)
        yield from base(planned.basis)
        return
    meaning, task = plan.text
    task = lowered(task)
    other = None if planned.is_asked else planned.task
    if plan.stages and plan.predicted is not None:
        label = "Then pH" if other is None else "If you exchange all the same, then pH"
        yield Headline(label, plan.predicted.n, interval(plan.predicted, p), p)
    yield Do(task if other is None else said(other))
    yield GAP
    if planned.task is not None and planned.is_asked:
        yield Say(f"Why: {planned.task.why}.")
    yield Say(meaning)
    if other is not None and plan.stages:
        yield Say(f"All the same: {task}")
    told = list(remarks)
    yield from remarks_blocks(one for one in told if not (plan.stages and one.kind in LATER))
    if plan.stages:
        yield Cautions()
        yield Heading("How")
        yield steps(plan.steps)
        if plan.amounts is not None:
            yield Heading("How much")
            yield table(MEASURES, _amounts(plan.amounts, len(plan.stages)))
        yield stages_figure(plan)
        staged = (Heading("Stages" if len(plan.stages) > 1 else "When"), table(*_stages(plan)))
        yield from staged if len(plan.stages) > 1 else (evidence(staged),)
        yield GAP
        yield from remarks_blocks(one for one in told if one.kind in LATER)
    yield from base(planned.basis)


def _amounts(amounts: Amounts, stages: int) -> list[tuple[str, ...]]:
    each = "out, each time" if stages > 1 else "out"
    rows = [measures(each, amounts.each), measures(each.replace("out", "in"), amounts.each)]
    if stages > 1:
        rows.append(measures("fresh mix in all", amounts.all))
    return [*rows, measures("stays each time" if stages > 1 else "stays", amounts.stays)]


def _stages(plan: Exchange) -> tuple[list[str], list[list[str]]]:
    heads = ["", "part of the bed", "pH afterwards"]
    rows = [
        [f"stage {stage.number}", percent(stage.fraction, up=True), ph_words(stage.ph)]
        for stage in plan.stages
    ]
    if plan.stages[0].on is not None:
        heads.insert(1, "on")
        for row, stage in zip(rows, plan.stages, strict=True):
            row.insert(1, "" if stage.on is None else spoken(stage.on))
    return heads, rows
