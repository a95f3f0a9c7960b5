"""How much of a drifting bed to exchange again and again, and how often, so that it keeps its limits."""

from slurrycalc.deciding.upkeep.cycles import Cycle
from slurrycalc.deciding.upkeep.demands import SaltRise
from slurrycalc.deciding.upkeep.holding import YOUNG_RECORD, Upkeep, upkeep, wait_for_days
from slurrycalc.deciding.upkeep.plan import Choice, Passed, Plan, Rhythm

__all__ = [
    "YOUNG_RECORD",
    "Choice",
    "Cycle",
    "Passed",
    "Plan",
    "Rhythm",
    "SaltRise",
    "Upkeep",
    "upkeep",
    "wait_for_days",
]
