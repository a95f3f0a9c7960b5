"""What the record says is due: of every enclosure, bottle and probe in use, by date."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from slurrycalc.data.assumed import PROBE_CHECK
from slurrycalc.day.months.bed_states import bed_states
from slurrycalc.day.months.retest import retests_of
from slurrycalc.day.months.rhythm import upkeep_asked, upkeep_turn
from slurrycalc.day.months.series import Series, series_of_many
from slurrycalc.day.months.stages import OpenPlan, open_plan, withdrawn_words
from slurrycalc.day.record.limits import NO_LIMITS, Limits
from slurrycalc.deciding.agenda import Rank, rested
from slurrycalc.deciding.due import DueItem, InUse, OpenBottle, ProbeInUse, due
from slurrycalc.deciding.tasks import Task
from slurrycalc.logbook.latest import last_events, last_probings
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.settings import NEVER, ThingKind
from slurrycalc.logbook.things import Thing
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.results import Result

INTERVALS: Final[Mapping[Task, str]] = {
    "retest": "read_every",
    "steady-jar": "read_every",
    "leaf-litter": "litter_every",
    "charcoal": "charcoal_every",
}
"""The setting of an enclosure that says how often."""
OF_KIND: Final[Mapping[Task, ThingKind]] = {"buffer-bottle": "bottle", "probe-check": "probe"}
"""What a task is done to, where it is no enclosure."""


@dataclass(frozen=True)
class Duty(Result, says=("due",)):
    """One thing to do, and what the record knows it by."""

    due: DueItem
    thing: Thing
    uid: str
    """The same whenever this is asked, in whatever logbook: of the thing, the task, and the stage if any."""


@dataclass(frozen=True)
class Withdrawn(Result, says=("text",)):
    """Stages of an exchange that are due no more, since what was read is enough."""

    thing: Thing
    plan: OpenPlan
    uids: tuple[str, ...]
    """Of the duties that they were."""

    @property
    def text(self) -> str:
        """What a person reads."""
        return withdrawn_words(self.thing.name, self.plan)


@dataclass(frozen=True)
class Duties(Result):
    """What is due: by today, by how much it matters; then by day."""

    today: datetime.date
    every: tuple[Duty, ...]
    withdrawn: tuple[Withdrawn, ...] = ()
    """Stages that what was read since takes back; nothing of it is recorded."""

    def _body(self) -> str:
        return f"{len(self.every)} to do. {self.every[0].due.text}" if self.every else "nothing to do"

    @cached_property
    def first(self) -> Mapping[str, DueItem]:
        """The first thing to do of each enclosure, tending apart, in the order of all that is due."""
        found: dict[str, DueItem] = {}
        for duty in self.every:
            if duty.thing.kind == "enclosure" and duty.due.rank < Rank.TEND:
                found.setdefault(duty.thing.name, duty.due)
        return found

    def first_of(self, name: str) -> DueItem | None:
        """Give the first thing to do of an enclosure; None where there is none."""
        return self.first.get(name)

    @property
    def overdue(self) -> tuple[Duty, ...]:
        """What should have been done before today."""
        return tuple(duty for duty in self.every if duty.due.days < 0)


def duties(
    recall: Recall,
    today: datetime.date,
    *,
    of: Sequence[Thing] | None = None,
    ahead: int | None = None,
    asked: Limits = NO_LIMITS,
    series: Mapping[int, Series] | None = None,
) -> Duties:
    """Say what is due by the record.

    Parameters
    ----------
    recall : Recall
        The record.
    today : date
        The day on which it is asked, as if nothing later were on record.
    of : sequence of Thing, optional
        Of these enclosures, bottles and probes only; of all in use unless given.
    ahead : int, optional
        How far to look; None: to the last. [d]
    asked : Limits
        Range and floor that count before the enclosures' own. [pH]
    series : mapping, optional
        Number of each of the enclosures to its bench days by that day, where they were gathered already.

    Returns
    -------
    Duties
        As `slurrycalc.deciding.due.due` puts them. Tubs of fresh mix are no enclosures that anything is due
        of.

    Raises
    ------
    Refusal
        If nothing can come due of a thing, such as a meter, or it is no longer in use.
    """
    named = recall.things.every if of is None else _all_can_be_due(of, today)
    live = [thing for thing in named if _in_use(thing, today)]
    enclosures = [thing for thing in live if thing.kind == "enclosure" and not thing.get("fresh")]
    bottles = [thing for thing in live if thing.kind == "bottle"]
    probes = [thing for thing in live if thing.kind == "probe"]
    with recall.book.snapshot():
        if series is None:
            series = series_of_many(recall, enclosures, until=today)
        done = last_events(recall, ("leaf-litter", "charcoal"), today) if enclosures else {}
        read = last_probings(recall, today) if probes else {}
        plans = {
            thing.id: plan
            for thing in enclosures
            if (plan := open_plan(recall, thing, series.get(thing.id), today)) is not None
        }
        read_ones = [series[thing.id] for thing in enclosures if thing.id in series]
        states = bed_states(recall, read_ones, today, asked)
    stages = {
        number: tuple(stage.on for stage in plan.stages) if plan.enough is None else ()
        for number, plan in plans.items()
    }
    beds = [each for each in read_ones if each.enclosure.is_bed]
    retests = {one.enclosure.id: by for one, by in zip(beds, retests_of(beds, asked), strict=True)}
    found = due(
        [
            replace(
                _upkept(thing, series.get(thing.id), done, stages.get(thing.id, ()), today),
                retest=retests.get(thing.id),
                state=states.get(thing.id),
            )
            for thing in enclosures
        ],
        today,
        bottles=[
            OpenBottle(thing.name, _day(thing, "opened", today), _day(thing, "expires")) for thing in bottles
        ],
        probes=[ProbeInUse(thing.name, read.get(thing.id), _check_every(thing)) for thing in probes],
        ahead=ahead,
    )
    by_name = {(thing.kind, thing.name): thing for thing in live}
    withdrawn = tuple(
        Withdrawn(thing, plans[thing.id], tuple(_stage_uids(thing, len(plans[thing.id].stages))))
        for thing in enclosures
        if thing.id in plans and plans[thing.id].enough is not None
    )
    return Duties(today, tuple(_named(found.items, by_name, stages)), withdrawn)


def first_task(recall: Recall, bed: Thing, today: datetime.date) -> DueItem | None:
    """Give the first thing to do of a bed on a day, as the agenda has it."""
    return duties(recall, today, of=[bed]).first_of(bed.name)


def _in_use(thing: Thing, today: datetime.date) -> bool:
    # What is retired on a day was replaced on it, and no longer comes due.
    return thing.retired is None or thing.retired > today


def _all_can_be_due(of: Sequence[Thing], today: datetime.date) -> Sequence[Thing]:
    for thing in of:
        if thing.kind not in ("enclosure", "bottle", "probe"):
            raise Refusal(
                f"{quoted(thing.name)} is a {thing.kind}, of which nothing comes due; name an enclosure, a "
                "bottle or a probe."
            )
        if not _in_use(thing, today):
            raise Refusal(
                f"{thing.kind} {quoted(thing.name)} was retired on {thing.retired}, so nothing of it comes "
                "due; name one that is in use."
            )
    return of


def _upkept(
    thing: Thing,
    series: Series | None,
    done: Mapping[tuple[int, str], datetime.date],
    stages: tuple[datetime.date, ...],
    today: datetime.date,
) -> InUse:
    tasks: tuple[Task, ...] = ("leaf-litter", "charcoal")
    began = datetime.date.fromisoformat(thing.said[0].recorded[:10])
    return InUse(
        thing.name,
        None if series is None else series.last,
        None,
        {task: done[thing.id, task] for task in tasks if (thing.id, task) in done},
        {task: _every(thing, key) for task, key in INTERVALS.items() if thing.get(key) is not None},
        stages,
        bool(thing.get("steady")),
        since=min(began, today if series is None else series.days[0]),
        rests=None if series is None else rested(series.steps, today),
        turn=None if series is None or thing.get("steady") else upkeep_turn(series),
        upkeep=None if series is None or thing.get("steady") else upkeep_asked(series),
    )


def _every(thing: Thing, key: str) -> float | None:
    said = thing.get(key)
    return None if said == NEVER else float(said)


def _check_every(thing: Thing) -> float | None:
    return PROBE_CHECK.value if thing.get("check_every") is None else _every(thing, "check_every")


def _day(thing: Thing, key: str, until: datetime.date = datetime.date.max) -> datetime.date | None:
    said = thing.get(key)
    day = None if said is None else datetime.date.fromisoformat(said)
    return None if day is None or day > until else day


def _named(
    items: Sequence[DueItem],
    by_name: Mapping[tuple[ThingKind, str], Thing],
    stages: Mapping[int, tuple[datetime.date, ...]],
) -> Iterator[Duty]:
    """Find each one's thing again, and give it its uid."""
    numbered = {thing.id: _stage_uids(thing, len(stages.get(thing.id, ()))) for thing in by_name.values()}
    for item in items:
        thing = by_name[OF_KIND.get(item.task, "enclosure"), item.subject]
        staged = item.task == "exchange-stage"
        yield Duty(item, thing, next(numbered[thing.id]) if staged else f"{thing.uid}-{item.task}")


def _stage_uids(thing: Thing, still: int) -> Iterator[str]:
    """Give each stage that is still there its uid: its place in the plan, those that were done included."""
    planned = len(thing.get("stages") or ())
    return (f"{thing.uid}-exchange-stage-{place}" for place in range(planned - still + 1, planned + 1))
