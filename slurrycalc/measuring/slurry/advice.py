"""What to do next at the bench, with the figure that speaks for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from scipy.special import ndtri
from uncertainties import UFloat

from slurrycalc.data.assumed import ADVICE_LEAVES, STRAIGHTNESS
from slurrycalc.measuring.slurry.prospect import Footing, Prospect, another_day, prospect
from slurrycalc.measuring.wording import count, place
from slurrycalc.metrology.annotate import NumberValue, PHValue
from slurrycalc.metrology.budget import BudgetRow, budget
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.results import Result

Action = Literal["slurries", "buffer", "day", "nothing"]
"""More slurries today, a third buffer, another bench day, or nothing that the bench can do."""

Question = Literal["in range", "above floor"]



@dataclass(frozen=True, slots=True)
class Advice(Result, says=("text",)):
    """One thing to do, what it would bring, and the chance that it answers the question."""

    action: Action
    n: int
    """How many slurries, on top of today's or on another day; 0 where there is nothing to mix."""
    expected_half_width: PHValue
    """The half-width to be expected afterwards (the median: half of such days give a smaller one). Where
    nothing is advised, that of the most that could be done."""
    p_settles: NumberValue | None
    """The chance that the open question is then answered; None where no question was asked. Where nothing is
    advised, that of the most that could be done."""
    text: str
    """The sentence that a person reads."""
    question: Question | None = None
    """The open question; None where none was asked."""


def future(footing: Footing, action: Action, n: int, *, on_record: bool = False) -> Prospect:
    """Look ahead to what an action would bring.

    Parameters
    ----------
    footing : Footing
        What today's interval stands on.
    action : {"slurries", "buffer", "day", "nothing"}
        What would be done. Another day means slurries judged by themselves, with the same bottles, meter and
        thermometer, calibrated anew.
    n : int
        Number of further slurries, for ``"slurries"`` and ``"day"``.
    on_record : bool
        Whether another day will know what today's slurries showed of the scatter.

    Returns
    -------
    Prospect
        Where the mean and its interval may go.

    Examples
    --------
    >>> footing = Footing(2, 0.10, 3.0, 0.03, 0.02, 0.0, 0.10, 2.0)
    >>> [round(future(footing, action, 2).half_width(), 3) for action in ("nothing", "slurries", "day")]
    [0.231, 0.138, 0.216]
    """
    if action == "slurries":
        return prospect(footing, n)
    if action == "buffer" and footing.third_buffer_u is not None:
        # A buffer off the line of the others leaves the calibration disputed.
        trusted = float(ndtri(1.0 - STRAIGHTNESS.value / 2.0))
        return prospect(
            footing,
            0,
            shared_u=footing.third_buffer_u,
            trusted=trusted,
            doubt_u=footing.third_doubt_u,
        )
    if action == "day":
        return another_day(footing, n, on_record=on_record)
    return prospect(footing, 0)


def narrowing(ph: UFloat, scatter_key: str, footing: Footing) -> Advice:
    """Advise what would narrow an interval: what works on the largest row of its budget, else what does most.

    Parameters
    ----------
    ph : UFloat
        One enclosure's pH. [pH]
    scatter_key : str
        Key of the source that is the slurries' scatter.
    footing : Footing
        What the interval stands on.

    Returns
    -------
    Advice
        With the half-width that it would bring.
    """
    now = half_width(ph)
    rows = budget(ph).rows
    if not rows:
        return Advice("nothing", 0, 0.0, None, "Nothing in this pH is uncertain, so nothing narrows it.")
    brings = {action: future(footing, action, n).half_width() for action, n in _actions(footing).items()}
    enough = [action for action, then in brings.items() if then <= ADVICE_LEAVES.value * now]
    if not enough:
        return Advice("nothing", 0, now, None, _no_remedy(rows[0], now))
    own = _remedy(rows[0], scatter_key)
    action = own if own in enough else min(enough, key=brings.__getitem__)
    text = f"{_phrase(action, footing)} would bring {_narrows(now, brings[action])}."
    return Advice(action, _actions(footing)[action], brings[action], None, text)


def _actions(footing: Footing) -> dict[Action, int]:
    """Give what can be done at the bench, each with how many slurries it takes."""
    return {"slurries": 1} if footing.third_buffer is None else {"slurries": 1, "buffer": 0}


def _remedy(row: BudgetRow, scatter_key: str) -> Action:
    """Name the action that works on a budget row."""
    if row.key == scatter_key or row.key.startswith("reading"):
        return "slurries"
    # No bottle and no jar tells what the junction adds.
    return "nothing" if row.key.endswith(":junction") else "buffer"


def _phrase(action: Action, footing: Footing) -> str:
    if action == "buffer":
        return f"A third buffer, {footing.third_buffer},"
    return f"A {place(footing.n + 1)} slurry"


def _narrows(now: float, then: float) -> str:
    return f"±{two_figures(now)} to about ±{two_figures(then)}"


def _no_remedy(row: BudgetRow, now: float) -> str:
    known = f" ({row.known})" if row.known != "measured" else ""
    return (
        f"The largest part of ±{two_figures(now)} is the {row.name}{known}: one more slurry or buffer would "
        "hardly narrow it."
    )


def describe(action: Action, n: int, footing: Footing) -> str:
    """Name an action as the start of a sentence.

    Parameters
    ----------
    action : {"slurries", "buffer", "day", "nothing"}
        What would be done.
    n : int
        Number of further slurries.
    footing : Footing
        What today's interval stands on.

    Returns
    -------
    str
        For instance ``"Two more slurries"``.

    Examples
    --------
    >>> describe("slurries", 2, Footing(2, 0.10, 3.0, 0.03, 0.02))
    'Two more slurries'
    """
    slurries = f"{count(n)} {'more ' if action == 'slurries' else ''}{'slurry' if n == 1 else 'slurries'}"
    if action == "day":
        return f"Another day with {slurries}"
    if action == "buffer":
        return f"A third buffer, {footing.third_buffer},"
    return slurries[0].upper() + slurries[1:]
