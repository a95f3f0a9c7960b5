"""A bed as the record has it: which enclosure is meant, how large it is, and where its pH stands now."""

from __future__ import annotations

import datetime
import shlex
from dataclasses import dataclass

from uncertainties import UFloat

from slurrycalc.day.months.retest import retest_of
from slurrycalc.day.months.series import Series
from slurrycalc.day.months.surprise import surprise_of
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.trend import ReadFirst, read_first, unknown
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.things import Thing
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import plus_minus
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark


@dataclass(frozen=True)
class Level:
    """Where a bed stands now."""

    ph: UFloat
    """[pH]"""
    text: str
    """In words, with what it rests on."""
    remarks: tuple[Remark, ...] = ()


def bed_of(recall: Recall, name: str, today: datetime.date) -> Thing:
    """Find the enclosure that is meant, which a steady jar and a tub of fresh mix are not.

    Parameters
    ----------
    recall : Recall
        The record.
    name : str
        As typed.
    today : date
        It is in use on that day.

    Returns
    -------
    Thing

    Raises
    ------
    Refusal
        If none is called so, or it is no bed.
    """
    thing = recall.things.find("enclosure", name, today)
    refuse_no_bed(recall, thing)
    return thing


def refuse_no_bed(recall: Recall, thing: Thing) -> None:
    """Refuse a steady jar and a tub of fresh mix where a bed is meant.

    Parameters
    ----------
    recall : Recall
        The record.
    thing : Thing
        What was named.

    Raises
    ------
    Refusal
        With the name of a bed, where there is one.
    """
    others = recall.things.of("enclosure")
    beds = [quoted(one.name) for one in others if one.is_bed]
    right = f"name an enclosure, such as {beds[0]}" if beds else "name an enclosure"
    if thing.get("steady"):
        raise Refusal(f"{quoted(thing.name)} is the steady jar, which is kept as it is: {right}.")
    if thing.get("fresh"):
        raise Refusal(
            f"{quoted(thing.name)} is a tub of fresh mix and no bed: {right}, and the tub with --fresh."
        )


def unread(bed: Thing) -> Refusal:
    """Refuse what rests on a bed's pH where it was never read.

    Parameters
    ----------
    bed : Thing
        An enclosure.

    Returns
    -------
    Refusal
    """
    return Refusal(f"{quoted(bed.name)} was never read: {_read_it(bed)}.")


def _read_it(bed: Thing) -> str:
    return (
        f"read two slurries first, slurrycalc read 5.58 5.66 --meter NAME --enclosure {shlex.quote(bed.name)}"
    )


def first_of(series: Series, today: datetime.date) -> ReadFirst | None:
    """Say whether a bed is to be read before anything else is planned for it.

    Parameters
    ----------
    series : Series
        Its bench days.
    today : date
        The present day.

    Returns
    -------
    ReadFirst or None
        Where something shifted its pH since it was read last, or that was beyond the horizon or in doubt.
    """
    why = unknown(series.last, series.steps, today, doubted=series.doubted)
    if why is None:
        return None
    return read_first(series.enclosure.name, series.last, retest_of(series).by, why, today)


def level_now(series: Series, today: datetime.date) -> Level:
    """Say where a bed stands now.

    Parameters
    ----------
    series : Series
        Its bench days; those of a bed that is to be read first tell nothing.
    today : date
        The present day.

    Returns
    -------
    Level
        By its bench days, on that day. It keeps what it shares with other readings. Where its last reading
        was a surprise, that is said.
    """
    ph = series.taught.level(today)
    n = len(series.days)
    days = "its one bench day" if n == 1 else f"its {n} bench days"
    text = f"pH {plus_minus(ph.n, half_width(ph))}, by {days}, on {spoken(today)}"
    odd = surprise_of(series)
    return Level(ph, text, () if odd is None else (odd,))
