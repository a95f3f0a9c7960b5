"""How fast pH drifts, on a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from uncertainties import UFloat

from slurrycalc.day.months.drifting import Drifting
from slurrycalc.day.months.outlook import Outlook
from slurrycalc.deciding.agenda import Rank
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.exchange.words import in_cases
from slurrycalc.deciding.trend import LevelStep
from slurrycalc.measuring.salts import spoken_ec
from slurrycalc.measuring.wording import lowered, typed
from slurrycalc.metrology.coverage import interval
from slurrycalc.metrology.figures import decimals, number, plus_minus, signed, two_figures
from slurrycalc.metrology.names import line_about
from slurrycalc.metrology.remark import Remark
from slurrycalc.report.drawings import worked_figure
from slurrycalc.report.page import (
    GAP,
    Block,
    Command,
    Do,
    Heading,
    Headline,
    Plot,
    Say,
    evidence,
    points,
    table,
)
from slurrycalc.report.pages.change import say_first
from slurrycalc.report.pages.remarks import remarks_blocks
from slurrycalc.report.plot import Months

if TYPE_CHECKING:
    from datetime import date


MOST_DAYS = 12
"""So many bench days are told one by one, the newest."""
OF_THE_LINE = ("nothing-checks-it", "scatters-more", "steps-together")
"""Kinds of remarks that concern the straight line alone."""
AT_MOST = 30
"""So many enclosures get a line each."""


def drift_blocks(one: Drifting, today: date, p: float) -> Iterator[Block]:
    """Write one enclosure's drift: the number, what it means, what to do, when limits are met, its days.

    Parameters
    ----------
    one : Drifting
        The enclosure.
    today : date
        The day on which it was asked.
    p : float
        Coverage probability. [1]
    """
    ahead, n = one.outlook, len(one.days)
    days = f"{n} bench days from {spoken(one.days[0])} to {spoken(one.last)}"
    yield Heading(", ".join(filter(None, [one.enclosure, days if n > 1 else f"read on {spoken(one.last)}"])))
    yield Headline("Drift", ahead.per_month.n, interval(ahead.per_month, p), p, unit="pH a month", sign=True)
    if one.first is not None:
        yield from say_first(one.first)
    else:
        upkeep = ahead.asks is not None and ahead.asks.need == "upkeep"
        line = "exchange" if ahead.plan else "upkeep" if upkeep else ""
        yield Do(ahead.to_do, line_about(line, one.enclosure) if line and one.enclosure else "")
        yield GAP
    then, now = _levels(one, today, p)
    floor, *limits = _limits(ahead)
    moves: list[Block] = [Say(ahead.meaning), points([now, floor])]
    # What was just exchanged is the question then, and the answer has twelve lines.
    yield from moves if one.enough is None else [Say(one.enough.text)]
    if len(one.days) > 1:
        yield GAP
        yield Plot(Months.of(one, p))
        yield GAP
    yield from [] if one.enough is None else moves
    salts = one.salts.days[-1:] if one.salts is not None else ()
    read = [f"Salts {spoken_ec(each.ec.n)} on {spoken(each.on)}." for each in salts]
    # An exchange that was just read, and did what was expected, is told above.
    last = [each.told for each in one.exchanges[-1:] if one.enough is None or each.on != one.enough.on]
    yield points([*limits, *read, *last, *filter(None, [one.not_learnt])])
    if one.exchanges:
        yield worked_figure(one.exchanges, p)
    yield from remarks_blocks(remarks_of(one))
    yield evidence(
        [
            GAP,
            points([*then, *(each.text for each in one.exchanges)]),
            GAP,
            *_days(one),
            GAP,
            Say(_rests_on(one)),
        ]
    )


def remarks_of(one: Drifting) -> tuple[Remark, ...]:
    """Give what there is to know of one enclosure's drift: of its bed, and of the line through its days."""
    line = () if one.trend is None else one.trend.remarks
    salts = () if one.salts is None else one.salts.remarks
    return (*one.outlook.remarks, *salts, *(each for each in line if each.kind not in OF_THE_LINE))


def drifts_blocks(
    drifts: Sequence[Drifting], unread: Sequence[str], today: date, p: float
) -> Iterator[Block]:
    """Write a line for each enclosure, those that fall fastest first.

    Parameters
    ----------
    drifts : sequence of Drifting
        In their order.
    unread : sequence of str
        Enclosures that were not read yet.
    today : date
        The day on which it was asked.
    p : float
        Coverage probability. [1]
    """
    yield Heading("How fast they drift, those that fall fastest first")
    yield table(
        ("enclosure", "pH a month", "drift", "level", "read again"),
        [_line(one, today, p) for one in drifts[:AT_MOST]],
    )
    if len(drifts) > AT_MOST:
        yield Say(f"{len(drifts) - AT_MOST} more fall more slowly, or not at all; --json tells them all.")
    yield GAP
    yield Say(
        f"± holds in {in_cases(p)}; where it spans 0, the drift is not shown yet. The level is that of the "
        "last bench day."
    )
    if unread:
        yield Say(f"Not read yet: {', '.join(unread)}.")
    first = min(drifts, key=lambda one: _need(one, today))
    if _need(first, today)[0]:
        yield Do(f"nothing now; the next to read again, by {spoken(min(one.retest.by for one in drifts))}.")
    else:
        yield Do(first.outlook.to_do if first.outlook.asks else f"{first.enclosure}: {first.outlook.to_do}")
    yield Say("One of them in full:")
    yield Command(line_about("trend", drifts[0].enclosure or ""))


def _need(one: Drifting, today: date) -> tuple[bool, int, date]:
    """Sort by what is to be done now, and by how much it matters."""
    asks = one.outlook.asks
    if asks is not None:
        return asks.on > today, asks.rank, asks.on
    return one.retest.by > today, Rank.READ, one.retest.by


def _line(one: Drifting, today: date, p: float) -> tuple[str, ...]:
    again = "now" if one.may_be_past or one.retest.by < today else one.retest.by.isoformat()
    rate, level = one.outlook.per_month, one.outlook.level
    low, high = interval(rate, p)
    word = "falls" if high < 0.0 else "rises" if low > 0.0 else "not shown"
    half = (high - low) / 2.0
    slope = f"{signed(rate.n, half)} ± {two_figures(half)}"
    return one.enclosure or "", slope, word, _with(level, p), again


def _levels(one: Drifting, today: date, p: float) -> tuple[list[str], str]:
    """Say where the bed stood and what two jars would read; and where it stands now."""
    ahead, told = one.outlook, []
    then = f"The bed stood at {_with(ahead.level, p)} on {spoken(one.last)}."
    if ahead.now is None or today == one.last:
        now = then
    else:
        now = f"It stands at {_with(ahead.now, p)} on {spoken(today)}."
        told.append(then)
    if (two := ahead.predicted) is not None:
        said = f"Two jars on {spoken(two.on)} would read {_with(two.ph, p)}; the bed would stand at"
        now = f"{now} {said} {_with(two.level, p)}."
    return told, now


def _limits(ahead: Outlook) -> Iterator[str]:
    for met in ahead.met:
        name = "A limit" if met.what == "limit asked for" else met.what.capitalize()
        yield f"{name}, {typed(met.limit)}: {lowered(met.text)}"


def _with(value: UFloat, p: float) -> str:
    ends = interval(value, p)
    # A pH has two places at most: no jar shows more, and beside a day's slurries three would mislead.
    value, half = (ends.low + ends.high) / 2.0, ends.half_width
    return plus_minus(value, half) if decimals(half) <= 2 else f"{value:.2f} ± {half:.2f}"


def _days(one: Drifting) -> Iterator[Block]:
    """Write the newest bench days, and what was done between them where it was done."""
    first = max(len(one.days) - MOST_DAYS, 0)
    salts = {} if one.salts is None else {each.on: spoken_ec(each.ec.n) for each in one.salts.days}
    rows: list[tuple[date, int, tuple[str, ...]]] = []
    for i in range(first, len(one.days)):
        jars = (str(one.slurries[i]),) if one.slurries else ()
        beside = (salts.get(one.days[i], ""),) if salts else ()
        row = (one.days[i].isoformat(), number(one.ph[i], 0.0), *jars, f"{one.levels[i]:.2f}", *beside, "")
        rows.append((one.days[i], 0, row))
    blank = ("",) * (2 + bool(one.slurries) + bool(salts))
    done = [(step.on, (step.on.isoformat(), *blank, text)) for step, text in _done(one)]
    done += [(on, (on.isoformat(), *blank[1:], ec, "")) for on, ec in salts.items() if on not in one.days]
    rows += [(on, 1, row) for on, row in done if first == 0 or on >= one.days[first]]
    slurries = ("slurries",) if one.slurries else ()
    yield table(
        ("day", "pH", *slurries, "bed", *(("salts",) if salts else ()), "done after it"),
        [row for _, _, row in sorted(rows, key=lambda each: each[:2])],
    )
    if first:
        yield Say(f"{first} earlier bench days count too.")


def _done(one: Drifting) -> Iterator[tuple[LevelStep, str]]:
    out = () if one.trend is None else one.trend.left_out
    for step in one.steps:
        if step in out:
            yield step, f"{step.name}, left out"
        else:
            yield step, step.name if step.on < one.last else f"{step.name}, not read since"


def _rests_on(one: Drifting) -> str:
    days = len(one.days)
    text = f"Rests on {'one bench day' if days == 1 else f'{days} bench days'}"
    if one.slurries:
        text += f" ({sum(one.slurries)} slurries)"
    text += ", by the model of a bed whose drift may change"
    if one.trend is not None:
        average = one.trend.per_month.n
        text += f"; by a straight line through all of them {average:+.3f} a month on average"
    text += "."
    if one.earlier:
        text += f" {one.earlier} older bench days are left aside; --since DATE takes them in."
    return f"{text} More: --budget"
