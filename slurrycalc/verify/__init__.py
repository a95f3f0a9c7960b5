"""The check values, recomputed on this machine by the product's own code."""

from slurrycalc.verify.run import Recomputed, load_entries, run_checks

__all__ = ["Recomputed", "load_entries", "run_checks"]
