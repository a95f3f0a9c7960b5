"""What to do next at the bench, with the figure that speaks for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from slurrycalc.metrology.annotate import NumberValue, PHValue

Action = Literal["slurries", "buffer", "day", "nothing"]
"""More slurries today, a third buffer, another bench day, or nothing that the bench can do."""


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing to do, what it would bring, and the chance that it answers the question."""

    action: Action
    n: int
    """How many of them: slurries on top of today's, or on another day; 0 where there is nothing to do."""
    expected_half_width: PHValue | None
    """The 95 % half-width to be expected afterwards (the median: half of such days give a smaller one)."""
    p_settles: NumberValue | None
    """The chance that the open question is then answered; None where no question was asked."""
    text: str
    """The sentence that a person reads."""
    question: Literal["in range", "above floor"] | None = None
    """The open question; None where none was asked."""
