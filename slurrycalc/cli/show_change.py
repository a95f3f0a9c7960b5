"""An exchange, on a page; and what the pages of all changes to a bed have in common."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from slurrycalc.day.months.exchanging import ExchangePlanned
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.exchange import Amounts, Exchange
from slurrycalc.deciding.exchange.words import percent
from slurrycalc.deciding.trend import ReadFirst
from slurrycalc.measuring.recipe.bulk import Bulk
from slurrycalc.metrology.coverage import half_width, interval
from slurrycalc.metrology.figures import plus_minus
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.uncertain import Uncertain

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page

OR_GIVE = "Or give what you read of it: --now 5.60+-0.20"
MEASURES = ("what", "litres", "quarts", "cups")


def head(page: Page, name: str | None, day: date | None) -> None:
    """Write what the page is about, where something on record was named."""
    if name is not None and day is not None:
        page.title(f"{name}, {spoken(day)}")


def say_first(page: Page, first: ReadFirst | None) -> None:
    """Write that a bed is read before anything else, in the same words for whatever was asked."""
    if first is not None:
        page.say(first.text[0])
        page.do(first.text[1])
        page.command("slurrycalc bench")


def ph_words(ph: Uncertain) -> str:
    """Write a pH with its half-width, for a cell; one without a doubt to two decimals."""
    half = half_width(ph)
    return plus_minus(float(getattr(ph, "n", ph)), half) if half else f"{float(getattr(ph, 'n', ph)):.2f}"


def measures(what: str, amount: Bulk) -> tuple[str, str, str, str]:
    """Write an amount as a row of a table of `MEASURES`."""
    return what, amount.litres, amount.quarts, amount.cups


def base(page: Page, basis: Sequence[str], remarks: Iterable[Remark]) -> None:
    """Write what a plan was computed from, and what to know of it."""
    page.gap()
    if basis:
        page.title("From the record")
        page.points(basis)
        page.gap()
    page.remarks(remarks)


def show_exchange(
    page: Page, planned: ExchangePlanned, day: date | None, remarks: Iterable[Remark], p: float
) -> None:
    """Write an exchange: what comes of it, what it means, what to mind, the steps, amounts and stages.

    Parameters
    ----------
    page : Page
        Where to.
    planned : ExchangePlanned
        The exchange.
    day : date or None
        The present day, where the record was asked.
    remarks : iterable of Remark
        What to know of it.
    p : float
        Coverage probability. [1]
    """
    head(page, planned.enclosure, day)
    plan = planned.exchange
    if plan is None:
        say_first(page, planned.first)
        page.say(OR_GIVE)
        base(page, planned.basis, remarks)
        return
    if plan.stages and plan.predicted is not None:
        page.title(_first(plan))
        page.headline("Then pH", plan.predicted.n, interval(plan.predicted, p), p)
    meaning, task = plan.text
    page.say(meaning)
    page.do(task)
    if plan.stages:
        page.mind()
        if plan.amounts is not None:
            page.title("How much")
            page.table(MEASURES, _amounts(plan.amounts, len(plan.stages)))
        page.title("Stages" if len(plan.stages) > 1 else "When")
        page.table(*_stages(plan))
        page.title("How")
        page.steps(plan.steps)
    base(page, planned.basis, remarks)


def _first(plan: Exchange) -> str:
    assert plan.planned is not None
    whole = percent(plan.planned, up=True)
    many = f", in {len(plan.stages)} stages" if len(plan.stages) > 1 else ""
    return f"Exchange {whole} of the bed{many}"


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
