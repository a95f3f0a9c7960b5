"""The whole record at a glance: what is due, and where those stand that somebody is shown."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass

from slurrycalc.day.bench.changed_answer import ChangedAnswer, answered_otherwise, changed_answers
from slurrycalc.day.bench.standing import Standing, standing
from slurrycalc.day.months.bench_state import BenchState
from slurrycalc.day.months.duties import Duties, duties
from slurrycalc.day.months.series import series_of_many
from slurrycalc.logbook.recall import Recall
from slurrycalc.metrology.remark import Remark


@dataclass(frozen=True)
class Overview:
    """What there is to know of a record where nothing is asked."""

    found: Duties
    """What is due."""
    read: Mapping[str, datetime.date]
    """The last bench day of each bed that was read."""
    stands: Standing
    """Of the steady jars, of what was never read, and of those beds that are shown or in doubt."""
    bench: tuple[tuple[str, Remark], ...]
    """What the steady jars say of a last bench day; year, month, day."""
    changed: tuple[ChangedAnswer, ...]
    """Whose answers are others by the present method."""


def overview(recall: Recall, today: datetime.date, most: int) -> Overview:
    """Look at a whole record.

    Parameters
    ----------
    recall : Recall
        The record.
    today : date
        The day on which it is looked at.
    most : int
        So many beds are shown, those that ask for most; of the others no more is computed than what may put
        them in doubt.

    Returns
    -------
    Overview
    """
    enclosures = [
        one for one in recall.things.of("enclosure", retired=True)
        if not one.get("fresh") and (one.retired is None or one.retired > today)
    ]  # fmt: skip
    series = series_of_many(recall, enclosures, until=today)
    found, bench = duties(recall, today, series=series), BenchState(recall)
    read = {one.name: series[one.id].last for one in enclosures if one.is_bed and one.id in series}
    days = sorted(set(read.values()))
    said = tuple(
        (day.isoformat(), remark)
        for day in days
        for remark in bench.remarks(day)
        if remark.kind.startswith("steady-jar-")
    )
    shown = {*list(found.first)[:most], *answered_otherwise(recall, read)}
    passed = {
        one.id
        for one in enclosures
        if one.name in read and one.name in found.first and not series[one.id].perhaps_odd
    }
    wanted = {one.id for one in enclosures if one.name in shown or one.id not in passed}
    stands = standing(recall, of=wanted)
    return Overview(found, read, stands, said, changed_answers(recall, stands))
