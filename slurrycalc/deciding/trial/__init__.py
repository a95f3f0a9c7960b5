"""What doses did to the pH of jars: which one brings the pH wanted, and what a fresh mix holds."""

from slurrycalc.deciding.trial.dosing import Trial, trial

__all__ = ["Trial", "trial"]
