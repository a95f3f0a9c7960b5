"""A trial in jars: put on record, computed anew from it, and what it tells of the fresh mix's buffering."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from slurrycalc.data.assumed import TRIAL_REST
from slurrycalc.day.record.limits import chosen_limits
from slurrycalc.deciding.given import Given
from slurrycalc.deciding.trial import Trial, trial
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.wording import typed
from slurrycalc.metrology.names import plain_name
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.units import measured

if TYPE_CHECKING:
    from slurrycalc.day.record.keeper import Keeper
    from slurrycalc.logbook.blends import KeptTrial
    from slurrycalc.logbook.things import Thing

MINUTES_PER_WEEK = 10080.0
"""Seven days; durations are read in minutes. [min]"""


@dataclass(frozen=True)
class Jars:
    """The jars of a trial as a line gives them."""

    pairs: Sequence[tuple[str, str]] = ()
    """Dose and pH of each, as typed; none for the newest trial on record."""
    unit: str = ""
    amendment: str | None = None
    """What was blended in."""
    weeks: str | None = None
    """How long they stood moist."""

    def __post_init__(self) -> None:
        """See that what was blended in has a name."""
        if self.amendment is not None:
            plain_name(self.amendment, "amendment", "leaf mix")


@dataclass(frozen=True)
class Tried:
    """A trial, and where it came from."""

    trial: Trial
    enclosure: str | None
    on: str | None
    """Its day: year, month, day; None where nothing on record was named."""
    amendment: str | None
    basis: tuple[str, ...]
    remarks: tuple[Remark, ...]


def try_jars(
    jars: Jars,
    target: str | None,
    *,
    expected: Expected = DEFAULT,
    p: float = 0.95,
    keeper: Keeper,
    enclosure: str | None = None,
) -> Tried:
    """Compute a trial, and put its jars into a step; without jars, compute the newest one on record.

    Parameters
    ----------
    jars : Jars
        As typed.
    target : str or None
        pH wanted, as typed; of an enclosure on record the middle of its range. [pH]
    expected : Scatter, DEFAULT or None
        What is known of the scatter of jars. [pH]
    p : float
        Coverage probability. [1]
    keeper : Keeper
        Of the step.
    enclosure : str, optional
        Whose substrate the jars hold.

    Returns
    -------
    Tried

    Raises
    ------
    Refusal
        If something is missing or cannot stand; the step is then as it was before.

    Examples
    --------
    >>> jars = Jars([("0", "5.1"), ("20", "5.4"), ("40", "5.7")], "%")
    >>> from slurrycalc.day.record.nameless import nameless
    >>> f"{try_jars(jars, '5.4', keeper=nameless('trial')).trial.dose:.0f}"
    '20'
    """
    if enclosure is None:
        if target is None:
            raise Refusal("the pH wanted is missing: add --target 5.4.")
        found = trial(*_columns(jars), target, unit=jars.unit, expected=expected, p=p)
        return Tried(found, None, None, jars.amendment, (), _rested(_weeks(jars)))
    from slurrycalc.day.months.beds import refuse_no_bed  # noqa: PLC0415  only with the record

    known = keeper.known("enclosure", plain_name(enclosure, "enclosure", "atlas"))
    if known is not None:
        refuse_no_bed(keeper.recall, known)
    wanted, basis = _wanted(known, target)
    if not jars.pairs:
        _refuse_idle(jars)
        kept = _newest(keeper, known, enclosure)
        found = trial(
            [jar.dose for jar in kept.jars], kept.ph, wanted, unit=kept.unit, expected=expected, p=p
        )
        when = kept.when.day.isoformat()
        name = enclosure if known is None else known.name
        weeks = next((jar.weeks for jar in kept.jars if jar.weeks is not None), None)
        return Tried(found, name, when, kept.amendment, basis, _rested(weeks))
    found = trial(*_columns(jars), wanted, unit=jars.unit, expected=expected, p=p)
    if not found.unit:
        raise Refusal(
            f"doses that go on record need their unit: write {jars.pairs[0][0]}%={jars.pairs[0][1]}, or add "
            "--unit %."
        )
    thing = keeper.thing("enclosure", enclosure)
    _put(keeper, thing, found, jars)
    return Tried(found, thing.name, keeper.day.isoformat(), jars.amendment, basis, _rested(_weeks(jars)))


def _refuse_idle(jars: Jars) -> None:
    """Refuse what is said of jars where none is given: those on record bear their own."""
    for name, said in {"--unit": jars.unit, "--of": jars.amendment, "--weeks": jars.weeks}.items():
        if said:
            raise Refusal(
                f"{name} {quoted(said)} is said of jars, and none is given: write DOSE=PH for each, such as "
                "0%=5.10 10%=5.27 20%=5.43; or leave it away."
            )


def _columns(jars: Jars) -> tuple[list[float | str], list[Given]]:
    if not jars.pairs:
        raise Refusal("no jar was given: write DOSE=PH for each, such as 0%=5.10 10%=5.27 20%=5.43.")
    return [dose for dose, _ in jars.pairs], [ph for _, ph in jars.pairs]


def _weeks(jars: Jars) -> float | None:
    if jars.weeks is None:
        return None
    try:
        kind, found = measured(jars.weeks, ("number", "duration"))
        weeks = found if kind == "number" else found / MINUTES_PER_WEEK
    except Refusal:
        weeks = -1.0
    if not 0.0 <= weeks <= 520.0:
        raise Refusal(f"{quoted(jars.weeks)} is no number of weeks to stand: write such as 4.", "--weeks")
    return weeks


def _rested(weeks: float | None) -> tuple[Remark, ...]:
    least = TRIAL_REST.value / 7.0
    if weeks is None or weeks >= least:
        return ()
    said = (
        f"The jars stood moist for {weeks:g} weeks only, and {least:g} at least are usual (from "
        f"{TRIAL_REST.known}): the pH may still move."
    )
    return (Remark("short-rest", said),)


def _wanted(known: Thing | None, target: str | None) -> tuple[str | float, tuple[str, ...]]:
    if target is not None:
        return target, ()
    from slurrycalc.day.record.limits import limits_of  # noqa: PLC0415  only with the record

    (low, high), _ = chosen_limits(limits_of(known))
    middle = (low + high) / 2.0
    return middle, (f"Wanted: pH {typed(middle)}, the middle of its range, {typed(low)} to {typed(high)}.",)


def _newest(keeper: Keeper, known: Thing | None, name: str) -> KeptTrial:
    from slurrycalc.logbook.blends import newest_trial  # noqa: PLC0415  only with the record

    kept = None if known is None else newest_trial(keeper.recall, known)
    if kept is None:
        raise Refusal(
            f"{quoted(name)} has no trial on record: write DOSE=PH for each jar, such as 0%=5.10 10%=5.27 "
            "20%=5.43."
        )
    return kept


def _put(keeper: Keeper, thing: Thing, found: Trial, jars: Jars) -> None:
    from slurrycalc.logbook.blends import add_blend  # noqa: PLC0415  only with the record

    for dose, ph in zip(found.doses, found.ph, strict=True):
        add_blend(
            keeper.step,
            dose,
            ph.n,
            found.unit,
            enclosure=thing.uid,
            amendment=jars.amendment,
            u=ph.s or None,
            weeks=_weeks(jars),
        )
