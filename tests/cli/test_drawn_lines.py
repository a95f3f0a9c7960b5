"""Whatever is typed and whatever lies in a file: an answer or one sentence, at once, and nothing lost.

``DRAWN_LINES`` says how many lines are drawn (100000 in full), ``DRAWN_SEED`` from where on.
"""

from __future__ import annotations

import io
import json
import os
import shutil
import signal
import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import pytest

from slurrycalc.cli import main
from tests.cli.drawn import Drawer

if os.name != "posix":
    pytest.skip("the alarm that ends what waits is one of POSIX", allow_module_level=True)

LINES = int(os.environ.get("DRAWN_LINES", "400"))
SEED = int(os.environ.get("DRAWN_SEED", "0"))
PARTS = 8
"""So many tests share the lines, so that they can run beside each other."""
WALK = 25
"""Lines that are typed one after the other into the same logbook."""
PATIENCE = 30
"""A line that takes longer hangs. [s]"""
EXAMPLE = Path(__file__).parents[2] / "examples" / "eighteen-months"
FAST = Path("/dev/shm")
"""Where a file costs no wait for a disk."""
ROOM = (
    ("enclosure", "atlas", "--size", "60x45 cm", "--bed-depth", "10 cm"),
    ("kit", "bottle", "acid 2", "--label", "4.01", "--opened", "2024-04-01"),
    ("calibrate", "7.00=7.04@21C", "4.01=4.06@21C", "--meter", "desk", "--on", "2024-04-06", "--new"),
    ("read", "5.97@21C", "6.02@21C", "--meter", "desk", "--enclosure", "atlas", "--on", "2024-04-06"),
    ("probe", "6.5", "--probe", "stick", "--enclosure", "atlas", "--new", "--on", "2024-04-06"),
    ("event", "atlas", "leaf-litter", "--amount", "1 L", "--on", "2024-04-20"),
    ("undo",),
)


class Hangs(BaseException):
    """No handler of the program takes it for a fault of its own."""


@contextmanager
def watched() -> Iterator[None]:
    def ring(*_: object) -> None:
        raise Hangs

    before = signal.signal(signal.SIGALRM, ring)
    signal.alarm(PATIENCE)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def typed(words: list[str]) -> tuple[int, str, str]:
    """Type a line with nobody at the terminal."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n") for _ in range(2))
    kept = sys.stdin, sys.stdout, sys.stderr
    sys.stdin, sys.stdout, sys.stderr = io.StringIO(), out, err
    try:
        with watched():
            status = main(words)
        out.flush()
        err.flush()
    finally:
        sys.stdin, sys.stdout, sys.stderr = kept
    said = [stream.buffer.getvalue().decode() for stream in (out, err)]  # type: ignore[attr-defined]
    return status, said[0], said[1]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    made = tmp_path_factory.mktemp("drawn")
    if FAST.is_dir():
        made = FAST / f"drawn-{os.getpid()}"
        made.mkdir()
    before = Path.cwd()
    os.chdir(made)
    (made / "folder").mkdir()
    (made / "folder" / "day.toml").write_text("date = 2024-05-04\n", encoding="utf-8")
    shutil.copytree(EXAMPLE, made / "package")
    yield made
    os.chdir(before)
    shutil.rmtree(made)


class Begun(NamedTuple):
    """Logbooks to begin with, and the larger one as it is exported."""

    small: bytes
    large: bytes
    package: bytes


@pytest.fixture(scope="module")
def begun(folder: Path) -> Begun:
    for name, lines in (("small", ROOM), ("large", (("import", "package"), ("export", "drawn.zip")))):
        for line in lines:
            status, _, err = typed([*line, "--logbook", name])
            assert status == 0, err
    found = Begun(*((folder / name).read_bytes() for name in ("small", "large", "drawn.zip")))
    for name in ("small", "large", "drawn.zip"):
        (folder / name).unlink()
    return found


def held(words: list[str], status: int, out: str, err: str, before: object, after: object) -> str | None:
    """Say what of the law a line broke."""
    if status not in (0, 1, 2, 3):
        return f"exit {status}"
    if "Traceback" in out + err:
        return "a traceback"
    if status == 1 and words[0] != "verify" and "--strict" not in words:
        return "exit 1 unasked"
    if status in (2, 3):
        if out:
            return "a refusal with an answer"
        if len(err.strip().splitlines()) != 1:
            return f"{len(err.strip().splitlines())} lines for a sentence"
        if before != after:
            return "a refusal that changed something on the disk"
        if "--json" in words[: words.index("--") if "--" in words else None]:
            json.loads(err)
    return None


def files(folder: Path) -> dict[str, bytes | None]:
    """Give everything in a folder, and what is in its files."""
    return {
        str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None
        for path in folder.rglob("*")
        # A copy may be put beside the logbook before it is seen that a calibration could not stand.
        if "package" not in path.parts and not any(part.endswith(".copies") for part in path.parts)
    }


@pytest.mark.slow
@pytest.mark.timeout(6 * 3600)
@pytest.mark.parametrize("part", range(PARTS))
def test_drawn_lines_and_files_end_in_an_answer_or_one_sentence(
    folder: Path, begun: Begun, part: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SLURRYCALC_LOGBOOK", str(folder / "bench.sqlite"))
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.delenv("SLURRYCALC_TRACEBACK", raising=False)
    faults: list[str] = []
    ends: Counter[int] = Counter()
    for walk in range(part, max(1, LINES // WALK), PARTS):
        drawer = Drawer(SEED + walk)
        drawer.texts["drawn.zip"] = [begun.package]
        (folder / "bench.sqlite").unlink(missing_ok=True)
        room = drawer.random.choices((None, begun.small, begun.large), (1, 5, 3))[0]
        if room is not None:
            (folder / "bench.sqlite").write_bytes(room)
        for number in range(WALK):
            words = drawer.line()
            for name in drawer.texts:
                if name in words:
                    (folder / name).write_bytes(drawer.file(name))
            before = files(folder)
            try:
                status, out, err = typed(words)
                broken = held(words, status, out, err, before, files(folder))
            except Hangs:
                status, err, broken = -1, "", f"no end within {PATIENCE} s"
            except BaseException as error:  # what a person would meet as a traceback
                status, err, broken = -2, str(error), f"{type(error).__name__} let through"
            ends[status] += 1
            if broken:
                faults.append(f"{broken}: walk {SEED + walk}, line {number}: {words} said {err[:300]!r}")
            for name in files(folder).keys() - before.keys() - {"bench.sqlite"}:
                made = folder / name
                if made.is_dir():
                    shutil.rmtree(made, ignore_errors=True)
                else:
                    made.unlink(missing_ok=True)
    assert not faults, f"{len(faults)} of {sum(ends.values())} lines, {dict(ends)}:\n" + "\n".join(faults)
    # Answers as well as refusals were met, or the law would hold of nothing.
    assert ends[0]
    assert ends[2]
