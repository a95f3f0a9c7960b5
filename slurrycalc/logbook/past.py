"""What the record teaches beforehand: how slurries scatter, and how a probe compares with them."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, reduce

from uncertainties import UFloat

from slurrycalc.data.assumed import OTHERS_DOF, OTHERS_READINGS, PROBE_PAIRS, SCATTER_DAYS
from slurrycalc.logbook.calibrations import Place
from slurrycalc.logbook.readings import Readings
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import Id
from slurrycalc.logbook.replicates import NOTHING_TOLD, Replicates, Told, replicates
from slurrycalc.logbook.shifts import renews_scatter, shifts_of
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.expected import SLURRIES
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.scatter import Scatter

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
    """Of this enclosure's own earlier days, since something was done that renews the scatter. [pH]"""
    own_days: int
    """Such days with more than one slurry."""
    rest: Scatter
    """Of older days, the other enclosures and the usual expectation. [pH]"""
    other_days: int
    """Days of other enclosures that went into it."""
    older_days: int = 0
    """Days of its own from before that went into it."""


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
    jar: Place
    """The slurry's place on record."""
    typed: bool = False
    """Whether the slurry is known by the pair alone: its value was typed, and has no number of its own."""

    @property
    def same(self) -> Hashable:
        """What two of a probe's pairs have alike that are one pair."""
        if self.typed:
            bed = None if self.enclosure is None else self.enclosure.uid
            return same_typed(bed, self.shows, self.slurry.n)
        return self.jar, self.shows


def same_typed(enclosure: str | None, shows: float, slurry: float) -> Hashable:
    """Say what makes one pair of two that were typed as values: where [uid], and both values [pH]."""
    return enclosure, shows, round(slurry, 9)


class Once:
    """Counts each pair once; of typed values, as often as one step has them: two spots may read the same."""

    def __init__(self, pairs: Iterable[Pair] = ()) -> None:
        self._taken = Counter(pair.same for pair in pairs)
        self._steps: Counter[Hashable] = Counter()

    def adds(self, same: Hashable, step: Hashable) -> bool:
        """Say whether a pair is one more, and count it then; of a slurry on record, no step, there is one."""
        self._steps[same, step] += 1
        most = 1 if step is None else self._steps[same, step]
        new = most > self._taken[same]
        self._taken[same] += new
        return new


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
        The enclosure's own past by its newest 120 days, or 720 readings, since the last event that renews the
        scatter; older ones, the others and the usual expectation together up to a limit.

    Notes
    -----
    A slurry that lay by itself on its day is left out: it would teach a scatter that nobody confirmed. A
    steady jar or a tub of fresh mix, well mixed, scatters less than a bed does: it teaches nothing about
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
        self._days: dict[datetime.date, tuple[dict[int, Told], Told]] = {}

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
        if enclosure is None:
            return _expected(NOTHING_TOLD, NOTHING_TOLD, self._others(before, None))
        days = self._counted(enclosure, self._mine(enclosure, before - A_DAY))
        told = self._told(enclosure, days)
        own = told.pop(self._renewals(enclosure, before.isoformat()), NOTHING_TOLD)
        return _expected(own, _sum(told.values()), self._others(before, enclosure.id))

    def odd(self, enclosure: Thing, days: Sequence[Replicates]) -> list[Replicates]:
        """Give those of an enclosure's days on which a slurry lay by itself."""
        kept = self._counted(enclosure, days)
        return [day for day, rest in zip(days, kept, strict=True) if rest is not day]

    def _counted(self, enclosure: Thing, days: Sequence[Replicates]) -> list[Replicates]:
        """Leave out what lies by itself: by the days before it, and then by all other days."""
        found = list(days)
        far = [i for i, day in enumerate(days) if day.far is not None]
        if far:
            epochs = [self._renewals(enclosure, day.day) for day in days]
            told: dict[int, Told] = {}
            for i, (day, epoch) in enumerate(zip(days, epochs, strict=True)):
                found[i] = self._judged(enclosure, day, told, epoch)
                told[epoch] = told.get(epoch, NOTHING_TOLD).plus(Told.by(found[i]))
            for i in far:
                told[epochs[i]] = told[epochs[i]].less(Told.by(found[i]))
                found[i] = self._judged(enclosure, days[i], told, epochs[i])
                told[epochs[i]] = told[epochs[i]].plus(Told.by(found[i]))
        return found

    def _judged(
        self, enclosure: Thing, day: Replicates, told: Mapping[int, Told], epoch: int
    ) -> Replicates:
        """Leave out of a day what lies by itself, by what other days told of the scatter then and else."""
        if day.far is None:
            return day
        older = _sum(each for when, each in told.items() if when != epoch)
        others = self._others(datetime.date.fromisoformat(day.day), enclosure.id)
        own, rest = told.get(epoch, NOTHING_TOLD).scatter, _rest(older, others)
        return day.without_far if day.is_odd(rest if own is None else own + rest) else day

    def _told(self, enclosure: Thing, days: Sequence[Replicates]) -> dict[int, Told]:
        """Add up what days tell, by how often the scatter was renewed before each."""
        found: dict[int, Told] = {}
        for day in days:
            epoch = self._renewals(enclosure, day.day)
            found[epoch] = found.get(epoch, NOTHING_TOLD).plus(Told.by(day))
        return found

    def _renewals(self, enclosure: Thing, day: str) -> int:
        """Count what renewed the scatter before a day: on one day one reads first, and then acts."""
        return sum(on < day for on in self._renewed.get(enclosure.id, ()))

    @cached_property
    def _renewed(self) -> dict[int, list[str]]:
        """Days on which something was done that renews the scatter, by number of the enclosure."""
        things = {one.id: one for one in self._recall.things.of("enclosure", retired=True)}
        return {
            number: [each.day.isoformat() for each in done if renews_scatter(things[number], each)]
            for number, done in shifts_of(self._recall, things).items()
            if number in things
        }

    def _mine(self, enclosure: Thing, until: datetime.date) -> list[Replicates]:
        """Give the newest days of an enclosure."""
        known = self._own.get(enclosure.id)
        if known is None:
            most = OWN_DAYS * IN_A_DAY
            known = replicates(self._recall.readings(enclosure, until=until, newest=most))
        return [day for day in known if day.day <= until.isoformat()][-OWN_DAYS:]

    def _others(self, before: datetime.date, but: int | None) -> Told:
        """Add up the newest days of all enclosures with a name that are like one another, but one."""
        if before not in self._days:
            things = self._recall.things.every
            apart = {None, *(one.id for one in things if not one.is_bed)}
            newest = round(OTHERS_READINGS.value)
            found: dict[int, Told] = {}
            for day in replicates(self._recall.readings(until=before - A_DAY, newest=newest)):
                if day.enclosure is not None and day.enclosure not in apart:
                    # Of so many it is enough to leave out what no usual scatter allows.
                    told = Told.by(day.without_far if day.is_odd(SLURRIES) else day)
                    found[day.enclosure] = found.get(day.enclosure, NOTHING_TOLD).plus(told)
            self._days[before] = found, _sum(found.values())
        by_enclosure, every = self._days[before]
        return every if but not in by_enclosure else every.less(by_enclosure[but])


def _sum(several: Iterable[Told]) -> Told:
    return reduce(Told.plus, several, NOTHING_TOLD)


def _rest(older: Told, others: Told) -> Scatter:
    """Pool what counts for no more than four degrees of freedom together."""
    known = others.plus(older).scatter
    return SLURRIES if known is None else (SLURRIES + known).at_most(OTHERS_DOF.value)


def _expected(own: Told, older: Told, others: Told) -> Expectation:
    rest, mine = _rest(older, others), own.scatter
    counts = (own.days, older.days, others.days)
    scatter = _grounded(rest if mine is None else mine + rest, *counts)
    return Expectation(scatter, mine, own.days, rest, others.days, older.days)


def _grounded(scatter: Scatter, own_days: int, older_days: int, other_days: int) -> Scatter:
    """Say in a few words what an expectation rests on."""
    if not own_days and not older_days and not other_days:
        return scatter
    parts = [f"{_days(own_days, 'earlier ')} of its own"] if own_days else []
    parts += [f"{_days(older_days, 'older ')} of its own"] if older_days else []
    parts += [f"{_days(other_days)} of other enclosures"] if other_days else []
    return Scatter(scatter.sd, scatter.dof, "computed", f"{', '.join(parts)}, and the usual expectation")


def _days(n: int, kind: str = "") -> str:
    return f"1 {kind}day" if n == 1 else f"{n} {kind}days"


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
        stands, of the newest thousand. What was recorded twice is there once.
    """
    which, value = "p.probe IS NULL AND p.entry = ?", entry
    if probe is not None:
        which, value = "p.probe = ?", probe.id
    rows = recall.book.rows(
        "SELECT p.entry, p.n, e.day, p.enclosure, p.shows, p.slurry_entry, p.slurry_n, s.kind = 'compare' "
        "FROM probing p JOIN entry s ON s.id = p.slurry_entry "
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
    found = [
        Pair(
            Id(entry, n),
            datetime.date.fromisoformat(day),
            recall.things.by_id.get(enclosure),
            shows,
            by_jar[jar].ph,
            jar,
            bool(typed),
        )
        for entry, n, day, enclosure, shows, *jar_of, typed in stood
        if (jar := (jar_of[0], jar_of[1])) in by_jar
    ]
    once = Once()
    return tuple(pair for pair in found if once.adds(pair.same, pair.jar[0] if pair.typed else None))
