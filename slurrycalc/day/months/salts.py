"""An enclosure's salts: put on record raw, and given back day by day, with how fast they rise."""

from __future__ import annotations

import datetime
import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from itertools import groupby
from typing import NamedTuple, TypeAlias

from uncertainties import UFloat

from slurrycalc.data.assumed import SALT_SCATTER, SALT_SCATTER_DOF, SLURRY_RATIO
from slurrycalc.day.months.shifts import steps_of
from slurrycalc.day.record.conductivity import SaltsDay, SaltsGiven, Shown, StandardRead, salts_of, together
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.deciding.trend import LevelStep, LineThroughTime, TooFewDays, line_through_time
from slurrycalc.deciding.upkeep import SaltRise
from slurrycalc.logbook.conductivities import KeptConductivity, KeptSalts, add_conductivity, salts_on_record
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.step import DISTILLED
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.salts import Cell, Salts
from slurrycalc.measuring.salts.cell import unchecked
from slurrycalc.metrology.annotate import MicroSiemensPerCm
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter


@dataclass(frozen=True)
class SaltsSeries:
    """An enclosure's salts day by day, from the earliest on."""

    enclosure: Thing
    days: tuple[SaltsDay, ...]
    newest: Salts
    """Of the last of the days, with all that is to be said of it."""
    line: LineThroughTime | None
    """Through the days, with a step at each exchange; None where there are too few days. [uS/cm]"""
    why: str
    """Why there is no line; empty where there is one."""

    @property
    def last(self) -> datetime.date:
        """The last day that was read."""
        return self.days[-1].on

    def rise(self, fresh: MicroSiemensPerCm | float | str, limit: float | str) -> SaltRise | None:
        """Give what an upkeep has to hold.

        Parameters
        ----------
        fresh : UFloat, float or str
            Of the fresh mix. [uS/cm]
        limit : float or str
            That must not be passed. [uS/cm]

        Returns
        -------
        SaltRise or None
            With the salts as they were on the last day; None where too few days tell of a rise.
        """
        if self.line is None:
            return None
        return SaltRise(self.line.per_month, fresh, limit, self.line.level(self.last))


class Same(NamedTuple):
    """What readings share that were made with one meter."""

    meter: int | None
    """Its number on record; None for a nameless one."""
    compensates: bool
    thermometer: float | None


Meters: TypeAlias = dict[Same, Cell]
"""Meters that no standard checked. The error of each is one and the same wherever it was used."""


class Act(NamedTuple):
    """What was typed in one step."""

    on: datetime.date
    same: Same
    given: SaltsGiven


def salts_series(
    recall: Recall,
    enclosure: Thing,
    *,
    until: datetime.date | None = None,
    adding: Act | None = None,
    expected: Expected = DEFAULT,
    meters: Meters | None = None,
) -> SaltsSeries | None:
    """Give an enclosure's salts from the record, computed anew.

    Parameters
    ----------
    recall : Recall
        The record.
    enclosure : Thing
        Which one.
    until : date, optional
        Up to that day, as if nothing later were on record.
    adding : Act, optional
        What is not on record yet.
    expected : Scatter, DEFAULT or None
        What is known of the scatter of a day's slurries beforehand. [uS/cm]
    meters : dict, optional
        Meters that no standard checked, as they are met: enclosures that are compared share one.

    Returns
    -------
    SaltsSeries or None
        Each day by the meter that was used last on it; None where the salts were never read.

    Raises
    ------
    Refusal
        If a reading on record cannot stand.
    """
    acts = [_act(kept) for kept in salts_on_record(recall, enclosure, until=until)]
    if adding is not None:
        acts.append(adding)
    if not acts:
        return None
    meters = {} if meters is None else meters
    days: list[SaltsDay] = []
    means: list[UFloat] = []
    for day, of_day in groupby(sorted(acts, key=lambda act: act.on), key=lambda act: act.on):
        parts = list(of_day)
        same = parts[-1].same
        given = together([act.given for act in parts if act.same == same])
        newest = salts_of(given, expected, None if given.standard else _unchecked(meters, same))
        days.append(SaltsDay(day, newest.ec, newest.n))
        means.append(_mean(newest))
    steps = [
        step
        for step in steps_of(recall, [enclosure.id]).get(enclosure.id, ())
        if days[0].on <= step.on and (until is None or step.on <= until)
    ]
    line, why = _line(days, means, steps)
    return SaltsSeries(enclosure, tuple(days), newest, line, why)


def _act(kept: KeptSalts) -> Act:
    first = kept.slurries[0]
    given = SaltsGiven(
        tuple(map(_shown, kept.slurries)),
        _shown(kept.blanks[-1]) if kept.blanks else None,
        _standard(kept.standards),
        first.compensates,
        first.thermometer,
    )
    return Act(kept.when.day, Same(kept.meter, first.compensates, first.thermometer), given)


def _shown(kept: KeptConductivity) -> Shown:
    return Shown(sum(kept.shows) / len(kept.shows), kept.temperature)


def _standard(kept: Sequence[KeptConductivity]) -> StandardRead | None:
    """Give the standard that was read last, with all its readings alike."""
    if not kept:
        return None
    last = kept[-1]
    assert last.standard is not None
    alike = [one for one in kept if (one.standard, one.temperature) == (last.standard, last.temperature)]
    return StandardRead(last.standard, tuple(map(_shown, alike)), last.tolerance)


def _unchecked(meters: Meters, same: Same) -> Cell | None:
    """Give a named meter that no standard checked: its error is the same on every day, and no drift."""
    if same.meter is None:
        return None
    if same not in meters:
        meters[same] = unchecked(same.compensates, same.thermometer)
    return meters[same]


def _mean(day: Salts) -> UFloat:
    """Give a day's mean without the scatter that its slurries showed: the days show it again."""
    mean = sum(day.jars[1:], start=day.jars[0]) / day.n
    return mean if day.blank is None else mean - day.blank


def _line(
    days: Sequence[SaltsDay], means: Sequence[UFloat], steps: Sequence[LevelStep]
) -> tuple[LineThroughTime | None, str]:
    mean = sum(day.ec.n for day in days) / len(days)
    expected = Scatter(
        SALT_SCATTER.value * mean, SALT_SCATTER_DOF.value, SALT_SCATTER.known, SALT_SCATTER.ground
    )
    try:
        line = line_through_time(
            [day.on for day in days],
            means,
            steps,
            expected,
            name="scatter of salts about the line through time",
            what="day of salts",
        )
    except TooFewDays as why:
        return None, why.sentence
    return line, ""


def keep_salts(
    keeper: Keeper, given: SaltsGiven, enclosure: str | None, meter: str | None
) -> tuple[Act, Thing | None]:
    """Put conductivities into a step as the meter showed them.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    given : SaltsGiven
        What was read.
    enclosure, meter : str or None
        Their names.

    Returns
    -------
    Act
        As the record will give it back.
    Thing or None
        The enclosure.

    Raises
    ------
    Refusal
        If nothing is called so.
    """
    where = None if enclosure is None else keeper.thing("enclosure", enclosure)
    which = None if meter is None else keeper.thing("meter", meter)
    put = partial(
        add_conductivity,
        keeper.step,
        enclosure=None if where is None else where.uid,
        meter=None if which is None else which.uid,
        compensates=given.compensates,
        thermometer=given.thermometer,
    )
    ratio = SLURRY_RATIO.value  # the bands are for it
    for jar in given.slurries:
        put("slurry", jar.conductivity, jar.temperature, ratio=ratio, basis="volume", solution=DISTILLED)
    if given.blank is not None:
        put("blank", given.blank.conductivity, given.blank.temperature, solution=DISTILLED)
    if given.standard is not None:
        label, tolerance = given.standard.label, given.standard.tolerance
        for cup in given.standard.shown:
            put("standard", cup.conductivity, cup.temperature, standard=label, tolerance=tolerance)
    same = Same(None if which is None else which.id, given.compensates, given.thermometer)
    return Act(keeper.day, same, given), where


def fresh_salts(keeper: Keeper, name: str | None) -> Salts:
    """Give the salts of a fresh mix as they were read last.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    name : str or None
        Of its tub; None for the one tub on record.

    Returns
    -------
    Salts
        Of its last day up to the keeper's.

    Raises
    ------
    Refusal
        If there is no such tub, more than one could be meant, or its salts were never read.
    """
    things = keeper.recall.things
    if name is None:
        tubs = [one for one in things.of("enclosure", keeper.day) if one.get("fresh")]
        if len(tubs) != 1:
            several = f"several are known, such as {quoted(tubs[0].name)}" if tubs else "none is on record"
            raise Refusal(
                f"the salts of the fresh mix are measured and not assumed, and {several}: add --fresh "
                "0.4mS/cm, or --fresh with the name of its tub."
            )
        tub = tubs[0]
    else:
        tub = things.find("enclosure", name)
    series = salts_series(keeper.recall, tub, until=keeper.day)
    if series is None:
        raise Refusal(
            f"the salts of {quoted(tub.name)} were not read yet: slurrycalc salts 0.4mS/cm@21C --enclosure "
            f"{shlex.quote(tub.name)}, or give what they are: --fresh 0.4mS/cm."
        )
    return series.newest
