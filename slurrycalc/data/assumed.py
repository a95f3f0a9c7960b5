"""The one home of defaults that are neither measured nor given.

Every constant says in which unit it stands, how it is known and on what ground, so that a budget that rests
on it can say so by itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Known = Literal["measured", "given", "published", "common practice", "memory", "computed"]


@dataclass(frozen=True, slots=True)
class Assumed:
    """A default value and how it is known."""

    value: float
    unit: str
    known: Known
    ground: str


BOTTLE_TOLERANCE = Assumed(0.02, "pH", "memory", "tolerance printed on most buffer bottles, 25 degC")
JUNCTION = Assumed(0.02, "pH", "memory", "standard uncertainty of the residual liquid-junction potential")
SLURRY_SCATTER = Assumed(
    0.10,
    "pH",
    "memory",
    "our own expectation, worth SLURRY_SCATTER_DOF; its central 90 %, 0.06 to 0.44, contains the "
    "repeatability of organic soils in 53 laboratories (Kalra et al., J. AOAC Int. 78 (1995) 310)",
)
SLURRY_SCATTER_DOF = Assumed(2.0, "1", "memory", "how much the expected scatter of slurries is worth")
PROBE_SCATTER = Assumed(
    0.40,
    "pH",
    "memory",
    "our own expectation, worth PROBE_SCATTER_DOF; in-field sensors against laboratory pH scatter by 0.23 to "
    "0.69 (LimeSoDa data sets, Schmidinger et al.)",
)
PROBE_SCATTER_DOF = Assumed(2.0, "1", "memory", "how much the expected scatter of a probe is worth")
TARGET_LOW = Assumed(5.4, "pH", "common practice", "lower end of the range wanted in forest-type substrate")
TARGET_HIGH = Assumed(6.5, "pH", "common practice", "upper end of the range wanted in forest-type substrate")
FLOOR = Assumed(5.0, "pH", "common practice", "below it plants and small soil animals suffer")
