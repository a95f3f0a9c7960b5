"""By when an enclosure is to be read again."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class ReadAgain:
    """By when an enclosure is to be read again."""

    by: datetime.date
    reason: Literal[
        "limit",
        "at once",
        "longest",
        "first reading",
        "few readings",
        "step",
        "in doubt",
        "interval of its own",
    ]
    """As a trend gives it, or the interval that is set for the enclosure, where that ends earlier."""
    text: str
    """The sentence that a person reads."""
