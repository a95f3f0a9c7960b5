"""What there is to do: the names of tasks, how they are said, and how often they are usual."""

from __future__ import annotations

from typing import Final, Literal

from slurrycalc.data.assumed import (
    BOTTLE_OPEN,
    CHARCOAL,
    FIRST_RETEST,
    LEAF_LITTER,
    PROBE_CHECK,
    STEADY_JAR,
    Assumed,
)

Task = Literal[
    "meter",
    "bench",
    "mix-again",
    "exchange",
    "exchange-stage",
    "upkeep",
    "retest",
    "steady-jar",
    "leaf-litter",
    "charcoal",
    "buffer-bottle",
    "probe-check",
]

USUAL: Final[dict[Task, Assumed]] = {
    "retest": FIRST_RETEST,
    "steady-jar": STEADY_JAR,
    "leaf-litter": LEAF_LITTER,
    "charcoal": CHARCOAL,
    "buffer-bottle": BOTTLE_OPEN,
    "probe-check": PROBE_CHECK,
}
"""Intervals where none is set: common practice."""

TO_DO: Final[dict[Task, str]] = {
    "meter": "see to the meter, then read {} again",
    "bench": "see to the bench, then read {} again",
    "mix-again": "mix another jar of {} and read it",
    "exchange": "exchange a part of {}",
    "retest": "read {}",
    "steady-jar": "slurry the steady jar {}",
    "leaf-litter": "top up the leaf litter of {}",
    "charcoal": "renew the charcoal of {}",
    "exchange-stage": "exchange the next part of {}",
    "upkeep": "see to the upkeep of {}",
    "buffer-bottle": "replace the buffer bottle {}",
    "probe-check": "check the probe {}",
}


SHORT: Final[dict[Task, str]] = {
    "meter": "meter first",
    "bench": "bench first",
    "mix-again": "mix another jar",
    "exchange": "exchange a part",
    "exchange-stage": "exchange a part",
    "upkeep": "its upkeep",
    "retest": "read",
    "steady-jar": "slurry it",
    "leaf-litter": "leaf litter",
    "charcoal": "charcoal",
    "buffer-bottle": "replace",
    "probe-check": "check",
}
"""For a cell of a table."""
UNREAD: Final = "no 1:2 slurry of it was read yet"
