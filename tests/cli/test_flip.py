"""Where a stated doubt would change the first task, the first lines say so.

The doubt that every answer states is the interval of the bed's pH. At each of its ends the agenda is asked
again; where it asks for something else there than it does now, the first twelve lines of each screen about
the bed give the chance that it lies beyond its range, or its floor.
"""

from __future__ import annotations

import datetime
import os
import re
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, example, given, settings
from uncertainties import ufloat

from slurrycalc.day.months.drifting import DriftAsked
from slurrycalc.day.months.drifts import of_record
from slurrycalc.day.months.retest import retest_of
from slurrycalc.day.months.rhythm import upkeep_asked
from slurrycalc.day.months.series import series_of
from slurrycalc.day.months.stages import open_plan
from slurrycalc.day.record.limits import chosen_limits, limits_of
from slurrycalc.deciding.agenda import BedState, asked_by, rested
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.store import open_logbook
from slurrycalc.metrology.coverage import interval
from slurrycalc.metrology.uncertain import Inputs
from tests.cli.test_one_voice import FIRST, NAMES, RECORD, STEADY, record

RECORDS = int(os.environ.get("ONE_VOICE", "40")) // 4
EXACT = 1e-6
"""Standard deviation of a level that is known. [pH]"""
CHANCE = re.compile(
    r"in 100? that it is (below|above) its range"
    r"|\bit (is|may be)( almost)?( surely| probably)? (below|above) its (range|floor)"
)
MOST = 12
CLOSE = {**STEADY, "levels": [5.42] * 14}


def flips(recall: Recall, name: str, today: datetime.date) -> bool:
    """Tell whether a bed's first task is another one at an end of its pH's interval."""
    series = series_of(recall, recall.things.find("enclosure", name), until=today)
    assert series is not None
    (drift,), _ = of_record(recall, name, DriftAsked(today))
    now = drift.outlook.now
    asks = drift.outlook.asks
    if now is None or (asks is not None and asks.need in ("meter", "bench", "mix-again")):
        return False
    limits = chosen_limits((None, None), limits_of(series.enclosure))
    plan = open_plan(recall, series.enclosure, series, today)
    stage = None if plan is None or plan.enough is not None else plan.stages[0].on

    def asked(level: Any) -> str | None:
        state = BedState.at(level, *limits, surprise=False)
        found = asked_by(
            state,
            today,
            stage,
            retest_of(series).by,
            rested(series.steps, today),
            upkeep=upkeep_asked(series),
        )
        return None if found is None else found.need

    ends = interval(now)
    return len({asked(level) for level in (now, ufloat(ends.low, EXACT), ufloat(ends.high, EXACT))}) > 1


@settings(
    max_examples=RECORDS,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@given(RECORD)
@example(CLOSE)
def test_where_a_doubt_would_change_the_first_task_the_first_lines_say_so(
    run: Any, tmp_path_factory: pytest.TempPathFactory, drawn: dict[str, Any]
) -> None:
    path = tmp_path_factory.mktemp("flip") / "bench.sqlite"
    with open_logbook(path) as book:
        _, today = record(drawn, book)
        recall = Recall(book, Inputs())
        close = [name for name in NAMES if flips(recall, name, today)]
    rest = ("--on", today.isoformat(), "--logbook", str(path))
    for name in close:
        for words in (
            ("show", name),
            ("trend", name),
            ("exchange", name, "--fresh", "6.6+-0.1"),
            ("upkeep", name, "--drift", "-0.05+-0.01", "--fresh", "6.6+-0.1"),
        ):
            said = run(*words, *rest)
            if said.status == 2:
                # A mix on the wrong side of the bed is refused, whatever is to be done first.
                assert "fresh mix" in said.err
                continue
            first = "\n".join(said.out.splitlines()[:MOST])
            assert CHANCE.search(" ".join(first.split())), (words, said.err, first)


def test_a_bed_close_to_its_range_is_one_of_them(tmp_path: Any) -> None:
    with open_logbook(tmp_path / "bench.sqlite") as book:
        _, today = record(CLOSE, book)
        assert all(flips(Recall(book, Inputs()), name, today) for name in NAMES)
        assert today > FIRST
