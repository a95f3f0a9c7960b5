"""What goes into a jar: how much of what, in the keeper's own measures, and the ratio that it makes."""

from slurrycalc.measuring.recipe.mixing import Recipe, Way, mix
from slurrycalc.measuring.recipe.ratio import Ratio, ratio

__all__ = ["Ratio", "Recipe", "Way", "mix", "ratio"]
