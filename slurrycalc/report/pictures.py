"""What of a page is drawn as figures: each with a text for whoever does not see it, and with its numbers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from slurrycalc.deciding.days import spoken
from slurrycalc.measuring.wording import typed
from slurrycalc.metrology.figures import number
from slurrycalc.report.page import Block, Evidence, Figure, Plot, Section, Strip, Table, table
from slurrycalc.report.plot import Months
from slurrycalc.report.strip import Span

ROW = 0.54
"""Of a strip. [inch]"""
TALL = 3.0
"""Of most figures. [inch]"""


def picture(block: Block) -> Figure | None:
    """Give what is drawn of a block; None of one that words say."""
    match block:
        case Figure():
            return block
        case Strip(span):
            return strips_figure([span])
        case Plot(months):
            return months_figure(months)
        case Table(rows=rows, spans=spans, names=names) if any(spans):
            named = [", ".join(row[1:names] or row[:1]) for row in rows]
            there = [(name, span) for name, span in zip(named, spans, strict=True) if span is not None]
            return strips_figure([span for _, span in there], [name for name, _ in there])
    return None


def pictures(page: Iterable[Block]) -> Iterator[Figure]:
    """Give what is drawn of a page, in its order."""
    for block in page:
        if isinstance(block, Section | Evidence):
            yield from pictures(block.blocks)
        elif (found := picture(block)) is not None:
            yield found


def strips_figure(spans: Sequence[Span], names: Sequence[str] = ()) -> Figure:
    """Draw where pH values lie on one scale."""
    rows = []
    for i, span in enumerate(spans):
        half = (span.high - span.low) / 2.0
        ends = [number(value, half) for value in (span.low, span.value, span.high)]
        wanted = f"{typed(span.wanted[0])} to {typed(span.wanted[1])}"
        rows.append((*names[i : i + 1], *ends, wanted, typed(span.floor)))
    told = [
        f"{f'{row[0]}: ' if names else ''}pH {row[-4]}, between {row[-5]} and {row[-3]}, where {row[-2]} is "
        f"wanted and {row[-1]} is the floor"
        for row in rows
    ]
    heads = (*(("of",) if names else ()), "from", "pH", "to", "your range", "floor")
    right = range(len(heads) - 5, len(heads) - 2)
    height, text = 0.75 + ROW * len(spans), f"{'; '.join(told)}."
    return Figure("strips", (spans, names), height, text, table(heads, rows, right))


def months_figure(months: Months) -> Figure:
    """Draw a bed through the months."""
    first, last = spoken(months.days[0]), spoken(months.days[-1])
    text = [
        f"{len(months.days)} bench days from {first} to {last}, pH {months.ph[0]:.2f} at first and "
        f"{months.ph[-1]:.2f} at last."
    ]
    if months.course:
        on, low, level, high = months.course[-1]
        half = (high - low) / 2.0
        place = f"{number(level, half)}, between {number(low, half)} and {number(high, half)}"
        text.append(f"The bed stands, or is foreseen to stand, at {place}, on {spoken(on)}.")
    if months.done:
        named = [f"{name} on {spoken(day)}" for name, day in zip(months.names, months.done, strict=False)]
        text.append(f"Marked: {', '.join(named or map(spoken, months.done))}.")
    (low, high), floor = months.wanted, months.floor
    text.append(f"Your range is {typed(low)} to {typed(high)}, the floor {typed(floor)}.")
    return Figure("months", (months,), TALL, " ".join(text), _months_table(months))


def _months_table(months: Months) -> Table:
    """Give all that is drawn: what was read, where the bed stood, what was done."""
    halves = months.halves or (0.0,) * len(months.days)
    read = {day: (ph, half) for day, ph, half in zip(months.days, months.ph, halves, strict=True)}
    done: dict[date, list[str]] = {}
    for i, day in enumerate(months.done):
        done.setdefault(day, []).append(months.names[i] if months.names else "done")
    stood = {on for on, *_ in months.course}
    beside = [(day, None) for day in sorted({*read, *done} - stood)]
    places = sorted([*((on, ends) for on, *ends in months.course), *beside], key=lambda each: each[0])
    heads = ["day", "slurries", *(["from", "to"] if months.halves else [])]
    heads += [*(["bed", "from", "to"] if months.course else []), "done"]
    rows = []
    for i, (day, ends) in enumerate(places):
        last = i + 1 == len(places) or places[i + 1][0] != day
        ph, half = read.pop(day, (None, 0.0))
        row = [day.isoformat(), "" if ph is None else f"{ph:.2f}"]
        if months.halves:
            row += ["", ""] if ph is None else [number(ph + side * half, half) for side in (-1, 1)]
        if months.course:
            row += ["", "", ""] if ends is None else _level(*ends)
        rows.append((*row, " + ".join(done.get(day, ())) if last else ""))
    return table(heads, rows, range(1, len(heads) - 1))


def _level(low: float, level: float, high: float) -> list[str]:
    return [number(value, (high - low) / 2.0) for value in (level, low, high)]
