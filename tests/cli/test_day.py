"""A bench day through the real program: run, sheet, demo."""

from __future__ import annotations

import json
import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from slurrycalc.data.shipped import shipped

EXAMPLE = shipped("examples", "reading-room.toml").read_bytes()
FORTY = shipped("examples", "forty-jars.csv").read_bytes()
BUFFERS = ("--buffer", "7.00=7.04@21C", "--buffer", "4.01=4.06@21C")


@pytest.fixture
def here(tmp_path, monkeypatch):
    """An own folder with the examples in it."""
    (tmp_path / "day.toml").write_bytes(EXAMPLE)
    (tmp_path / "forty.csv").write_bytes(FORTY)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def listing(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_worksheet_prints_the_whole_day_in_its_order(run, here):
    ran = run("run", "day.toml", "--try", "--why")
    assert (ran.status, ran.err) == (0, "")
    found = [
        ran.out.index(text)
        for text in (
            "Bench day, 4 May 2024",
            "Meter desk: good.",
            "exchange a part   window",
            "Do: exchange a part of window",
            "Probe stick shows 0.58 more",
            "Where it shows 6.0",
            "Good, by common practice",
            "window, jars A1 and A2",
            "pH 5.12",
            "stairs, jars B1 and B2",
            "atlas, jars C1 and C2",
            "Hands washed?",
            "Tried only; nothing is saved.",
        )
    ]
    assert found == sorted(found)
    short = run("run", "day.toml", "--try").out
    assert "jars A1" not in short
    assert "Behind it: --why." in short
    assert ran.out.count("Rests on 2 slurries") == 3


def test_a_table_without_a_name_says_honestly_that_nothing_is_saved(run, here, logbook):
    before = listing(here)
    ran = run("run", "forty.csv", *BUFFERS)
    assert ran.out.splitlines()[-1].strip() == "Not saved; add --meter NAME"
    assert listing(here) == before
    assert not logbook.exists()


def test_a_table_prints_one_line_an_enclosure_worst_first(run, here):
    ran = run("run", "forty.csv", *BUFFERS)
    assert (ran.status, ran.err) == (0, "")
    assert "38 jars read, 2 left out:" in ran.out
    assert "row 17: jar A9 twice" in ran.out
    assert "row 31: `54.1` is no pH" in ran.out
    lines = ran.out.splitlines()
    head = next(i for i, line in enumerate(lines) if line.split()[:3] == ["do", "enclosure", "pH"])
    assert head <= 5
    names = [re.split(r"\s{3,}", line.strip())[1] for line in lines[head + 2 : head + 22]]
    assert names[:3] == ["map-chest", "window", "archive"]
    assert len(set(names)) == 20


def test_a_worksheet_of_many_enclosures_makes_a_table_too(run, here):
    blocks = "".join(
        f'[[enclosure]]\nname = "case {n}"\n[[jar]]\nlabel = "J{n}"\nenclosure = "case {n}"\nshows = 5.{n}\n'
        for n in range(8)
    )
    head = EXAMPLE.partition(b"[[enclosure]]")[0].decode()
    (here / "many.toml").write_text(head + blocks, encoding="utf-8")
    ran = run("run", "many.toml")
    assert (ran.status, ran.err) == (0, "")
    names = re.findall(r"^  \w.*   (case \d) ", ran.out, re.MULTILINE)
    assert names[:3] == ["case 0", "case 1", "case 2"]


def test_what_was_said_once_of_the_probe_is_not_said_again(run, here):
    text = Path("day.toml").read_text(encoding="utf-8")
    dead = re.sub(r"^probe = [0-9.]+", "probe = 6.0", text, flags=re.MULTILINE)
    Path("dead.toml").write_text(dead, encoding="utf-8")
    page = " ".join(run("run", "dead.toml", "--why").out.split())
    assert page.count("This probe does not follow your slurries. Decide by slurries.") == 1
    assert "The probe adds nothing." in page


@pytest.mark.parametrize(
    "words", [("day.toml", "--budget"), ("day.toml", "--try"), ("forty.csv", *BUFFERS, "--budget")]
)
def test_json_keeps_to_its_schema_and_holds_what_the_page_says(run, here, words):
    ran = run("run", *words, "--json")
    assert (ran.status, ran.err) == (0, "")
    whole = json.loads(ran.out)
    schema = json.loads(run("run", "--schema").out)
    Draft202012Validator.check_schema(schema)
    Draft202012Validator(schema).validate(whole)
    result = whole["result"]
    assert (result["saved"] is not None) == (words == ("day.toml", "--budget"))
    assert (result["budgets"] is not None) == ("--budget" in words)
    worst = result["day"]["enclosures"][0]
    ph = worst["slurry"]["ph"]
    assert ph["interval"][0] < ph["value"] < ph["interval"][1]
    assert worst["judgement"]["in_range"]["state"] == "no"
    for advice in worst["judgement"]["advice"]:
        assert {"action", "n", "expected_half_width", "p_settles"} <= set(advice)
    shown = result["day"]["jars"][0]["shows"]
    assert set(shown) == {"value", "unit"}
    assert shown["unit"] == "pH"
    assert whole["cautions"]
    kinds = [warning["kind"] for warning in whole["warnings"]]
    assert kinds.count("held-back") == (2 if words[0] == "forty.csv" else 0)


def test_the_objects_of_sheet_and_demo_keep_to_their_schemas(run, here):
    for words in (("sheet", "new.toml"), ("demo",)):
        schema = json.loads(run(words[0], "--schema").out)
        Draft202012Validator.check_schema(schema)
        ran = run(*words, "--json")
        assert (ran.status, ran.err) == (0, "")
        Draft202012Validator(schema).validate(json.loads(ran.out))


def test_strict_fails_where_something_needs_action(run, here):
    assert run("run", "day.toml", "--strict", "--try").status == 1
    fine = re.sub(rb'(?s)\[\[jar\]\]\nlabel = "[AB].*?(?=\[\[jar\]\]\nlabel = "C1")', b"", EXAMPLE)
    (here / "fine.toml").write_bytes(fine)
    assert run("run", "fine.toml", "--strict", "--try").status == 0


@pytest.mark.parametrize("width", [40, 80, 200])
def test_every_line_fits_the_width(run, here, width):
    sheet = ("sheet", f"w{width}.toml")
    for words in (("run", "day.toml", "--budget"), ("run", "forty.csv", *BUFFERS), sheet):
        for line in run(*words, width=width).out.splitlines():
            # A command to copy stays whole.
            assert len(line) <= width or line.startswith("  slurrycalc "), line


@pytest.mark.parametrize("words", [("run", "day.toml", "--try"), ("run", "forty.csv", *BUFFERS), ("demo",)])
def test_a_terminal_without_utf8_shows_all_of_it(run, here, words):
    ran = run(*words, encoding="ascii")
    assert ran.status == 0
    assert "+-" in ran.out or words == ("demo",)


def test_names_that_could_act_on_a_terminal_or_a_page_are_shown_as_text(run, here):
    name = "map [bold] <b>&amp;'"
    text = f'jar,enclosure,reading,note\nA1,"{name}",5.41,"[red]x[/red] \x1b[31m"\n'
    (here / "names.csv").write_text(text, encoding="utf-8")
    ran = run("run", "names.csv", *BUFFERS)
    assert ran.status == 0
    assert name in ran.out
    assert "[red]x[/red] \\x1b[31m" in ran.out
    assert "\x1b" not in ran.out


def test_options_of_a_table_reach_the_result(run, here):
    base = json.loads(run("run", "forty.csv", *BUFFERS, "--json").out)["result"]["day"]
    words = ("--target", "4.5:7", "--floor", "4", "--scatter", "0.05", "--p", "0.9", "--thermometer", "0.2")
    again = ("--check", "9.18=9.25@21C", "--close", "7.00=7.05@21C", "--bottle", "blue=4.01+-0.01")
    buffers = ("--buffer", "7.00=7.04@21C", "--buffer", "blue=4.06@21C")
    day = json.loads(run("run", "forty.csv", *buffers, *words, *again, "--json").out)["result"]["day"]
    standing = day["enclosures"][0]["judgement"]
    assert [one["value"] for one in standing["target"]] == [4.5, 7.0]
    assert standing["floor"]["value"] == 4.0
    assert standing["p"]["value"] == 0.9
    assert day["check"]["buffer"] == "9.18"
    assert day["calibration"]["drift"] is not None
    assert {point["buffer"] for point in day["calibration"]["points"]} == {"7.00", "4.01 (blue)"}
    assert day["enclosures"][0]["slurry"]["own_share"]["value"] == 0.0
    assert base["enclosures"][0]["slurry"]["own_share"]["value"] > 0.0


def test_a_meter_that_shows_millivolts_is_told_by_its_units(run, here):
    (here / "mv.csv").write_bytes(b"jar;enclosure;reading;temperature\nA1;x;84,3;21\nA2;x;85.1 mV;21\n")
    ran = run("run", "mv.csv", "--buffer", "7.00=1.8mV@22C", "--buffer", "4.01=178.2mV@22C", "--json")
    day = json.loads(ran.out)["result"]["day"]
    assert [jar["shows"]["value"] for jar in day["jars"]] == [84.3, 85.1]
    assert day["enclosures"][0]["slurry"]["ph"]["value"] == pytest.approx(5.59, abs=0.01)


# What is altered in the worksheet (old, new), the line that the sentence names, and what it holds.
SHOWS, POINT, ACID = b"shows = 5.14", b"[[point]]", b'buffer = "acid 2"'
ALTERED = [
    (SHOWS, b"shwos = 5.14", SHOWS, "did you mean shows?"),
    (SHOWS, b"shows = true", SHOWS, "true cannot"),
    (SHOWS, b"shows = five", SHOWS, "`shows = five`"),
    (SHOWS, b"shows = 5,14", SHOWS, "`shows = 5,14`"),
    (SHOWS, b"shows = nan", SHOWS, "`nan`"),
    (SHOWS, b"shows = -inf", SHOWS, "`-inf`"),
    (SHOWS, b"shows = 514", SHOWS, "`5.14`"),
    (SHOWS, b"shows = -5.14", SHOWS, "`5.14`"),
    (SHOWS, b'shows = "84.3 mV"', SHOWS, "`84.3 mV`"),
    (SHOWS, b'shows = "4 oz"', SHOWS, "`4 oz`"),
    (b"temperature = 21.5\nspot", b"temperature = 215\nspot", b"temperature = 21.5\nspot", "`215`"),
    (b"[[enclosure]]", b"[[enclosures]]", b"[[enclosure]]", "did you mean enclosure?"),
    (b'"pH"', b'"mV"', POINT, "look like pH, not mV"),
    (b"7.04", b"2.04", POINT, "swapped"),
    (ACID, b'buffer = "neutral 2"', POINT, "alone"),
    (ACID, b'buffer = "3.99"', ACID, "did you mean 4.01?"),
    (b'enclosure = "window"', b'enclosure = "windw"', b'enclosure = "window"', "did you mean window?"),
    (b"date = 2024-05-04", b"date = 9999-05-04", b"date", "lies in the future"),
    (b"date = 2024-05-04", b"date = 2024-05-40", b"date", "`date = 2024-05-40`"),
    (b'label = "A2"', b'label = "A1"', b'label = "A2"', "jar A1 twice"),
    (b'name = "window"', b'name = "-window"', b'name = "window"', "a dash"),
    (b'name = "window"', b'name = "a\\u0007b"', b'name = "window"', "\\x07"),
    (b'name = "window"', b'name = "<b>[x]"', b'enclosure = "window"', "`window`"),
]


@pytest.mark.parametrize(("old", "new", "line", "holds"), ALTERED, ids=[str(n) for n in range(len(ALTERED))])
def test_a_bad_worksheet_ends_in_one_sentence_with_its_line(run, here, old, new, line, holds):
    assert old in EXAMPLE
    (here / "day.toml").write_bytes(EXAMPLE.replace(old, new))
    number = EXAMPLE[: EXAMPLE.index(line)].count(b"\n") + 1
    said = refused(run, here, "day.toml")
    assert re.match(rf"day\.toml, line {number}\b", said)
    assert holds in said


# The file's name, what is in it, the words after it, how the sentence starts, what it holds.
SWAPPED = ("--buffer", "7.00=4.06@21C", "--buffer", "4.01=7.04@21C")
FILES = [
    ("day.toml", b"", (), "day.toml: ", "is empty"),
    ("day.csv", b"", BUFFERS, "day.csv: ", "is empty"),
    ("day.toml", bytes(range(256)), (), "day.toml, line 2: ", "no UTF-8"),
    ("day.csv", b"\x89PNG\r\n\x1a\n", BUFFERS, "day.csv, line 1: ", "no UTF-8"),
    ("day.toml", EXAMPLE + b"#" * 10_000_000, (), "day.toml: ", "larger than 10 MB"),
    ("day.csv", FORTY + b"#" * 10_000_000, BUFFERS, "day.csv: ", "larger than 10 MB"),
    ("day.toml", EXAMPLE.partition(b"[[jar]]")[0], (), "day.toml: ", "`jar` is missing"),
    ("day.toml", EXAMPLE.partition(b"[[jar]]")[0] + b"[[j", (), "day.toml", "is no TOML"),
    ("day.toml", EXAMPLE, BUFFERS, "--buffer ", "declares its own"),
    ("day.toml", EXAMPLE, ("--target", "5:6"), "--target ", "declares its own"),
    ("day.toml", EXAMPLE, ("--scatter", "wide"), "--scatter", "`wide`"),
    ("day.toml", EXAMPLE, ("--p", "95"), "--p", "`95`"),
    ("day.csv", FORTY, (), "`day.csv` needs its buffers", "--buffer 7.00=7.04@21C"),
    ("day.csv", FORTY, BUFFERS[:2], "", "alone"),
    ("day.csv", FORTY, SWAPPED, "", "swapped"),
    ("day.csv", FORTY, ("--buffer", "7.00", "--buffer", "4.01=4.06"), "", "`7.00`"),
    ("day.csv", FORTY, (*BUFFERS, "--target", "6.5:5.4"), "--target", "`6.5:5.4`"),
    ("day.csv", FORTY, (*BUFFERS, "--bufer", "9.18=9.2"), "", "--bufer"),
    ("day.csv", b"jar,enclosure,readng\nA1,x,5\n", BUFFERS, "day.csv, row 1: ", "did you mean reading?"),
    ("day.csv", b"jar,enclosure,reading\n", BUFFERS, "day.csv: ", "no row"),
    ("day.csv", b"jar,enclosure,reading\nA1,x,wet\n", BUFFERS, "day.csv: ", "row 2: `wet`"),
    ("day.csv", b"jar,enclosure,reading\nA1,x,5,41\n", BUFFERS, "day.csv: ", "decimal comma"),
    ("day.csv", b'jar,enclosure,reading\nA1,"x,5.41\n', BUFFERS, "day.csv, row 2: ", "is no CSV"),
    ("day.xlsx", b"PK\x03\x04", BUFFERS, "`day.xlsx` is neither", "save it as CSV"),
    ("day", b"a day of ours", (), "`day` is neither", "worksheet (.toml)"),
]


@pytest.mark.parametrize(
    ("name", "data", "words", "start", "holds"), FILES, ids=[str(n) for n in range(len(FILES))]
)
def test_a_bad_file_ends_in_one_sentence(run, here, name, data, words, start, holds):
    (here / name).write_bytes(data)
    said = refused(run, here, name, *words)
    assert said.startswith(start)
    assert holds in said


def refused(run, here, *words: str) -> str:
    """Run a bad line, twice: as a page and as JSON; nothing but one sentence comes of it."""
    before = listing(here)
    ran = run("run", *words)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.count("\n") == 1
    assert ran.err.rstrip("\n").isprintable()
    assert len(ran.err) < 500
    error = run("run", *words, "--json")
    assert (error.status, error.out) == (2, "")
    assert json.loads(error.err)["error"] == ran.err.rstrip("\n")
    assert listing(here) == before
    return ran.err


@pytest.mark.parametrize(
    ("path", "holds"),
    [
        ("dya.toml", "did you mean `day.toml`?"),
        ("nothing-like-it", "name a file such as"),
        (".", "is a folder"),
        ("no/such/folder/day.toml", "is not there"),
        ("day.toml/x.toml", "cannot be read"),
        ("x" * 5000 + ".toml", "cannot be read"),
        ("[bold]<b>.toml", "`[bold]<b>.toml` is not there"),
        ("a\x1b[2J.toml", "\\x1b"),
        ("-day.toml", "-d"),
        ("", ""),
    ],
)
def test_a_path_that_leads_to_no_file_is_said(run, here, path, holds):
    ran = run("run", path)
    assert (ran.status, ran.out) == (2, "")
    assert holds in ran.err
    assert ran.err.rstrip("\n").isprintable()


def test_a_folder_is_said_once(run, here):
    assert "cannot be read" not in run("run", ".").err


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="the administrator can read everything")
def test_a_file_that_may_not_be_read_is_said(run, here):
    (here / "day.toml").chmod(0)
    ran = run("run", "day.toml")
    assert (ran.status, "cannot be read" in ran.err) == (2, True)


def filled_in(text: str) -> str:
    """Answer each blank in its order, with what the comment above it shows."""
    answers = ["2024-05-04", '"desk"', '"pH"', '"7.00"', "7.02", "21.5", '"4.01"', "4.03", "21.5"]
    answers += ['"window"', '"A1"', '"window"', "5.41", '"70 F"']
    assert text.count('= "?"\n') == len(answers)
    for answer in answers:
        text = text.replace('= "?"\n', f"= {answer}\n", 1)
    return text


def test_the_sheet_filled_in_by_its_comments_runs(run, here):
    """Each blank takes what the comment above it shows, as a person would copy it."""
    assert run("sheet", "new.toml").status == 0
    text = (here / "new.toml").read_text(encoding="utf-8")
    assert run("run", "new.toml").err.startswith("new.toml, line ")
    (here / "new.toml").write_text(filled_in(text), encoding="utf-8")
    ran = run("run", "new.toml")
    assert (ran.status, ran.err) == (0, "")
    assert "window" in ran.out


def test_every_line_of_the_sheet_that_is_commented_out_can_be_taken_in(run, here):
    assert run("sheet", "new.toml").status == 0
    text = (here / "new.toml").read_text(encoding="utf-8")
    taken_in = re.sub(r"^# (?=\[|[a-z]+ = )", "", filled_in(text), flags=re.MULTILINE)
    assert [taken_in.count(f"\n[{one}]\n") for one in ("check", "close", "probe", "thermometer")] == [1] * 4
    (here / "new.toml").write_text(taken_in, encoding="utf-8")
    ran = run("run", "new.toml")
    assert (ran.status, ran.err) == (0, "")
    assert "Probe stick" in ran.out


def test_the_sheet_names_the_next_command_and_it_works(run, here):
    ran = run("sheet", "my day.toml")
    line = next(line for line in ran.out.splitlines() if "slurrycalc run" in line)
    words = shlex.split(line[line.index("slurrycalc run") :])
    assert words[2] == "my day.toml"
    assert (here / words[2]).is_file()


@pytest.mark.parametrize(
    ("path", "holds"),
    [
        ("day.toml", "there already"),
        ("folder.toml", "a folder"),
        ("no/folder/day.toml", "no folder `no/folder`"),
        ("day.csv", "end it with .toml"),
        ("day.toml/x.toml", "cannot be written"),
        ("x" * 5000 + ".toml", "cannot be written"),
        ("/proc/x.toml" if sys.platform == "linux" else "no/x.toml", "cannot be written"),
    ],
)
def test_a_sheet_never_writes_over_and_says_where_it_cannot_write(run, here, path, holds):
    (here / "folder.toml").mkdir()
    before = listing(here)
    ran = run("sheet", path)
    assert (ran.status, ran.out) == (2, "")
    assert holds in ran.err
    assert listing(here) == before


def test_sheet_alone_says_what_to_name(run, here):
    ran = run("sheet")
    assert (ran.status, ran.out) == (2, "")
    assert ".toml" in ran.err


def test_the_demo_shows_five_lines_that_are_real(run, here):
    demo = json.loads(run("demo", "--json").out)["result"]
    assert len(demo["steps"]) == 5
    page = run("demo").out
    for step in demo["steps"]:
        program, *words = shlex.split(step["command"])
        assert program == "slurrycalc"
        assert f"  {step['command']}\n" in page
        ran = run(*words, width=1000)
        assert (ran.status, ran.err) == (0, "")
        numbers = re.findall(r"pH \d\.\d\d", " ".join(step["answer"]))
        assert all(number.removeprefix("pH ") in ran.out for number in numbers)
    assert sum(len(step["answer"]) for step in demo["steps"]) >= 8


def test_the_demo_names_only_commands_that_exist_and_keeps_nothing(run, here):
    before = listing(here)
    page = run("demo").out
    listed = run("--help").out
    for name in re.findall(r"slurrycalc ([a-z]+)", page):
        assert re.search(rf"^  {name}\b", listed, re.MULTILINE)
    assert listing(here) == before


@pytest.mark.slow
def test_demo_and_run_work_in_a_process_of_their_own(here):
    for words in (("demo",), ("run", "day.toml", "--try")):
        ran = subprocess.run([sys.executable, "-m", "slurrycalc", *words], capture_output=True, check=False)
        assert (ran.returncode, ran.stderr) == (0, b"")


def test_a_sheet_is_written_where_out_says(run, here):
    for words in (("sheet", "a.toml"), ("sheet", "--out", "b.toml"), ("sheet", "-o", "c.toml")):
        assert run(*words).status == 0
    assert Path("a.toml").read_bytes() == Path("b.toml").read_bytes() == Path("c.toml").read_bytes()
    assert "nothing is on record" in run("sheet").err
    assert "is given twice" in run("sheet", "d.toml", "--out", "e.toml").err
