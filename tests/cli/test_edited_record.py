"""A record that somebody edited with another program: an answer or a sentence, never a fault of ours.

Every column of every table is changed in one row to each of a set of odd values, with the triggers and the
conditions of the database off. ``EDITED_CELLS`` says how many of the cells are tried beside those of a quick
run; 0 for all of them.
"""

from __future__ import annotations

import json
import os
import random
import re
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from slurrycalc.cli.recording import present
from slurrycalc.logbook.columns import Column, TableShape
from slurrycalc.logbook.forms import TABLES
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import open_logbook

EXAMPLE = Path(__file__).parents[2] / "examples" / "eighteen-months"
CELLS = int(os.environ.get("EDITED_CELLS", "10"))
PARTS = 4
SOME = 24
"""So many in a quick run."""
ON = ("--on", "2025-10-18")
LINES = (
    (),
    ("history", "--all"),
    ("history", "atlas"),
    ("enclosure", "atlas"),
    ("enclosure",),
    ("kit",),
    ("due",),
    ("trend",),
    ("trend", "--enclosure", "atlas", "--json"),
    ("exchange", "--enclosure", "window"),
    ("upkeep", "--enclosure", "atlas"),
    ("salts", "--enclosure", "atlas"),
    ("trial", "--enclosure", "window"),
    ("agree", "--enclosure", "atlas"),
    ("compare", "--probe", "stick"),
    ("probe", "6.0", "--probe", "stick", "--enclosure", "atlas", "--try"),
    ("read", "5.41@21C", "5.44@21C", "--meter", "desk", "--enclosure", "atlas", "--try", *ON),
    ("kit", "meter", "desk"),
    ("export", "out.zip"),
)
"""What is asked of the record; none of it records anything."""
NUMBERS = (None, "many", "", b"\x00\xff", 9e999, -9e999, 1e300, -5.0, 0.0, 3, 10**18)
TEXTS = (None, 7, 2.5, b"\x00\xff", "", " ", "a\nb", "\x1b[31m", "\u202e", "x" * 100_000)
DAYS = (
    *(*TEXTS, "now", "2024-02-30", "9999-12-31", "0024-05-04", "10000-01-01"),
    *("2024-05-04", "2024-05-04T25:00:00Z"),
)
VALUES = (
    *(*TEXTS, "{", "null", "[]", "{}", "7", '"x"', "true", "[[1]]", "NaN"),
    *("1e999", '"2024-02-30"', "[" * 5000),
)
POINTERS = (None, 0, -1, 999_999, 1, 2.5, "atlas", b"\xff")
ODD: dict[str, tuple[Any, ...]] = {
    **dict.fromkeys(("number", "integer", "boolean"), NUMBERS),
    "string": TEXTS,
    **dict.fromkeys(("datetime", "date"), DAYS),
    "json": VALUES,
}


class Edit(NamedTuple):
    """One cell that is changed."""

    table: TableShape
    column: Column
    value: Any

    def __str__(self) -> str:
        value = repr(self.value)
        return f"{self.table.name}.{self.column.name} = {value[:60]}"


EDITS = [
    Edit(table, column, value)
    for table in TABLES
    for column in table.columns
    for value in (POINTERS if column.to or column.name.endswith("_n") else ODD[column.type])
]
random.Random(1).shuffle(EDITS)
MORE = EDITS[SOME : SOME + CELLS] if CELLS else EDITS


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The example, with what it has not: results as they were shown, and a guided day that goes on."""
    from slurrycalc.cli import main

    path = tmp_path_factory.mktemp("edited") / "whole.sqlite"
    words = ("--meter", "desk", "--enclosure", "atlas", *ON)
    assert main(["import", str(EXAMPLE), "--logbook", str(path)]) == 0
    assert main(["read", "5.41@21C", "5.44@21C", *words, "--logbook", str(path)]) == 0
    with open_logbook(path) as book:
        day = Step("bench", When(present()))
        day.mark("cases", ["atlas"])
        record(book, day, present())
        for table in TABLES:
            assert book.rows(f"SELECT 1 FROM {table.name}"), table.name
    return path.read_bytes()


def edited(path: Path, whole: bytes, edit: Edit, draw: random.Random) -> bool:
    """Change a cell, one that holds something, as another program can; False where it cannot be."""
    path.write_bytes(whole)
    table, column, value = edit
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA ignore_check_constraints = ON")
        db.execute("PRAGMA writable_schema = ON")
        triggers = db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in triggers:
            db.execute(f"DROP TRIGGER {name}")
        # What may not be empty is held to by SQLite itself, and not by a condition that can be put off.
        mays = f"  {column.name} {_kind(table, column)}"
        loosened = (f"{mays} NOT NULL", mays, table.name)
        db.execute("UPDATE sqlite_master SET sql = replace(sql, ?, ?) WHERE name = ?", loosened)
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA ignore_check_constraints = ON")
        names = ", ".join(table.key)
        rows = db.execute(f"SELECT {names}, {column.name} IS NULL FROM {table.name}").fetchall()
        draw.shuffle(rows)
        *row, _ = min(rows, key=lambda row: row[-1])
        where = " AND ".join(f"{name} = ?" for name in table.key)
        try:
            db.execute(f"UPDATE {table.name} SET {column.name} = ? WHERE {where}", (value, *row))
        except (sqlite3.IntegrityError, OverflowError):
            return False
        for _, sql in triggers:
            db.execute(sql)
    return True


def _kind(table: TableShape, column: Column) -> str:
    from slurrycalc.logbook.schema import statements

    made = next(sql for sql in statements() if sql.startswith(f"CREATE TABLE {table.name} "))
    found = re.search(rf"^  {column.name} (\w+)", made, re.M)
    assert found is not None
    return found[1]


def broken(words: tuple[str, ...], ran: Any, before: bytes, path: Path) -> str | None:
    """Say what of the law a line broke."""
    if ran.status not in (0, 2, 3):
        return f"exit {ran.status}"
    if "Traceback" in ran.out + ran.err:
        return "a traceback"
    if path.read_bytes() != before:
        return "the record was changed"
    if ran.status == 0:
        if re.search(r"(?<![\w'])(nan|inf|Infinity|NaN)(?!\w)", ran.out):
            return "an answer that is no number"
        if "--json" in words:
            json.loads(ran.out)
        return None
    if ran.out:
        return "a refusal with an answer"
    if len(ran.err.strip().splitlines()) != 1:
        return "no single sentence"
    return None


def law(run: Any, folder: Path, whole: bytes, edits: list[Edit], seed: int) -> None:
    faults, tried, told = [], 0, 0
    draw = random.Random(seed)
    path = folder / "bench.sqlite"
    for edit in edits:
        if not edited(path, whole, edit, draw):
            continue
        before = path.read_bytes()
        tried += 1
        for words in LINES:
            ran = run(*words)
            (folder / "out.zip").unlink(missing_ok=True)
            told += ran.status == 3
            if why := broken(words, ran, before, path):
                faults.append(f"{edit}: {' '.join(words) or 'alone'}: {why}: {(ran.err or ran.out)[:300]!r}")
    assert not faults, f"{len(faults)} faults in {tried} cells:\n" + "\n".join(faults)
    assert tried
    assert told


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SLURRYCALC_LOGBOOK", str(tmp_path / "bench.sqlite"))
    return tmp_path


def test_some_edited_cells_end_in_an_answer_or_a_sentence(run, folder, whole):
    law(run, folder, whole, EDITS[:SOME], 0)


@pytest.mark.slow
@pytest.mark.timeout(3600)
@pytest.mark.parametrize("part", range(PARTS))
def test_every_edited_cell_ends_in_an_answer_or_a_sentence(run, folder, whole, part):
    law(run, folder, whole, MORE[part::PARTS], part)
