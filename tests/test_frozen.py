"""What others may build on stays: no option, key or public name goes, and none comes unannounced."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests import frozen


def test_nothing_that_others_build_on_goes_or_changes_its_name() -> None:
    gone = sorted(set(frozen.kept()) - set(frozen.lines()))
    assert not gone, "frozen for as long as objects say slurrycalc/2; see DEVELOPERS.md, What is frozen"


def test_what_is_new_is_announced() -> None:
    new = sorted(set(frozen.lines()) - set(frozen.kept()))
    assert not new, "python -m tests.frozen writes it down; DEVELOPERS.md, Changes, says it to users"


def test_the_list_names_options_keys_words_and_parameters() -> None:
    for line in (
        "line read --meter",
        "json run .day.enclosures[].slurry.ph.value: number",
        'json due .duties[].due.task: "exchange"',
        "python Bottle(label)",
        "python mix(container=...)",
    ):
        assert line in frozen.lines(), line


@pytest.mark.slow
def test_a_list_that_would_lose_a_line_is_not_written(tmp_path, monkeypatch) -> None:
    before = frozen.KEPT.read_bytes()
    longer = before + b"line mix --gone\n"
    frozen.KEPT.write_bytes(longer)
    try:
        line = [sys.executable, "-m", "tests.frozen"]
        ran = subprocess.run(line, capture_output=True, text=True, check=False)
        assert ran.returncode == 1
        assert "line mix --gone" in ran.stderr
        assert frozen.KEPT.read_bytes() == longer
    finally:
        frozen.KEPT.write_bytes(before)
