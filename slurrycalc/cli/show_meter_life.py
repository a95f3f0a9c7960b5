"""A meter's electrode through its calibrations, on a page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slurrycalc.day.months.ageing import MeterLife
from slurrycalc.deciding.days import spoken
from slurrycalc.metrology.coverage import interval
from slurrycalc.metrology.figures import number, signed

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page


def show_meter_life(page: Page, ages: MeterLife, p: float = 0.95) -> None:
    """Write how a meter's electrode ages: its efficiency now, what it comes to, what to do, its calibrations.

    Parameters
    ----------
    page : Page
        Where to.
    ages : MeterLife
        What the calibrations on record say.
    p : float
        Coverage probability. [1]
    """
    count = f"{ages.calibrations} calibration{'' if ages.calibrations == 1 else 's'}"
    since = "" if ages.since is None else f" since {spoken(ages.since)}, when it was put in"
    page.title(f"Its electrode, by {count}{since}")
    last = ages.newest[-1]
    now = last.efficiency if ages.life is None else ages.life.efficiency_now
    label = "Efficiency" if last.unit == "mV" else "Display's slope"
    page.headline(f"{label} on {spoken(last.day)}", now.n, interval(now, p), p, unit="%")
    page.say(ages.text)
    page.do(ages.task)
    page.gap()
    rows = []
    for one in ages.newest:
        low, high = interval(one.efficiency, p)
        half = (high - low) / 2
        offset = signed(one.offset, 0.1 if one.unit == "mV" else 0.01)
        rows.append(
            (one.day.isoformat(), number(one.efficiency.n, half), f"{number(half, half)}", offset, one.id)
        )
    page.table(("day", "efficiency [%]", "± [%]", f"offset at pH 7 [{last.unit}]", "entry"), rows, (1, 2, 3))
    left = ages.calibrations - len(ages.newest)
    page.gap()
    if left:
        page.say(f"These are the newest {len(ages.newest)}; the line rests on {left} more.")
    page.remarks(ages.remarks)
