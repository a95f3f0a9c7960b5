"""What the months of each bed on record come to on a day."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from slurrycalc.day.months.beds import first_of
from slurrycalc.day.months.bench_state import BenchState
from slurrycalc.day.months.series import Series
from slurrycalc.day.months.surprise import SURPRISE, surprises_of
from slurrycalc.day.months.teaching import foresee, teach_all
from slurrycalc.day.record.limits import NO_LIMITS, Limits, chosen_limits, limits_of
from slurrycalc.deciding.agenda import BedState
from slurrycalc.deciding.doubt import in_doubt
from slurrycalc.logbook.recall import Recall
from slurrycalc.measuring.slurry.odd import ODD
from slurrycalc.metrology.remark import Remark


def bed_states(
    recall: Recall, several: Sequence[Series], today: datetime.date, asked: Limits = NO_LIMITS
) -> dict[int, BedState]:
    """Say what the months of beds come to.

    Parameters
    ----------
    recall : Recall
        The record.
    several : sequence of Series
        Bench days of enclosures; steady jars and tubs of fresh mix among them are passed over.
    today : date
        The day on which it is asked.
    asked : Limits
        Range and floor that count before the enclosures' own. [pH]

    Returns
    -------
    dict
        By number of the enclosure.
    """
    beds = [each for each in several if each.enclosure.is_bed]
    teach_all(beds)
    foresee([each.taught for each in beds], "level", today)
    foresee([each.taught for each in beds], "level")
    bench = BenchState(recall)
    return {
        series.enclosure.id: _state(series, today, bench, asked, odd=odd)
        for series, odd in zip(beds, surprises_of(beds), strict=True)
    }


def _state(
    series: Series, today: datetime.date, bench: BenchState, asked: Limits, *, odd: Remark | None
) -> BedState:
    if series.doubted:
        return BedState.doubted("meter")
    if in_doubt(bench.remarks(series.last)):
        return BedState.doubted("bench")
    first = first_of(series, today)
    if first is not None:
        return BedState(0.0, 0.0, 0.0, first=first)
    limits = chosen_limits(asked, limits_of(series.enclosure))
    return BedState.at(
        series.taught.level(today),
        *limits,
        surprise=odd is not None and odd.kind == SURPRISE,
        odd_jar=odd is not None and odd.kind == ODD,
        unread=any(series.last <= step.on <= today for step in series.steps),
        read=series.taught.level() if series.last < today else None,
    )
