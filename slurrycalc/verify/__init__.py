"""The check values, recomputed on this machine by the product's own code."""

from slurrycalc.verify.run import CheckResult, load_entries, run_checks

__all__ = ["CheckResult", "load_entries", "run_checks"]
