"""How fast an enclosure's pH drifts, when it reaches a limit, and by when to read it again."""

from slurrycalc.deciding.trend.crossing import Crossing, Retest, retest_after_one
from slurrycalc.deciding.trend.drift import DayPH, Trend, TrendStep, day_ph, trend
from slurrycalc.deciding.trend.horizon import ReadFirst, read_first, unknown
from slurrycalc.deciding.trend.through_time import LevelStep, LineThroughTime, TooFewDays, line_through_time

__all__ = [
    "Crossing",
    "DayPH",
    "LevelStep",
    "LineThroughTime",
    "ReadFirst",
    "Retest",
    "TooFewDays",
    "Trend",
    "TrendStep",
    "day_ph",
    "line_through_time",
    "read_first",
    "retest_after_one",
    "trend",
    "unknown",
]
