"""Conductivity on record: what the meter showed in slurries, in their water and in standards."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from slurrycalc.logbook import cells
from slurrycalc.logbook.about import rows_about
from slurrycalc.logbook.acts import acts_of
from slurrycalc.logbook.calibrations import indications
from slurrycalc.logbook.refs import Id, Ref, When

if TYPE_CHECKING:
    from slurrycalc.logbook.recall import Recall
    from slurrycalc.logbook.step import Basis, Step
    from slurrycalc.logbook.store import Row, Store
    from slurrycalc.logbook.things import Thing

Role = Literal["slurry", "blank", "standard"]


@dataclass(frozen=True, slots=True)
class KeptConductivity:
    """One thing that the meter was read in."""

    id: Id
    role: Role
    shows: tuple[float, ...]
    """As the meter showed it, once or repeatedly. [uS/cm]"""
    temperature: float | None
    """[degC]"""
    compensates: bool
    """Whether the meter itself shows it at 25 degC."""
    thermometer: float | None
    """Half-width of its error. [degC]"""
    standard: float | None
    """What the bottle of a standard says, at 25 degC. [uS/cm]"""
    tolerance: float | None
    """Of the standard, over its value. [1]"""
    ratio: float | None
    """Water over substrate. [1]"""
    basis: str | None


@dataclass(frozen=True, slots=True)
class KeptSalts:
    """What belongs together: the slurries of one act with their water and their standards."""

    id: Id
    when: When
    meter: int | None
    """Number of the meter; None for a nameless one."""
    slurries: tuple[KeptConductivity, ...]
    blanks: tuple[KeptConductivity, ...]
    standards: tuple[KeptConductivity, ...]


def add_conductivity(
    step: Step,
    role: Role,
    shows: cells.Shows,
    temperature: float | None = None,
    *,
    enclosure: str | None = None,
    meter: str | None = None,
    compensates: bool = False,
    thermometer: float | None = None,
    standard: float | None = None,
    tolerance: float | None = None,
    ratio: float | None = None,
    basis: Basis | None = None,
    solution: str | None = None,
    note: str | None = None,
) -> Ref:
    """Put into a step what a conductivity meter showed.

    Parameters
    ----------
    step : Step
        What one entry holds belongs together.
    role : {"slurry", "blank", "standard"}
        What it was read in.
    shows : float or sequence of float
        As the meter showed it. [uS/cm]
    temperature : float, optional
        As read. [degC]
    enclosure, meter : str, optional
        Their uids.
    compensates : bool
        Whether the meter itself shows it at 25 degC.
    thermometer : float, optional
        Half-width of its error. [degC]
    standard : float, optional
        What the bottle of a standard says, at 25 degC. [uS/cm]
    tolerance : float, optional
        Of the standard, over its value. [1]
    ratio : float, optional
        Water over substrate, of a slurry. [1]
    basis : {"volume", "mass", "paste"}, optional
        What the ratio compares.
    solution, note : str, optional

    Returns
    -------
    Ref
        Its key is ``ref.key("conductivity")``.

    Examples
    --------
    >>> from slurrycalc.logbook.refs import UTC
    >>> from slurrycalc.logbook.step import Step
    >>> step = Step("salts", When.on(datetime.date(2024, 5, 4), UTC))
    >>> add_conductivity(step, "slurry", 850.0, 21.0, ratio=2.0, basis="volume").n
    1
    """
    first, again = cells.first_and_again(shows)
    numbers = (cells.number(each) for each in (standard, tolerance, first))
    return step.value(
        "conductivity",
        (
            enclosure,
            meter,
            role,
            *numbers,
            again,
            cells.number(temperature),
            int(compensates),
            cells.number(thermometer),
            cells.number(ratio),
            basis,
            cells.note(solution),
            cells.note(note),
        ),
    )


def salts_on_record(
    recall: Recall, enclosure: Thing, *, until: datetime.date | None = None
) -> tuple[KeptSalts, ...]:
    """Give the conductivities of an enclosure that stand.

    Parameters
    ----------
    recall : Recall
        The record.
    enclosure : Thing
        Which enclosure.
    until : date, optional
        Nothing later than this day.

    Returns
    -------
    tuple of KeptSalts
        In the order of time; those without a slurry left are not among them.

    Examples
    --------
    >>> from slurrycalc.logbook.recall import Recall
    >>> from slurrycalc.logbook.store import in_memory
    >>> from slurrycalc.logbook.things import Thing
    >>> salts_on_record(Recall(in_memory()), Thing("a" * 20, 1, "enclosure", "atlas", {}, ()))
    ()
    """
    with recall.book.snapshot():
        columns = (
            "meter, role, shows, again, temperature, compensates, thermometer, standard, tolerance, "
            "ratio, basis"
        )
        rows = rows_about(recall, "conductivity", columns, enclosure, until)
        acts = acts_of(recall.book, {row[0] for row in rows})
    together: dict[int, list[Row]] = {}
    for row in rows:
        together.setdefault(acts[row[0]], []).append(row)
    found = (_one(Id(act), parts) for act, parts in together.items())
    return tuple(one for one in found if one.slurries)


def meters_of_salts(book: Store) -> frozenset[int]:
    """Give the meters that showed conductivity.

    Parameters
    ----------
    book : Store

    Returns
    -------
    frozenset of int
        Their numbers.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> meters_of_salts(in_memory())
    frozenset()
    """
    return frozenset(meter for (meter,) in book.rows("SELECT DISTINCT meter FROM conductivity") if meter)


def _one(act: Id, rows: list[Row]) -> KeptSalts:
    at, offset, day_only, meter = rows[0][2:6]
    kept = [_kept(row) for row in rows]
    slurries, blanks, standards = (
        tuple(each for each in kept if each.role == role) for role in ("slurry", "blank", "standard")
    )
    return KeptSalts(act, When.read(at, offset, bool(day_only)), meter, slurries, blanks, standards)


def _kept(row: Row) -> KeptConductivity:
    entry, n, _, _, _, _, role, shows, again, temperature, compensates, *rest = row
    return KeptConductivity(
        Id(entry, n), role, indications(shows, again), temperature, bool(compensates), *rest
    )
