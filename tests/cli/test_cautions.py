"""What to mind: in full once before the hands move, one line elsewhere; of each event what belongs to it."""

from __future__ import annotations

import html
import json
from pathlib import Path

import pytest

from slurrycalc.data.cautions import BENCH_STEPS
from slurrycalc.data.events import EVENTS
from tests.data.test_cautions import (
    ANIMALS_OUT,
    CHEMICALS,
    DUST,
    IN_FULL,
    ONE_LINE,
    SICK_SUBSTRATE,
    TYPED,
    UNWELL,
    WITHOUT,
)
from tests.day.test_guided import RIGHT, SETUP, Table

EXAMPLES = Path(__file__).parents[2] / "examples"
METER = ("--buffer", "4.01=178.2mV@22C", "--buffer", "7.00=1.8mV@22C")
READ = ("read", "atlas", "5.58@21C", "5.66@21C", "--buffer", "4.01=4.06@21C", "--buffer", "7.00=7.04@21C")
LINES: dict[str, tuple[str, ...]] = {
    "mix": ("mix",),
    "ratio": ("ratio", "1 cup", "2 cups"),
    "spots": ("spots", "--spread", "0.2", "--margin", "0.1"),
    "sheet": ("sheet", "day.toml"),
    "buffers": ("buffers",),
    "calibrate": ("calibrate", "4.01=178.2mV@22C", "7.00=1.8mV@22C"),
    "read": ("read", "84.3mV@21C", "85.1mV@21C", *METER),
    "compare": ("compare", "6.5=5.9", "6.6=6.1"),
    "probe": ("probe", "6.0", "--pairs", str(EXAMPLES / "pairs.csv")),
    "run": ("run", str(EXAMPLES / "reading-room.toml"), "--try"),
    "demo": ("demo",),
    "exchange": ("exchange", "--now", "5.1+-0.1", "--fresh", "6.6+-0.1", "--want", "5.9"),
    "upkeep": ("upkeep", "--drift", "-0.08+-0.02", "--fresh", "6.6+-0.1", "--floor", "5.4"),
    "trial": ("trial", "0%=5.10", "20%=5.43", "40%=5.66", "--target", "5.4"),
    "salts": ("salts", "0.85mS/cm@21C", "--standard", "1413uS/cm=1390uS/cm@23C"),
    "trend": ("trend", "2024-01-02=5.82", "2024-02-01=5.71+-0.1", "2024-03-03=5.69", "--on", "2024-04-03"),
    "agree": ("agree", "5.60+-0.20", "5.95"),
    "due": ("due",),
    "show": ("show", "atlas"),
}
"""A line for each command that ends without being asked anything: only `bench` does not. Those of `report`
stand on the page that it writes, which `test_report.py` reads."""


@pytest.fixture
def on_record(run) -> None:
    """A record of one enclosure."""
    assert run("enclosure", "atlas", "--new").status == 0
    assert run(*READ).status == 0


def plain(text: str) -> str:
    """Put what was broken at the ends of lines together again."""
    return " ".join(text.split())


def of(step: str) -> list[str]:
    """Give what was typed for a step."""
    return [text for text, steps in TYPED.items() if step in steps]


def lines_of(command: str) -> list[str]:
    """Give the one line that was typed for a command."""
    return [text for text, steps in ONE_LINE.items() if command in steps]


def test_there_is_a_line_for_each_command_with_cautions() -> None:
    commands = {step for steps in TYPED.values() for step in steps if not step.startswith("event ")}
    asked = {step for steps in ONE_LINE.values() for step in steps} - {"alone", "event", "bench"}
    assert (commands | asked) - set(BENCH_STEPS) - {"bench", "report"} == set(LINES)
    assert not WITHOUT & set(LINES)


@pytest.mark.parametrize("command", LINES)
@pytest.mark.parametrize("width", [40, 80])
def test_a_page_shows_all_to_mind_or_the_one_line_and_nothing_else(
    run, on_record, tmp_path, command, width
) -> None:
    words = [str(tmp_path / word) if word == "day.toml" else word for word in LINES[command]]
    ran = run(*words, width=width)
    assert ran.status == 0, ran.err
    shown = plain(ran.out)
    assert [text for text in TYPED if text in shown] == (of(command) if command in IN_FULL else [])
    assert [text for text in ONE_LINE if text in shown] == ([] if command in IN_FULL else lines_of(command))
    assert all(shown.count(text) == 1 for text in lines_of(command) if command not in IN_FULL)


@pytest.mark.parametrize("command", sorted(IN_FULL - {"report"}))
def test_where_hands_move_all_is_said_before_they_do(run, on_record, tmp_path, command) -> None:
    words = [str(tmp_path / word) if word == "day.toml" else word for word in LINES[command]]
    out = plain(run(*(() if command == "sheet" else words), *(("sheet",) if command == "sheet" else ())).out)
    first = {"mix": " 1. ", "exchange": "How 1. ", "sheet": "A. Probe first", "trial": None}[command]
    assert first is None or max(out.index(text) for text in of(command)) < out.index(first)


def test_slurrycalc_alone_has_its_line_with_a_record(run, on_record) -> None:
    assert [text for text in ONE_LINE if text in plain(run().out)] == lines_of("alone")


@pytest.mark.parametrize("line", ["kit", "enclosure", "history", "undo", "verify"])
def test_what_only_keeps_the_record_shows_none(run, on_record, line) -> None:
    shown = plain(run(line).out)
    assert not [text for text in (*TYPED, *ONE_LINE) if text in shown]


@pytest.mark.parametrize("command", ["read", "run", "upkeep", "salts"])
def test_the_json_has_all_of_them_and_a_page_what_the_terminal_says(run, tmp_path, command) -> None:
    assert json.loads(run(*LINES[command], "--json").out)["cautions"] == of(command)
    page = tmp_path / "page.html"
    assert run(*LINES[command], "--page", str(page)).status == 0
    shown = plain(html.unescape(page.read_text(encoding="utf-8")))
    said = plain(run(*LINES[command]).out)
    for texts in (TYPED, ONE_LINE):
        assert [text for text in texts if text in shown] == [text for text in texts if text in said]


def test_what_a_rinse_or_an_exchange_for_salts_needs_is_said_in_full(run) -> None:
    line = ("salts", "1.9mS/cm@21C", "2.1mS/cm@21C", "--to", "normal", "--fresh", "0.4mS/cm")
    shown = plain(run(*line).out)
    assert all(text in shown for text in of("exchange"))


def test_a_guided_day_says_at_each_step_what_to_mind() -> None:
    table, said = Table(), []
    while table.end is None:
        said += [one.text for one in table.ask.says if one.tone == "mind"]
        table.type("y" if table.ask.key == "sure" else (SETUP | RIGHT)[table.ask.key])
    assert said == [text for step in BENCH_STEPS for text in of(step)]


OF_EVENTS = {
    "exchange": [ANIMALS_OUT],
    "new-mix": [ANIMALS_OUT],
    "calcium": [CHEMICALS],
    "charcoal": [DUST],
    "illness": [UNWELL, SICK_SUBSTRATE],
}


@pytest.mark.parametrize("kind", EVENTS)
def test_an_event_shows_what_belongs_to_its_kind_and_nothing_else(run, kind) -> None:
    run("enclosure", "atlas", "--new")
    shown = plain(run("event", "atlas", kind).out)
    assert [text for text in TYPED if text in shown] == OF_EVENTS.get(kind, [])
    assert ("Mind" in shown) == (kind in OF_EVENTS)
    # A kind that asks for nothing of its own has the one line.
    assert [text for text in ONE_LINE if text in shown] == ([] if kind in OF_EVENTS else lines_of("event"))
    told = json.loads(run("event", "atlas", kind, "--json").out)
    assert told["cautions"] == OF_EVENTS.get(kind, [])


def test_of_an_illness_the_veterinarian_is_the_first_line(run) -> None:
    run("enclosure", "atlas", "--new")
    out = run("event", "atlas", "illness", "--note", "eats little").out
    assert out.splitlines()[0].startswith("  - If an animal seems unwell, see a licensed veterinarian")
    assert plain(out).startswith(f"- {UNWELL}")
    assert out.count("veterinarian") == 1
    assert out.index("veterinarian") < out.index("illness: eats little") < out.index("Old substrate")
