"""What the record teaches beforehand: how slurries scatter, and how a probe compares with them."""

from __future__ import annotations

import datetime
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Any, TypeVar

import numpy as np
from uncertainties import UFloat

from slurrycalc.data.assumed import OTHERS_DOF, OTHERS_READINGS, PROBE_PAIRS, SCATTER_DAYS
from slurrycalc.logbook.calibrations import Place
from slurrycalc.logbook.readings import KeptReading, Readings
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import Id
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.expected import SLURRIES
from slurrycalc.metrology.batch import Floats, Indices
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.scatter import Scatter

MOST_IN_AN_ENTRY = 1 << 32
MOST_PAIRS = round(PROBE_PAIRS.value)
OWN_DAYS = round(SCATTER_DAYS.value)
IN_A_DAY = 6
"""So many readings of an enclosure has a day at most, as a rule."""
A_DAY = datetime.timedelta(days=1)


@dataclass(frozen=True)
class Expectation:
    """What the record lets one expect of the scatter of slurries."""

    scatter: Scatter
    """To be handed to `slurrycalc.measuring.slurry.slurry_ph`. [pH]"""
    own: Scatter | None
    """Of this enclosure's own earlier days. [pH]"""
    own_days: int
    """Earlier days with more than one slurry."""
    rest: Scatter
    """Of the other enclosures and the usual expectation. [pH]"""
    other_days: int
    """Days of other enclosures that went into it."""


@dataclass(frozen=True)
class Pair:
    """A probe's indication, and the slurry of the same spot."""

    id: Id
    """Of the indication."""
    day: datetime.date
    enclosure: Thing | None
    shows: float
    """[pH]"""
    slurry: UFloat
    """[pH]"""


@dataclass(frozen=True)
class Jar:
    """One slurry with the mean of its readings."""

    place: Place
    label: str | None
    spot: str | None
    day: str
    ids: tuple[Id, ...]
    """Of its readings."""
    ph: UFloat
    """[pH]"""
    doubt: Remark | None = None
    """What puts the calibration in doubt that it was read under."""


def jars(readings: Readings, chosen: Iterable[int] | None = None) -> tuple[Jar, ...]:
    """Gather readings into their jars.

    Parameters
    ----------
    readings : Readings
    chosen : iterable of int, optional
        Those alone, from 0.

    Returns
    -------
    tuple of Jar
        In the order of their first readings. Their pH and spots are what `slurry_ph` takes.
    """
    by_place: dict[Place, list[int]] = {}
    for i in range(len(readings)) if chosen is None else chosen:
        by_place.setdefault(readings.rows[i].slurry, []).append(i)
    found = []
    for place, mine in by_place.items():
        first = readings.rows[mine[0]]
        numbers = [readings.number(i) for i in mine]
        ids = tuple(Id(readings.rows[i].entry, readings.rows[i].n) for i in mine)
        mean = sum(numbers[1:], start=numbers[0]) / len(numbers)
        doubt = next((each for each in map(readings.doubt, mine) if each is not None), None)
        found.append(Jar(place, first.label, first.spot, first.day, ids, mean, doubt))
    return tuple(found)


def expectation(recall: Recall, enclosure: Thing | None, before: datetime.date) -> Expectation:
    """Say what to expect of the scatter of an enclosure's slurries.

    Parameters
    ----------
    recall : Recall
    enclosure : Thing or None
        Which one; None for one that is not on record.
    before : date
        Only earlier days count.

    Returns
    -------
    Expectation
        The enclosure's own past by its newest 120 days, or 720 readings; the others and the usual
        expectation together up to a limit.

    Notes
    -----
    A steady jar or a tub of fresh mix, well mixed, scatters less than a bed does: it teaches nothing about
    the others.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.2.4 and H.3.6, for pooling.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> expectation(Recall(in_memory()), None, datetime.date(2024, 5, 4)).scatter.dof
    2.0
    """
    return Expectations(recall).of(enclosure, before)


class Expectations:
    """What to expect of the enclosures of one record; what many of them rest on is looked for once.

    Parameters
    ----------
    recall : Recall
    own : mapping of int to list of Replicates, optional
        Number of an enclosure to its days, where they are known already.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> Expectations(Recall(in_memory())).of(None, datetime.date(2024, 5, 4)).own_days
    0
    """

    def __init__(self, recall: Recall, own: Mapping[int, Sequence[Replicates]] | None = None) -> None:
        self._recall = recall
        self._own = {} if own is None else own
        self._days: dict[datetime.date, list[Replicates]] = {}

    def of(self, enclosure: Thing | None, before: datetime.date) -> Expectation:
        """Say what to expect of one enclosure, as `expectation`.

        Parameters
        ----------
        enclosure : Thing or None
            Which one; None for one that is not on record.
        before : date
            Only earlier days count.

        Returns
        -------
        Expectation
            Of its slurries.
        """
        own, own_days = None, 0
        if enclosure is not None:
            own, own_days = _pooled(self._mine(enclosure, before))
        here = None if enclosure is None else enclosure.id
        others, other_days = _pooled([day for day in self._others(before) if day.enclosure != here])
        return _expected(own, own_days, others, other_days)

    def _mine(self, enclosure: Thing, before: datetime.date) -> list[Replicates]:
        """Give the newest days of an enclosure."""
        known = self._own.get(enclosure.id)
        if known is None:
            most = OWN_DAYS * IN_A_DAY
            known = replicates(self._recall.readings(enclosure, until=before - A_DAY, newest=most))
        return [day for day in known if day.day < before.isoformat()][-OWN_DAYS:]

    def _others(self, before: datetime.date) -> list[Replicates]:
        """Give the newest days of all enclosures with a name that are like one another."""
        if before not in self._days:
            things = self._recall.things.every
            apart = {None, *(one.id for one in things if not one.is_bed)}
            newest = round(OTHERS_READINGS.value)
            days = replicates(self._recall.readings(until=before - A_DAY, newest=newest))
            self._days[before] = [day for day in days if day.enclosure not in apart]
        return self._days[before]


def _expected(own: Scatter | None, own_days: int, others: Scatter | None, other_days: int) -> Expectation:
    rest = SLURRIES if others is None else (SLURRIES + others).at_most(OTHERS_DOF.value)
    if own is None:
        return Expectation(_grounded(rest, 0, other_days), None, 0, rest, other_days)
    return Expectation(_grounded(own + rest, own_days, other_days), own, own_days, rest, other_days)


def _grounded(scatter: Scatter, own_days: int, other_days: int) -> Scatter:
    """Say in a few words what an expectation rests on."""
    if not own_days and not other_days:
        return scatter
    parts = [f"{_days(own_days, 'earlier ')} of its own"] if own_days else []
    parts += [f"{_days(other_days)} of other enclosures"] if other_days else []
    return Scatter(scatter.sd, scatter.dof, "computed", f"{', '.join(parts)}, and the usual expectation")


def _days(n: int, kind: str = "") -> str:
    return f"1 {kind}day" if n == 1 else f"{n} {kind}days"


@dataclass(frozen=True)
class Replicates:
    """One enclosure's slurries of one day that were mixed alike."""

    enclosure: int | None
    day: str
    n: int
    """Independent slurries: those of the same spots count as one."""
    mean: float
    """[pH]"""
    rss: float
    """Sum of squares about the mean. [pH²]"""
    own_variance: float
    """Mean known variance of a single one, by sources that touch no other. [pH²]"""


def replicates(readings: Readings) -> list[Replicates]:
    """Gather readings into days of replicate slurries.

    Parameters
    ----------
    readings : Readings

    Returns
    -------
    list of Replicates
        In the order of time.
    """
    if not readings.rows:
        return []
    columns = dict(zip(KeptReading._fields, zip(*readings.rows, strict=True), strict=True))
    place = np.array(columns["slurry_entry"]) * MOST_IN_AN_ENTRY + np.array(columns["slurry_n"])
    jars_, first, jar = np.unique(place, return_index=True, return_inverse=True)
    mixed, _ = _numbered(list(zip(columns["ratio"], columns["basis"], columns["solution"], strict=True)))
    keys = [(columns["enclosure"][i], columns["day"][i], int(mixed[i])) for i in first.tolist()]
    spots_ = [columns["spot"][i] for i in first.tolist()]
    marks: list[Any] = [
        (key, spot.casefold()) if spot else i for i, (key, spot) in enumerate(zip(keys, spots_, strict=True))
    ]
    spot, spots = _numbered(marks)
    day, days = _numbered([keys[i] for i in _firsts(spot, len(spots))])
    values, variance = _means(jar, len(jars_), readings.batch.values, readings.batch.own_u**2)
    values, variance = _means(spot, len(spots), values, variance)
    count = np.bincount(day, minlength=len(days))
    mean = np.bincount(day, values, len(days)) / np.maximum(count, 1)
    rss = np.bincount(day, (values - mean[day]) ** 2, len(days))
    own = np.bincount(day, variance, len(days)) / np.maximum(count, 1)
    found = zip(days, count.tolist(), mean.tolist(), rss.tolist(), own.tolist(), strict=True)
    return [Replicates(*key[:2], *rest) for key, *rest in found]


Key = TypeVar("Key", bound=Hashable)


def _numbered(keys: Sequence[Key]) -> tuple[Indices, list[Key]]:
    """Give each key a number, in the order in which they first come."""
    numbers = {key: i for i, key in enumerate(dict.fromkeys(keys))}
    return np.array([numbers[key] for key in keys], np.intp), list(numbers)


def _firsts(numbers: Indices, count: int) -> list[int]:
    """Give where each number first comes."""
    first = np.empty(count, np.intp)
    first[numbers[::-1]] = np.arange(len(numbers))[::-1]
    return [int(i) for i in first]


def _means(group: Indices, count: int, values: Floats, variance: Floats) -> tuple[Floats, Floats]:
    """Give each group's mean and the variance of it."""
    n = np.maximum(np.bincount(group, minlength=count), 1)
    return np.bincount(group, values, count) / n, np.bincount(group, variance, count) / n**2


def _pooled(days: Sequence[Replicates]) -> tuple[Scatter | None, int]:
    """Pool what days of replicates say of the scatter beyond their known uncertainties."""
    told = [day for day in days if day.n > 1]
    dof = sum(day.n - 1 for day in told)
    if not dof:
        return None, 0
    beyond = sum(day.rss - (day.n - 1) * day.own_variance for day in told) / dof
    return Scatter(sqrt(max(beyond, 0.0)), dof, "measured"), len(told)


def pairs(
    recall: Recall, probe: Thing | None, before: datetime.date | None = None, *, entry: int | None = None
) -> tuple[Pair, ...]:
    """Give a probe's indications that were taken where a slurry was.

    Parameters
    ----------
    recall : Recall
    probe : Thing or None
        The probe; a nameless one has those of one step alone.
    before : date, optional
        Only earlier days.
    entry : int, optional
        Number of that step.

    Returns
    -------
    tuple of Pair
        In the order of time; those whose slurry was read, under a calibration that is not in doubt, and
        stands, of the newest thousand.
    """
    which, value = "p.probe IS NULL AND p.entry = ?", entry
    if probe is not None:
        which, value = "p.probe = ?", probe.id
    rows = recall.book.rows(
        "SELECT p.entry, p.n, e.day, p.enclosure, p.shows, p.slurry_entry, p.slurry_n FROM probing p "
        f"JOIN entry e ON e.id = p.entry WHERE {which} AND p.slurry_entry IS NOT NULL "
        "ORDER BY e.at DESC, p.entry DESC, p.n DESC",
        (value,),
    )
    until = None if before is None else before.isoformat()
    has = recall.stands.has
    stood = [row for row in rows if has(row[0], row[1]) and (until is None or row[2] < until)][:MOST_PAIRS][
        ::-1
    ]
    read = jars(recall.readings(jars=[(row[5], row[6]) for row in stood]))
    # A probe that is held against a meter in doubt would pass or fail for the meter's fault.
    # What is being entered is said to be in doubt instead.
    by_jar = {jar.place: jar for jar in read if jar.doubt is None or jar.place[0] == entry}
    return tuple(
        Pair(
            Id(entry, n),
            datetime.date.fromisoformat(day),
            recall.things.by_id.get(enclosure),
            shows,
            by_jar[slurry_entry, slurry_n].ph,
        )
        for entry, n, day, enclosure, shows, slurry_entry, slurry_n in stood
        if (slurry_entry, slurry_n) in by_jar
    )
