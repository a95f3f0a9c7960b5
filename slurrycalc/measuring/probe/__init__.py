"""The cheap probe against the slurries of the same spots, and what its next indication means."""

from slurrycalc.measuring.probe.before import Before, bed_before, without_record
from slurrycalc.measuring.probe.comparison import Comparison, compare
from slurrycalc.measuring.probe.response import ProbeResponse, response
from slurrycalc.measuring.probe.update import Update, update

__all__ = [
    "Before",
    "Comparison",
    "ProbeResponse",
    "Update",
    "bed_before",
    "compare",
    "response",
    "update",
    "without_record",
]
