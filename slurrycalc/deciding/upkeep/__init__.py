"""How much of a drifting bed to exchange again and again, and how often, so that it keeps its limits."""

from slurrycalc.deciding.upkeep.cycles import Cycle
from slurrycalc.deciding.upkeep.demands import SaltRise
from slurrycalc.deciding.upkeep.holding import Upkeep, upkeep
from slurrycalc.deciding.upkeep.plan import Choice, Passed, Plan

__all__ = ["Choice", "Cycle", "Passed", "Plan", "SaltRise", "Upkeep", "upkeep"]
