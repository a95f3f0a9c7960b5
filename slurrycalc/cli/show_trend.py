"""How fast pH drifts, on a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from uncertainties import UFloat

from slurrycalc.cli.show_change import say_first
from slurrycalc.day.months.drifting import Drifting
from slurrycalc.day.months.outlook import Outlook
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.exchange.words import percent
from slurrycalc.deciding.trend import Step, Trend
from slurrycalc.measuring.wording import typed
from slurrycalc.metrology.coverage import interval
from slurrycalc.metrology.figures import coverage, number, plus_minus, signed, two_figures
from slurrycalc.metrology.names import line_about

if TYPE_CHECKING:
    from datetime import date

    from slurrycalc.cli.show import Page

MOST_DAYS = 12
"""So many bench days are told one by one, the newest."""
AT_MOST = 30
"""So many enclosures get a line each."""


def show_drift(page: Page, one: Drifting, today: date, p: float) -> None:
    """Write one enclosure's drift: the number, what it means, what to do, when limits are met, its days.

    Parameters
    ----------
    page : Page
        Where to.
    one : Drifting
        The enclosure.
    today : date
        The day on which it was asked.
    p : float
        Coverage probability. [1]
    """
    drift, ahead = one.trend, one.outlook
    if drift is None or ahead is None:
        page.title(", ".join(filter(None, [one.enclosure, f"last read on {spoken(one.last)}"])))
        page.say(f"No drift yet: {one.why}")
        say_first(page, one.first)
        if one.first is None:
            page.do(_decapital(one.retest.text))
        return
    days = f"{len(drift.days)} bench days from {spoken(drift.days[0])} to {spoken(drift.days[-1])}"
    page.title(", ".join(filter(None, [one.enclosure, days])))
    page.headline("Drift", drift.per_month.n, drift.interval(p), p, unit="pH a month", sign=True)
    page.say(ahead.meaning)
    say_first(page, one.first)
    if one.first is None:
        page.do(ahead.to_do)
    if one.first is None and (ahead.act or ahead.plan) and one.enclosure is not None:
        page.command(line_about("exchange", one.enclosure))
    page.gap()
    page.points([*_levels(drift, ahead, today, p), *_limits(ahead)])
    page.gap()
    _days(page, one, drift, p)
    page.gap()
    page.say(_rests_on(one, drift))
    page.gap()
    page.remarks(drift.remarks)


def show_drifts(page: Page, drifts: Sequence[Drifting], unread: Sequence[str], today: date, p: float) -> None:
    """Write a line for each enclosure, those that fall fastest first.

    Parameters
    ----------
    page : Page
        Where to.
    drifts : sequence of Drifting
        In their order.
    unread : sequence of str
        Enclosures that were not read yet.
    today : date
        The day on which it was asked.
    p : float
        Coverage probability. [1]
    """
    page.title("How fast they drift, those that fall fastest first")
    page.table(
        ("enclosure", "pH a month", "drift", "level", "read again"),
        [_line(one, today, p) for one in drifts[:AT_MOST]],
    )
    if len(drifts) > AT_MOST:
        page.say(f"{len(drifts) - AT_MOST} more fall more slowly, or not at all; --json tells them all.")
    page.gap()
    page.say(
        f"± holds {coverage(p)}; a drift is shown where that leaves out 0. The level is that of the line on "
        "its last bench day."
    )
    if unread:
        page.say(f"Not read yet: {', '.join(unread)}.")
    act = [one.enclosure or "" for one in drifts if one.may_be_past]
    late = [one.enclosure or "" for one in drifts if not one.may_be_past and one.retest.by < today]
    if act:
        page.do(f"read {_several(act)} again now; the floor may be passed already.")
    elif late:
        page.do(f"read {_several(late)} again now; the day for it is past.")
    else:
        plan = [one.enclosure or "" for one in drifts if one.outlook is not None and one.outlook.plan]
        first = f"plan an exchange of {_several(plan)}" if plan else "nothing now"
        page.do(f"{first}; the next to read again, by {spoken(min(one.retest.by for one in drifts))}.")
    page.say("One of them in full:")
    page.command(line_about("trend", drifts[0].enclosure or ""))


def _several(names: Sequence[str]) -> str:
    few = ", ".join(names[:5])
    return few if len(names) <= 5 else f"{few} and {len(names) - 5} more"


def _line(one: Drifting, today: date, p: float) -> tuple[str, ...]:
    again = "now" if one.may_be_past or one.retest.by < today else one.retest.by.isoformat()
    if one.trend is None:
        return one.enclosure or "", "", "not known", "", again
    low, high = one.trend.interval(p)
    word = "falls" if high < 0.0 else "rises" if low > 0.0 else "not shown"
    half = (high - low) / 2.0
    slope = f"{signed(one.trend.per_month.n, half)} ± {two_figures(half)}"
    now = one.trend.now
    level = plus_minus(now.n, interval(now, p).half_width)
    return one.enclosure or "", slope, word, level, again


def _levels(drift: Trend, ahead: Outlook, today: date, p: float) -> Iterator[str]:
    last = drift.days[-1]
    then = f"The line stood at {_with(drift.now, p)} on the last bench day, {spoken(last)}"
    if ahead.now is None or today == last:
        yield f"{then}."
    else:
        yield f"{then}, and stands at {_with(ahead.now, p)} on {spoken(today)}."
    told = ahead.predicted
    if told is not None:
        yield (
            f"A bench day on {spoken(told.on)} would read {_with(told.ph, p)}; the line alone, "
            f"{_with(told.level, p)}."
        )


def _limits(ahead: Outlook) -> Iterator[str]:
    for met in ahead.met:
        name = "A limit" if met.what == "limit asked for" else met.what.capitalize()
        text = met.crossing.text
        likely = met.crossing.likely
        most = f" Most likely about {spoken(likely)}." if likely is not None else ""
        yield f"{name}, {typed(met.crossing.limit)}: {_decapital(text)}{most}"


def _with(value: UFloat, p: float) -> str:
    ends = interval(value, p)
    return plus_minus((ends.low + ends.high) / 2.0, ends.half_width)


def _decapital(text: str) -> str:
    return text[0].lower() + text[1:]


def _days(page: Page, one: Drifting, drift: Trend, p: float) -> None:
    """Write the newest bench days, and what was done between them where it was done."""
    shown = drift.days[-MOST_DAYS:]
    first = len(drift.days) - len(shown)
    rows: list[tuple[date, int, tuple[str, ...]]] = []
    for i in range(first, len(drift.days)):
        jars = (str(one.slurries[i]),) if one.slurries else ()
        row = (drift.days[i].isoformat(), number(drift.ph[i], 0.0), *jars, f"{one.line[i]:.2f}", "")
        rows.append((drift.days[i], 0, row))
    blank = ("",) * (3 if one.slurries else 2)
    done = [(step.on, (step.on.isoformat(), *blank, text)) for step, text in _done(drift, p)]
    rows += [(on, 1, row) for on, row in done if first == 0 or on >= shown[0]]
    slurries = ("slurries",) if one.slurries else ()
    page.table(
        ("day", "pH", *slurries, "line", "done after it"),
        [row for _, _, row in sorted(rows, key=lambda each: each[:2])],
    )
    if first:
        page.say(f"{first} earlier bench days count too.")


def _done(drift: Trend, p: float) -> Iterator[tuple[Step, str]]:
    for each in drift.steps:
        for step in each.done[:-1]:
            yield step, f"{step.name}, counted with the next"
        half = interval(each.size, p).half_width
        yield each.done[-1], f"{each.done[-1].name}: {signed(each.size.n, half)} ± {two_figures(half)}"
    for step in drift.unread:
        yield step, f"{step.name}, not read since"
    for step in drift.left_out:
        yield step, f"{step.name}, left out"


def _rests_on(one: Drifting, drift: Trend) -> str:
    parts = [f"Rests on {len(drift.days)} bench days"]
    if one.slurries:
        parts[0] += f" ({sum(one.slurries)} slurries)"
    sd = two_figures(drift.scatter_sd)
    if drift.own_share:
        parts.append(
            f"which scatter about the line by {sd} pH; their own scatter counts {percent(drift.own_share)}, "
            "what is expected of bench days the rest"
        )
    else:
        parts.append(f"which show no scatter of their own about the line: {sd} pH is expected")
    text = ", ".join(parts) + "."
    if one.earlier:
        text += f" {one.earlier} older bench days are left aside; --since DATE takes them in."
    return f"{text} More: --budget"
