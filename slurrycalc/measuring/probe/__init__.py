"""The cheap probe against the slurries of the same spots, and what its next indication means."""

from slurrycalc.measuring.probe.comparison import Comparison, CorrectedReading, compare

__all__ = ["Comparison", "CorrectedReading", "compare"]
