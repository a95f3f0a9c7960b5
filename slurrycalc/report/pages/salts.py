"""Salts on a page: the conductivity, what it means, what to do, and how it changes with time."""

from __future__ import annotations

from collections.abc import Iterator

from slurrycalc.day.bench.salt_day import SaltsFound
from slurrycalc.day.record.conductivity import SaltsDay
from slurrycalc.deciding.bands import Dilution
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.exchange.words import percent
from slurrycalc.measuring.salts import spoken_ec
from slurrycalc.measuring.wording import lowered
from slurrycalc.metrology.coverage import half_width, interval
from slurrycalc.metrology.figures import number
from slurrycalc.report.page import GAP, Block, Cautions, Do, Headline, Say, evidence, table
from slurrycalc.report.pages.remarks import remarks_blocks

MOST_DAYS = 12
"""So many days are told one by one, the newest."""
_MILLI = 1000.0


def salts_blocks(found: SaltsFound, p: float) -> Iterator[Block]:
    """Write an enclosure's salts: the number, what it means, what to do.

    Parameters
    ----------
    found : SaltsFound
        What there is to say.
    p : float
        Coverage probability. [1]
    """
    ec = found.salts.ec
    low, high = interval(ec, p)
    # Nothing conducts less than nothing, however few slurries there are.
    ends = (max(0.0, low) / _MILLI, high / _MILLI)
    yield Headline("Salts at 25 degC", ec.n / _MILLI, ends, p, unit="mS/cm")
    yield Do(found.to_do if found.dilution is None else lowered(found.dilution.text[1]))
    yield GAP
    yield Say(f"{found.standing.text} The bands are from {found.standing.known}.")
    if found.over_time:
        yield Say(found.over_time)
    if found.on_record:
        was = "slurry was" if found.on_record == 1 else "slurries were"
        yield Say(f"{found.on_record} {was} on record for that day already.")
    if found.dilution is not None:
        yield from _dilution(found.dilution)
        yield GAP
    yield from remarks_blocks(found.remarks)
    if len(found.days) > 1:
        yield GAP
        yield from _days(found.days, p)
    yield evidence([GAP, Say(_rests_on(found))])


def _dilution(plan: Dilution) -> Iterator[Block]:
    """Tell how much to exchange for the salts, and what to mind before a hand goes in."""
    yield Say(f"{plan.text[0]} The fresh mix has {spoken_ec(plan.fresh.n)}.")
    yield GAP
    yield Say("Before a hand goes in:")
    yield Cautions(texts=plan.cautions)


def _days(days: tuple[SaltsDay, ...], p: float) -> Iterator[Block]:
    newest = days[-MOST_DAYS:]
    if len(newest) < len(days):
        yield Say(f"The newest {len(newest)} of {len(days)} days:")
    rows = []
    for day in newest:
        half = half_width(day.ec, p) / _MILLI
        value = day.ec.n / _MILLI
        rows.append((spoken(day.on), number(value, half), f"± {number(half, half)} mS/cm", f"{day.slurries}"))
    yield table(("day", "salts", "within", "slurries"), rows, right=(1,))


def _rests_on(found: SaltsFound) -> str:
    result = found.salts
    jars = ", ".join(spoken_ec(jar.n) for jar in result.jars[:MOST_DAYS])
    slurries = f"{result.n} slurr{'y' if result.n == 1 else 'ies'}"
    share = f"their own scatter counts {percent(result.own_share)}, what is expected of salts the rest"
    parts = [f"{slurries} ({jars}; {share})" if result.n > 1 else f"one slurry ({jars})"]
    if result.blank is not None:
        parts.append(f"its water ({spoken_ec(result.blank.n)}, taken off)")
    if not any(remark.kind == "unchecked-meter" for remark in result.remarks):
        parts.append("a standard")
    return f"Rests on {' and '.join(parts) if len(parts) < 3 else ', '.join(parts)}."
