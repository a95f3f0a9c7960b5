"""Results of outside laboratories on record."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import TYPE_CHECKING

from slurrycalc.logbook import cells
from slurrycalc.logbook.about import rows_about
from slurrycalc.logbook.refs import Id, Ref, When

if TYPE_CHECKING:
    from slurrycalc.logbook.recall import Recall
    from slurrycalc.logbook.step import Step
    from slurrycalc.logbook.things import Thing


@dataclass(frozen=True, slots=True)
class KeptOutside:
    """What an outside laboratory said of an enclosure."""

    id: Id
    when: When
    laboratory: str | None
    ph: float
    half_width: float | None
    """Stated for 95 in 100; None where none was stated. [pH]"""
    preparation: str | None
    """As it was stated."""
    note: str | None


def add_outside(
    step: Step,
    enclosure: str,
    ph: float,
    *,
    half_width: float | None = None,
    laboratory: str | None = None,
    preparation: str | None = None,
    note: str | None = None,
) -> Ref:
    """Put an outside laboratory's result into a step.

    Parameters
    ----------
    step : Step
        Of the day on which the sample was taken.
    enclosure : str
        Its uid.
    ph : float
        What was reported. [pH]
    half_width : float, optional
        Stated for 95 in 100. [pH]
    laboratory : str, optional
        Who, in the keeper's own words.
    preparation : str, optional
        As it was stated, such as ``"1:2.5 water"``.
    note : str, optional

    Returns
    -------
    Ref
        Its key is ``ref.key("outside")``.

    Examples
    --------
    >>> from slurrycalc.logbook.refs import UTC
    >>> from slurrycalc.logbook.step import Step
    >>> step = Step("outside", When.on(datetime.date(2024, 5, 4), UTC))
    >>> add_outside(step, "a" * 20, 5.85, half_width=0.15, laboratory="county soil laboratory").n
    1
    """
    return step.value(
        "outside",
        (
            enclosure,
            cells.note(laboratory),
            cells.number(ph),
            cells.number(half_width),
            cells.note(preparation),
            cells.note(note),
        ),
    )


def outside_results(
    recall: Recall, enclosure: Thing, *, until: datetime.date | None = None
) -> tuple[KeptOutside, ...]:
    """Give what outside laboratories said of an enclosure, as far as it stands.

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
    tuple of KeptOutside
        In the order of time.

    Examples
    --------
    >>> from slurrycalc.logbook.recall import Recall
    >>> from slurrycalc.logbook.store import in_memory
    >>> from slurrycalc.logbook.things import Thing
    >>> outside_results(Recall(in_memory()), Thing("a" * 20, 1, "enclosure", "atlas", {}, ()))
    ()
    """
    columns = "laboratory, ph, half_width, preparation, t.note"
    return tuple(
        KeptOutside(Id(entry, n), When.read(at, offset, bool(day_only)), *rest)
        for entry, n, at, offset, day_only, *rest in rows_about(recall, "outside", columns, enclosure, until)
    )
