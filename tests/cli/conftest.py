"""The real program in this process: words in, what it wrote and its exit status back."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from slurrycalc.cli import main


@dataclass(frozen=True)
class Ran:
    """What one command line left behind."""

    status: int
    out: str
    err: str


Run = Callable[..., Ran]


@pytest.fixture(autouse=True)
def logbook(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where this test's logbook lies; there is none yet, and nobody's own is touched."""
    path = tmp_path_factory.mktemp("record") / "bench.sqlite"
    monkeypatch.setenv("SLURRYCALC_LOGBOOK", str(path))
    return path


Begin = Callable[[Callable[[], None]], Path]


@pytest.fixture(scope="module")
def kept() -> dict[str, bytes]:
    """Logbooks that tests of one file begin with, by what made each."""
    return {}


@pytest.fixture
def begin(logbook: Path, kept: dict[str, bytes]) -> Begin:
    """Begin this test's logbook with what was typed into it once for all tests of a file."""

    def once(make: Callable[[], None]) -> Path:
        if make.__qualname__ in kept:
            logbook.write_bytes(kept[make.__qualname__])
        else:
            make()
            kept[make.__qualname__] = logbook.read_bytes()
        return logbook

    return once


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run a command line at a width, with an encoding, as in a pipe."""

    def once(*words: str, width: int = 80, encoding: str = "utf-8") -> Ran:
        out, err = (io.TextIOWrapper(io.BytesIO(), encoding=encoding, newline="\n") for _ in range(2))
        with monkeypatch.context() as patch:
            patch.setenv("COLUMNS", str(width))
            patch.setattr(sys, "stdout", out)
            patch.setattr(sys, "stderr", err)
            status = main(list(words))
            out.flush()
            err.flush()
        texts = [stream.buffer.getvalue().decode(encoding) for stream in (out, err)]  # type: ignore[attr-defined]
        return Ran(status, *texts)

    return once
