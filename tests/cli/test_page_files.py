"""``--page`` and ``--plot``: any command's answer as one HTML file, and its figure."""

from __future__ import annotations

import json
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from slurrycalc.cli.table import DRAWN, names
from tests.report.test_html import is_valid, words_of

LINE = ("trend", "2024-01-02=5.82", "2024-02-01=5.71", "2024-03-03=5.69", "--exchange", "2024-01-20")
READ = ("read", "5.58", "5.66", "--buffer", "4.01=4.06", "--buffer", "7.00=7.04")
FIGURES = (
    LINE,
    READ,
    (*READ, "--enclosure", "atlas", "--meter", "desk", "--new"),
    ("probe", "6.0", "5.9=5.41", "6.1=5.60"),
)
"""Lines whose page has a figure."""


@pytest.fixture(autouse=True)
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize(
    "words",
    [*FIGURES, ("mix",), ("buffers",), ("compare", "5.9=5.41"), ("due",), ("history",), ("kit",)],
    ids=lambda words: " ".join(words[:2]),
)
def test_a_page_says_what_is_shown_and_is_told_where_it_is(run, words) -> None:
    shown = run(*words, "--why", "--page", "answer.html", width=300)
    assert shown.err == ""
    made = Path("answer.html").read_text(encoding="utf-8")
    is_valid(made)
    words_there = words_of(made)
    assert shown.out.endswith("  The page is in answer.html.\n")
    for line in shown.out.splitlines()[:-1]:
        for part in re.split(r"\s{2,}", re.sub(r"^\s*(Do:|- |\d+\.)?\s*", "", line).strip()):
            if part and not re.search(r"[─░●┃┆═]|^\d\.\d|^\d+ \w{3} \d{4}$|--why", part):
                assert part in words_there, line


@pytest.mark.parametrize("words", FIGURES, ids=lambda words: " ".join(words[:2]))
@pytest.mark.parametrize("name", ["answer.svg", "answer.PNG"])
def test_a_figure_is_written_as_its_name_ends(run, words, name) -> None:
    ran = run(*words, "--plot", name)
    assert (ran.status, ran.err) == (0, "")
    assert f"  The figure is in {name}.\n" in ran.out
    data = Path(name).read_bytes()
    if name.endswith("svg"):
        assert ElementTree.fromstring(data).tag == "{http://www.w3.org/2000/svg}svg"
    else:
        assert data.startswith(b"\x89PNG\r\n\x1a\n")


def test_json_stays_one_object_beside_a_page_and_a_figure(run) -> None:
    plain = run(*LINE, "--json").out
    ran = run(*LINE, "--json", "--page=answer.html", "--plot=answer.svg")
    assert ran.out == plain
    assert json.loads(ran.out)["command"] == "trend"
    assert {file.name for file in Path().iterdir()} == {"answer.html", "answer.svg"}


@pytest.mark.parametrize(
    ("option", "name", "says"),
    [
        ("--page", "answer.txt", "`answer.txt` ends otherwise than .html; name it atlas.html."),
        ("--plot", "answer.pdf", "`answer.pdf` ends otherwise than .svg or .png; name it atlas.svg."),
        ("--page", "taken.html", "`taken.html` is there already, and is never written over"),
        ("--plot", "no-such-folder/answer.svg", "there is no folder `no-such-folder`"),
    ],
)
def test_a_name_that_cannot_be_is_refused_before_anything_is_recorded(
    run, logbook, option, name, says
) -> None:
    Path("taken.html").write_text("mine", encoding="utf-8")
    ran = run(*READ, "--enclosure", "atlas", "--meter", "desk", "--new", option, name)
    assert (ran.status, ran.out) == (2, "")
    assert says in ran.err
    assert not logbook.exists()
    assert Path("taken.html").read_text(encoding="utf-8") == "mine"
    assert [file.name for file in Path().iterdir()] == ["taken.html"]


def test_a_refused_line_leaves_no_file(run) -> None:
    ran = run("read", "5.58", "--page", "answer.html", "--plot", "answer.svg")
    assert ran.status == 2
    assert not list(Path().iterdir())


def test_nothing_to_draw_is_said_and_no_file_is_left(run) -> None:
    assert run("kit", "meter", "desk", "--resolution", "0.01 pH").status == 0
    ran = run("show", "desk", "--plot", "answer.svg")
    assert (ran.status, ran.err) == (0, "")
    assert "No figure was written: there is nothing to draw." in ran.out
    assert not list(Path().iterdir())


def test_the_commands_with_a_figure_are_those_that_take_plot(run) -> None:
    assert {name for name in names() if "--plot" in run(name, "--help").out} == DRAWN
    assert all("--page" in run(name, "--help").out for name in names())


def test_a_commands_of_a_page_go_to_the_logbook_that_was_named(run, tmp_path) -> None:
    run("import", str(Path(__file__).parents[2] / "examples" / "eighteen-months"), "--logbook", "own.sqlite")
    run("due", "--logbook", "own.sqlite", "--on", "2025-11-01", "--page", "due.html")
    assert "slurrycalc exchange atlas --logbook own.sqlite" in words_of(Path("due.html").read_text("utf-8"))
