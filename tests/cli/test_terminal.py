"""Any terminal: narrow, without UTF-8, a pipe, no colour, closed or full outputs, names that do harm."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from slurrycalc.metrology.figures import number, plus_minus, signed
from slurrycalc.metrology.quote import clean
from slurrycalc.metrology.remark import Remark
from slurrycalc.report.page import Command, Do, Heading, Headline, Say, noted, points, steps, table
from slurrycalc.report.spelling import spelled
from slurrycalc.report.terminal import draw

EXAMPLES = Path(__file__).parents[2] / "examples"
A, B = "4.01=178.2mV@22C", "7.00=1.8mV@22C"
READ = ("read", "84.3mV@21C", "85.1mV@21C", "--buffer", A, "--buffer", B)
LINES = [
    (),
    ("--help",),
    ("mix", "--slurries", "2", "--bulk-density", "coir", "--bed", "5 L"),
    ("ratio", "1/2", "cup", "1", "cup"),
    ("buffers", "70", "F"),
    ("calibrate", A, B, "10.01=-174mV@22C", "--budget"),
    (*READ, "--budget"),
    ("compare", "5.9=5.41", "6.1=5.70+-0.2", "6.4=5.95"),
    ("probe", "6.0", "5.9=5.41"),
    ("probe", "6.0"),
    ("spots", "--spread", "0.2", "--margin", "0.1"),
    ("verify",),
    ("verify", "--every"),
    ("demo",),
    ("run", str(EXAMPLES / "reading-room.toml"), "--try", "--budget"),
    ("run", str(EXAMPLES / "forty-jars.csv"), "--buffer", "7.00=7.04@21C", "--buffer", "4.01=4.06@21C"),
    ("salts", "1.9mS/cm@21C", "2.1mS/cm@21C", "--to", "normal", "--fresh", "0.4mS/cm", "--budget"),
    ("agree", "5.60+-0.20", "5.95"),
]


@pytest.mark.parametrize("width", [40, 60, 80, 120])
@pytest.mark.parametrize("line", LINES, ids=" ".join)
def test_no_line_is_wider_than_the_terminal(run, line, width):
    ran = run(*line, width=width)
    assert ran.status == 0
    assert ran.err == ""
    # A command line stays whole, to be copied; a single long word has no place to break.
    breakable = [text for text in ran.out.splitlines() if " " in text.strip() and "  slurrycalc " not in text]
    assert [text for text in breakable if cell_len(text) > width] == []
    assert not any(text != text.rstrip() for text in ran.out.splitlines())


@pytest.mark.parametrize("encoding", ["ascii", "cp437", "latin-1", "cp1252"])
@pytest.mark.parametrize("line", LINES, ids=" ".join)
def test_without_utf8_plain_spellings_stand_in(run, line, encoding):
    why = () if line in ((), ("--help",)) else ("--why",)
    ran = run(*line, *why, encoding=encoding)
    assert ran.status == 0
    assert ran.err == ""
    if encoding == "ascii":
        assert "\\u" not in ran.out
        assert "+-" in ran.out or line[:1] not in (("read",), ("calibrate",))


@pytest.mark.parametrize("line", LINES, ids=" ".join)
def test_at_forty_columns_there_is_no_table(run, line):
    assert not re.search(r"^ *─+$", run(*line, width=40).out, re.MULTILINE)


def test_tables_become_the_same_words_in_blocks(run):
    wide_words = set(run(*LINES[5], "--why", width=120).out.split())
    narrow_words = {word.rstrip(":") for word in run(*LINES[5], "--why", width=40).out.split()}
    assert {"178.2", "4.01", "22.0"} <= wide_words & narrow_words


def test_nothing_is_bold_in_a_pipe_and_nothing_is_coloured(run):
    assert "\x1b" not in run(*READ).out


@pytest.mark.parametrize(
    ("no_color", "term", "bold"),
    [("", "xterm", True), ("1", "xterm", False), ("", "dumb", False), ("", "unknown", False)],
)
def test_no_color_or_a_dumb_terminal_means_no_escape_sequence(monkeypatch, no_color, term, bold):
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    for name in ("FORCE_COLOR", "TTY_COMPATIBLE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("NO_COLOR", no_color)
    monkeypatch.setenv("TERM", term)
    monkeypatch.setenv("WT_SESSION", "1")
    rows = table(("case", "pH"), [("atlas", "5.6")])
    text = draw([Heading("pH"), Headline("pH", 5.6, (5.4, 5.8)), Do("nothing"), rows], 80, "utf-8")
    assert ("\x1b[1m" in text) is bold
    assert bold or "\x1b" not in text


@pytest.mark.parametrize(("no_color", "coloured"), [("", True), ("1", False)])
def test_a_rows_state_is_coloured_where_it_may_be_and_its_words_stay(monkeypatch, no_color, coloured):
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    for name in ("FORCE_COLOR", "TTY_COMPATIBLE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("NO_COLOR", no_color)
    monkeypatch.setenv("TERM", "xterm")
    for width in (40, 80):
        rows = [("exchange a part", "atlas"), ("read", "stairs")]
        text = draw([table(("do", "case"), rows, states=("act", "well"))], width, "utf-8")
        assert ("\x1b[1;31m" in text) is coloured
        assert ("\x1b[1;32m" in text) is coloured
        assert "exchange a part" in text


def test_a_command_stands_beside_its_task_where_there_is_room():
    task = Do("exchange a part.", "slurrycalc exchange atlas")
    assert draw([task], 80, "utf-8", bold=False) == "  Do: exchange a part.   slurrycalc exchange atlas\n"
    narrow = draw([task], 40, "utf-8", bold=False, logbook="tour.sqlite").splitlines()
    assert narrow == ["  Do: exchange a part.", "  slurrycalc exchange atlas --logbook tour.sqlite"]


def test_what_is_typed_is_shown_and_never_obeyed():
    name = "[bold]atlas[/bold] <b>x</b> \x1b[2J\r\u202e\x07 :smile:"
    page = [
        Heading(name),
        Say(name),
        table(("case", "pH"), [(name, "5.6")]),
        noted([Remark("name", name)]),
        steps([name]),
        Do(name),
        Command(name),
        Headline(name, 5.6, (5.4, 5.8)),
    ]
    text = draw(page, 80, "utf-8", bold=False)
    assert text.count("[bold]atlas[/bold]") == 8
    assert text.count("<b>x</b>") == 8
    assert ":smile:" in text
    assert text.replace("\n", "").isprintable()
    assert "\\x1b[2J" in text


@given(st.text(), st.sampled_from(["ascii", "cp437", "latin-1", "utf-8"]), st.integers(20, 130))
def test_a_page_can_always_be_written_and_does_nothing(text, encoding, width):
    page = [Say(text), table(("a", text), [(text, text), ("x", "y")])]
    written = draw(page, width, encoding, bold=False).encode(encoding).decode(encoding)
    assert written.replace("\n", "").isprintable()


@given(st.text(), st.integers(20, 130))
def test_no_character_is_lost_or_cut_at_any_width(text, width):
    page = [Say(text), points([text]), steps([text]), Do(text), table(("a", text), [(text, text)])]
    shown = Counter("".join(draw(page, width, "utf-8", bold=False).split()))
    assert Counter("".join(clean(text).split()) * 6) <= shown


def test_a_word_is_broken_only_where_it_is_longer_than_the_line():
    page = [Say(f"plus-minus {'x' * 50} and 4.01=178.2mV@22C or 84.3mV@21C and plus-minus")]
    text = draw(page, 40, "utf-8", bold=False)
    assert max(map(len, text.splitlines())) == 40
    assert {"plus-minus", "4.01=178.2mV@22C", "84.3mV@21C"} <= set(text.split())


@pytest.mark.parametrize("width", [20, 40, 80])
def test_a_command_line_stays_whole_to_be_copied(width):
    line = "slurrycalc read 84.3mV@21C --buffer 4.01=178.2mV@22C --buffer 7.00=1.8mV@22C [b] :smile: 'a  b'"
    assert draw([Command(line)], width, "utf-8", bold=False) == f"  {line}\n"


@given(st.text())
def test_a_clean_text_is_one_printable_line(text):
    assert clean(text).isprintable()
    assert clean(clean(text)) == clean(text)


@given(st.text())
def test_spelling_for_ascii_is_ascii(text):
    assert spelled(text, "ascii").isascii()


def test_spellings_that_a_keeper_meets():
    assert spelled("½ cup, ±5 %, −84 mV, 21 °C, 3 µS", "ascii") == "1/2 cup, +-5 %, -84 mV, 21 deg C, 3 uS"


def test_wide_names_keep_columns_in_line():
    page = [table(("case", "pH", ""), [("地图", "5.60", "a"), ("atlas", "5.41", "b")])]
    lines = draw(page, 80, "utf-8", bold=False).splitlines()[2:]
    assert {cell_len(line[: line.index("5.")]) for line in lines} == {2 + len("atlas") + 3}


@given(st.floats(-100, 100), st.floats(1e-4, 50))
def test_a_number_is_shown_to_the_place_of_its_half_widths_second_figure(value, half):
    shown, width = plus_minus(value, half).split(" ± ")
    assert len(shown.partition(".")[2]) == len(width.partition(".")[2])
    assert abs(float(width) - half) <= 0.051 * half or float(width) >= 10
    assert abs(float(shown) - value) <= 0.5 * 10.0 ** -len(shown.partition(".")[2]) * (1 + 1e-9)
    assert signed(value, half)[0] in "+-"
    assert not (number(value, half).startswith("-") and float(number(value, half)) == 0)


def program(*words, env=None, **options):
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1", **(env or {})}
    command = [sys.executable, "-m", "slurrycalc", *words]
    return subprocess.run(command, check=False, env=environment, **options)


@pytest.mark.slow
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_full_disk_is_a_sentence():
    with Path("/dev/full").open("wb") as full:
        ran = program("ratio", "1/2", "cup", "1", "cup", stdout=full, stderr=subprocess.PIPE)
    assert ran.returncode == 2
    assert ran.stderr.decode().startswith("The result could not be written")
    assert ran.stderr.count(b"\n") == 1


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="closes descriptors as a shell does")
@pytest.mark.parametrize("words", [("--help",), ("ratio", "1 cup", "2 cups"), ("ratio",)])
def test_closed_outputs_end_quietly(words):
    line = " ".join(f"'{word}'" for word in words)
    ran = subprocess.run(
        f"'{sys.executable}' -m slurrycalc {line} >&- 2>&-", shell=True, check=False, capture_output=True
    )
    assert ran.returncode == 2
    assert ran.stdout == ran.stderr == b""


@pytest.mark.slow
@pytest.mark.parametrize("words", [("--help",), ("verify", "--every")])
def test_a_reader_that_goes_away_is_no_error(words):
    reading, writing = os.pipe()
    os.close(reading)
    ran = program(*words, stdout=writing, stderr=subprocess.PIPE)
    os.close(writing)
    assert ran.returncode == 0
    assert ran.stderr == b""


@pytest.mark.slow
def test_a_plain_c_locale_is_enough():
    env = {"LC_ALL": "C", "LANG": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONIOENCODING": ""}
    ran = program(*READ, "--budget", "--why", env=env, capture_output=True)
    assert ran.returncode == 0
    assert ran.stderr == b""
    assert ran.stdout.isascii()
    assert b"+-" in ran.stdout


@pytest.mark.slow
def test_a_home_that_cannot_be_written_to_is_enough(tmp_path):
    home = tmp_path / "home"
    home.mkdir(mode=0o500)
    ran = program(*READ, env={"HOME": str(home), "XDG_CACHE_HOME": str(home / "none")}, capture_output=True)
    assert ran.returncode == 0
    assert ran.stderr == b""
    assert list(home.iterdir()) == []
