"""``slurrycalc report``: the record as one page, in its order, by the numbers of every other command."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from slurrycalc.data.cautions import cautions
from slurrycalc.metrology.figures import number
from tests.cli.terminals import Terminal
from tests.report.test_html import HOSTILE, is_valid, seen, words_of

EXAMPLE = str(Path(__file__).parents[2] / "examples" / "eighteen-months")
ON = ("--on", "2025-11-01")
PARTS = (
    "What to do now",
    "Where they stand",
    "The months",
    "Done and due",
    "The probe against slurries",
    "For the vet",
    "For a class",
    "What it rests on",
)


@pytest.fixture
def record(run, begin, tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return begin(lambda: run("import", EXAMPLE))


def page(run, *words: str) -> str:
    ran = run("report", *ON, "--out", "record.html", *words)
    assert (ran.status, ran.err) == (0, "")
    return Path("record.html").read_text(encoding="utf-8")


def told(run, *words: str):
    return json.loads(run(*words, *ON, "--json").out)["result"]


def test_its_parts_stand_in_their_order_and_are_reached_from_its_head(run, record) -> None:
    made = page(run)
    is_valid(made)
    places = [made.index(f'<h2 id="head-{i}">{part}</h2>') for i, part in enumerate(PARTS, 1)]
    assert places == sorted(places)
    assert [f'<a href="#part-{i}">{part}</a>' in made for i, part in enumerate(PARTS, 1)] == [True] * 8
    assert made.index("1 of your 3 enclosures needs you") < places[0]
    assert len(made) < 2_000_000
    assert not seen(made).asks


def test_it_says_the_first_tasks_of_due_in_its_words(run, record) -> None:
    words = words_of(page(run))
    due = told(run, "due")
    now = [duty for duty in due["duties"] if duty["due"]["days"] <= 0]
    assert len(now) > 1
    for duty in now:
        assert (
            f"{duty['due']['what']}, {duty['due']['when']}: {duty['due']['why']}. {duty['command']}" in words
        )
    for duty in due["duties"]:
        assert duty["due"]["what"] in words


def test_its_numbers_are_those_of_show_and_trend(run, record) -> None:
    made = page(run)
    words = words_of(made)
    for name in ("atlas", "stairs", "window"):
        (card,) = told(run, "show", name)["cards"]
        (bed,) = card["standing"]["enclosures"]
        ph = bed["slurry"]["ph"]
        half = (ph["interval"][1] - ph["interval"][0]) / 2
        assert f"{name} {number(ph['value'], half)} ± {number(half, half)}" in words
        drift = told(run, "trend", name)["drifts"][0]
        rate = drift["outlook"]["per_month"]
        assert f"{rate['value']:+.3f} pH a month" in words
        for one in drift["course"]:
            level = one["level"]
            cells = [
                number(value, (level["interval"][1] - level["interval"][0]) / 2)
                for value in (level["value"], *level["interval"])
            ]
            row = "".join(f'<td class="right">{cell}</td>' for cell in cells)
            assert re.search(f'<tr><th scope=row class="short">{one["on"]}</th>.*{re.escape(row)}', made)
        for one in drift["exchanges"]:
            assert one["text"] in words


def test_the_probe_is_told_as_compare_tells_it(run, record) -> None:
    words = words_of(page(run))
    probe = told(run, "compare", "--probe", "stick", "--try")
    offset = probe["comparison"]["offset"]
    half = (offset["interval"][1] - offset["interval"][0]) / 2
    assert f"Probe minus slurry {offset['value']:+.{len(number(half, half)) - 2}f} pH" in words
    assert all(text in words for text in probe["worth"]["text"])


def test_cautions_stand_before_hands_move_each_once(run, record) -> None:
    words = words_of(page(run))
    for caution in {*cautions("sheet"), *cautions("exchange"), *cautions("report")}:
        assert words.count(caution) == 1


def test_the_sheet_for_a_vet_gives_no_verdict_and_has_room_to_write(run, record) -> None:
    made = page(run)
    vet = made[made.index('<section id="part-6" class="alone"') : made.index('<section id="part-7"')]
    assert vet.count('<div class="write">') == 3
    assert "They say nothing about an animal's health".replace("'", "&#39;") in vet
    for word in ("healthy", "sick", "stress", "safe"):
        assert word not in vet
    assert "2025-09-20" in vet
    assert "0.90 mS/cm, 2025-10-18" in vet


def test_what_was_struck_out_stays_visible(run, record) -> None:
    words = words_of(page(run))
    assert "struck out by 39: the steady jar alarmed" in words


def test_one_enclosure_has_a_page_of_its_own(run, record) -> None:
    made = page(run, "--enclosure", "stairs")
    words = words_of(made)
    assert "Soil pH of stairs" in words
    for other in ("atlas", "window"):
        assert f"<h3>{other}</h3>" not in made


def test_as_on_another_day_nothing_later_is_known(run, record) -> None:
    ran = run("report", "--on", "2024-08-01", "--out", "then.html")
    assert ran.status == 0
    made = Path("then.html").read_text(encoding="utf-8")
    assert "2024-07-27" in made
    assert not re.search(r"<th scope=row[^>]*>2025-", made[: made.index("Done and due")])


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("report",), "slurrycalc report lacks --out; a right line: slurrycalc report --out record.html"),
        (("report", "--out", "x.pdf"), "`x.pdf` ends otherwise than .html"),
        (("report", "--out", "mine.html"), "`mine.html` is there already, and is never written over"),
        (("report", "--out", "new.html", "--enclosure", "atlsa"), "`atlas`"),
        (("report", "--out", "new.html", "--enclosure", "shelf jar"), "no bed"),
        (("report", "--out", "new.html", "--on", "2020-01-01"), "no bench day is on record"),
    ],
)
def test_a_line_that_cannot_be_is_refused_and_leaves_no_file(run, record, words, says) -> None:
    Path("mine.html").write_text("mine", encoding="utf-8")
    ran = run(*words)
    assert (ran.status, ran.out) == (2, "")
    assert says in ran.err
    assert not Path("new.html").exists()
    assert Path("mine.html").read_text(encoding="utf-8") == "mine"


def test_an_empty_record_is_refused_with_the_way_to_begin(run, tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    ran = run("report", "--out", "record.html")
    assert ran.status == 2
    assert "slurrycalc bench" in ran.err
    assert not Path("record.html").exists()


@pytest.mark.parametrize("name", [text for text in HOSTILE if text.isprintable() and len(text) <= 40])
def test_a_hostile_name_shows_as_text_in_the_whole_page(run, tmp_path, monkeypatch, name) -> None:
    monkeypatch.chdir(tmp_path)
    for day, shows in (("2024-05-04", "5.58"), ("2024-06-04", "5.40"), ("2024-07-04", "5.22")):
        words = (
            "--buffer",
            "4.01=4.06",
            "--buffer",
            "7.00=7.04",
            "--enclosure",
            name,
            "--meter",
            name,
            "--new",
        )
        ran = run("read", shows, "5.5", *words, "--on", day)
        assert ran.status == 0, ran.err
    run("event", name, "calcium", "--on", "2024-06-10")
    assert run("report", "--on", "2024-07-10", "--out", "record.html").status == 0
    made = Path("record.html").read_text(encoding="utf-8")
    is_valid(made)
    assert not seen(made).asks
    assert "script" not in seen(made).tags
    assert " ".join(name.split()) in words_of(made)


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="a pseudo-terminal is no part of Windows")
def test_a_terminal_and_a_pipe_get_the_same_page_and_a_pipe_no_bar(run, record, logbook) -> None:
    environment = {**os.environ, "SLURRYCALC_LOGBOOK": str(logbook), "TERM": "xterm-256color"}
    terminal = Terminal(("report", *ON, "--out", "seen.html"), environment)
    try:
        terminal.until(r"1 of your 3 enclosures needs you")
        assert terminal.end() == 0
    finally:
        terminal.shut()
    command = [sys.executable, "-m", "slurrycalc", "report", *ON, "--out", "piped.html"]
    ran = subprocess.run(command, capture_output=True, text=True, env=environment, check=False)
    assert (ran.returncode, ran.stderr) == (0, "")
    assert Path("seen.html").read_bytes() == Path("piped.html").read_bytes()
