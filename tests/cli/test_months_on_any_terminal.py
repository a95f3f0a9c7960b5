"""Commands of months on any terminal, and whatever their options say together."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest
from rich.cells import cell_len

from slurrycalc.logbook.store import open_logbook
from tests import example_record as example

ASKED = "--on 2025-10-20"
LINES = [
    f"trend {ASKED}",
    f"trend --enclosure window {ASKED} --predict 2026-12-01 --limit 5.2 --budget",
    f"exchange --enclosure atlas {ASKED}",
    f"upkeep --enclosure window {ASKED}",
    "trial --enclosure atlas",
    "salts --enclosure atlas --budget",
    "agree --enclosure stairs",
    f"due {ASKED}",
    f"kit meter desk {ASKED}",
    "enclosure atlas",
]


@pytest.fixture(scope="module")
def months(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Give the example of eighteen months as one file."""
    path = tmp_path_factory.mktemp("months") / "months.sqlite"
    with open_logbook(path) as book:
        example.build(book)
    return path.read_bytes()


@pytest.mark.parametrize("line", LINES)
def test_a_page_fits_is_plain_in_a_pipe_and_records_nothing(run, months: bytes, logbook: Path, line: str):
    logbook.write_bytes(months)
    for width, encoding in ((40, "ascii"), (80, "utf-8")):
        ran = run(*line.split(), width=width, encoding=encoding)
        assert (ran.status, ran.err) == (0, "")
        assert "\x1b" not in ran.out
        assert not any(text != text.rstrip() for text in ran.out.splitlines())
        # A command line stays whole, to be copied; a single long word has no place to break.
        breakable = [
            text for text in ran.out.splitlines() if " " in text.strip() and "  slurrycalc " not in text
        ]
        assert [text for text in breakable if cell_len(text) > width] == []
        assert width == 80 or "───" not in ran.out
    whole = json.loads(run(*line.split(), "--json").out)
    assert line.startswith(whole["command"])
    assert logbook.read_bytes() == months


PH = ("5.1", "5.1+-0.1", "6.6+-0.2", "7", "0", "14", "5.9+-1")
DAYS = ("2024-01-02=5.82", "2024-02-01=5.71+-0.1", "2024-03-03=5.69", "2024-04-02=5.58", "2025-01-01=9")
EC = ("0.4 mS/cm", "60+-20 uS/cm", "1.25 mS/cm", "0 uS/cm", "20mS/cm", "3 dS/m")
PARTS = ("1/3", "1", "0.001", "33 %", "2", "0")
BED = {
    "--size": ("60x45 cm", "0.1x0.1 mm"),
    "--bed-depth": ("10 cm", "1 mm"),
    "--volume": ("27 L", "1 mL"),
    "--buffering": ("1.4+-0.3", "0.02", "50", "1+-9"),
    "--at-once": PARTS,
    "--every": ("28 d", "3", "6 weeks", "0.01", "60", "90 years"),
    "--cup": ("metric", "240 mL"),
    "--p": ("0.5", "0.9999"),
}
# For each command what may stand on its line, and which options with which words.
WORDS: dict[str, tuple[tuple[str, ...], dict[str, tuple[str, ...]]]] = {
    "trend": (
        DAYS,
        {
            "--exchange": ("2024-02-10", "2025-01-01", "2024-01-02"),
            "--step": ("calcium=2024-03-10", "new-mix=2024-02-10"),
            "--without": ("calcium", "exchange"),
            "--limit": ("5.2", "0", "14"),
            "--predict": ("2025-06-01", "2024-01-02", "2199-12-31"),
            "--scatter": ("own", "0.1", "0.0001"),
            "--floor": ("5", "0"),
            "--target": ("5.4:6.5", "0:14"),
            "--on": ("2025-01-02", "2026-01-01"),
        },
    ),
    "exchange": (
        ("--now=5.1+-0.1", "--fresh=6.6+-0.2", "--want=5.9"),
        {"--now": PH, "--fresh": PH, "--want": PH, "--start": ("2199-12-31", "today"), **BED},
    ),
    "upkeep": (
        ("--drift=-0.08", "--fresh=6.6", "--floor=5.4"),
        {
            "--drift": ("-0.08+-0.02", "0", "2", "-1e-9", "0.05+-0.5"),
            "--fresh": PH,
            "--floor": ("5.4", "0"),
            "--ceiling": ("6.5", "14"),
            "--now": PH,
            "--salt-rise": EC,
            "--fresh-salts": EC,
            "--salt-limit": EC,
            "--salts-now": EC,
            **BED,
        },
    ),
    "trial": (
        ("0%=5.10", "0%=5.10", "25%=5.5+-1", "50%=5.5", "75%=9", "100%=6.6"),
        {"--target": PH, "--scatter": ("own", "0.1"), "--weeks": ("0", "520"), "--p": ("0.5", "0.9999")},
    ),
    "salts": (
        ("0.85mS/cm@21C", "0.85mS/cm@21C", "20mS/cm@60C", "10uS/cm@0C"),
        {
            "--blank": ("6uS/cm@21C", "0uS/cm@21C"),
            "--standard": ("1413uS/cm=1398uS/cm@23C", "84uS/cm=80uS/cm@25C"),
            "--scatter": ("own", "80uS/cm", "10mS/cm"),
            "--to": ("very low", "high", "1.1mS/cm"),
            "--fresh": EC,
            "--compensates": ("yes", "no"),
        },
    ),
    "agree": (
        ("5.60+-0.2", "5.85", "0+-3"),
        {"--method": ("1:2 water", "paste"), "--ours-method": ("paste",), "--p": ("0.5", "0.9999")},
    ),
}


def drawn(draw: random.Random, command: str) -> list[str]:
    """Draw a line: some of the words in their order, some of the options."""
    words, options = WORDS[command]
    line = [command, *(word for word in words if draw.random() < 0.8)]
    chance = draw.choice((0.05, 0.2, 0.5))
    for name, texts in options.items():
        if draw.random() < chance:
            line += [name, draw.choice(texts)]
    return line


@pytest.mark.parametrize("command", WORDS)
def test_whatever_options_say_together_ends_in_a_result_or_in_one_sentence(run, logbook: Path, command: str):
    draw = random.Random(f"months {command}")
    statuses = []
    for _ in range(150):
        line = drawn(draw, command)
        ran = run(*line)
        statuses.append(ran.status)
        assert ran.status in (0, 2), (line, ran)
        if ran.status == 2:
            assert (ran.out, ran.err.count("\n")) == ("", 1), line
        else:
            assert "nan" not in ran.out.split(), line
            assert "Do: " in ran.out, line
    assert min(statuses.count(0), statuses.count(2)) >= 10
    assert not logbook.exists()
