"""The card of one thing on record: where it stands, what is due, what is set, what was last done."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, field

from slurrycalc.data.method import METHOD
from slurrycalc.day.bench.changed_answer import ChangedAnswer, changed_answers
from slurrycalc.day.bench.standing import JudgedBy, Standing, standing_on
from slurrycalc.day.months.ageing import MeterLife, meter_life
from slurrycalc.day.months.duties import Duties, duties
from slurrycalc.day.months.exchanged import Enough, enough, exchanges_worked
from slurrycalc.day.months.salts_beside import SaltsBeside, salts_beside
from slurrycalc.day.months.series import Series, series_of
from slurrycalc.day.months.surprise import surprise_of
from slurrycalc.day.record.limits import chosen_limits, limits_of
from slurrycalc.day.record.slurries import ALIKE
from slurrycalc.day.record.stating import ThingShown, show_thing
from slurrycalc.day.record.telling import EntryTold, tell
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.settings import ThingKind
from slurrycalc.logbook.things import Thing
from slurrycalc.logbook.windows import windows
from slurrycalc.metrology.results import Result

COMES_DUE: tuple[ThingKind, ...] = ("enclosure", "bottle", "probe")
"""Kinds of which something comes due."""
READ_BY = ("read", "run", "bench")
"""Kinds of entries that hold readings of slurries and answer them."""
NEWEST = 3
"""So many entries are told."""


@dataclass(frozen=True)
class Card(Result, says=("standing", "due"), of="called"):
    """One thing on record."""

    thing: ThingShown
    standing: Standing
    """Where an enclosure stood on its last bench day; empty of one that was not read, and of other things."""
    salts: SaltsBeside | None
    """An enclosure's salts beside its pH, where both were read."""
    changed: tuple[ChangedAnswer, ...]
    """That its last bench day is answered otherwise now, by another version of the method."""
    method: str | None
    """Version of the method that answered its last bench day then, where it is not the present one."""
    due: Duties | None
    """None of what nothing comes due of, and of what is retired."""
    series: Series | None
    """A bed's bench days, where it was read."""
    electrode: MeterLife | None
    """How a meter's electrode ages, where it was calibrated."""
    entries: tuple[EntryTold, ...]
    """The newest, in the order of time."""
    earlier: int
    """Entries that are not told."""
    enough: Enough | None = field(default=None, metadata={"json": False})
    """Whether a bed's last exchange was enough, where its last bench day is the first to show it."""

    @property
    def called(self) -> str:
        """What it is, and its name."""
        return f"{self.thing.kind} {self.thing.name}"


def card(recall: Recall, thing: Thing, today: datetime.date, p: float = 0.95) -> Card:
    """Look at one thing on record, and add nothing.

    Parameters
    ----------
    recall : Recall
        The record.
    thing : Thing
        On it.
    today : date
        The day on which it is asked; what was done later is left out.
    p : float
        Coverage probability. [1]

    Returns
    -------
    Card
        What stands.

    Raises
    ------
    Refusal
        If the points of a calibration cannot stand.
    """
    told = [entry for entry in tell(recall, thing) if entry.at[:10] <= today.isoformat()]
    comes_due = thing.kind in COMES_DUE and (thing.retired is None or thing.retired > today)
    stood = _standing(recall, thing, today, p) if thing.kind == "enclosure" else Standing(())
    series = series_of(recall, thing, until=today) if thing.kind == "enclosure" and thing.is_bed else None
    return Card(
        show_thing(thing),
        stood,
        None if series is None else salts_beside(recall, series, today),
        changed_answers(recall, stood),
        _method(stood, told),
        duties(recall, today, of=[thing]) if comes_due else None,
        series,
        meter_life(recall, thing, until=today) if thing.kind == "meter" else None,
        tuple(told[-NEWEST:]),
        max(0, len(told) - NEWEST),
        None if series is None else _enough(series),
    )


def _enough(series: Series) -> Enough | None:
    """Say whether its last exchange was enough; nothing while its last reading is in doubt."""
    if series.doubted or surprise_of(series, series.taught) is not None:
        return None
    wanted, _ = chosen_limits(limits_of(series.enclosure))
    return enough(series, series.taught.level(), wanted, exchanges_worked(series))


def _standing(recall: Recall, thing: Thing, today: datetime.date, p: float) -> Standing:
    """Say where an enclosure stood on its last bench day."""
    read = windows(recall, 1, ALIKE, until=today, enclosures=(thing.id,)).get(thing.id)
    if read is None:
        return Standing((), unread=(thing.name,))
    return standing_on(recall, read.since, [thing], asked=JudgedBy(p=p))


def _method(stood: Standing, told: Sequence[EntryTold]) -> str | None:
    """Give the version of the method that answered a bench day, where it is not the present one."""
    days = {one.day for one in (*stood.enclosures, *stood.steady, *stood.fresh)}
    methods = [entry.method for entry in told if entry.at[:10] in days and entry.kind in READ_BY]
    return methods[-1] if methods and methods[-1] != METHOD else None
