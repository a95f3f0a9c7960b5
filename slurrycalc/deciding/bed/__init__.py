"""One bed, taught by its months: level and rate, foreseen and planned for, from one model of its record.

A map, from below: `prior` (what is expected before a reading), `nodes` (many beds as grids of states; time
and readings), `changes` (exchange, trial, unknown step, new bottles), `history` and `bed` (one bed's record
and its filtered state), `normals` (mixtures, which every answer is), `answers` (level, rate, reading,
surprise, changing, r), `limits` (days at a limit, read again), `plans` (smallest part to reach a pH or to
hold it), `worked` (what an exchange did), `parts` (its budget).
"""

from slurrycalc.deciding.bed.answers import (
    NextReading,
    RatioKnown,
    change_chances,
    changing,
    level,
    levels,
    next_reading,
    rate,
    rates,
    ratio_known,
    readings,
    spot_variance,
    surprises,
)
from slurrycalc.deciding.bed.bed import Bed, alike, all_after, bed, beds
from slurrycalc.deciding.bed.changes import bench_moved, disturbed, exchanged, ratio_tried
from slurrycalc.deciding.bed.history import (
    DayMean,
    Disturbed,
    Happening,
    NewBench,
    RatioTried,
    Replaced,
    day_mean,
)
from slurrycalc.deciding.bed.limits import (
    Bound,
    LimitDates,
    ReadBy,
    Side,
    all_limit_dates,
    all_read_by,
    first_months,
    limit_dates,
    past,
    read_again_months,
    read_by,
)
from slurrycalc.deciding.bed.nodes import Nodes, advanced, observed, unread
from slurrycalc.deciding.bed.normals import Estimate, Normals
from slurrycalc.deciding.bed.parts import all_printed, printed, tagged
from slurrycalc.deciding.bed.plans import (
    READ_EACH_CYCLE,
    Hold,
    Mix,
    Reach,
    hold,
    lows,
    parts_to_hold,
    parts_to_reach,
    reach,
    unread_cycles,
)
from slurrycalc.deciding.bed.prior import Prior
from slurrycalc.deciding.bed.worked import Worked, all_worked, worked

__all__ = [
    "READ_EACH_CYCLE",
    "Bed",
    "Bound",
    "DayMean",
    "Disturbed",
    "Estimate",
    "Happening",
    "Hold",
    "LimitDates",
    "Mix",
    "NewBench",
    "NextReading",
    "Nodes",
    "Normals",
    "Prior",
    "RatioKnown",
    "RatioTried",
    "Reach",
    "ReadBy",
    "Replaced",
    "Side",
    "Worked",
    "advanced",
    "alike",
    "all_after",
    "all_limit_dates",
    "all_printed",
    "all_read_by",
    "all_worked",
    "bed",
    "beds",
    "bench_moved",
    "change_chances",
    "changing",
    "day_mean",
    "disturbed",
    "exchanged",
    "first_months",
    "hold",
    "level",
    "levels",
    "limit_dates",
    "lows",
    "next_reading",
    "observed",
    "parts_to_hold",
    "parts_to_reach",
    "past",
    "printed",
    "rate",
    "rates",
    "ratio_known",
    "ratio_tried",
    "reach",
    "read_again_months",
    "read_by",
    "readings",
    "spot_variance",
    "surprises",
    "tagged",
    "unread",
    "unread_cycles",
    "worked",
]
