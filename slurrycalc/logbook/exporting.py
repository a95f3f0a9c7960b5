"""Taking the whole record out as open files: a folder or an archive of tables with a descriptor."""

from __future__ import annotations

import csv
import datetime
import io
import os
import shutil
import zipfile
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import msgspec

from slurrycalc.logbook.descriptor import NAME, descriptor, file_of
from slurrycalc.logbook.faults import LogbookFault
from slurrycalc.logbook.forms import TABLES
from slurrycalc.logbook.refs import STAMP, UTC
from slurrycalc.logbook.store import Logbook, put_in_place
from slurrycalc.logbook.uids import Everywhere
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

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
class Exported:
    """What was written."""

    path: Path
    entries: int
    rows: int
    """In all tables."""


def export(book: Logbook, path: Path, now: datetime.datetime) -> Exported:
    """Write the whole record to a folder, or to an archive where the name ends in ``.zip``.

    Parameters
    ----------
    book : Logbook
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
    files, rows = _files(book)
    made = descriptor(files, now.astimezone(UTC).strftime(STAMP))
    files = {NAME: msgspec.json.format(msgspec.json.encode(made), indent=2) + b"\n", **files}
    beside = path.with_name(f".{path.name}.{os.urandom(4).hex()}.new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.suffix.casefold() == ".zip":
            _archive(beside, files)
            if not put_in_place(beside, path):
                raise Refusal(f"{quoted(str(path), 200)} is there already; name a file that is not.")
        else:
            _folder(beside, files)
            beside.replace(path)
    except OSError as error:
        raise LogbookFault(f"`{path}` cannot be written ({error.strerror or error}).") from error
    finally:
        shutil.rmtree(beside, ignore_errors=True)
        with suppress(OSError):
            beside.unlink(missing_ok=True)
    return Exported(path, len(book.rows("SELECT id FROM entry")), rows)


def _is_taken(path: Path) -> bool:
    try:
        return path.exists() and not (path.is_dir() and not any(path.iterdir()))
    except OSError as error:
        raise LogbookFault(f"`{path}` cannot be written ({error.strerror or error}).") from error


def _files(book: Logbook) -> tuple[dict[str, bytes], int]:
    """Write every table, all as they are at one moment."""
    files, count = {}, 0
    with book.snapshot():
        everywhere = Everywhere(book)
        for table in TABLES:
            columns, order = ", ".join(table.names), ", ".join(table.key)
            rows = book.rows(f"SELECT {columns} FROM {table.name} ORDER BY {order}")
            count += len(rows)
            files[file_of(table)] = _csv(table.names, everywhere.outside(table, rows))
    return files, count


def _csv(names: Sequence[str], rows: Iterable[Sequence[Any]]) -> bytes:
    text = io.StringIO(newline="")
    # Lines end as RFC 4180 has it; so a cell that holds either line end is put in quotes, and comes back.
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(names)
    writer.writerows(rows)
    return text.getvalue().encode()


def _folder(path: Path, files: dict[str, bytes]) -> None:
    path.mkdir()
    for name, data in files.items():
        (path / name).write_bytes(data)


def _archive(path: Path, files: dict[str, bytes]) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            info = zipfile.ZipInfo(name, EARLIEST)
            info.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(info, data)
