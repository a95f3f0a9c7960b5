"""A meter's electrode through its calibrations, on a page."""

from __future__ import annotations

from collections.abc import Iterator

from slurrycalc.day.months.ageing import MeterLife
from slurrycalc.deciding.days import spoken
from slurrycalc.metrology.coverage import interval
from slurrycalc.metrology.figures import number, signed
from slurrycalc.report.page import GAP, Block, Do, Heading, Headline, Say, evidence, table
from slurrycalc.report.pages.remarks import remarks_blocks


def meter_life_blocks(ages: MeterLife, p: float = 0.95) -> Iterator[Block]:
    """Write how a meter's electrode ages: its efficiency now, what it comes to, what to do, its calibrations.

    Parameters
    ----------
    ages : MeterLife
        What the calibrations on record say.
    p : float
        Coverage probability. [1]
    """
    count = f"{ages.calibrations} calibration{'' if ages.calibrations == 1 else 's'}"
    since = "" if ages.since is None else f" since {spoken(ages.since)}, when it was put in"
    yield Heading(f"Its electrode, by {count}{since}")
    last = ages.newest[-1]
    now = last.efficiency if ages.life is None else ages.life.efficiency_now
    label = "Efficiency" if last.unit == "mV" else "Display's slope"
    yield Headline(f"{label} on {spoken(last.day)}", now.n, interval(now, p), p, unit="%")
    yield Do(ages.task)
    yield GAP
    yield Say(ages.text)
    yield from remarks_blocks(ages.remarks)
    rows = []
    for one in ages.newest:
        low, high = interval(one.efficiency, p)
        half = (high - low) / 2
        offset = signed(one.offset, 0.1 if one.unit == "mV" else 0.01)
        rows.append(
            (one.day.isoformat(), number(one.efficiency.n, half), f"{number(half, half)}", offset, one.id)
        )
    heads = ("day", "efficiency [%]", "± [%]", f"offset at pH 7 [{last.unit}]", "entry")
    left = ages.calibrations - len(ages.newest)
    more = [Say(f"These are the newest {len(ages.newest)}; the line rests on {left} more.")] if left else []
    yield evidence([GAP, table(heads, rows, (1, 2, 3)), GAP, *more])
