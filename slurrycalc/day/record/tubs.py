"""Tubs of fresh mix among the enclosures of a record."""

from __future__ import annotations

import datetime
import shlex
from typing import Final

from uncertainties import UFloat

from slurrycalc.day.record.slurries import ALIKE, slurries
from slurrycalc.logbook.blends import newest_trial, tried_with
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.things import Thing
from slurrycalc.logbook.windows import windows
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark

UNSPENT: Final = Remark(
    "unspent-lime",
    "Where a fresh mix holds lime or ash that is not spent yet, its pH shows nothing of that reserve, which "
    "goes on raising the pH of a bed: a trial in jars, weeks moist, shows it (from memory).",
)


def refuse_no_tub(thing: Thing) -> None:
    """Refuse what is no tub where a fresh mix is meant."""
    if not thing.get("fresh"):
        raise Refusal(
            f"{quoted(thing.name)} is no tub of fresh mix; if it is one, say so: slurrycalc enclosure "
            f"{shlex.quote(thing.name)} --fresh yes."
        )


def untried(
    recall: Recall, tub: Thing | None, bed: Thing | None = None, *, until: datetime.date
) -> tuple[Remark, ...]:
    """Say what the pH of a fresh mix does not show; nothing where a trial was made with it.

    Parameters
    ----------
    recall : Recall
        The record.
    tub : Thing or None
        Where the mix stands; None where its pH alone is known.
    bed : Thing, optional
        Into which it goes. A trial of that bed counts, unless it was made with another mix.
    until : date
        What came later counts as unknown.

    Returns
    -------
    tuple of Remark
        One or none.
    """
    from slurrycalc.deciding.trial.doses import PERCENT  # noqa: PLC0415  only with a fresh mix

    if tub is not None and tried_with(recall, tub, until=until):
        return ()
    kept = None if bed is None else newest_trial(recall, bed, until=until, unit=PERCENT)
    if kept is None or (tub is not None and kept.amendment):
        return (UNSPENT,)
    return ()


def tub_ph(recall: Recall, tub: Thing, day: datetime.date) -> UFloat | None:
    """Give what a tub of fresh mix read last by a day; None where it was not read. [pH]."""
    seen = windows(recall, 1, ALIKE, until=day, enclosures=(tub.id,)).get(tub.id)
    read = None if seen is None else slurries(recall, tub, seen.since)
    return None if read is None else read.slurry.ph
