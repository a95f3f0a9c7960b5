"""What is asked of an exchange: the pH now, of the fresh mix and wanted, and what cannot be asked."""

from __future__ import annotations

from typing import Literal, NamedTuple

from slurrycalc.data.assumed import ENOUGH, FRESH_REST
from slurrycalc.data.fresh import component
from slurrycalc.deciding.exchange.stages import stages_needed
from slurrycalc.deciding.given import Given, as_quoted, nominal, taken
from slurrycalc.deciding.mixing import Buffering, buffering, fraction_of
from slurrycalc.metrology.along import Along
from slurrycalc.metrology.coverage import probability
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Uncertain

Direction = Literal["up", "down"]


class Case(NamedTuple):
    """What is asked."""

    now: Uncertain
    fresh: Uncertain
    wanted: float
    direction: Direction
    known: Buffering
    line: Along
    """By how much the pH is beyond the wanted one, on the side of the fresh mix; w is φ."""
    p: float
    enough: float | None
    """Probability that it lies at the pH wanted already, or beyond; None where that is not enough."""

    def even(self) -> float | None:
        """Give the part of the bed that is enough in one case of two."""
        weight = self.line.zero()
        if weight is None or weight > 1.0:
            return None
        return fraction_of(max(weight, 0.0), self.known.ratio)


class BedParts(NamedTuple):
    """The parts of the bed that come of it."""

    even: float | None
    sure: float | None
    at_once: float

    @property
    def planned(self) -> float | None:
        """The part that is planned for; None where there is none, or nothing to do."""
        return (self.even if self.sure is None else self.sure) or None

    @property
    def needed(self) -> float:
        """How many stages it would take."""
        return stages_needed(self.planned or 0.0, self.at_once)


def asked(
    now: Given,
    fresh: Given,
    wanted: float | str,
    capacities: Given | None = None,
    p: float = 0.95,
    *,
    toward: Direction | None = None,
) -> Case:
    """Take in what is asked.

    Parameters
    ----------
    now, fresh, wanted : float, str, UFloat or SlurryResult
        [pH]
    capacities : float, str, UFloat or None
        Buffering capacity of fresh over old. [1]
    p : float
        Probability from which the bed counts as there already.
    toward : str, optional
        On which side of the pH wanted the bed is well: there 0.8 are enough.

    Returns
    -------
    Case

    Raises
    ------
    Refusal
        If something is no pH or not measured, or, with no side said, the fresh mix takes the bed away from
        the pH wanted.

    Examples
    --------
    >>> asked(5.1, 6.6, 5.9).direction
    'up'
    >>> asked(5.1, 4.5, 5.9)
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: a fresh mix of `4.5` is more acid than the bed, 5.1, and takes it
    away from 5.9: give one above 5.9; or, if 5.9 or lower is wanted, the bed needs no exchange.
    """
    if isinstance(fresh, str) and not any(character.isdigit() for character in fresh):
        raise no_measurement(fresh)
    bed, mix = taken(now, "ph", "pH now"), taken(fresh, "ph", "pH of the fresh mix")
    goal = nominal(taken(wanted, "ph", "pH wanted"))
    at, of = nominal(bed), nominal(mix)
    if at == of:
        raise Refusal(
            f"`{as_quoted(mix)}` is the pH of the bed already, so this fresh mix changes nothing: take one "
            f"on the other side of {goal:g}."
        )
    direction: Direction = "up" if of > at else "down"
    side = 1.0 if direction == "up" else -1.0
    if toward is None and at != goal and side * (goal - at) <= 0.0 and _beyond(bed, goal, direction) >= p:
        raise _away(bed, mix, goal)
    well = direction if toward is None else toward
    there, least = _beyond(bed, goal, well), p if toward is None else min(ENOUGH.value, p)
    line = Along(side * (bed - goal), side * (mix - bed))
    enough = there if there >= least else None
    return Case(bed, mix, goal, well if enough else direction, buffering(capacities), line, p, enough)


def _beyond(bed: Uncertain, goal: float, side: Direction) -> float:
    return probability(bed, above=goal) if side == "up" else probability(bed, below=goal)


def _away(bed: Uncertain, mix: Uncertain, goal: float) -> Refusal:
    acid = nominal(mix) < nominal(bed)
    than, other, way = ("acid", "above", "lower") if acid else ("alkaline", "below", "higher")
    return Refusal(
        f"a fresh mix of `{as_quoted(mix)}` is more {than} than the bed, {as_quoted(bed)}, and takes it away "
        f"from {goal:g}: give one {other} {goal:g}; or, if {goal:g} or {way} is wanted, the bed needs no "
        "exchange."
    )


def no_measurement(name: str) -> Refusal:
    """Refuse a fresh mix that is named and not measured.

    Parameters
    ----------
    name : str
        As it was typed.

    Returns
    -------
    Refusal
        With where such a mix may lie, and what to do.

    Examples
    --------
    >>> "from 3.5 to 4.5 (memory)" in str(no_measurement("peat"))
    True
    """
    row = component(name)
    lies = "" if row is None else f" it may lie anywhere from {row.ph[0]:g} to {row.ph[1]:g} ({row.known});"
    return Refusal(
        f"{quoted(name)} is no measured pH:{lies} let the mix stand moist for {FRESH_REST.value:g} days, "
        "make two slurries of it, and give what they read, for instance `6.6+-0.2`."
    )
