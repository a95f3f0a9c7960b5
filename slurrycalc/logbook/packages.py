"""Reading an exported logbook: its files, held to their descriptor, as rows of values."""

from __future__ import annotations

import csv
import hashlib
import io
import zipfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import msgspec

from slurrycalc.logbook import schema
from slurrycalc.logbook.columns import Column, Table
from slurrycalc.logbook.descriptor import NAME, file_of
from slurrycalc.logbook.faults import LogbookFault
from slurrycalc.logbook.forms import TABLES
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

LARGEST = 2_000_000_000
"""Size of an exported logbook that is still read, unpacked. [bytes]"""
MOST_TOLD = 20
"""Bad rows that are told one by one."""


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row that cannot be read or cannot stand."""

    file: str
    row: int
    """As a spreadsheet counts: the header is row 1."""
    text: str

    def __str__(self) -> str:
        return f"{self.file}, row {self.row}: {self.text}"


class BadRows(Refusal):
    """Rows that cannot be read or cannot stand; nothing was imported.

    Parameters
    ----------
    name : str
        Of the file or folder.
    rows : sequence of BadRow
        All of them.
    """

    def __init__(self, name: str, rows: Sequence[BadRow]) -> None:
        told = "; ".join(str(row) for row in rows[:MOST_TOLD])
        more = f"; and {len(rows) - MOST_TOLD} more" if len(rows) > MOST_TOLD else ""
        count = "1 row" if len(rows) == 1 else f"{len(rows)} rows"
        super().__init__(f"{count} of {quoted(name)} cannot stand, so nothing was imported: {told}{more}.")
        self.rows = tuple(rows)


Columns = list[Sequence[Any]]
"""A table, column by column."""


def read_package(path: Path) -> dict[str, Columns]:
    """Read an exported logbook.

    Parameters
    ----------
    path : Path
        Of the folder, its descriptor, or the archive.

    Returns
    -------
    dict
        Name of each table to its columns, pointing to entries and things by uid.

    Raises
    ------
    Refusal
        If it is no exported logbook, a file is missing or was changed, or a row cannot be read.
    LogbookFault
        If it cannot be opened.
    """
    try:
        read = _reader(path)
        form, made = _descriptor(read(NAME), path)
        bad: list[BadRow] = []
        tables: dict[str, Columns] = {
            # A table that came with a later form than the package's is one in which nothing was recorded.
            table.name: _table(table, read(file_of(table)), made, bad)
            if table.since <= form
            else [[] for _ in table.columns]
            for table in TABLES
        }
    except OSError as error:
        raise LogbookFault(f"`{path}` cannot be read ({error.strerror or error}).") from error
    if bad:
        raise BadRows(path.name, bad)
    return tables


def is_package(path: Path) -> bool:
    """Tell whether a path looks like an exported logbook rather than a table.

    Parameters
    ----------
    path : Path

    Returns
    -------
    bool
        True for a folder, an archive, or a descriptor.
    """
    return is_folder(path) or path.suffix.casefold() in (".zip", ".json")


def is_folder(path: Path) -> bool:
    """Tell whether a path is that of a folder; one that no file can have is not."""
    try:
        return path.is_dir()
    except OSError:
        return False


def _reader(path: Path) -> Callable[[str], bytes]:
    """Give a way to read the files by their names."""
    if path.name == NAME and path.is_file():
        path = path.parent
    if path.is_dir():
        return lambda name: _of_folder(path, name)
    try:
        with zipfile.ZipFile(path) as archive:
            if sum(info.file_size for info in archive.infolist()) > LARGEST:
                raise Refusal(
                    f"{quoted(str(path), 200)} holds more than any logbook does; nothing was imported."
                )
            known = {NAME, *(file_of(table) for table in TABLES)}
            files = {name: archive.read(name) for name in archive.namelist() if name in known}
    except (zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError) as error:
        raise Refusal(
            f"{quoted(str(path), 200)} is no archive that can be read ({error}); nothing was imported."
        ) from None
    return lambda name: _of_archive(files, path, name)


def _of_folder(path: Path, name: str) -> bytes:
    file = path / name
    if not file.is_file():
        raise Refusal(_missing(path, name))
    if file.stat().st_size > LARGEST:
        raise Refusal(f"{quoted(str(file), 200)} holds more than any logbook does; nothing was imported.")
    return file.read_bytes()


def _of_archive(files: Mapping[str, bytes], path: Path, name: str) -> bytes:
    if name not in files:
        raise Refusal(_missing(path, name))
    return files[name]


def _missing(path: Path, name: str) -> str:
    return f"{quoted(str(path), 200)} holds no `{name}`, so it is no exported logbook; nothing was imported."


def _descriptor(data: bytes, path: Path) -> tuple[int, dict[str, str]]:
    """Read the descriptor; give the form, and the hash that it states for each file."""
    try:
        made = msgspec.json.decode(data)
        form = made["slurrycalc"]["form"]
        hashes = {each["path"]: str(each.get("hash", "")) for each in made["resources"]}
    except (msgspec.DecodeError, KeyError, TypeError, AttributeError):
        raise Refusal(
            f"{quoted(str(path), 200)} has a `{NAME}` of another kind; nothing was imported."
        ) from None
    if not isinstance(form, int) or not 1 <= form <= schema.VERSION:
        raise Refusal(
            f"{quoted(str(path), 200)} was exported in form {form}, and this slurrycalc reads "
            f"up to {schema.VERSION}; update slurrycalc."
        )
    return form, hashes


def _table(table: Table, data: bytes, hashes: Mapping[str, str], bad: list[BadRow]) -> Columns:
    name = file_of(table)
    stated = hashes.get(name, "")
    if stated.startswith("sha256:") and hashlib.sha256(data).hexdigest() != stated.removeprefix("sha256:"):
        raise Refusal(f"`{name}` was changed or cut short since it was exported; nothing was imported.")
    try:
        lines = csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), strict=True)
        header = next(lines, [])
        if sorted(header) != sorted(table.names):
            raise Refusal(f"`{name}` has other columns than {', '.join(table.names)}; nothing was imported.")
        rows = list(lines)
    except (UnicodeDecodeError, csv.Error) as error:
        raise Refusal(f"`{name}` is no table that can be read ({error}); nothing was imported.") from None
    uneven = [i for i, row in enumerate(rows) if len(row) != len(header)]
    bad += [BadRow(name, i + 2, f"{len(rows[i])} cells where the header has {len(header)}") for i in uneven]
    if uneven or not rows:
        return [[] for _ in table.columns]
    cells = dict(zip(header, zip(*rows, strict=True), strict=True))
    return [_column(column, cells[column.name], name, bad) for column in table.columns]


def _column(column: Column, cells: Sequence[str], name: str, bad: list[BadRow]) -> Sequence[Any]:
    """Turn a column's cells into values."""
    kind = str if column.to else _KINDS.get(column.type, str)
    try:
        if kind is str:
            # An empty cell that may not be empty is refused by the logbook itself.
            return [cell or None for cell in cells]
        return [kind(cell) if cell else None for cell in cells]
    except ValueError:
        for i, cell in enumerate(cells):
            try:
                kind(cell or 0)
            except ValueError:
                bad.append(BadRow(name, i + 2, f"{quoted(cell)} is no {column.type} for {column.name}"))
        return [None] * len(cells)


_KINDS: Mapping[str, Callable[[Any], Any]] = {"integer": int, "boolean": int, "number": float}
