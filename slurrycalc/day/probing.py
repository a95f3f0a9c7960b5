"""The soil probe: its pairs with slurries, typed now or on record, and what an indication means by them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from slurrycalc.day.limits import Limits, chosen_limits
from slurrycalc.deciding.fitness import Fitness, fitness
from slurrycalc.deciding.judgement import Judgement, judge
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.probe import Comparison, CorrectedReading
from slurrycalc.measuring.probe import compare as compare_probe
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import NORMAL_95, Uncertain, nameless
from slurrycalc.metrology.units import magnitude, stated

if TYPE_CHECKING:
    from slurrycalc.day.keeping.keeper import Keeper
    from slurrycalc.logbook.things import Thing

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


def compare_pairs(
    pairs: Sequence[tuple[str, str]],
    *,
    asked: Limits = (None, None),
    expected: Expected = DEFAULT,
    step: float = 0.0,
    p: float = 0.95,
    keeper: Keeper | None = None,
    probe: str | None = None,
    enclosure: str | None = None,
) -> Paired:
    """Compare a probe with slurries of the same spots, those on record among them.

    Parameters
    ----------
    pairs : sequence of (probe, slurry)
        As typed; a slurry on record by the number of its reading, ``#41.2``. [pH]
    asked : Limits
        Target and floor that were asked for. [pH]
    expected : Scatter, DEFAULT or None
        What is known of the scatter of a difference. [pH]
    step : float
        Smallest step of the probe's display, where it is coarse. [pH]
    p : float
        Coverage probability. [1]
    keeper : Keeper, optional
        Where the step is recorded.
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
    >>> compare_pairs([("5.9", "5.41")]).comparison.n
    1
    """
    if keeper is None:
        comparison = compare_probe(
            [probe for probe, _ in pairs],
            [_slurry(slurry) for _, slurry in pairs],
            expected,
            resolution=step,
        )
        return Paired(comparison, fitness(comparison, *chosen_limits(asked), p), 0, None)
    from slurrycalc.day.keeping.pairing import (  # noqa: PLC0415  only a recorded step needs them
        hand_down_pair,
        pair_on_record,
        pairs_of,
    )
    from slurrycalc.day.keeping.shown import keep_offset  # noqa: PLC0415
    from slurrycalc.day.keeping.slurries import limits_of  # noqa: PLC0415

    stick, case = _named(keeper, probe, enclosure)
    past = pairs_of(keeper, stick)
    new: list[tuple[float, Uncertain]] = []
    for indication, slurry in pairs:
        shows = magnitude(indication, "ph")
        if slurry.startswith(ON_RECORD):
            known = pair_on_record(keeper, shows, slurry, probe=stick, enclosure=case)
            new.append((shows, known))
            continue
        value, half = stated(slurry, "ph")
        u = None if half is None else half / NORMAL_95
        new.append((shows, hand_down_pair(keeper, shows, value, u, probe=stick, enclosure=case)))
    comparison = compare_probe(
        [*(one.shows for one in past), *(shows for shows, _ in new)],
        [*(one.slurry for one in past), *(slurry for _, slurry in new)],
        expected,
        resolution=step or _resolution(stick),
    )
    name = None if stick is None else stick.name
    if new:
        keep_offset(keeper, name, comparison, p)
    limits = chosen_limits(asked, limits_of(case))
    return Paired(comparison, fitness(comparison, *limits, p), len(past), name)


@dataclass(frozen=True)
class Indicated:
    """What one indication of a probe means; nothing, without pairs."""

    corrected: CorrectedReading | None
    standing: Judgement | None
    comparison: Comparison | None
    probe: str | None
    enclosure: str | None


def read_probe(
    indication: float,
    comparison: Comparison | None = None,
    *,
    asked: Limits = (None, None),
    expected: Expected = DEFAULT,
    step: float = 0.0,
    p: float = 0.95,
    keeper: Keeper | None = None,
    probe: str | None = None,
    enclosure: str | None = None,
) -> Indicated:
    """Say what an indication of a probe means.

    Parameters
    ----------
    indication : float
        What it shows. [pH]
    comparison : Comparison, optional
        By which pairs; where the step is recorded, those on record count.
    asked, expected, step, p, keeper, probe, enclosure
        As for `compare_pairs`.

    Returns
    -------
    Indicated
        The slurry pH that it means.

    Raises
    ------
    Refusal
        If nothing is called so.

    Examples
    --------
    >>> read_probe(6.0, compare_pairs([("5.9", "5.41")]).comparison).corrected.way
    'offset'
    """
    stick = case = None
    own: Limits = (None, None)
    if keeper is not None:
        from slurrycalc.day.keeping.pairing import pairs_of  # noqa: PLC0415  only a recorded step needs them
        from slurrycalc.day.keeping.shown import keep_ph  # noqa: PLC0415
        from slurrycalc.day.keeping.slurries import limits_of  # noqa: PLC0415

        stick, case = _named(keeper, probe, enclosure)
        own = limits_of(case)
        keeper.step.probing(
            indication,
            probe=None if stick is None else stick.uid,
            enclosure=None if case is None else case.uid,
        )
        past = pairs_of(keeper, stick)
        if past:
            comparison = compare_probe(
                [one.shows for one in past],
                [one.slurry for one in past],
                expected,
                resolution=step or _resolution(stick),
            )
    called = (None if stick is None else stick.name, None if case is None else case.name)
    if comparison is None:
        return Indicated(None, None, None, *called)
    corrected = comparison.correct(indication, p)
    standing = judge(corrected, *chosen_limits(asked, own), p)
    if keeper is not None:
        keep_ph(keeper, called[1], corrected.ph, standing, slurries=0)
    return Indicated(corrected, standing, comparison, *called)


def _named(
    keeper: Keeper, probe: str | None, enclosure: str | None
) -> tuple[Thing | None, Thing | None]:
    return (
        None if probe is None else keeper.thing("probe", probe),
        None if enclosure is None else keeper.thing("enclosure", enclosure),
    )


def _resolution(probe: Thing | None) -> float:
    return float((probe and probe.get("resolution")) or 0.0)


def _slurry(text: str) -> Uncertain:
    if text.startswith(ON_RECORD):
        raise Refusal(f"{quoted(text)} is a reading on record: name the probe, --probe NAME, to take it.")
    value, half = stated(text, "ph")
    if half is None:
        return value
    return value + nameless(half / NORMAL_95, "slurry, as stated", ground="a 95 % half-width")
