"""A result that cannot be written: what was saved is said to be saved, and nothing is asked for twice."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from slurrycalc.cli import main
from slurrycalc.logbook.store import open_logbook

if os.name != "posix":
    pytest.skip("these outputs are those of POSIX", allow_module_level=True)

POINTS = ("7.00=7.04@21C", "4.01=4.06@21C")
AT = ("--on", "2024-04-06")
# Each on the record of `begun`; all of them save.
LINES = [
    ("calibrate", *POINTS, "--meter", "desk", *AT),
    ("read", "5.97@21C", "6.02@21C", "--meter", "desk", "--enclosure", "atlas", *AT),
    ("probe", "6.5", "--probe", "stick", "--enclosure", "atlas", "--new", *AT),
    ("compare", "5.9=5.41", "6.1=5.62", "--probe", "stick", "--new", *AT),
    ("salts", "0.85mS/cm@21C", "--enclosure", "atlas", *AT),
    ("trial", "0%=5.10", "20%=5.43", "40%=5.66", "--enclosure", "atlas", *AT),
    ("agree", "--theirs", "5.6+-0.1", "--enclosure", "atlas", *AT),
    ("enclosure", "atlas", "--floor", "5.1"),
    ("kit", "probe", "stick", "--new"),
    ("event", "atlas", "leaf-litter", "--amount", "1 L", *AT),
    ("exchange", "--enclosure", "atlas", "--now", "5.1", "--fresh", "6.6", "--want", "5.9", "--plan"),
    ("undo",),
    ("fix", "3.1", "5.14"),
    ("import", "{package}"),
    ("run", str(Path(__file__).parents[2] / "examples" / "reading-room.toml")),
]


@pytest.fixture
def begun(run, begin) -> bytes:
    """A case (1), a calibration (2), a reading under it (3)."""
    reading = ("read", "5.98@21C", "6.03@21C", *LINES[1][3:])

    def typed() -> None:
        for line in (("enclosure", "atlas", "--new"), LINES[0] + ("--new",), reading):
            assert run(*line).status == 0

    return begin(typed).read_bytes()


@contextmanager
def full() -> Iterator[io.TextIOWrapper]:
    with Path("/dev/full").open("w", encoding="utf-8") as file:
        try:
            yield file
        finally:
            os.dup2(os.open(os.devnull, os.O_WRONLY), file.fileno())


@contextmanager
def closed() -> Iterator[None]:
    # What Python makes of a standard output that a shell closed.
    yield None


@contextmanager
def broken() -> Iterator[io.TextIOWrapper]:
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "w", encoding="utf-8") as file:
        try:
            yield file
        finally:
            os.dup2(os.open(os.devnull, os.O_WRONLY), file.fileno())


OUTPUTS = {"full": full, "closed": closed, "broken": broken}


def lost(monkeypatch: pytest.MonkeyPatch, output: str, *words: str) -> tuple[int, str]:
    heard = io.StringIO()
    with OUTPUTS[output]() as out, monkeypatch.context() as patch:
        patch.setattr(sys, "stdout", out)
        patch.setattr(sys, "stderr", heard)
        status = main(list(words))
    return status, heard.getvalue()


@pytest.mark.parametrize("output", OUTPUTS)
@pytest.mark.parametrize("json_", [False, True], ids=["page", "json"])
@pytest.mark.parametrize("line", LINES, ids=lambda line: line[0])
def test_a_step_that_was_saved_is_said_to_be_saved_and_not_asked_for_again(
    run, begun, logbook, monkeypatch, tmp_path, line, json_, output
) -> None:
    package = tmp_path / "other.zip"
    if line[0] == "import":
        other = str(tmp_path / "other.sqlite")
        assert run("enclosure", "atlas", "--logbook", other, "--new").status == 0
        assert run("export", str(package), "--logbook", other).status == 0
    words = [word.format(package=package) for word in line] + ["--json"] * json_
    status, said = lost(monkeypatch, output, *words)
    with open_logbook(logbook, writes=False) as book:
        ((newest,),) = book.rows("SELECT max(id) FROM entry")
    assert newest > 3
    assert f"the step is on record as {newest}: don't give the line again" in said
    assert f"slurrycalc history {newest} shows it" in said
    assert "same line again" not in said
    assert said.count("\n") == 1
    # 2 would promise an untouched logbook; a reader that has gone away is nothing to look at.
    assert status == (0 if output == "broken" else 1)


@pytest.mark.parametrize("output", ["full", "closed"])
@pytest.mark.parametrize(
    "line",
    [LINES[1] + ("--try",), ("history",), ("exchange", "--now", "5.1", "--fresh", "6.6", "--want", "5.9")],
)
def test_a_result_that_was_not_saved_is_to_be_asked_for_again(
    begun, logbook, monkeypatch, line, output
) -> None:
    status, said = lost(monkeypatch, output, *line)
    assert status == 2
    assert said.startswith("The result could not be written")
    assert said.endswith("give the same line again.\n")
    assert logbook.read_bytes() == begun
