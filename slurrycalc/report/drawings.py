"""Results as figures of a page: what each draws, its text for whoever does not see it, and its numbers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.exchange.words import percent
from slurrycalc.measuring.wording import typed
from slurrycalc.metrology.coverage import half_width, interval
from slurrycalc.metrology.figures import number, plus_minus, signed
from slurrycalc.report.page import Figure, table

if TYPE_CHECKING:
    from slurrycalc.day.months.exchanged import ExchangeWorked
    from slurrycalc.deciding.exchange import Exchange
    from slurrycalc.deciding.upkeep import Plan
    from slurrycalc.measuring.electrode import Calibration
    from slurrycalc.measuring.probe import Comparison, ProbeResponse
    from slurrycalc.measuring.slurry import SlurryResult
    from slurrycalc.metrology.uncertain import Uncertain

TALL, LOW = 3.0, 1.9
"""Of a figure with two axes, and of one with rows. [inch]"""


def meter_figure(calibration: Calibration, p: float = 0.95) -> Figure:
    """Draw a meter's line through its buffers."""
    unit = calibration.meter.unit
    rows = [
        (
            one.buffer,
            f"{one.shown:g}",
            f"{one.temperature:.1f}",
            plus_minus(one.ph.n, half_width(one.ph, p)),
            signed(one.off, 0.02),
        )
        for one in calibration.points
    ]
    efficiency = calibration.efficiency
    ends = interval(efficiency, p)
    shown = ", ".join(f"{one.shown:g} {unit} in {one.buffer}" for one in calibration.points)
    what = "Efficiency" if calibration.slope is not None else "Display's slope"
    text = (
        f"The meter shows {shown}. {what} {number(efficiency.n, ends.half_width)} %, between "
        f"{number(ends.low, ends.half_width)} and {number(ends.high, ends.half_width)}."
    )
    if len(rows) == 2:
        text += " Two buffers lie on any line: nothing is left over, and nothing checks them."
    heads = ("buffer", f"shows [{unit}]", "at [degC]", "its pH there", "line off by [pH]")
    return Figure("meter", (calibration, p), 3.4, text, table(heads, rows, (1, 2, 3, 4)))


def pairs_figure(comparison: Comparison, response: ProbeResponse, p: float = 0.95) -> Figure:
    """Draw a probe against slurries."""
    rows = []
    for shown, slurry in zip(comparison.probe, comparison.slurry, strict=True):
        ph = float(getattr(slurry, "n", slurry))
        next_one = response.shows(ph)
        half = half_width(next_one, p)
        ends = (number(one, half) for one in (next_one.n, next_one.n - half, next_one.n + half))
        rows.append((_doubted(slurry), typed(shown), *ends))
    rows.sort()
    text = (
        f"{comparison.n} {'pair' if comparison.n == 1 else 'pairs'} of what the probe showed and what the "
        f"slurry of the same spot read. {comparison.meaning} {' '.join(response.text)}"
    )
    heads = ("slurry", "probe", "is to show", "from", "to")
    return Figure("pairs", (comparison, response, p), TALL, text, table(heads, rows, range(5)))


def worked_figure(exchanges: Sequence[ExchangeWorked], p: float = 0.95) -> Figure:
    """Draw what exchanges were expected to bring, beside what they brought."""
    rows = []
    for one in exchanges:
        steps = [_step(step, p) for step in (one.expected, one.found)]
        rows.append((one.on.isoformat(), percent(one.fraction), *steps, one.read.isoformat()))
    heads = ("exchange", "part", "expected [pH]", "found [pH]", "read on")
    text = " ".join(one.text for one in exchanges)
    return Figure("worked", (exchanges, p), 0.75 + 0.85 * len(rows), text, table(heads, rows, (1, 2, 3)))


def _step(step: Uncertain, p: float) -> str:
    half, value = half_width(step, p), float(getattr(step, "n", step))
    return f"{signed(value, half)} ± {number(half, half)}"


def stages_figure(plan: Exchange) -> Figure:
    """Draw what an exchange is expected to bring."""
    rows = [("now", "", _doubted(plan.now, plan.p))]
    for stage in plan.stages:
        when = f"stage {stage.number}" if stage.on is None else spoken(stage.on)
        rows.append((f"after {when}", percent(stage.fraction, up=True), _doubted(stage.ph, plan.p)))
    told = "; ".join(f"{row[0]} {row[2]}" for row in rows)
    text = f"The bed: {told}. Wanted is {typed(plan.wanted)}; the fresh mix is {_doubted(plan.fresh)}."
    return Figure("stages", (plan,), TALL, text, table(("", "part", "pH"), rows, (1, 2)))


def cycles_figure(plan: Plan, limit: float | None) -> Figure:
    """Draw what an upkeep is expected to bring."""
    rows = [
        (
            f"month {one.month:.3g}",
            *("" if ph is None else f"{ph:.2f}" for ph in (one.after, one.before, one.worst)),
        )
        for one in plan.cycles
    ]
    first = rows[0]
    text = (
        f"The first {len(rows)} exchanges, {percent(plan.fraction, up=True)} of the bed each: pH {first[1]} "
        f"after the first, {first[2]} before the next."
    )
    if limit is not None:
        text += f" The limit is {typed(limit)}."
    heads = ("exchange", "pH after it", "before the next", "at worst")
    return Figure("cycles", (plan, limit), TALL, text, table(heads, rows, (1, 2, 3)))


def one_slurry_figure(together: SlurryResult, alone: SlurryResult, p: float = 0.95) -> Figure:
    """Draw what a day's slurries say together, and what one alone would have said."""
    rows = [(f"slurry {i}", f"{jar.n:.2f}", "", "") for i, jar in enumerate(together.jars, 1)]
    told = []
    for name, result in (("all together", together), ("the first alone", alone)):
        low, high = result.interval(p)
        half = (high - low) / 2.0
        rows.append((name, number(result.ph.n, half), number(low, half), number(high, half)))
        told.append(f"{name} {plus_minus(result.ph.n, half)}")
    jars = ", ".join(row[1] for row in rows[: len(together.jars)])
    text = f"Slurries read {jars}; {', '.join(told)}: one shows nothing of how slurries scatter."
    return Figure(
        "one_slurry", (together, alone, p), LOW, text, table(("", "pH", "from", "to"), rows, (1, 2, 3))
    )


def _doubted(ph: Uncertain, p: float = 0.95) -> str:
    half, value = half_width(ph, p), float(getattr(ph, "n", ph))
    return plus_minus(value, half) if half else f"{value:.2f}"
