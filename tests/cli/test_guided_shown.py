"""What other commands say of a guided day, while it is open and after it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from slurrycalc.logbook.store import open_logbook
from tests.day.test_guided_record import ALL, Sitting


@pytest.fixture
def logbook(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "bench.sqlite"
    monkeypatch.setenv("SLURRYCALC_LOGBOOK", str(path))
    return path


def sit(logbook: Path, until: str | None = None) -> Sitting:
    with open_logbook(logbook) as book:
        begun = datetime.now(UTC).astimezone() - timedelta(hours=2)
        return Sitting(book, begun).through(ALL, until=until)


def test_slurrycalc_alone_names_a_day_that_is_open(run, logbook):
    sit(logbook, "read B1")
    ran = run()
    assert ran.status == 0
    assert "which is not finished" in ran.out
    assert "\n  slurrycalc bench\n" in ran.out


def test_history_tells_the_day_and_keeps_its_single_answers_for_who_asks(run, logbook):
    sit(logbook)
    short, every, day = run("history"), run("history", "--all"), run("history", "1")
    assert "answer" not in short.out.replace("answers one by one", "")
    assert "slurrycalc history 1" in short.out
    assert "window, jar A1 shows 5.14 pH" in short.out
    assert "earlier" not in short.out
    for whole in (every.out, day.out):
        assert "cases: window, stairs, atlas" in whole
        assert "calibration 1, bottle 2: 4.06 @ 22 C" in whole
        assert "read A2: 5.19 @ 21.5 C" in whole
    assert "earlier" not in every.out


def test_undo_takes_the_result_back_and_says_so_then_the_day_is_open_again(run, logbook):
    sit(logbook)
    assert "bench on" in run("undo").out
    assert "which is not finished" in run().out
    assert run("undo", "1").status == 0
    assert "which is not finished" not in run().out
