"""The sheet for a vet: what was read and what changed, with room to write; no verdict on anybody's health."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import TYPE_CHECKING

from slurrycalc.measuring.salts import spoken_ec
from slurrycalc.measuring.wording import typed
from slurrycalc.metrology.figures import number, plus_minus
from slurrycalc.report.page import Block, Heading, Say, Write, table

if TYPE_CHECKING:
    from slurrycalc.day.bench.whole import BedSeen, Whole

MOST_BEDS, MOST_DAYS, MOST_EVENTS = 4, 6, 6
"""So many enclosures, bench days and events: the sheet is one."""
METHOD_IN_A_LINE = (
    "pH of a slurry of 1 part substrate and 2 parts distilled water by volume, read with a meter that is "
    "calibrated in buffers; ± holds in 95 cases of 100."
)


def vet_blocks(found: Whole, p: float) -> Iterator[Block]:
    """Write the sheet for a vet.

    Parameters
    ----------
    found : Whole
        All that the record says.
    p : float
        Coverage probability. [1]
    """
    beds, left = found.beds[:MOST_BEDS], found.beds[MOST_BEDS:]
    yield Say(
        "Numbers of the substrate alone. They say nothing about an animal's health: that is the vet's to say."
    )
    yield Write("Animals: which, how many, since when")
    yield table(
        ("enclosure", "pH", "on", "range wanted", "floor", "salts"), [_row(bed, p) for bed in beds], (1,)
    )
    if left:
        yield Say(
            f"{len(left)} more enclosures: slurrycalc report --enclosure NAME writes this sheet of one."
        )
    yield Heading("The last bench days, pH")
    yield table(("day", *(bed.thing.name for bed in beds)), _days(beds), range(1, len(beds) + 1))
    yield Say(METHOD_IN_A_LINE)
    yield Heading("Done or seen in the last 90 days")
    events = lately_rows(beds, ("event", "outside"))
    if events:
        yield table(("day", "enclosure", "what"), events[:MOST_EVENTS])
    else:
        yield Say("Nothing is on record.")
    yield Write("Signs seen, since when, in which animal", 3)
    yield Write("Name, day", 1)


def _row(bed: BedSeen, p: float) -> tuple[str, ...]:
    standing, read = bed.read.judgement, bed.read.slurry
    low, high = standing.target
    salts = bed.drift.salts
    newest = "not read"
    if salts is not None:
        newest = f"{spoken_ec(salts.days[-1].ec.n)}, {salts.days[-1].on}"
    ph = plus_minus(read.ph.n, read.interval(p).half_width)
    return bed.thing.name, ph, bed.read.day, f"{typed(low)} to {typed(high)}", typed(standing.floor), newest


def _days(beds: Sequence[BedSeen]) -> list[tuple[str, ...]]:
    """Give the newest bench days of these enclosures, beside each other."""
    read = [dict(zip(bed.drift.days, bed.drift.ph, strict=True)) for bed in beds]
    newest = sorted({day for one in read for day in one}, reverse=True)[:MOST_DAYS]
    return [
        (day.isoformat(), *(number(one[day], 0.1) if day in one else "" for one in read)) for day in newest
    ]


def lately_rows(beds: Sequence[BedSeen], kinds: Collection[str]) -> list[tuple[str, str, str]]:
    """Give what was done or seen lately, the newest first: day, enclosure, what."""
    rows = [
        (entry.at[:10], bed.thing.name, item.text.removeprefix(f"{bed.thing.name}: "))
        for bed in beds
        for entry in bed.lately
        for item in entry.items
        if item.what in kinds and item.struck is None and entry.struck is None
    ]
    return sorted(rows, reverse=True)
