"""Salts that are put on record, raw, and what the record knows of a fresh mix's."""

from __future__ import annotations

import shlex
from functools import partial

from slurrycalc.data.assumed import SLURRY_RATIO
from slurrycalc.day.keeping.keeper import Keeper
from slurrycalc.day.planning.salting import Act, Same, salts_series
from slurrycalc.day.salts import SaltsGiven
from slurrycalc.logbook.conductivities import add_conductivity
from slurrycalc.logbook.step import DISTILLED
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.salts import Salts
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal


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
