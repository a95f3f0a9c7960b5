"""Bad words: each ends in one sentence that quotes them and shows right ones, and in nothing else."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

A, B = "4.01=178.2mV@22C", "7.00=1.8mV@22C"
READ = ("read", "84.3mV@21C", "--buffer", A, "--buffer", B)
COMPARE = ("compare", "5.9=5.41")


def read(*slurries: str) -> tuple[str, ...]:
    return ("read", *slurries, "--buffer", A, "--buffer", B)


# What was typed, and the part of it that the sentence must quote.
CASES: list[tuple[tuple[str, ...], str]] = [
    # Commands and options
    (("mixx",), "mixx"),
    (("reed", "84.3mV"), "reed"),
    (("[bold]",), "[bold]"),
    (("--jsn",), "--jsn"),
    (("--json",), "--json"),
    (("--schema",), "--schema"),
    (("nonsense", "--schema"), "nonsense"),
    (("buffers", "--temprature", "21C"), "--temprature"),
    ((*READ, "--bufer", A), "--bufer"),
    ((*READ, "--tagret", "5:6"), "--tagret"),
    ((*READ, "-x"), "-x"),
    ((*READ, "--target"), "--target"),
    ((*READ, "--json=yes"), "--json"),
    (("read", "84.3mV@21C"), "--buffer"),
    (("read", "--buffer", A, "--buffer", B), "READING"),
    (("calibrate",), "POINT"),
    (("spots", "--spread", "0.2"), "--margin"),
    (("probe",), "READING"),
    (("verify", "everything"), "everything"),
    # Readings
    (read("84.3mV@"), "84.3mV@"),
    (read("@21C"), "@21C"),
    (read("84.3mV@21C@22C"), "84.3mV@21C@22C"),
    (read("letters"), "letters"),
    (read("8O.3mV@21C"), "8O.3mV"),
    (read("nan@21C"), "nan"),
    (read("inf@21C"), "inf"),
    (read("1e999mV@21C"), "1e999mV"),
    (read(""), "``"),
    (read("  "), "`  `"),
    (read("84.3 mL@21C"), "84.3 mL"),
    (read("1,000mV@21C"), "1,000mV"),
    (read("5430mV@21C"), "5430mV"),
    (read("-900mV@21C"), "-900mV"),
    (read("84.3mV@21"), "21"),
    (read("84.3mV@cold"), "cold"),
    (read("84.3mV@95C"), "95C"),
    (read("84.3mV@-5C"), "-5C"),
    (read("84.3mV@70 mL"), "70 mL"),
    (read("5.41@21C"), "5.41"),
    (read("84.3mV@21C", "5.41"), "5.41"),
    (read("\x1b[31m84mV"), "\\x1b[31m84mV"),
    (read("84.3mV\n@21C", "x"), "x"),
    (read("[red]84[/red]"), "[red]84[/red]"),
    (read("<b>84</b>"), "<b>84</b>"),
    (read('"84'), '"84'),
    (read("9" * 500), "9999"),
    ((*READ, "--shows", "volts"), "volts"),
    (("read", "84.3mV", "--shows", "pH", "--buffer", A, "--buffer", B), "178.2mV"),
    (("read", "403", "--shows", "pH", "--buffer", "4.01=4.06", "--buffer", "7.00=7.04"), "403"),
    (("read", "54.1", "--buffer", "4.01=4.06", "--buffer", "7.00=7.04"), "54.1"),
    (("read", "-1", "--buffer", "4.01=4.06", "--buffer", "7.00=7.04"), "-1"),
    # Buffers and points
    (("read", "84.3mV@21C", "--buffer", A), "4.01"),
    (("calibrate", A, A), "4.01"),
    (("calibrate", "7.00=1.8mV@22C", "6.86=8.0mV@22C"), "6.86"),
    (("calibrate", "7.00=178.2mV@22C", "4.01=1.8mV@22C"), "178.2"),
    (("calibrate", "5.00=100mV@22C", B), "5.00"),
    (("calibrate", "4.1=178.2mV@22C", B), "4.1"),
    (("calibrate", "acid=178.2mV@22C", B), "acid"),
    (("calibrate", "4.01", B), "4.01"),
    (("calibrate", "=178.2mV@22C", B), "=178.2mV@22C"),
    (("calibrate", "4.01=", B), "4.01="),
    (("calibrate", "4.01==178mV", B), "4.01==178mV"),
    (("calibrate", "4.01=178.2mV@52C", B), "52"),
    (("calibrate", "4.01=178.2mV@22F", B), "22F"),
    (("calibrate", "4.01=4.03mV@22C", "7.00=7.01mV@22C"), "4.03"),
    (("calibrate", "4.01=178.2@22C", "7.00=1.8@22C"), "178.2"),
    (("calibrate", "4.01=178.2mV@22C", "7.00=1.8@22C"), "1.8"),
    (("calibrate", "4.01=nanmV@22C", B), "nanmV"),
    (("calibrate", "4.01=17820mV@22C", B), "17820mV"),
    (("calibrate", A, B, "--check", "4.01=178mV@22C"), "4.01"),
    (("calibrate", A, B, "--check", "9.18"), "9.18"),
    (("calibrate", A, B, "--close", "9.18=-127mV@22C"), "9.18"),
    (("calibrate", A, B, "--close", "7.00"), "7.00"),
    (("calibrate", A, B, "--bottle", "blue"), "blue"),
    (("calibrate", A, B, "--bottle", "blue=4.5"), "4.5"),
    (("calibrate", A, B, "--bottle", "blue=4.01+-9"), "9"),
    (("calibrate", A, B, "--bottle", "blue=4.01", "--bottle", "blue=7.00"), "blue=7.00"),
    (("calibrate", A, B, "--fit", "curve"), "curve"),
    (("calibrate", A, B, "--thermometer", "warm"), "warm"),
    (("calibrate", A, B, "--thermometer", "-1"), "-1"),
    (("calibrate", A, B, "--thermometer", "99"), "99"),
    (("calibrate", A, B, "--resolution", "0"), "0"),
    (("calibrate", A, B, "--resolution", "-0.1"), "-0.1"),
    (("calibrate", A, B, "--resolution", "50"), "50"),
    (("calibrate", A, B, "--repeatability", "lots"), "lots"),
    (("calibrate", A, B, "--compensates", "perhaps"), "perhaps"),
    (("calibrate", A, B, "--p", "95"), "95"),
    (("calibrate", A, B, "--p", "0"), "0"),
    (("calibrate", A, B, "--p", "1"), "1"),
    (("calibrate", A, B, "--p", "nan"), "nan"),
    (("buffers", "99C"), "99C"),
    (("buffers", "-10C"), "-10C"),
    (("buffers", "21"), "21"),
    (("buffers", "tepid"), "tepid"),
    # What is wanted
    ((*READ, "--target", "6.5"), "6.5"),
    ((*READ, "--target", "6.5:5.4"), "6.5:5.4"),
    ((*READ, "--target", "5.4:x"), "x"),
    ((*READ, "--target", "5.4:54"), "54"),
    ((*READ, "--floor", "low"), "low"),
    ((*READ, "--floor", "6.0"), "6"),
    ((*READ, "--floor", "-1"), "-1"),
    ((*READ, "--scatter", "mine"), "mine"),
    ((*READ, "--scatter", "0"), "0"),
    ((*READ, "--scatter", "-0.1"), "-0.1"),
    ((*READ, "--scatter", "own"), "own"),
    ((*READ, "--spots", "A,B"), "A"),
    # The probe
    (("compare",), "5.9=5.41"),
    (("compare", "5.9"), "5.9"),
    (("compare", "5.9="), "5.9="),
    (("compare", "=5.41"), "=5.41"),
    (("compare", "5.9=5.41=3"), "5.9=5.41=3"),
    (("compare", "x=5.41"), "x"),
    (("compare", "5.9=y"), "y"),
    (("compare", "59=5.41"), "59"),
    (("compare", "5.9=5.41+-0"), "5.41+-0"),
    (("compare", "5.9=5.41+-x"), "5.41+-x"),
    (("compare", "5.9mV=5.41"), "5.9mV"),
    ((*COMPARE, "--scatter", "own"), "`own`"),
    ((*COMPARE, "--step", "-1"), "-1"),
    ((*COMPARE, "--pairs", "nowhere.csv"), "nowhere.csv"),
    ((*COMPARE, "--pairs", "."), "."),
    ((*COMPARE, "--pairs", "empty.csv"), "empty.csv"),
    ((*COMPARE, "--pairs", "binary.csv"), "binary.csv"),
    ((*COMPARE, "--pairs", "misspelt.csv"), "prob"),
    ((*COMPARE, "--pairs", "uneven.csv"), "uneven.csv, row 3"),
    ((*COMPARE, "--pairs", "gap.csv"), "gap.csv, row 2"),
    (("compare", "--pairs", "letters.csv"), "five"),
    (("probe", "60", "5.9=5.41"), "60"),
    (("probe", "x"), "x"),
    (("probe", "6.0", "5.9"), "5.9"),
    # Spots
    (("spots", "--spread", "x", "--margin", "0.1"), "x"),
    (("spots", "--spread", "-0.2", "--margin", "0.1"), "-0.2"),
    (("spots", "--spread", "0.2", "--margin", "0"), "0"),
    (("spots", "--spread", "0.2", "--margin", "0.0001"), "0.0001"),
    (("spots", "--spread", "1/2", "--margin", "nan"), "nan"),
    # Kitchen measures
    (("ratio", "4", "oz", "1", "cup"), "4 oz"),
    (("ratio", "1/2", "cup", "1,000", "mL"), "1,000 mL"),
    (("ratio", "1/2", "cup", "0", "cup"), "0"),
    (("ratio", "0", "cup", "1", "cup"), "0"),
    (("ratio", "-1", "cup", "1", "cup"), "-1"),
    (("ratio", "1/2", "cup", "-1", "cup"), "-1"),
    (("ratio", "1/2", "cup", "21", "C"), "21 C"),
    (("ratio", "half", "a", "cup"), "half"),
    (("ratio", "1/2", "cup"), "1/2 cup"),
    (("ratio", "1/0", "cup", "1", "cup"), "1/0"),
    (("ratio", "1/2", "cpu", "1", "cup"), "cpu"),
    (("ratio", "1/2", "cup", "1", "cup", "1", "cup"), "1 cup"),
    (("ratio", "1/2", "cup", "1", "cup", "--cup", "small"), "small"),
    (("ratio", "1/2", "cup", "1", "cup", "--cup", "21 C"), "21 C"),
    (("ratio", "1/2", "cup", "1", "cup", "--bulk-density", "heavy"), "heavy"),
    (("ratio", "1/2", "cup", "1", "cup", "--moisture", "-3"), "-3"),
    (("ratio", "60", "g", "inf", "mL"), "inf"),
    (("ratio", "\x07", "1", "cup"), "\\x07"),
    (("mix", "--slurries", "0"), "0"),
    (("mix", "--slurries", "-2"), "-2"),
    (("mix", "--slurries", "2.5"), "2.5"),
    (("mix", "--slurries", "two"), "two"),
    (("mix", "--slurries", "1000000"), "1000000"),
    (("mix", "--ratio", "0"), "0"),
    (("mix", "--ratio", "-2"), "-2"),
    (("mix", "--ratio", "1:x"), "1:x"),
    (("mix", "--ratio", "400"), "400"),
    (("mix", "--basis", "weight?"), "weight?"),
    (("mix", "--substrate", "4 oz"), "4 oz"),
    (("mix", "--substrate", "0 cup"), "0"),
    (("mix", "--substrate", "21 C"), "21 C"),
    (("mix", "--container", "-1 cup"), "-1"),
    (("mix", "--bulk-density", "0"), "0"),
    (("mix", "--moisture", "x"), "x"),
    (("mix", "--basis", "mass", "--bulk-density", "nan"), "nan"),
    (("mix", "extra"), "extra"),
]
FILES = {
    "empty.csv": b"",
    "binary.csv": bytes(range(256)) * 20,
    "misspelt.csv": b"prob,slurry\n5.9,5.41\n",
    "uneven.csv": b"probe,slurry\n5.9,5.41\n6.1,5.7,5.8\n",
    "gap.csv": b"probe,slurry\n5.9,\n",
    "letters.csv": b"probe,slurry\nfive,5.41\n",
}
SHOWS_A_RIGHT_ONE = re.compile(
    "write|such as|like|did you mean|for instance|a right line|give |--help|take |say that|read both|let the|"
    "save |Add it with "
)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to be in, with the files that some cases name."""
    for name, data in FILES.items():
        (tmp_path / name).write_bytes(data)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def check_sentence(err: str, part: str) -> None:
    assert err.endswith("\n")
    assert len(err.splitlines()) == 1
    assert err.strip().isprintable()
    assert part in err
    assert "Traceback" not in err
    assert SHOWS_A_RIGHT_ONE.search(err)


@pytest.mark.parametrize(("words", "part"), CASES)
def test_bad_words_end_in_one_sentence_and_nothing_else(run, folder, words, part):
    before = contents(folder)
    ran = run(*words)
    assert ran.status == 2, ran
    assert ran.out == ""
    check_sentence(ran.err, part)
    assert contents(folder) == before


@pytest.mark.parametrize(("words", "part"), CASES[7::9])
def test_under_json_the_sentence_is_an_object(run, folder, words, part):
    ran = run(*words, "--json")
    assert ran.status == 2
    assert ran.out == ""
    assert len(ran.err.splitlines()) == 1
    error = json.loads(ran.err)
    assert error["schema"] == "slurrycalc/2"
    assert part in error["error"]


@pytest.mark.slow
@pytest.mark.parametrize(("words", "part"), CASES[3::12])
def test_the_whole_program_ends_the_same_way(folder, words, part):
    before = contents(folder)
    ran = subprocess.run(
        [sys.executable, "-m", "slurrycalc", *words],
        capture_output=True,
        check=False,
        cwd=folder,
        env={**os.environ, "PYTHONIOENCODING": "utf-8", "PYTHONDONTWRITEBYTECODE": "1"},
    )
    assert ran.returncode == 2
    assert ran.stdout == b""
    check_sentence(ran.stderr.decode("utf-8").replace("\r\n", "\n"), part)
    assert contents(folder) == before


def test_there_are_at_least_a_hundred():
    assert len(CASES) >= 100
    assert len(set(CASES)) == len(CASES)
