"""What the decisions on drift and upkeep give can be written as JSON, and by its schema."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import jsonschema
import pytest
from uncertainties import ufloat

from slurrycalc.cli import as_json
from slurrycalc.cli.outcome import Outcome
from slurrycalc.deciding.agree import agree
from slurrycalc.deciding.due import InUse, due
from slurrycalc.deciding.electrode_life import electrode_life
from slurrycalc.deciding.steady import steady
from slurrycalc.deciding.trend import trend

DAYS = ["2024-01-02", "2024-02-01", "2024-03-03", "2024-04-02"]
LINE = trend(DAYS, [5.8, 5.7, 5.6, 5.5], [DAYS[-1]])

RESULTS = {
    "trend": LINE,
    "crossing": LINE.crossing(5.0),
    "retest": LINE.retest_by(5.0),
    "steady": steady(DAYS, [6.0, 6.1, 6.0, 7.0])[-1],
    "electrode": electrode_life(DAYS, [(98.0, 1.0), (97.5, 2.0), (97.0, 3.0), (96.0, 4.0)]),
    "agree": agree(ufloat(5.6, 0.1), 5.5, "1:2"),
    "due": due([InUse("atlas", date(2024, 5, 4), LINE.retest_by(5.0))], date(2024, 6, 1)),
}


@pytest.mark.parametrize("name", RESULTS)
def test_a_result_is_written_as_its_schema_says(name: str) -> None:
    result: Any = RESULTS[name]
    written = json.loads(as_json.envelope(name, Outcome(result, lambda _: None)))
    jsonschema.validate(written, json.loads(as_json.schema(name, type(result))))


def test_units_stand_beside_the_numbers() -> None:
    written = json.loads(as_json.envelope("trend", Outcome(LINE, lambda _: None)))["result"]
    assert written["per_month"]["unit"] == "pH/month"
    assert written["now"]["unit"] == "pH"
    assert written["days"] == DAYS
    assert written["unread"] == [{"on": DAYS[-1], "name": "exchange"}]
