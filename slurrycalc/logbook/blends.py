"""Trials on record: jars of an enclosure's substrate, each with a dose of something, and their pH."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import TYPE_CHECKING

from slurrycalc.logbook import cells
from slurrycalc.logbook.about import rows_about
from slurrycalc.logbook.acts import acts_of
from slurrycalc.logbook.refs import Id, Ref, When
from slurrycalc.metrology.uncertain import Uncertain, nameless

if TYPE_CHECKING:
    from slurrycalc.logbook.recall import Recall
    from slurrycalc.logbook.step import Step
    from slurrycalc.logbook.things import Thing


@dataclass(frozen=True, slots=True)
class KeptJar:
    """One jar of a trial."""

    id: Id
    dose: float
    """In the unit of its trial."""
    ph: float
    u: float | None
    """Stated standard uncertainty; None where none was stated. [pH]"""
    weeks: float | None
    """How long it was kept moist; None where that was not said."""
    note: str | None


@dataclass(frozen=True, slots=True)
class KeptTrial:
    """The jars of one trial that stand, in the order of their doses."""

    id: Id
    when: When
    unit: str
    """Of the doses: ``"%"`` is fresh substrate by volume."""
    amendment: str | None
    jars: tuple[KeptJar, ...]

    @property
    def ph(self) -> list[Uncertain]:
        """Of its jars, exact where no uncertainty was stated. [pH]."""
        doubts = [0.0 if jar.u is None else nameless(jar.u, "pH of a jar", "given") for jar in self.jars]
        return [jar.ph + doubt for jar, doubt in zip(self.jars, doubts, strict=True)]


def add_blend(
    step: Step,
    dose: float,
    ph: float,
    unit: str = "%",
    *,
    enclosure: str | None = None,
    amendment: str | None = None,
    u: float | None = None,
    weeks: float | None = None,
    note: str | None = None,
) -> Ref:
    """Put a jar of a trial into a step; the jars of one step are one trial.

    Parameters
    ----------
    step : Step
        Holds the whole trial.
    dose : float
        How much was blended in, in `unit`.
    ph : float
        Of its slurry. [pH]
    unit : str
        The same for all jars of the step; ``"%"`` is fresh substrate by volume.
    enclosure : str, optional
        Uid of where the substrate came from.
    amendment : str, optional
        What was blended in.
    u : float, optional
        Stated standard uncertainty. [pH]
    weeks : float, optional
        How long it was kept moist.
    note : str, optional

    Returns
    -------
    Ref
        Its key is ``ref.key("blend")``.

    Examples
    --------
    >>> from slurrycalc.logbook.refs import UTC
    >>> from slurrycalc.logbook.step import Step
    >>> step = Step("trial", When.on(datetime.date(2024, 5, 4), UTC))
    >>> [add_blend(step, dose, ph).n for dose, ph in ((0, 5.1), (20, 5.4), (40, 5.7))]
    [1, 2, 3]
    """
    return step.value(
        "blend",
        (
            enclosure,
            cells.number(dose),
            cells.note(unit),
            cells.note(amendment),
            cells.number(ph),
            cells.number(u),
            cells.number(weeks),
            cells.note(note),
        ),
    )


def newest_trial(
    recall: Recall, enclosure: Thing, *, until: datetime.date | None = None, unit: str | None = None
) -> KeptTrial | None:
    """Give the newest trial of an enclosure that stands.

    Parameters
    ----------
    recall : Recall
        The record.
    enclosure : Thing
        Whose substrate.
    until : date, optional
        Nothing later than this day.
    unit : str, optional
        Only a trial of this unit, such as ``"%"``.

    Returns
    -------
    KeptTrial or None
        None where there is none.

    Examples
    --------
    >>> from slurrycalc.logbook.recall import Recall
    >>> from slurrycalc.logbook.store import in_memory
    >>> from slurrycalc.logbook.things import Thing
    >>> newest_trial(Recall(in_memory()), Thing("a" * 20, 1, "enclosure", "atlas", {}, ())) is None
    True
    """
    with recall.book.snapshot():
        columns = "unit, amendment, dose, ph, u, weeks, t.note"
        rows = [
            row for row in rows_about(recall, "blend", columns, enclosure, until) if unit in (None, row[5])
        ]
        acts = acts_of(recall.book, {row[0] for row in rows})
    if not rows:
        return None
    # A fix bears the time of what it mends, so the last act in time may not hold the last row.
    last = max(rows, key=lambda row: (row[2], acts[row[0]]))
    act = acts[last[0]]
    mine = [row for row in rows if acts[row[0]] == act]
    jars = sorted((KeptJar(Id(row[0], row[1]), *row[7:]) for row in mine), key=lambda jar: jar.dose)
    return KeptTrial(Id(act), When.read(last[2], last[3], bool(last[4])), last[5], last[6], tuple(jars))


def tried_with(recall: Recall, mix: Thing, *, until: datetime.date | None = None) -> bool:
    """Tell whether jars of any trial that stands were blended with a fresh mix, by one of its names."""
    names = {name.casefold() for name in (mix.name, *mix.former_names)}
    last = datetime.date.max if until is None else until
    rows = recall.book.rows(
        "SELECT t.entry, t.n, t.amendment FROM blend t JOIN entry e ON e.id = t.entry "
        "WHERE t.amendment IS NOT NULL AND e.day <= ?",
        (last.isoformat(),),
    )
    return any(what.casefold() in names and recall.stands.has(entry, n) for entry, n, what in rows)
