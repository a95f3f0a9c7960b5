"""An outside laboratory's result, and the bench day of ours that it is held against."""

from __future__ import annotations

import datetime
import shlex
from collections.abc import Sequence
from dataclasses import dataclass, replace

from slurrycalc.data.assumed import OUTSIDE_FAR, OUTSIDE_FARTHEST
from slurrycalc.day.months.bench_state import BenchState
from slurrycalc.day.months.shifts import steps_of
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.day.record.slurries import ALIKE, slurries
from slurrycalc.deciding.agree import OURS, Agreement, Preparation, agree
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.given import Given
from slurrycalc.deciding.trend import LevelStep
from slurrycalc.logbook.outside import add_outside, outside_results
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.things import Thing
from slurrycalc.metrology.names import line_about, plain_name
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.units import stated

METHOD = "1:2 water"
"""Taken where nothing was said of how theirs was prepared: what one asks a laboratory for."""
UNSAID = Remark(
    "method-assumed",
    "How theirs was prepared was not said: 1:2 in water was taken. Ask them, and give it by --method.",
)


@dataclass(frozen=True)
class Theirs:
    """An outside result."""

    ph: float
    half_width: float | None = None
    """Stated for 95 in 100; None where none was stated. [pH]"""
    laboratory: str | None = None
    method: str | None = None
    """How the sample was prepared, as they state it."""

    @classmethod
    def typed(cls, text: str, laboratory: str | None = None, method: str | None = None) -> Theirs:
        """Take in a result as it was typed.

        Parameters
        ----------
        text : str
            ``5.85``, or with its half-width ``5.85+-0.15``. [pH]
        laboratory, method : str, optional
            In words.

        Returns
        -------
        Theirs
            In numbers.

        Raises
        ------
        Refusal
            If it is no pH.

        Examples
        --------
        >>> Theirs.typed("5.85+-0.15").half_width
        0.15
        """
        if laboratory is not None:
            laboratory = plain_name(laboratory, "laboratory", "county soil laboratory")
        try:
            return cls(*stated(text, "ph"), laboratory, method)
        except Refusal as refusal:
            raise refusal.at("their result") from None


@dataclass(frozen=True)
class OutsideCompared:
    """An outside result against ours."""

    agreement: Agreement
    enclosure: str | None
    laboratory: str | None
    sampled: datetime.date | None
    """The day of theirs."""
    read: datetime.date | None
    """The bench day of ours."""
    remarks: tuple[Remark, ...]


def compared(
    ours: Given, theirs: Theirs, ours_method: str | Preparation = OURS, p: float = 0.95
) -> OutsideCompared:
    """Compare two results.

    Parameters
    ----------
    ours : str or UFloat
        As a text with its half-width for 95 in 100, ``5.60+-0.20``. [pH]
    theirs : Theirs
        The other.
    ours_method : str or Preparation
        How ours was prepared.
    p : float
        Coverage probability of the difference. [1]

    Returns
    -------
    OutsideCompared
        Without enclosure and days.

    Raises
    ------
    Refusal
        If the two were prepared differently, or one cannot stand.

    Examples
    --------
    >>> compared("5.60+-0.20", Theirs(5.85, 0.15, method="1:2 water")).agreement.agrees
    True
    """
    given = theirs.ph if theirs.half_width is None else (theirs.ph, theirs.half_width)
    method = METHOD if theirs.method is None else theirs.method
    found = agree(ours, given, method, ours_method=ours_method, p=p)
    said = (UNSAID,) if theirs.method is None else ()
    return OutsideCompared(found, None, theirs.laboratory, None, None, (*said, *found.remarks))


def new_result(keeper: Keeper, enclosure: str, theirs: Theirs, p: float) -> OutsideCompared:
    """Compare an outside result with ours, and put it into the keeper's step.

    Parameters
    ----------
    keeper : Keeper
        Of the step; its day is the one on which the sample was taken.
    enclosure : str
        Its name.
    theirs : Theirs
        What the laboratory said.
    p : float
        Coverage probability of the difference. [1]

    Returns
    -------
    OutsideCompared
        Against the bench day that lies nearest.

    Raises
    ------
    Refusal
        If the two were prepared differently, one cannot stand, or no bench day can be held against it.
    """
    thing = keeper.thing("enclosure", enclosure)
    today = keeper.now.date()
    found = _held_against_ours(keeper.recall, thing, theirs, sampled=keeper.day, until=today, p=p)
    add_outside(
        keeper.step,
        thing.uid,
        theirs.ph,
        half_width=theirs.half_width,
        laboratory=theirs.laboratory,
        preparation=theirs.method,
    )
    return found


def results_on_record(keeper: Keeper, enclosure: str, p: float) -> tuple[OutsideCompared, ...]:
    """Compare again what is on record up to the keeper's day.

    Parameters
    ----------
    keeper : Keeper
        Its day is the one on which it is asked.
    enclosure : str
        Its name.
    p : float
        Coverage probability of the differences. [1]

    Returns
    -------
    tuple of OutsideCompared
        The newest first; those that no bench day of ours can be held against are left out, and that is said.

    Raises
    ------
    Refusal
        If nothing is on record, or nothing of it can be compared.
    """
    recall = keeper.recall
    thing = recall.things.find("enclosure", enclosure)
    kept = outside_results(recall, thing, until=keeper.day)
    if not kept:
        raise Refusal(
            f"no outside result of {quoted(thing.name)} is on record up to {keeper.day}; enter one: "
            f"{line_about('agree', thing.name)} --theirs 5.85+-0.15"
        )
    found, left_out = [], []
    for one in reversed(kept):
        theirs = Theirs(one.ph, one.half_width, one.laboratory, one.preparation)
        try:
            found.append(
                _held_against_ours(recall, thing, theirs, sampled=one.when.day, until=keeper.day, p=p)
            )
        except Refusal as refusal:
            left_out.append(refusal)
    if not found:
        raise left_out[0]
    said = tuple(Remark("left-out", f"One result is not compared: {each.sentence}") for each in left_out)
    return (replace(found[0], remarks=(*found[0].remarks, *said)), *found[1:])


def _held_against_ours(
    recall: Recall, thing: Thing, theirs: Theirs, *, sampled: datetime.date, until: datetime.date, p: float
) -> OutsideCompared:
    day = _nearest(recall, thing, sampled, until)
    ours = slurries(recall, thing, day)
    assert ours is not None
    found = compared(ours.slurry.ph, theirs, p=p)
    remarks = (*_apart(sampled, day), *BenchState(recall).remarks(day), *found.remarks)
    return replace(found, enclosure=thing.name, sampled=sampled, read=day, remarks=remarks)


def _nearest(recall: Recall, thing: Thing, sampled: datetime.date, until: datetime.date) -> datetime.date:
    """Find the bench day nearest to a sample, with nothing between them that shifts the level."""
    most = datetime.timedelta(days=OUTSIDE_FARTHEST.value)
    readings = recall.readings(thing, since=sampled - most, until=min(until, sampled + most))
    days = {datetime.date.fromisoformat(row.day) for row in readings.rows if row.mixed == ALIKE}
    name = shlex.quote(thing.name)
    if not days:
        year = f"in the year up to {until}" if until <= sampled else f"within a year of {sampled}"
        raise Refusal(
            f"{quoted(thing.name)} was not read {year}, so nothing of ours goes with their sample of "
            f"{sampled}; read it first: slurrycalc read 5.58 5.66 --enclosure {name} --meter NAME"
        )
    ordered = sorted(days, key=lambda day: (abs(day - sampled), day))
    steps = steps_of(recall, [thing.id]).get(thing.id, ())
    for day in ordered:
        if _between(steps, day, sampled) is None:
            return day
    step = _between(steps, ordered[0], sampled)
    assert step is not None
    raise Refusal(
        f"between our nearest bench day, {ordered[0]}, and their sample of {sampled} lies the {step.name} of "
        f"{step.on}, so that the two are not of one substrate; have a new sample taken on a bench day."
    )


def _between(
    steps: Sequence[LevelStep], one: datetime.date, other: datetime.date
) -> LevelStep | None:
    """Give what was done between two days; on the same day one reads first, and then acts."""
    first, last = sorted((one, other))
    return next((step for step in steps if first <= step.on < last), None)


def _apart(sampled: datetime.date, day: datetime.date) -> tuple[Remark, ...]:
    days = abs((day - sampled).days)
    if days == 0:
        return ()
    word = "day" if days == 1 else "days"
    side = "before" if day < sampled else "after"
    text = f"Our nearest bench day, {spoken(day)}, lies {days} {word} {side} their sample."
    if days >= OUTSIDE_FAR.value:
        text += " A bed may drift meanwhile: next time have the sample taken on a bench day."
    return (Remark("days-apart", text),)
