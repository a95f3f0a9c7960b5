"""One JSON object for each command, and a schema that it keeps to."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import date
from math import inf
from pathlib import Path
from typing import Literal, NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator, ValidationError
from uncertainties import UFloat, ufloat

from slurrycalc.cli import as_json
from slurrycalc.metrology.annotate import PH, DegCValue, NumberValue, PHValue
from slurrycalc.metrology.coverage import interval
from slurrycalc.metrology.uncertain import Source

EXAMPLES = Path(__file__).parents[2] / "examples"
A, B = "4.01=178.2mV@22C", "7.00=1.8mV@22C"
LINES = [
    ("mix", "--slurries", "2"),
    ("mix", "--basis", "mass", "--bulk-density", "0.3 g/mL", "--moisture", "60 %"),
    ("ratio", "1/2", "cup", "1", "cup"),
    ("ratio", "60", "g", "120", "mL", "--bulk-density", "0.3 g/mL"),
    ("buffers", "21C"),
    ("calibrate", A, B),
    ("calibrate", A, B, "10.01=-174mV@22C", "--budget", "--close", "7.00=1.0mV@22C"),
    ("calibrate", "4.01=4.06@21C", "7.00=7.04@21C", "--check", "9.18=9.3@21C"),
    ("read", "84.3mV@21C", "85.1mV@21C", "--buffer", A, "--buffer", B, "--budget"),
    ("read", "5.58", "5.66", "--buffer", "4.01=4.06", "--buffer", "7.00=7.04", "--p", "0.99"),
    ("compare", "5.9=5.41"),
    ("compare", "5.9=5.41", "6.1=5.70+-0.2", "6.4=5.95", "6.6=6.2", "6.8=6.1", "7=6.9"),
    ("probe", "6.0"),
    ("probe", "6.0", "5.9=5.41"),
    ("spots", "--spread", "0.2", "--margin", "0.1"),
    ("trend", "2024-04-02=5.71", "2024-05-04=5.60+-0.2", "2024-06-01=5.52", "--exchange", "2024-06-02"),
    ("trend", "2024-04-02=5.71", "2024-05-04=5.60", "--limit", "5.2", "--predict", "2024-08-01", "--budget"),
    ("exchange", "--now", "5.1+-0.1", "--fresh", "6.6", "--want", "5.9", "--volume", "27 L"),
    ("exchange", "--now", "5.1", "--fresh", "5.8", "--want", "5.9"),
    ("upkeep", "--drift", "-0.08+-0.02", "--fresh", "6.6+-0.1", "--floor", "5.4"),
    ("trial", "0%=5.10", "25%=5.52", "50%=5.95", "75%=6.30", "100%=6.60", "--target", "5.9"),
    ("agree", "5.60+-0.20", "5.85+-0.15", "--method", "1:2 water"),
    ("agree", "5.60+-0.20", "5.95", "--p", "0.9"),
    ("due",),
    ("salts", "0.85mS/cm@21C", "0.93mS/cm@21C", "--blank", "6uS/cm@21C", "--budget"),
    ("salts", "1.9mS/cm@21C", "--standard", "1413uS/cm=1398uS/cm@23C", "--to", "low", "--fresh", "0.1mS/cm"),
    ("verify",),
    ("demo",),
    ("run", str(EXAMPLES / "reading-room.toml"), "--try", "--budget"),
    ("run", str(EXAMPLES / "forty-jars.csv"), "--buffer", "7.00=7.04@21C", "--buffer", "4.01=4.06@21C"),
]


@pytest.mark.parametrize("line", LINES, ids=" ".join)
def test_every_commands_object_keeps_to_its_schema(run, line):
    schema = json.loads(run(line[0], "--schema").out)
    Draft202012Validator.check_schema(schema)
    ran = run(*line, "--json")
    assert ran.status == 0
    assert ran.err == ""
    assert ran.out.count("\n") == 1
    whole = json.loads(ran.out)
    assert list(whole) == ["schema", "method", "command", "result", "warnings", "cautions"]
    assert whole["schema"] == "slurrycalc/2"
    assert whole["command"] == line[0]
    Draft202012Validator(schema).validate(whole)


def test_the_schema_refuses_a_field_too_many(run):
    schema = json.loads(run("spots", "--schema").out)
    whole = json.loads(run("spots", "--spread", "0.2", "--margin", "0.1", "--json").out)
    whole["result"]["more"] = 1
    with pytest.raises(ValidationError):
        Draft202012Validator(schema).validate(whole)


def test_a_measured_number_says_all_that_is_known_of_it():
    value = 5.6 + ufloat(0, 0.1, tag=Source("slurries", "scatter", "A", 3.0, "slurries"))
    written = as_json.measured(value, "pH", 0.9)
    assert written == {
        "value": 5.6,
        "unit": "pH",
        "standard_uncertainty": pytest.approx(0.1),
        "interval": list(interval(value, 0.9)),
        "confidence": 0.9,
        "dof": pytest.approx(3.0),
    }


def test_infinite_degrees_of_freedom_are_null():
    assert as_json.measured(ufloat(5.6, 0.1), "pH", 0.95)["dof"] is None


class Pair(NamedTuple):
    """A place and a name."""

    at: DegCValue
    name: str


@dataclass(frozen=True)
class Everything:
    """One field of each kind that results have."""

    ph: PH
    maybe: PH | None
    shown: PHValue
    count: int
    state: Literal["good", "bad"]
    ends: tuple[PHValue, PHValue]
    jars: tuple[PH, ...]
    pair: Pair
    dof: NumberValue
    on: date | None
    named: dict[str, PHValue]
    hidden: object = field(metadata={"json": False})
    _private: object = None


numbers = st.floats(-1e6, 1e6)
uncertain = st.builds(ufloat, numbers, st.floats(1e-6, 1e3)) | numbers


@given(
    st.builds(
        Everything,
        ph=uncertain,
        maybe=st.none() | uncertain,
        shown=numbers,
        count=st.integers(0, 1000),
        state=st.sampled_from(["good", "bad"]),
        ends=st.tuples(numbers, numbers),
        jars=st.lists(uncertain, max_size=3).map(tuple),
        pair=st.builds(Pair, numbers, st.text()),
        dof=st.floats(0.5, 100) | st.just(inf),
        on=st.none() | st.dates(),
        named=st.dictionaries(st.text(), numbers, max_size=2),
        hidden=st.just(object()),
    )
)
def test_whatever_a_result_holds_its_json_keeps_to_its_schema(result):
    from slurrycalc.cli.outcome import Outcome

    schema = json.loads(as_json.schema("read", Everything))
    whole = json.loads(as_json.envelope("read", Outcome(result, lambda page: None)))
    Draft202012Validator(schema).validate(whole)
    assert "hidden" not in whole["result"]
    assert "_private" not in whole["result"]
    assert whole["result"]["shown"] == {"value": result.shown, "unit": "pH"}
    assert whole["result"]["dof"]["value"] == (None if result.dof == inf else result.dof)


def test_an_uncertain_number_without_a_unit_is_no_result():
    @dataclass(frozen=True)
    class Nameless:
        value: UFloat

    with pytest.raises(TypeError, match="no JSON form"):
        as_json.form(UFloat)


@given(st.text(st.characters(exclude_categories=["Cs"])))
def test_json_says_any_text_and_prints_nothing_that_acts_on_a_terminal(text):
    line = as_json.written({"name": text})
    assert line.isprintable()
    assert json.loads(line) == {"name": text}


def test_a_command_that_no_file_could_hold_is_named_in_its_refusal(run):
    ran = run("\udcff", "stick", "--json")
    assert ran.status == 2
    assert json.loads(ran.err)["command"].isprintable()
