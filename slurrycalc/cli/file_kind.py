"""What a file holds, told by its content, and which command it is for."""

from __future__ import annotations

import re
import shlex
from contextlib import suppress
from pathlib import Path
from typing import Literal

from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

FileKind = Literal["worksheet", "jars", "past", "pairs", "package"]
START = 100_000
"""Bytes by which a file is told: a header or a table of TOML stands there."""
DESCRIPTOR = "datapackage.json"
_TABLE = re.compile(r"\[\[?[\w\"' .-]+\]\]?\s*(#.*)?")
_KEY = re.compile(r"[\w\"'.-]+\s*=")
_HEADERS: tuple[tuple[FileKind, frozenset[str]], ...] = (
    ("jars", frozenset({"jar", "reading"})),
    ("past", frozenset({"date", "ph"})),
    ("pairs", frozenset({"probe", "slurry"})),
)
_FOR = {
    "worksheet": "is a worksheet of a bench day: slurrycalc run {}",
    "jars": "holds the jars of one bench day: slurrycalc run {} "
    "--buffer 7.00=7.04@21C --buffer 4.01=4.06@21C",
    "past": "holds past readings, each a date and its pH: slurrycalc import {}",
    "pairs": "holds pairs of a probe and slurries: slurrycalc compare --pairs {}",
    "package": "is an exported record: slurrycalc import {}",
}


def file_kind(data: bytes) -> FileKind | None:
    r"""Tell what a file holds by how it starts; None where that cannot be told.

    Examples
    --------
    >>> file_kind(b"# a day\n[meter]\nshows = 'pH'"), file_kind(b"jar;reading\n"), file_kind(b"Date,pH\n")
    ('worksheet', 'jars', 'past')
    """
    if data.startswith(b"PK"):
        return "package" if DESCRIPTOR.encode() in data else None
    lines = (line.strip() for line in data[:START].decode("utf-8-sig", errors="replace").splitlines())
    first = next((line for line in lines if line and not line.startswith("#")), "")
    if _TABLE.fullmatch(first) or _KEY.match(first):
        return "worksheet"
    cells = {cell.strip(" \"'").casefold() for cell in re.split(r"[,;\t|]", first)}
    return next((kind for kind, header in _HEADERS if header <= cells), None)


def refuse_other(path: str, data: bytes, *wanted: FileKind) -> FileKind | None:
    r"""Refuse a file that another command is for; give what it holds, None where that cannot be told.

    Raises
    ------
    Refusal
        With the command.

    Examples
    --------
    >>> refuse_other("old.csv", b"date,ph\n2024-05-04,5.41\n", "worksheet", "jars")
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: `old.csv` holds past readings, each a date and its pH: slurrycalc
    import old.csv.
    """
    kind = file_kind(data)
    if kind is not None and kind not in wanted:
        raise _is_for(path, kind)
    return kind


def refuse_package(path: str) -> None:
    """Refuse the folder of an exported record where a file is wanted."""
    there = False
    with suppress(OSError, ValueError):
        there = (Path(path) / DESCRIPTOR).is_file()
    if there:
        raise _is_for(path, "package")


def _is_for(path: str, kind: FileKind) -> Refusal:
    return Refusal(f"{quoted(Path(path).name)} {_FOR[kind].format(shlex.quote(path))}.")
