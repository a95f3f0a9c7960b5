"""The soil probe: its pairs with slurries, typed now or on record, and what an indication means by them."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from slurrycalc.data.assumed import COVERAGE
from slurrycalc.day.bench.standing import NOTHING_ASKED, JudgedBy
from slurrycalc.day.bench.typed_pairs import enter_pair, new_ones, pair_of, say_known
from slurrycalc.day.record.keeper import After, Keeper
from slurrycalc.day.record.limits import chosen_limits, limits_of
from slurrycalc.day.record.shown import keep_offset, keep_ph
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.doubt import see_to
from slurrycalc.deciding.judgement import Judgement, judge
from slurrycalc.deciding.worth import Worth, worth
from slurrycalc.logbook.past import Pair, pairs
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.probe import Comparison, ProbeResponse, Update, compare, response, update
from slurrycalc.measuring.probe.before import Measurand
from slurrycalc.metrology.annotate import PHValue
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.units import magnitude

if TYPE_CHECKING:
    from slurrycalc.deciding.trend import Retest


@dataclass(frozen=True)
class ProbeSeen:
    """A probe as its pairs show it."""

    pairs: tuple[Pair, ...]
    comparison: Comparison
    response: ProbeResponse


@dataclass(frozen=True)
class Paired:
    """A probe against slurries."""

    comparison: Comparison
    response: ProbeResponse
    worth: Worth
    earlier: int
    """Pairs that were on record already, and count as well."""
    added: int
    """Pairs of the step that were not."""
    probe: str | None
    """What the probe is called."""
    bed: str | None
    """The bed whose record it is held against; None where none is on record."""


@dataclass(frozen=True)
class Indicated:
    """What an indication of a probe means; nothing, without pairs."""

    indication: PHValue
    """The mean, where there are several."""
    update: Update | None
    judgement: Judgement | None
    do: str | None
    """What to do, to be said after ``Do:``."""
    known: ProbeSeen | None
    probe: str | None
    enclosure: str | None


def compare_pairs(
    typed: Sequence[tuple[str, str]],
    *,
    keeper: Keeper,
    asked: JudgedBy = NOTHING_ASKED,
    resolution: float = 0.0,
    probe: str | None = None,
    enclosure: str | None = None,
) -> Paired:
    """Compare a probe with slurries of the same spots, those on record among them.

    Parameters
    ----------
    typed : sequence of (probe, slurry)
        As typed; a slurry on record by the number of its reading, ``#41.2``. [pH] What is on record already
        is not entered once more.
    keeper : Keeper
        Of the step.
    asked : JudgedBy
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
    wanted = [pair_of(keeper, magnitude(shows, "ph"), slurry, case) for shows, slurry in typed]
    added = new_ones(keeper, stick, wanted)
    for one in added:
        enter_pair(keeper, one, stick)
    say_known(keeper, len(wanted), len(wanted) - len(added))
    after = keeper.after()
    known = probe_seen(after, stick, asked, resolution)
    if known is None:
        raise Refusal("a comparison needs at least one pair, such as 5.9=5.41.")
    name = None if stick is None else stick.name
    if added:
        keep_offset(keeper, name, known.comparison, asked.p)
    from slurrycalc.day.months.probed import bed_of_pairs  # noqa: PLC0415  only with a probe

    bed = bed_of_pairs(known.pairs) if case is None else after.recall.things.by_uid[case.uid]
    found = worth_of(after, known, bed, keeper.day, asked)
    told = bed is not None and found.recorded
    return Paired(
        known.comparison,
        known.response,
        found,
        known.comparison.n - len(added),
        len(added),
        name,
        bed.name if told and bed is not None else None,
    )


def read_probe(
    indications: Sequence[float],
    typed: Sequence[tuple[str, str]] = (),
    *,
    keeper: Keeper,
    asked: JudgedBy = NOTHING_ASKED,
    resolution: float = 0.0,
    probe: str | None = None,
    enclosure: str | None = None,
) -> Indicated:
    """Say what indications of a probe add to what the record knows, by pairs that are typed or on record.

    Parameters
    ----------
    indications : sequence of float
        What it shows: one at a spot, or several about a bed. [pH]
    typed, keeper, asked, resolution, probe, enclosure
        As for `compare_pairs`.

    Returns
    -------
    Indicated
        The pH of the spot, or of the bed's mean.

    Raises
    ------
    Refusal
        If nothing is called so, or a pair cannot stand.

    Examples
    --------
    >>> from slurrycalc.day.record.nameless import nameless
    >>> read_probe([6.0], [("5.9", "5.41")], keeper=nameless("probe")).update.state
    'not shown yet'
    """
    stick, case = _named(keeper, probe, enclosure)
    for shows, slurry in typed:
        enter_pair(keeper, pair_of(keeper, magnitude(shows, "ph"), slurry, case), stick)
    for one in indications:
        keeper.step.probing(
            one,
            probe=None if stick is None else stick.uid,
            enclosure=None if case is None else case.uid,
        )
    after = keeper.after()
    known = probe_seen(after, stick, asked, resolution)
    called = (None if stick is None else stick.name, None if case is None else case.name)
    if known is None:
        return Indicated(sum(indications) / len(indications), None, None, None, None, *called)
    bed = None if case is None else after.recall.things.by_uid[case.uid]
    found, standing, do = indicated(after, known, indications, bed, day=keeper.day, asked=asked)
    keep_ph(keeper, called[1], found.ph, standing, slurries=0)
    return Indicated(found.indication, found, standing, do, known, *called)


def probe_seen(
    after: After, stick: Thing | None, asked: JudgedBy = NOTHING_ASKED, resolution: float = 0.0
) -> ProbeSeen | None:
    """Give a probe as all its pairs show it, by the record as it will be with a step; None without any.

    Pairs of all days count: what was learnt of a probe later holds of it earlier as well.

    Parameters
    ----------
    after : After
        That record.
    stick : Thing or None
        The probe; a nameless one has the pairs of the step alone.
    asked : JudgedBy
        Its expected scatter.
    resolution : float
        Smallest step of its display; 0 takes the one on record. [pH]

    Returns
    -------
    ProbeSeen or None
    """
    thing = None if stick is None else after.recall.things.by_uid[stick.uid]
    found = pairs(after.recall, thing, entry=after.entry)
    if not found:
        return None
    step = resolution or (0.0 if stick is None else float(stick.get("resolution") or 0.0))
    shows, slurries = [one.shows for one in found], [one.slurry for one in found]
    return ProbeSeen(
        found,
        compare(shows, slurries, asked.expected, resolution=step),
        response(shows, slurries, asked.expected, resolution=step),
    )


def worth_of(after: After, known: ProbeSeen, bed: Thing | None, day: datetime.date, asked: JudgedBy) -> Worth:
    """Say how much a reading of a probe narrows what the record says of a spot of a bed."""
    from slurrycalc.day.months.probed import age_of, known_of  # noqa: PLC0415  only with a probe

    before, _ = known_of(after.recall, bed, day, limits=asked.limits, p=asked.p)
    return worth(before, known.response, months=age_of(known.pairs, day), p=asked.p)


def indicated(
    after: After,
    known: ProbeSeen,
    indications: Sequence[float],
    bed: Thing | None,
    *,
    day: datetime.date,
    asked: JudgedBy,
    doubted: Sequence[Remark] = (),
) -> tuple[Update, Judgement, str]:
    """Say what indications add to the record, where that stands, and what to do. [pH].

    Parameters
    ----------
    after : After
        The record as it will be with the step.
    known : Known
        The probe.
    indications : sequence of float
        Of that day. [pH]
    bed : Thing or None
        Where it stands.
    day : date
    asked : JudgedBy
        Limits and coverage probability.
    doubted : sequence of Remark
        What puts its pairs in doubt.

    Returns
    -------
    Update, Judgement, str
    """
    from slurrycalc.day.months.probed import age_of, known_of  # noqa: PLC0415  only with a probe

    measurand: Measurand = "spot" if len(indications) == 1 else "bed"
    before, retest = known_of(
        after.recall, bed, day, limits=asked.limits, measurand=measurand, p=asked.p
    )
    found = update(before, known.response, indications, age_of(known.pairs, day), asked.p)
    limits = chosen_limits(asked.limits, limits_of(bed))
    standing = judge(found, *limits, asked.p, doubted=doubted)
    return found, standing, _what_to_do(found, standing, retest)


def _what_to_do(found: Update, standing: Judgement, retest: Retest | None) -> str:
    """Say what comes next; a probe by itself is never enough to act on."""
    if (first := see_to(standing.doubts)) is not None:
        return first.do
    if standing.ready:
        return "confirm it with two slurries, each from its own spots, then act."
    as_planned = None if retest is None else f"read its slurries by {spoken(retest.by)}, as planned"
    if standing.settled or (found.weight == 0.0 and as_planned is not None):
        later = "" if found.state == "does not follow" else " Read the probe again next week."
        return f"{as_planned or 'nothing now'}.{later}"
    if as_planned is None:
        return "mix two slurries here, each from its own spots: nothing else is known of this bed."
    if standing.above_floor.probability < COVERAGE.value:
        return f"{as_planned}; until then treat it as below the floor."
    return f"{as_planned}. Read the probe again next week."


def _named(keeper: Keeper, probe: str | None, enclosure: str | None) -> tuple[Thing | None, Thing | None]:
    return (
        None if probe is None else keeper.thing("probe", probe),
        None if enclosure is None else keeper.thing("enclosure", enclosure),
    )
