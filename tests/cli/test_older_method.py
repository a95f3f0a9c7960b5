"""After an upgrade: whose answer is another one without a new reading, and which method answered what."""

from __future__ import annotations

import datetime
import json

import pytest

from slurrycalc.data.method import METHOD
from slurrycalc.day.record.shown import FIRST, WAITS
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import open_logbook
from tests.roads.frozen import Frozen, NoHistory
from tests.roads.program import Act

NOW = datetime.datetime(2024, 6, 10, 12, tzinfo=datetime.UTC)
DAY = datetime.date(2024, 6, 8)
WELL = {"in_range": ["yes", 0.97], "above_floor": ["yes", 1.0]}
USUAL = {"ph": 5.9, "interval": [5.7, 6.1], "p": 0.95, "slurries": 2, "target": [5.4, 6.5], "floor": 5.0}


def plain(text):
    return " ".join(text.split())


def result(run, *words):
    ran = run(*words, "--json")
    assert ran.status == 0, ran.err
    return json.loads(ran.out)


@pytest.fixture
def older(logbook, monkeypatch):
    """Record readings as an older version did: its method stands beside each answer, and what it answered."""

    def recorded(name, readings, said, day=DAY):
        step = Step("read", When.on(day, datetime.UTC))
        with open_logbook(logbook) as book, monkeypatch.context() as then:
            then.setattr("slurrycalc.logbook.step.METHOD", "1")
            then.setattr("slurrycalc.logbook.record.METHOD", "1")
            under = step.calibration("pH")
            for label, shows in (("4.01", 4.01), ("7.00", 7.01)):
                bottle = step.thing("bottle", f"{label} of {name} {day}", {"label": label})
                step.point(under, bottle, shows, 22.0)
            uid = step.thing("enclosure", name, {})
            for shows in readings:
                step.reading(step.slurry(uid), under, shows, 22.0)
            step.shown("read", json.dumps({"enclosure": name, **USUAL, **said}))
            record(book, step, NOW, new=True)

    return recorded


def listed(run):
    out = plain(run().out)
    head = f"Answered otherwise now, without a new reading (method {METHOD}):"
    return out.partition(head)[2] if head in out else None


class TestAfterAnUpgrade:
    def test_alone_lists_the_first_task_and_the_verdict_that_are_others_now(self, run, older):
        older("atlas", (5.0, 5.05), {**WELL, FIRST: WAITS})
        older("stairs", (5.9, 5.95), {**WELL, FIRST: WAITS})
        said = listed(run)
        assert "atlas, 8 June 2024: first task was nothing before its day, is exchange a part;" in said
        assert "inside its range was yes, is no" in said
        assert "stairs, 8 June 2024" not in said
        (card,) = result(run, "show", "atlas")["result"]["cards"]
        (changed,) = card["changed"]
        assert (changed["enclosure"], changed["method"], changed["read"]) == ("atlas", "1", "2024-06-08")
        assert changed["text"] in plain(run("show", "atlas").out)
        assert result(run, "show", "stairs")["result"]["cards"][0]["changed"] == []

    @pytest.mark.parametrize(
        ("readings", "verdict", "said"),
        [
            ((5.0, 5.05), WELL, "the answer was nothing now, the first task is exchange a part"),
            (
                (5.9, 5.95),
                {"in_range": ["no", 0.01], "above_floor": ["yes", 1.0]},
                "the answer was to act, the first task is nothing before its day",
            ),
            (
                (5.0, 5.05),
                {"in_range": ["not settled", 0.2], "above_floor": ["yes", 0.99]},
                "the answer was not to act yet, the first task is exchange a part",
            ),
        ],
    )
    def test_of_a_record_that_kept_no_task_its_verdict_says_what_was_asked(
        self, run, older, readings, verdict, said
    ):
        older("atlas", readings, verdict)
        assert said in listed(run)

    def test_a_new_reading_ends_it_and_so_does_striking_the_old_one_out(self, run, older):
        older("atlas", (5.0, 5.05), {**WELL, FIRST: WAITS})
        buffers = ("--buffer", "4.01=4.01@22C", "--buffer", "7.00=7.01@22C")
        assert listed(run)
        assert run("read", "atlas", "5.0@22C", "5.06@22C", *buffers, "--on", "2024-06-09").status == 0
        assert listed(run) is None
        assert run("undo").status == 0
        assert listed(run)
        assert run("undo", "1").status == 0
        assert listed(run) is None

    @pytest.mark.parametrize(
        "words", [("enclosure", "atlas", "--target", "5.2:6.5"), ("fix", "1.3", "5.6", "--because", "slip")]
    )
    def test_what_the_keeper_changed_is_no_change_of_the_method(self, run, older, words):
        older("atlas", (5.0, 5.05), {**WELL, FIRST: WAITS})
        assert listed(run)
        ran = run(*words)
        assert ran.status == 0, ran.err
        assert listed(run) is None

    def test_an_enclosure_that_was_renamed_is_found_by_its_former_name(self, run, older):
        older("atlas", (5.0, 5.05), {**WELL, FIRST: WAITS})
        assert run("enclosure", "atlas", "--rename", "annex").status == 0
        assert "annex, 8 June 2024: first task was nothing before its day" in listed(run)

    def test_the_present_method_is_listed_nowhere(self, run):
        buffers = ("--buffer", "4.01=4.01@22C", "--buffer", "7.00=7.01@22C")
        line = ("read", "5.0@22C", "5.06@22C", "--enclosure", "atlas", *buffers, "--on", "2024-06-09")
        assert run(*line, "--new").status == 0
        assert listed(run) is None


class TestTheVersionOfTheMethod:
    def test_stands_in_every_object_and_beside_each_entry(self, run, older):
        older("atlas", (5.9, 5.95), {**WELL, FIRST: WAITS})
        whole = result(run, "history", "--all")
        assert whole["method"] == METHOD
        assert [entry["method"] for entry in whole["result"]["entries"]] == ["1"]
        assert result(run, "show", "atlas")["result"]["cards"][0]["method"] == "1"

    def test_stands_at_the_foot_of_a_page_that_tells_an_older_answer_anew(self, run, older):
        older("atlas", (5.9, 5.95), {**WELL, FIRST: WAITS})
        foot = f"every pH here is by method {METHOD}."
        assert plain(run("history").out).endswith(foot)
        then = f"Its last bench day was answered by method 1; here by method {METHOD}."
        assert then in plain(run("show", "atlas").out)
        buffers = ("--buffer", "4.01=4.01@22C", "--buffer", "7.00=7.01@22C")
        assert run("read", "atlas", "5.9@22C", *buffers, "--on", "2024-06-09").status == 0
        assert then not in plain(run("show", "atlas").out)
        assert foot not in plain(run("history", "2").out)

    def test_a_step_keeps_the_first_task_that_the_agenda_has_for_its_day(self, run, logbook):
        buffers = ("--buffer", "4.01=4.01@22C", "--buffer", "7.00=7.01@22C")
        for name, shows in (("atlas", "5.0"), ("stairs", "5.9")):
            jars = (f"{shows}@22C", f"{shows}1@22C")
            line = ("read", *jars, "--enclosure", name, *buffers, "--on", "2024-06-09", "--new")
            assert run(*line).status == 0
        with open_logbook(logbook, writes=False) as book:
            rows = book.rows("SELECT result, method FROM shown WHERE result LIKE '%slurries%' ORDER BY entry")
        assert [(json.loads(kept)[FIRST], method) for kept, method in rows] == [
            ("exchange", METHOD),
            (WAITS, METHOD),
        ]


@pytest.mark.slow
def test_a_record_of_the_product_before_it_lists_whose_answer_changed(run, tmp_path, monkeypatch):
    path = tmp_path / "before.sqlite"
    buffers = ["--buffer", "4.01=4.03@21C", "--buffer", "7.00=7.02@21C"]
    rest = [*buffers, "--on", "2024-06-08", "--new", "--logbook", str(path)]
    jars = {"atlas": ["5.27@21C", "5.45@21C"], "window": ["5.9@21C", "6.0@21C"]}
    try:
        before = Frozen()
    except NoHistory as none:
        pytest.skip(str(none))
    try:
        acts = [Act(["read", *shows, "--enclosure", name, *rest]) for name, shows in jars.items()]
        assert all(ran.status == 0 for ran in before.ask([], acts))
    finally:
        before.close()
    as_it_was = path.read_bytes()
    monkeypatch.setenv("SLURRYCALC_LOGBOOK", str(path))
    said = listed(run)
    assert "atlas, 8 June 2024: the answer was not to act yet, the first task is exchange a part." in said
    assert "window, 8 June 2024" not in said
    assert path.read_bytes() == as_it_was
