"""Whether an outside result and ours agree about one substrate, and whether they can be compared at all."""

from slurrycalc.deciding.agree.agreement import Agreement, agree
from slurrycalc.deciding.agree.preparation import OURS, Preparation, preparation

__all__ = ["OURS", "Agreement", "Preparation", "agree", "preparation"]
