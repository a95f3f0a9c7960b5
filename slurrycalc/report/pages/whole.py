"""The page of a whole record, for keeper, vet and class: eight parts, what to do now before all else."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from slurrycalc.data.assumed import (
    BOTTLE_TOLERANCE,
    COVERAGE,
    FLOOR,
    JUNCTION,
    MOST_AT_ONCE,
    READ_AGAIN_LATEST,
    SLURRY_RATIO,
    SLURRY_SCATTER,
    STAGE_SPACING,
    TARGET_HIGH,
    TARGET_LOW,
    THERMOMETER,
    Assumed,
    from_where,
)
from slurrycalc.data.method import METHOD
from slurrycalc.day.bench.whole import BedSeen, ProbeOnRecord, Whole
from slurrycalc.deciding.days import spoken
from slurrycalc.metrology.coverage import interval
from slurrycalc.report.drawings import (
    cycles_figure,
    meter_figure,
    one_slurry_figure,
    pairs_figure,
    stages_figure,
    worked_figure,
)
from slurrycalc.report.page import (
    Block,
    Cautions,
    Do,
    Heading,
    Headline,
    Page,
    Plot,
    Say,
    Section,
    points,
    table,
)
from slurrycalc.report.pages.alone import need_words, standing_blocks
from slurrycalc.report.pages.due import command_of, due_blocks, said
from slurrycalc.report.pages.meter import VERDICTS
from slurrycalc.report.pages.record import history_blocks
from slurrycalc.report.pages.remarks import remarks_blocks
from slurrycalc.report.pages.trend import remarks_of
from slurrycalc.report.pages.vet import lately_rows, vet_blocks
from slurrycalc.report.plot import Months

MOST_ALONE = 3
"""So many enclosures show a class what one slurry alone would have said (our own figure)."""
TAKEN: tuple[tuple[str, Assumed], ...] = (
    ("how often an interval holds the truth", COVERAGE),
    ("range wanted, from", TARGET_LOW),
    ("range wanted, to", TARGET_HIGH),
    ("floor", FLOOR),
    ("water to one part of substrate, by volume", SLURRY_RATIO),
    ("a bottle of buffer is off by, at most", BOTTLE_TOLERANCE),
    ("junction potential, standard uncertainty", JUNCTION),
    ("a thermometer is off by, at most", THERMOMETER),
    ("scatter of slurries before any is read", SLURRY_SCATTER),
    ("from one reading of a bed to the next, at most", READ_AGAIN_LATEST),
    ("part of a bed exchanged at a time, at most", MOST_AT_ONCE),
    ("from one stage of an exchange to the next", STAGE_SPACING),
)
"""What counts unless it is set or read."""


def whole_page(found: Whole, p: float) -> Page:
    """Give the page of a whole record, in its parts.

    Parameters
    ----------
    found : Whole
        All that the record says.
    p : float
        Coverage probability. [1]
    """
    reads = [one.read for one in found.beds]
    need = need_words([bed.thing.name for bed in found.beds], found.due)
    return (
        Say(f"By the record, on {spoken(found.today)}. {need}."),
        Section("What to do now", tuple(_now(found))),
        Section("Where they stand", (*standing_blocks(reads, found.due, len(reads)), *_unread(found))),
        Section("The months", tuple(block for bed in found.beds for block in _months(bed, found.today, p))),
        Section("Done and due", tuple(_done(found))),
        Section("The probe against slurries", tuple(_probes(found, p))),
        Section("For the vet", tuple(vet_blocks(found, p)), alone=True),
        Section("For a class", tuple(_class(found, p))),
        Section("What it rests on", tuple(_rests(found))),
    )


def _now(found: Whole) -> Iterator[Block]:
    every = [duty for duty in found.due.every if duty.due.days <= 0] or list(found.due.every[:1])
    for duty in every:
        yield Do(said(duty.due), command_of(duty.due))
    if not every:
        yield Say("Nothing is due.")
    yield Cautions()


def _unread(found: Whole) -> Iterator[Block]:
    if found.unread:
        yield Say(f"Not read yet: {', '.join(found.unread)}.")


def _months(bed: BedSeen, today: date, p: float) -> Iterator[Block]:
    """Tell how a bed moved, with its figures; what an exchange or an upkeep is expected to bring."""
    drift = bed.drift
    yield Heading(bed.thing.name)
    yield Headline(
        "Drift", drift.outlook.per_month.n, interval(drift.outlook.per_month, p), p, "pH a month", True
    )
    yield Say(drift.outlook.meaning)
    yield Plot(Months.of(drift, p))
    if drift.exchanges:
        yield Say("What each exchange was expected to bring, and what it brought:")
        yield worked_figure(drift.exchanges, p)
    if bed.exchange is not None:
        yield Say(f"What the exchange is expected to bring. {bed.exchange.text[0]}")
        yield stages_figure(bed.exchange)
    if bed.upkeep is not None:
        yield Say("What an upkeep is expected to bring, without its doubt:")
        yield cycles_figure(bed.upkeep, None)
    yield from remarks_blocks(remarks_of(drift))


def _done(found: Whole) -> Iterator[Block]:
    """Tell what was done to each enclosure in the last 90 days, and what comes."""
    rows = lately_rows(found.beds, ("event",))
    yield Heading("Done in the last 90 days")
    if rows:
        yield table(("day", "enclosure", "what"), rows)
    else:
        yield Say("Nothing is on record.")
    yield from due_blocks(found.due, [], None)


def _probes(found: Whole, p: float) -> Iterator[Block]:
    for probe in found.probes:
        yield from _probe(probe, p)
    if not found.probes:
        yield Say("No probe was read beside a slurry yet.")


def _probe(probe: ProbeOnRecord, p: float) -> Iterator[Block]:
    offset = probe.comparison.offset
    yield Heading(f"Probe {probe.name}")
    yield Headline("Probe minus slurry", offset.n, interval(offset, p), p, "pH", True)
    may = probe.response.state == "follows"
    does = "It may warn, and reassure while slurries are recent" if may else "It may warn, not reassure"
    yield Say(f"{does}. By itself it is never enough to act on.")
    where = f"In {probe.bed}: " if probe.bed else ""
    yield Say(f"{where}{' '.join(probe.worth.text)}")
    yield pairs_figure(probe.comparison, probe.response, p)


def _class(found: Whole, p: float) -> Iterator[Block]:
    """Tell how a number comes about: the meter's line, raw dots and their interval, one slurry alone."""
    if found.calibration is not None:
        yield Heading("A meter is a line through its buffers")
        yield Say(VERDICTS[found.calibration.verdict.state])
        yield meter_figure(found.calibration, p)
    together = [bed for bed in found.beds if bed.alone is not None]
    if together:
        yield Heading("Why two slurries, and not one")
        yield Say(
            "Each ring is one slurry. A bar holds the pH in 95 cases of 100: several slurries narrow it, "
            "since they show how much spots of a bed differ."
        )
    for bed in sorted(together, key=lambda bed: -bed.together.n)[:MOST_ALONE]:
        assert bed.alone is not None
        yield Heading(f"{bed.thing.name}, {spoken(date.fromisoformat(bed.read.day))}")
        yield one_slurry_figure(bed.together, bed.alone, p)


def _rests(found: Whole) -> Iterator[Block]:
    yield Heading("Struck out")
    if found.struck:
        yield from history_blocks(found.struck, 0, None, foot=False)
    else:
        yield Say("Nothing was struck out.")
    yield Heading("Taken unless it is set or read")
    yield table(
        ("what", "value", "known"),
        [
            (what, f"{one.value:.2g} {one.unit}".removesuffix(" 1"), from_where(one.known))
            for what, one in TAKEN
        ],
        (1,),
    )
    usual = [bed.thing.name for bed in found.beds if bed.read.usual]
    if usual:
        yield Say(f"Nobody set range or floor of {', '.join(usual)}: common practice counts.")
    yield Heading("How it was computed")
    yield points(
        [
            f"Method {METHOD}: slurries of 1 part substrate and 2 parts distilled water by volume, each pH "
            "with its interval; a bed's months by a model whose drift may change.",
            "Raw readings are kept as they were typed, and everything here is computed from them anew.",
            "Each number's whole budget: slurrycalc read, trend or calibrate with --budget.",
        ]
    )
