"""The meter: its buffers, its calibration, and the pH that an indication means under it."""

from slurrycalc.measuring.electrode.calibrating import calibrate
from slurrycalc.measuring.electrode.calibration import Calibration, Fit
from slurrycalc.measuring.electrode.checks import BufferCheck
from slurrycalc.measuring.electrode.meter import Meter, nernst_slope
from slurrycalc.measuring.electrode.points import Point

__all__ = ["BufferCheck", "Calibration", "Fit", "Meter", "Point", "calibrate", "nernst_slope"]
