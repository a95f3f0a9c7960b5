"""The soil probe: its pairs with slurries, typed now or on record, and what an indication means by them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slurrycalc.day.bench.standing import NOTHING_ASKED, Asked
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.day.record.limits import chosen_limits, limits_of
from slurrycalc.day.record.shown import keep_offset, keep_ph
from slurrycalc.day.record.slurries import RATIO
from slurrycalc.deciding.fitness import Fitness, fitness
from slurrycalc.deciding.judgement import Judgement, judge
from slurrycalc.logbook.past import pairs
from slurrycalc.logbook.refs import Id, Ref
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.probe import Comparison, CorrectedReading, compare
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import NORMAL_95
from slurrycalc.metrology.units import magnitude, stated

ON_RECORD = "#"
"""Begins the number of a reading on record, where a slurry's pH could stand."""


@dataclass(frozen=True)
class Paired:
    """A probe against slurries."""

    comparison: Comparison
    fitness: Fitness
    earlier: int
    """Pairs that were on record already, and count as well."""
    probe: str | None
    """What the probe is called."""


@dataclass(frozen=True)
class Indicated:
    """What one indication of a probe means; nothing, without pairs."""

    corrected: CorrectedReading | None
    judgement: Judgement | None
    comparison: Comparison | None
    probe: str | None
    enclosure: str | None


def compare_pairs(
    typed: Sequence[tuple[str, str]],
    *,
    keeper: Keeper,
    asked: Asked = NOTHING_ASKED,
    resolution: float = 0.0,
    probe: str | None = None,
    enclosure: str | None = None,
) -> Paired:
    """Compare a probe with slurries of the same spots, those on record among them.

    Parameters
    ----------
    typed : sequence of (probe, slurry)
        As typed; a slurry on record by the number of its reading, ``#41.2``. [pH]
    keeper : Keeper
        Of the step.
    asked : Asked
        Limits, expected scatter of a difference, coverage probability.
    resolution : float
        Smallest step of the probe's display, where it is coarse. [pH]
    probe, enclosure : str, optional
        Their names on record.

    Returns
    -------
    Paired
        The comparison.

    Raises
    ------
    Refusal
        If there is no pair, one cannot stand, or nothing is called so.

    Examples
    --------
    >>> from slurrycalc.day.record.nameless import nameless
    >>> compare_pairs([("5.9", "5.41")], keeper=nameless("compare")).comparison.n
    1
    """
    stick, case = _named(keeper, probe, enclosure)
    for shows, slurry in typed:
        _enter(keeper, magnitude(shows, "ph"), slurry, stick, case)
    comparison = _comparison(keeper, stick, asked, resolution)
    if comparison is None:
        comparison = compare([], [], asked.expected)
    name = None if stick is None else stick.name
    if typed:
        keep_offset(keeper, name, comparison, asked.p)
    limits = chosen_limits(asked.limits, limits_of(case))
    return Paired(comparison, fitness(comparison, *limits, asked.p), comparison.n - len(typed), name)


def read_probe(
    indication: float,
    typed: Sequence[tuple[str, str]] = (),
    *,
    keeper: Keeper,
    asked: Asked = NOTHING_ASKED,
    resolution: float = 0.0,
    probe: str | None = None,
    enclosure: str | None = None,
) -> Indicated:
    """Say what an indication of a probe means, by pairs that are typed or on record.

    Parameters
    ----------
    indication : float
        What it shows. [pH]
    typed, keeper, asked, resolution, probe, enclosure
        As for `compare_pairs`.

    Returns
    -------
    Indicated
        The slurry pH that it means.

    Raises
    ------
    Refusal
        If nothing is called so, or a pair cannot stand.

    Examples
    --------
    >>> from slurrycalc.day.record.nameless import nameless
    >>> read_probe(6.0, [("5.9", "5.41")], keeper=nameless("probe")).corrected.way
    'offset'
    """
    stick, case = _named(keeper, probe, enclosure)
    for shows, slurry in typed:
        _enter(keeper, magnitude(shows, "ph"), slurry, stick, case)
    keeper.step.probing(
        indication,
        probe=None if stick is None else stick.uid,
        enclosure=None if case is None else case.uid,
    )
    comparison = _comparison(keeper, stick, asked, resolution)
    called = (None if stick is None else stick.name, None if case is None else case.name)
    if comparison is None:
        return Indicated(None, None, None, *called)
    corrected = comparison.correct(indication, asked.p)
    judgement = judge(corrected, *chosen_limits(asked.limits, limits_of(case)), asked.p)
    keep_ph(keeper, called[1], corrected.ph, judgement, slurries=0)
    return Indicated(corrected, judgement, comparison, *called)


def _named(keeper: Keeper, probe: str | None, enclosure: str | None) -> tuple[Thing | None, Thing | None]:
    return (
        None if probe is None else keeper.thing("probe", probe),
        None if enclosure is None else keeper.thing("enclosure", enclosure),
    )


def _comparison(keeper: Keeper, stick: Thing | None, asked: Asked, resolution: float) -> Comparison | None:
    """Compare a probe with all its pairs, by the record as it will be with the step; None without any.

    Pairs of all days count: what was learnt of a probe later holds of it earlier as well.
    """
    after = keeper.after()
    thing = None if stick is None else after.recall.things.by_uid[stick.uid]
    found = pairs(after.recall, thing, entry=after.entry)
    if not found:
        return None
    own = 0.0 if stick is None else float(stick.get("resolution") or 0.0)
    return compare(
        [one.shows for one in found],
        [one.slurry for one in found],
        asked.expected,
        resolution=resolution or own,
    )


def _enter(keeper: Keeper, shows: float, slurry: str, probe: Thing | None, enclosure: Thing | None) -> None:
    """Put a pair into the step. [pH]."""
    if slurry.startswith(ON_RECORD):
        where, jar, spot = _on_record(keeper, slurry, enclosure)
    else:
        # That slurry may have been read and recorded as well, so it counts for the probe and not once more
        # for the enclosure.
        value, half = stated(slurry, "ph")
        jar, where, spot = keeper.step.slurry(ratio=RATIO), enclosure, None
        keeper.step.reading(jar, None, value, u=None if half is None else half / NORMAL_95)
    keeper.step.probing(
        shows,
        probe=None if probe is None else probe.uid,
        enclosure=None if where is None else where.uid,
        slurry=jar,
        spot=spot,
    )


def _on_record(keeper: Keeper, reading: str, enclosure: Thing | None) -> tuple[Thing | None, Ref, str | None]:
    """Find a slurry that was read and recorded before: where it is from, its jar, its spot."""
    if not keeper.kept:
        raise Refusal(f"{quoted(reading)} is a reading on record: name the probe, --probe NAME, to take it.")
    wanted = Id.of(reading)
    recall = keeper.recall
    rows = [row for row in recall.readings(entries=[wanted.entry]).rows if wanted.n in (None, row.n)]
    if len(rows) != 1:
        several = ", ".join(f"#{Id(row.entry, row.n)}" for row in rows)
        why = f"several readings stand there: {several}" if rows else "no reading of that number stands"
        raise Refusal(f"`#{wanted}` is no slurry to compare with: {why}; look in slurrycalc history.")
    (row,) = rows
    place = None if row.enclosure is None else recall.things.by_id[row.enclosure]
    if enclosure is not None and place is not None and place.uid != enclosure.uid:
        raise Refusal(f"`#{wanted}` is a slurry of {place.name}, not of {enclosure.name}.")
    uid = recall.book.rows("SELECT uid FROM entry WHERE id = ?", row.slurry[:1])[0][0]
    return enclosure or place, Ref(uid, row.slurry[1]), row.spot
