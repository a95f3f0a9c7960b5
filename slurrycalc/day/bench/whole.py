"""All that a record says of its enclosures on a day: what the page for a keeper, a vet and a class shows."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from slurrycalc.day.bench.result import EnclosureResult
from slurrycalc.day.bench.standing import JudgedBy, standing_on
from slurrycalc.day.months.changing import BedGiven
from slurrycalc.day.months.drifting import DriftAsked, Drifting
from slurrycalc.day.months.drifts import by_record
from slurrycalc.day.months.duties import Duties, duties
from slurrycalc.day.months.exchanging import StageSpread, plan_exchange
from slurrycalc.day.months.holding import Holding, plan_upkeep
from slurrycalc.day.months.probed import age_of, bed_of_pairs, known_of
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.day.record.slurries import ALIKE, DaySlurries, slurries
from slurrycalc.day.record.stating import ThingShown, show_thing
from slurrycalc.day.record.telling import EntryTold, tell
from slurrycalc.deciding.agenda import EXCHANGES
from slurrycalc.deciding.due import DueItem
from slurrycalc.deciding.exchange import Exchange
from slurrycalc.deciding.upkeep import Plan
from slurrycalc.deciding.worth import Worth, worth
from slurrycalc.logbook.past import Expectations, pairs
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.things import Thing
from slurrycalc.logbook.windows import windows
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.probe import Comparison, ProbeResponse, compare, response
from slurrycalc.measuring.slurry import SlurryResult, slurry_ph
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.results import Result
from slurrycalc.metrology.watch import Watch, unwatched

LATELY = datetime.timedelta(days=90)
"""What was done so lately is told to a vet (our own figure)."""


@dataclass(frozen=True)
class BedSeen(Result, says=("drift",), of="read"):
    """One enclosure as its record shows it."""

    thing: ThingShown
    read: EnclosureResult
    """Its last bench day."""
    drift: Drifting
    together: SlurryResult
    """That day's slurries."""
    alone: SlurryResult | None
    """The first of them, had it been the only one; None where it was."""
    first: DueItem | None
    """The first thing to do of it."""
    exchange: Exchange | None
    """What its exchange is expected to bring, where one comes first and the record knows the mix."""
    upkeep: Plan | None
    """What an upkeep is expected to bring, where parts of it were exchanged before and none comes first."""
    lately: tuple[EntryTold, ...]
    """What was done to it in the last 90 days."""


@dataclass(frozen=True)
class ProbeOnRecord(Result, says=("response", "worth"), of="name"):
    """A probe as all its pairs show it."""

    name: str
    comparison: Comparison
    response: ProbeResponse
    worth: Worth
    bed: str | None
    """The bed whose record it is held against."""


@dataclass(frozen=True)
class Whole(Result, says=("due",)):
    """All that a record says on a day."""

    today: datetime.date
    due: Duties
    beds: tuple[BedSeen, ...]
    """What asks for something first, first."""
    unread: tuple[str, ...]
    probes: tuple[ProbeOnRecord, ...]
    calibration: Calibration | None
    """The last one that slurries were read under."""
    struck: tuple[EntryTold, ...]
    """Entries that are struck out, all of them or a part."""


def whole(
    keeper: Keeper,
    today: datetime.date,
    names: Sequence[str] = (),
    p: float = 0.95,
    *,
    watch: Watch = unwatched,
) -> Whole:
    """Look at a record as a whole, and add nothing.

    Parameters
    ----------
    keeper : Keeper
        Of a step that nothing is put into.
    today : date
        The day on which it is asked, as if nothing later were known.
    names : sequence of str
        Of enclosures; all in use unless given.
    p : float
        Coverage probability. [1]
    watch : Watch
        Goes along the enclosures.

    Returns
    -------
    Whole

    Raises
    ------
    Refusal
        If an enclosure is not on record, or none was read yet.
    """
    recall = keeper.recall
    named = [recall.things.find("enclosure", name) for name in dict.fromkeys(names)]
    beds = [one for one in named or recall.things.of("enclosure", today) if one.is_bed]
    if names and not beds:
        raise Refusal(f"{names[0]} is no bed that is kept to a range; name an enclosure that is, or none.")
    read = windows(recall, 1, ALIKE, until=today, enclosures=[one.id for one in beds])
    if not read:
        raise Refusal(
            "no bench day is on record to show: read an enclosure first, slurrycalc bench, or ask for "
            "another day by --on."
        )
    due = duties(recall, today, of=named or None)
    seen, newest = [], None
    there = [bed for bed in beds if bed.id in read]
    for bed in watch(there, len(there)):
        one, day = _seen(keeper, bed, read[bed.id].since, due, p)
        seen.append(one)
        newest = day if newest is None or day.day > newest.day else newest
    order = {name: i for i, name in enumerate(due.first)}
    return Whole(
        today,
        due,
        tuple(sorted(seen, key=lambda one: order.get(one.thing.name, len(order)))),
        tuple(bed.name for bed in beds if bed.id not in read),
        tuple(_probes(recall, today, {bed.id for bed in named}, p)),
        None if newest is None else newest.calibration,
        _struck(recall, today),
    )


def _seen(
    keeper: Keeper, bed: Thing, read: datetime.date, due: Duties, p: float
) -> tuple[BedSeen, DaySlurries]:
    recall, today, first = keeper.recall, due.today, due.first_of(bed.name)
    (result,) = standing_on(recall, read, [bed], asked=JudgedBy(p=p)).enclosures
    day = slurries(recall, bed, read)
    assert day is not None
    drift = by_record(recall, bed.name, DriftAsked(today, p=p))
    exchanges = first is not None and first.task in EXCHANGES and first.days <= 0
    since = (today - LATELY).isoformat()
    lately = (one for one in tell(recall, bed) if since <= one.at[:10] <= today.isoformat())
    told = BedSeen(
        show_thing(bed),
        result,
        drift,
        day.slurry,
        _alone(recall, bed, day),
        first,
        _exchange(keeper, bed, today, p) if exchanges else None,
        _upkeep(recall, bed, today, p) if drift.exchanges and not exchanges else None,
        tuple(one for one in lately if any(item.what in ("event", "outside") for item in one.items)),
    )
    return told, day


def _alone(recall: Recall, bed: Thing, day: DaySlurries) -> SlurryResult | None:
    """Say what a day's first slurry alone would have said, by the same record."""
    if day.slurry.n < 2:
        return None
    known = Expectations(recall).of(bed, day.day)
    return slurry_ph(day.calibration, day.slurry.slurries[:1], expected=known.scatter)


def _exchange(keeper: Keeper, bed: Thing, today: datetime.date, p: float) -> Exchange | None:
    try:
        planned = plan_exchange(BedGiven(), None, StageSpread(p=p), today, keeper=keeper, enclosure=bed.name)
    except Refusal:  # the record knows no mix, or none that would do
        return None
    return planned.exchange if planned.exchange is not None and planned.exchange.stages else None


def _upkeep(recall: Recall, bed: Thing, today: datetime.date, p: float) -> Plan | None:
    try:
        kept = plan_upkeep(BedGiven(), Holding(p=p), today, recall=recall, enclosure=bed.name).upkeep
    except Refusal:
        return None
    plan = None if kept is None else kept.assured or kept.even
    return plan if plan is not None and plan.cycles and plan.cycles[0].before is not None else None


def _probes(recall: Recall, today: datetime.date, beds: set[int], p: float) -> list[ProbeOnRecord]:
    found = []
    for probe in recall.things.of("probe", today):
        known = pairs(recall, probe, today + datetime.timedelta(days=1))
        if not known:
            continue
        step = float(probe.get("resolution") or 0.0)
        shows, slurry = [one.shows for one in known], [one.slurry for one in known]
        follows, bed = response(shows, slurry, resolution=step), bed_of_pairs(known)
        if beds and (bed is None or bed.id not in beds):
            continue
        before, _ = known_of(recall, bed, today, p=p)
        use = worth(before, follows, months=age_of(known, today), p=p)
        name = bed.name if bed is not None and use.recorded else None
        found.append(ProbeOnRecord(probe.name, compare(shows, slurry, resolution=step), follows, use, name))
    return found


def _struck(recall: Recall, today: datetime.date) -> tuple[EntryTold, ...]:
    rows = recall.book.rows("SELECT id FROM entry ORDER BY at, id")
    told = tell(recall, entries=[int(row[0]) for row in rows])
    return tuple(
        one
        for one in told
        if one.at[:10] <= today.isoformat()
        and (one.struck is not None or any(item.struck is not None for item in one.items))
    )
