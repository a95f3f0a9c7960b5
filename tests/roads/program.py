"""The program on many logbooks, in this process, or in one of its own that answers line by line.

Run as a script with the folder of an installed package it serves that package: a request is one line of JSON
on standard input, ``{"room": [...], "do": [...]}``, each part a list of acts, and so is the answer, what each
act of ``do`` left behind. It imports nothing but that package and the standard library.
"""

from __future__ import annotations

import io
import json
import os
import shutil
import sys
import tempfile
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any, NamedTuple

IN_MEMORY = "/dev/shm" if Path("/dev/shm").is_dir() else None
"""Where a file costs no wait for a disk, if there is such a place."""


class Act(NamedTuple):
    """A line that is typed, beside a file that lies there."""

    words: list[str]
    file: str = ""
    """Name of the file that it reads, if any."""
    text: str = ""


class Ran(NamedTuple):
    """What a line left behind."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> dict[str, Any]:
        """Its object; a refusal where it should not be shows itself."""
        assert self.status == 0, self.err or self.out
        return json.loads(self.out)


class Program:
    """The program at a folder of its own, with rooms that were set up once."""

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = folder or Path(tempfile.mkdtemp(prefix="roads-", dir=IN_MEMORY))
        self.rooms: dict[str, bytes | None] = {}
        self.count = 0

    def close(self) -> None:
        shutil.rmtree(self.folder, ignore_errors=True)

    def book(self, room: list[Act]) -> Book:
        """Give a logbook in which a room was set up, untouched by any other."""
        self.count += 1
        path = self.folder / f"{self.count}.sqlite"
        key = json.dumps(room)
        if key not in self.rooms:
            made = Book(path, self.folder)
            for act in room:
                ran = made.do(act)
                assert ran.status == 0, ran.err
            self.rooms[key] = path.read_bytes() if path.exists() else None
        elif (known := self.rooms[key]) is not None:
            path.write_bytes(known)
        return Book(path, self.folder)


class Book:
    """One logbook, and lines that are typed with it at hand."""

    def __init__(self, path: Path, folder: Path) -> None:
        self.path = path
        self.folder = folder

    def do(self, act: Act) -> Ran:
        words = list(act.words)
        if act.file:
            file = self.folder / act.file
            file.write_text(act.text, encoding="utf-8")
            words = [str(file) if word == act.file else word for word in words]
        return self.type(*words)

    def type(self, *words: str) -> Ran:
        from slurrycalc.cli import main

        out, err = io.StringIO(), io.StringIO()
        with self.meant(), redirect_stdout(out), redirect_stderr(err):
            status = main(list(words))
        return Ran(status, out.getvalue(), err.getvalue())

    @contextmanager
    def meant(self) -> Any:
        """Let the program take this logbook for its own."""
        before = {
            key: os.environ.get(key) for key in ("SLURRYCALC_LOGBOOK", "COLUMNS", "SLURRYCALC_TRACEBACK")
        }
        os.environ |= {"SLURRYCALC_LOGBOOK": str(self.path), "COLUMNS": "200", "SLURRYCALC_TRACEBACK": "1"}
        try:
            yield
        finally:
            for key, value in before.items():
                if value is None:
                    os.environ.pop(key, None)
                else:
                    os.environ[key] = value

    def bytes(self) -> bytes | None:
        return self.path.read_bytes() if self.path.exists() else None

    def gone(self) -> None:
        for end in ("", "-wal", "-shm", "-journal"):
            Path(f"{self.path}{end}").unlink(missing_ok=True)


def serve(package: str) -> None:
    """Answer requests until there are no more."""
    sys.path.insert(0, package)
    import slurrycalc

    assert Path(slurrycalc.__file__).is_relative_to(package), slurrycalc.__file__
    program = Program()
    try:
        for line in sys.stdin:
            asked = json.loads(line)
            book = program.book([Act(*each) for each in asked["room"]])
            ran = [book.do(Act(*each)) for each in asked["do"]]
            book.gone()
            print(json.dumps(ran), flush=True)
    finally:
        program.close()


if __name__ == "__main__":
    serve(sys.argv[1])
