"""The fresh mix that an exchange takes: measured in its tub, and never assumed."""

from __future__ import annotations

import datetime
import shlex
from dataclasses import dataclass

from slurrycalc.data.assumed import FIRST_RETEST, FRESH_REST
from slurrycalc.data.fresh import component
from slurrycalc.day.months.series import series_of
from slurrycalc.day.record.slurries import slurries
from slurrycalc.day.record.tubs import refuse_no_tub
from slurrycalc.deciding.days import DAYS_PER_MONTH, spoken
from slurrycalc.deciding.doubt import see_to
from slurrycalc.deciding.exchange.case import no_measurement
from slurrycalc.deciding.given import Given
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.things import Thing
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import plus_minus
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.units import stated


@dataclass(frozen=True)
class FreshMix:
    """What goes in."""

    ph: Given
    """[pH]"""
    text: str
    """In words, with what it rests on."""
    remarks: tuple[Remark, ...] = ()
    tub: Thing | None = None
    """Where it stands, if it is on record."""


def given_mix(text: str) -> FreshMix:
    """Take a fresh mix by its pH.

    Examples
    --------
    >>> given_mix("6.6+-0.2").text
    'pH 6.60 ± 0.20, as given'
    """
    value, half = stated(text, "ph")
    shown = f"{value:g}" if half is None else plus_minus(value, half)
    return FreshMix(text, f"pH {shown}, as given")


def fresh_mix(recall: Recall, given: str | None, today: datetime.date) -> FreshMix:
    """Find the fresh mix that is meant, and its pH.

    Parameters
    ----------
    recall : Recall
        The record.
    given : str or None
        Its pH, or the name of its tub; None for the one tub on record.
    today : date
        The present day.

    Returns
    -------
    FreshMix
        Of a tub the slurries of its last bench day, which keep what they share with other readings.

    Raises
    ------
    Refusal
        If it was not measured, or which tub is meant is not clear.
    """
    tub = _the_tub(recall, today) if given is None else _named(recall, given, today)
    if tub is None:
        assert given is not None
        return given_mix(given)
    series = series_of(recall, tub, until=today)
    name = shlex.quote(tub.name)
    if series is None:
        raise Refusal(
            f"the fresh mix {quoted(tub.name)} was not read yet, and its pH is measured and not assumed: let "
            f"it stand moist for {FRESH_REST.value:g} days, then slurrycalc read 6.58 6.66 --meter NAME "
            f"--enclosure {name}."
        )
    since = [step for step in series.steps if step.on > series.last]
    if since:
        raise Refusal(
            f"the fresh mix {quoted(tub.name)} was not read since its {since[-1].name} of "
            f"{spoken(since[-1].on)}: slurrycalc read 6.58 6.66 --meter NAME --enclosure {name}."
        )
    day = slurries(recall, tub, series.last)
    assert day is not None
    ph, n = day.slurry.ph, day.slurry.n
    text = (
        f"pH {plus_minus(ph.n, half_width(ph))}, {tub.name} read on {spoken(series.last)} "
        f"({n} slurr{'y' if n == 1 else 'ies'})"
    )
    if (first := see_to(day.slurry.remarks)) is not None:
        said = f"What {tub.name} read on {spoken(series.last)} is in doubt: {first.do}"
        return FreshMix(ph, text, (Remark("fresh-mix-in-doubt", said),), tub)
    days = (today - series.last).days
    if days <= FIRST_RETEST.value * DAYS_PER_MONTH:
        return FreshMix(ph, text, tub=tub)
    said = f"{tub.name} was read {days} days ago, and a moist mix changes: read it again before it goes in."
    return FreshMix(ph, text, (Remark("fresh-mix-aged", said),), tub)


def _the_tub(recall: Recall, today: datetime.date) -> Thing:
    tubs = [one for one in recall.things.of("enclosure", today) if one.get("fresh")]
    if len(tubs) == 1:
        return tubs[0]
    if tubs:
        names = ", ".join(quoted(one.name) for one in tubs)
        raise Refusal(f"which fresh mix? {names} are on record: add --fresh {shlex.quote(tubs[0].name)}.")
    raise Refusal(
        "the fresh mix is measured and not assumed, and none is on record: let it stand moist for "
        f"{FRESH_REST.value:g} days, make it known with slurrycalc enclosure 'leaf mix' --fresh yes, read "
        "two slurries of it, or give what they read: --fresh 6.6+-0.2."
    )


def _named(recall: Recall, given: str, today: datetime.date) -> Thing | None:
    """Give the tub of that name; None where a pH was given."""
    thing = recall.things.seek("enclosure", given)
    if thing is None:
        if given.strip()[:1].isdigit():
            return None
        tubs = [quoted(one.name) for one in recall.things.of("enclosure", today) if one.get("fresh")]
        if component(given) is None and tubs:
            raise Refusal(f"no tub of fresh mix is called {quoted(given)}; on record: {', '.join(tubs)}.")
        raise no_measurement(given)
    refuse_no_tub(thing)
    return recall.things.find("enclosure", given, today)
