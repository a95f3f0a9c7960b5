"""What to mind before the hands move, by the step that it belongs to."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Final

from slurrycalc.data import table

BENCH_STEPS: Final = ("sampling", "mixing", "metering", "reading", "closing")
"""The steps of a bench day, in their order; all other steps are commands and kinds of events."""


@dataclass(frozen=True, slots=True)
class Caution:
    """Something to mind."""

    steps: tuple[str, ...]
    """Commands, kinds of events and steps of a bench day that show it."""
    when: str
    """The moment it is for."""
    text: str
    """What to do."""
    source: str
    """Where it comes from."""


@cache
def all_cautions() -> tuple[Caution, ...]:
    """Give every caution, in the order in which they are shown.

    Returns
    -------
    tuple of Caution
        All rows of ``cautions.toml``.

    Examples
    --------
    >>> all_cautions()[0].when
    'before a hand or a metal probe goes in'
    """
    rows = table("cautions")["caution"]
    return tuple(Caution(tuple(row["step"]), row["when"], row["text"], row["source"]) for row in rows)


def cautions(step: str) -> tuple[str, ...]:
    """Give what to mind at a step.

    Parameters
    ----------
    step : str
        Name of a command, one of :data:`BENCH_STEPS`, or what `of_event` gives.

    Returns
    -------
    tuple of str
        The sentences, in the order in which they are shown; empty for a step that needs none.

    Examples
    --------
    >>> cautions("ratio")
    ('Cups, spoons and strainers that have met substrate never go back to the kitchen: mark them.',)
    >>> cautions("verify")
    ()
    """
    return tuple(caution.text for caution in all_cautions() if step in caution.steps)


@cache
def all_lines() -> dict[str, str]:
    """Give for each command that only computes its one line, and where to read all there is to mind.

    Examples
    --------
    >>> all_lines()["ratio"]
    'Cups and spoons that have met substrate stay out of the kitchen: mark them. All to mind: slurrycalc mix.'
    """
    found: dict[str, str] = {}
    for row in table("cautions")["line"]:
        more = ", ".join(f"slurrycalc {command}" for command in row["more"])
        found |= dict.fromkeys(row["step"], f"{row['text']} All to mind: {more}.")
    return found


def line(step: str) -> str | None:
    """Give the one line of a command that only computes; None where all is shown, or no hand moves."""
    return all_lines().get(step)


def of_event(kind: str) -> str:
    """Give the step at which a kind of event has its cautions.

    Parameters
    ----------
    kind : str
        Such as ``illness``.

    Returns
    -------
    str

    Examples
    --------
    >>> cautions(of_event("illness"))[0].partition(":")[0]
    'If an animal seems unwell, see a licensed veterinarian'
    >>> cautions(of_event("water"))
    ()
    """
    return f"event {kind}"
