"""Taking the whole record out as open files: a folder or an archive of tables with a descriptor."""

from __future__ import annotations

import csv
import datetime
import hashlib
import io
import shutil
import zipfile
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import msgspec

from slurrycalc.logbook.columns import TableShape
from slurrycalc.logbook.descriptor import NAME, FileSum, descriptor, file_of
from slurrycalc.logbook.disk import beside, put_in_place
from slurrycalc.logbook.faults import LogbookFault, translated
from slurrycalc.logbook.forms import TABLES
from slurrycalc.logbook.refs import STAMP, UTC
from slurrycalc.logbook.store import Store
from slurrycalc.logbook.tables import harmless
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.results import Result

_OWN_IMPORTS = (
    "SELECT entry FROM arrival WHERE entry NOT IN (SELECT target_entry FROM void) "
    "AND entry NOT IN (SELECT entry FROM setting) AND entry NOT IN (SELECT target FROM arrival)"
)
"""How what is here came in, where nothing rests on that: no part of the record that is handed on."""
_HANDED_ON = {
    "entry": f"WHERE t.id NOT IN ({_OWN_IMPORTS})",
    "arrival": f"WHERE t.entry NOT IN ({_OWN_IMPORTS})",
}
AT_ONCE = 2000
"""Rows that are held in memory at a time (our own figure)."""
EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The date that archived files bear, so that the same record gives the same bytes."""

OF_ONE_FILE = frozenset(
    {
        *(".csv", ".tsv", ".txt", ".json", ".xls", ".xlsx", ".ods", ".toml"),
        *(".sqlite", ".sqlite3", ".db", ".gz", ".tar", ".tgz", ".7z", ".rar"),
    }
)
"""Ends of names that nobody gives to a folder."""


@dataclass(frozen=True)
class Exported(Result):
    """What was written."""

    path: Path
    entries: int
    rows: int
    """In all tables."""

    def _body(self) -> str:
        return f"{self.rows} rows of {self.entries} entr{'y' if self.entries == 1 else 'ies'}, in {self.path}"



def export(book: Store, path: Path, now: datetime.datetime) -> Exported:
    """Write the whole record to a folder, or to an archive where the name ends in ``.zip``.

    Parameters
    ----------
    book : Store
    path : Path
        Of the folder or the archive, which must not be there yet; an empty folder may.
    now : datetime
        The present, with its offset from UTC.

    Returns
    -------
    Exported
        What was written. It is there whole or not at all.

    Raises
    ------
    Refusal
        If something is there already, or the name is that of a single file.
    LogbookFault
        If it cannot be written.
    """
    if path.suffix.casefold() in OF_ONE_FILE:
        bare = quoted(str(path.with_suffix("")), 200)
        raise Refusal(
            f"{quoted(str(path), 200)} would be a folder, since the record is many tables; name a folder "
            f"such as {bare}, or an archive such as {bare[:-1]}.zip`."
        )
    if _is_taken(path):
        raise Refusal(f"{quoted(str(path), 200)} is there already; name a file or folder that is not.")
    made = beside(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.suffix.casefold() == ".zip":
            with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
                rows = _written(book, now, lambda name: _in_archive(archive, name))
            if not put_in_place(made, path):
                raise Refusal(f"{quoted(str(path), 200)} is there already; name a file that is not.")
        else:
            made.mkdir()
            rows = _written(book, now, lambda name: (made / name).open("wb"))
            made.replace(path)
    except OSError as error:
        raise LogbookFault(f"`{path}` cannot be written ({error.strerror or error}).") from error
    finally:
        shutil.rmtree(made, ignore_errors=True)
        with suppress(OSError):
            made.unlink(missing_ok=True)
    return Exported(path, rows["entry"], sum(rows.values()))


def _is_taken(path: Path) -> bool:
    try:
        return path.exists() and not (path.is_dir() and not any(path.iterdir()))
    except OSError as error:
        raise LogbookFault(f"`{path}` cannot be written ({error.strerror or error}).") from error


def _written(book: Store, now: datetime.datetime, new: Callable[[str], IO[bytes]]) -> dict[str, int]:
    """Write every table, all as they are at one moment, then the descriptor; count the rows of each."""
    files, rows = {}, {}
    with translated(book.path), book.snapshot():
        for table in TABLES:
            with new(file_of(table)) as file:
                files[file_of(table)], rows[table.name] = _table(book, table, file)
    made = descriptor(files, now.astimezone(UTC).strftime(STAMP))
    with new(NAME) as file:
        file.write(msgspec.json.format(msgspec.json.encode(made), indent=2) + b"\n")
    return rows


def _table(book: Store, table: TableShape, file: IO[bytes]) -> tuple[FileSum, int]:
    """Write a table, some rows at a time."""
    columns = [
        f"(SELECT uid FROM {column.to} WHERE id = t.{column.name})" if column.to else f"t.{column.name}"
        for column in table.columns
    ]
    order = ", ".join(f"t.{name}" for name in table.key)
    some_only = _HANDED_ON.get(table.name, "")
    found = book.connection.execute(
        f"SELECT {', '.join(columns)} FROM {table.name} t {some_only} ORDER BY {order}"
    )
    texts = [at for at, column in enumerate(table.columns) if column.is_text]
    digest, size, count = hashlib.sha256(), 0, 0
    some: Sequence[Sequence[Any]] = [table.names]
    while some:
        text = io.StringIO(newline="")
        # Lines end as RFC 4180 has it; so a cell that holds either line end is put in quotes, and comes back.
        csv.writer(text, lineterminator="\r\n").writerows(some)
        data = text.getvalue().encode()
        file.write(data)
        digest.update(data)
        size += len(data)
        some = [_harmless(row, texts) for row in found.fetchmany(AT_ONCE)]
        count += len(some)
    return FileSum(size, digest.hexdigest()), count


def _harmless(row: Sequence[Any], texts: Sequence[int]) -> list[Any]:
    cells = list(row)
    for at in texts:
        if cells[at] is not None:
            cells[at] = harmless(cells[at])
    return cells


def _in_archive(archive: zipfile.ZipFile, name: str) -> IO[bytes]:
    info = zipfile.ZipInfo(name, EARLIEST)
    info.compress_type = zipfile.ZIP_DEFLATED
    return archive.open(info, "w", force_zip64=True)
