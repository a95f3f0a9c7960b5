"""What to mind stands in full on the page of each command, and of each kind of event what belongs to it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from slurrycalc.data.cautions import BENCH_STEPS
from slurrycalc.data.events import EVENTS
from tests.data.test_cautions import (
    ANIMALS_OUT,
    CHEMICALS,
    DUST,
    SICK_SUBSTRATE,
    TYPED,
    UNWELL,
    WITHOUT,
)
from tests.day.test_guided import RIGHT, SETUP, Table

EXAMPLES = Path(__file__).parents[2] / "examples"
METER = ("--buffer", "4.01=178.2mV@22C", "--buffer", "7.00=1.8mV@22C")
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
}
"""A line for each command that ends without being asked anything: only `bench` does not. Those of `report`
stand on the page that it writes, which `test_report.py` reads."""


def plain(text: str) -> str:
    """Put what was broken at the ends of lines together again."""
    return " ".join(text.split())


def of(step: str) -> list[str]:
    """Give what was typed for a step."""
    return [text for text, steps in TYPED.items() if step in steps]


def test_there_is_a_line_for_each_command_with_cautions() -> None:
    commands = {step for steps in TYPED.values() for step in steps if not step.startswith("event ")}
    assert commands - set(BENCH_STEPS) == set(LINES) | {"bench", "report"}
    assert not WITHOUT & set(LINES)


@pytest.mark.parametrize("command", LINES)
@pytest.mark.parametrize("width", [40, 80])
def test_a_page_shows_each_of_its_cautions_in_full_and_no_other(run, tmp_path, command, width) -> None:
    words = [str(tmp_path / word) if word == "day.toml" else word for word in LINES[command]]
    ran = run(*words, width=width)
    assert ran.status == 0, ran.err
    shown = plain(ran.out)
    assert [text for text in TYPED if text in shown] == of(command)


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
    told = json.loads(run("event", "atlas", kind, "--json").out)
    assert told["cautions"] == OF_EVENTS.get(kind, [])


def test_of_an_illness_the_veterinarian_is_the_first_line(run) -> None:
    run("enclosure", "atlas", "--new")
    out = run("event", "atlas", "illness", "--note", "eats little").out
    assert out.splitlines()[0].startswith("  - If an animal seems unwell, see a licensed veterinarian")
    assert plain(out).startswith(f"- {UNWELL}")
    assert out.count("veterinarian") == 1
    assert out.index("veterinarian") < out.index("illness: eats little") < out.index("Old substrate")
