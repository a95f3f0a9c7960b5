"""An upkeep, on a page."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Iterator
from datetime import date

from slurrycalc.day.months.holding import UpkeepPlanned
from slurrycalc.deciding.agenda import EXCHANGES
from slurrycalc.deciding.due import DueItem
from slurrycalc.deciding.exchange.words import in_cases, percent
from slurrycalc.deciding.given import nominal
from slurrycalc.deciding.upkeep import YOUNG_RECORD, Choice, Plan, Upkeep
from slurrycalc.deciding.upkeep.words import NAMES, monthly
from slurrycalc.measuring.wording import lowered
from slurrycalc.metrology.coverage import Interval, half_width, interval
from slurrycalc.metrology.names import line_about
from slurrycalc.metrology.remark import Remark
from slurrycalc.report.drawings import cycles_figure
from slurrycalc.report.page import GAP, Block, Cautions, Command, Do, Heading, Headline, Say, evidence, table
from slurrycalc.report.pages.change import MEASURES, OR_GIVE, base, head, measures, say_first
from slurrycalc.report.pages.due import said
from slurrycalc.report.pages.remarks import remarks_blocks

TOO_MUCH = ("impossible", "too-much-at-once", YOUNG_RECORD)
"""Of a plan that nobody should carry out as it stands."""


def upkeep_blocks(
    planned: UpkeepPlanned, day: date | None, remarks: Iterable[Remark], p: float
) -> Iterator[Block]:
    """Write an upkeep: where it leads, what it means, what to mind, the choices, the first cycles.

    Parameters
    ----------
    planned : UpkeepPlanned
        The upkeep.
    day : date or None
        The present day, where the record was asked.
    remarks : iterable of Remark
        What to know of it.
    p : float
        Coverage probability. [1]
    """
    kept = planned.upkeep
    yield from head(planned.enclosure, day)
    if kept is None:
        yield from say_first(planned.first)
        yield Say(OR_GIVE)
        yield from remarks_blocks(remarks)
        yield from base(planned.basis)
        return
    plan = kept.assured or kept.even
    bears = not any(remark.kind in TOO_MUCH for remark in kept.remarks)
    meaning, task = kept.text
    name = planned.enclosure
    line = "" if name is None else line_about("exchange", name)
    task, first = lowered(task), planned.task
    exchanges = first is not None and first.task in EXCHANGES
    if kept.passed:
        ph = exchanges or any(each.which != "salts" for each in kept.passed)
        yield from _past_blocks(planned, meaning, task, line if ph else _salts_first(name), remarks)
        return
    do = Do(task if first is None else said(first), line if exchanges else "")
    if first is not None and first.task == "upkeep" and first.days <= 0:
        do = _turn(planned, first)
    if exchanges:
        # The bed comes out before any upkeep.
        yield do
        yield Say("An upkeep begins when it is back in its range. As it is known now:")
    if plan is not None and plan.fraction and bears:
        yield from _headline(plan, p)
    if not exchanges:
        yield do
    yield GAP
    # What it promises is worth a look where nothing else comes first.
    yield evidence([Say(meaning)]) if exchanges else Say(meaning)
    if first is not None:
        yield Say(f"To hold it: {task}")
    told = list(remarks)
    yield from remarks_blocks(remark for remark in told if remark.kind in TOO_MUCH)
    yield Cautions()
    yield Heading("How often and how much")
    yield table(_heads(kept), [_row(one, several=_several(kept)) for one in kept.table])
    if plan is not None and plan.cycles and plan.cycles[0].before is not None:
        yield cycles_figure(plan, None)
    yield GAP
    yield from remarks_blocks(remark for remark in told if remark.kind not in TOO_MUCH)
    if name is not None and plan is not None and plan.fraction:
        yield GAP
        yield Say("How an exchange is done, step by step:")
        yield Command(line)
    if plan is not None:
        yield evidence(_plan_evidence(plan, bears=bears))
    yield from base(planned.basis)


def _turn(planned: UpkeepPlanned, first: DueItem) -> Do:
    """Say what the turn of an upkeep asks for, and the line that puts it on record once it is done."""
    name = shlex.quote(planned.enclosure or "")
    if planned.rhythm is None:
        ends = f"slurrycalc enclosure {name} --upkeep-every never"
        return Do(f"{said(first)} It asks for no exchange now: end it, and go on reading.", ends)
    part = percent(planned.rhythm.fraction, up=True)
    line = f"slurrycalc event {name} exchange --amount {part.replace(' ', '')} --fresh MIX"
    return Do(f"{said(first)} Exchange {part} of it.", line)


def _past_blocks(
    planned: UpkeepPlanned, meaning: str, task: str, line: str, remarks: Iterable[Remark]
) -> Iterator[Block]:
    """Tell of a bed that is past its limit now: what comes before any upkeep, and the line that does it."""
    first = planned.task
    yield Do(task if first is None else said(first), line)
    yield GAP
    yield Say(meaning)
    if first is not None:
        yield Say(f"{task[0].upper()}{task[1:]}")
    yield from remarks_blocks(remarks)
    yield Cautions()
    yield from base(planned.basis)


def _plan_evidence(plan: Plan, *, bears: bool) -> Iterator[Block]:
    """Tell how much it is each time, where a bed bears it, and the first cycles."""
    if plan.amount is not None and bears:
        amount = plan.amount
        yield Heading("How much, each time")
        yield table(MEASURES, [measures(what, amount) for what in ("out", "in")])
    if plan.cycles:
        yield Heading("The first cycles, without their doubt")
        yield from _cycles(plan)


def _salts_first(name: str | None) -> str:
    """Give the line that says how much for the salts, from what they read."""
    return "" if name is None else f"slurrycalc salts READING --enclosure {shlex.quote(name)}"


def _headline(plan: Plan, p: float) -> Iterator[Block]:
    """Write where the steady bed is just before an exchange."""
    if plan.low is not None and plan.high is not None:
        ends = {"lowest": plan.low, "highest": plan.high}
        first = plan.cycles[0] if plan.cycles else None
        rises = first is not None and (first.before or 0.0) > (first.after or 0.0)
        which = "highest" if rises else "lowest"
        label = f"If never read again, at its {which} pH"
        if plan.between is None:
            yield from _exactly(f"{label} {ends[which]:.2f}")
        else:
            yield Headline(label, ends[which], Interval(*plan.between), p)
    if plan.salts is not None:
        salts, label = plan.salts / 1000.0, "Then, at most, salts"
        if half_width(salts):
            yield Headline(label, nominal(salts), interval(salts, p), p, unit="mS/cm")
        else:
            yield from _exactly(f"{label} {nominal(salts):.2f} mS/cm")


def _exactly(text: str) -> Iterator[Block]:
    """Write a number alone where all that it rests on was taken as exact."""
    yield Say(f"{text} (from numbers taken as exact)")


def _several(kept: Upkeep) -> bool:
    return len({one.decided_by for one in kept.table if one.decided_by}) > 1


def _heads(kept: Upkeep) -> tuple[str, ...]:
    assured = "all doubt counted" if kept.by_record else f"in {in_cases(kept.p)}"
    heads = ("exchange", "if as measured", assured)
    return (*heads, "decided by") if _several(kept) else heads


def _row(one: Choice, *, several: bool) -> tuple[str, ...]:
    cells = (
        monthly(one.every),
        *(
            "none does" if part is None else percent(part, up=True)
            for part in (one.fraction, one.assured_fraction)
        ),
    )
    return (*cells, NAMES[one.decided_by] if one.decided_by else "") if several else cells


def _cycles(plan: Plan) -> Iterator[Block]:
    heads = [""]
    rows = [[f"month {cycle.month:.3g}"] for cycle in plan.cycles]
    columns = {
        "pH after it": [cycle.after for cycle in plan.cycles],
        "pH before the next": [cycle.before for cycle in plan.cycles],
        "at worst": [cycle.worst for cycle in plan.cycles],
        "mS/cm before the next": [
            None if cycle.salts is None else cycle.salts / 1000.0 for cycle in plan.cycles
        ],
    }
    for name, values in columns.items():
        if values[0] is not None:
            heads.append(name)
            for row, value in zip(rows, values, strict=True):
                row.append("" if value is None else f"{value:.2f}")
    yield table(heads, rows)
