"""A technician's table: CSV with a row a jar, or a row a pair."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass

from slurrycalc.day.bench.names import near, plain_name
from slurrycalc.day.bench.worksheet import JarEntry, read_text
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

MOST_ROWS = 50_000
"""Rows of a table that are still read."""

JAR_COLUMNS = ("jar", "enclosure", "buffer", "reading", "temperature", "probe", "spot", "note")


@dataclass(frozen=True, slots=True)
class HeldBack:
    """A row that cannot stand. The others do."""

    row: int
    """As a spreadsheet counts: the header is row 1."""
    text: str


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table; an empty cell is None."""

    number: int
    """As a spreadsheet counts: the header is row 1."""
    cells: Mapping[str, str | None]


@dataclass(frozen=True, slots=True)
class Table:
    """The rows that were read, and those that could not be."""

    rows: tuple[Row, ...]
    held_back: tuple[HeldBack, ...]


@dataclass(frozen=True, slots=True)
class JarTable:
    """Jars of a table and the enclosures that they name, in the table's order."""

    jars: tuple[JarEntry, ...]
    rows: tuple[int, ...]
    """Row number of each jar."""
    enclosures: tuple[str, ...]
    held_back: tuple[HeldBack, ...]


def read_table(data: bytes, name: str, columns: tuple[str, ...], required: tuple[str, ...]) -> Table:
    """Read a table with a header, as spreadsheets write it.

    Cells are parted by commas, semicolons or tabs, whichever the header uses; a byte order mark and any kind
    of line end are taken. Empty rows are passed over.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        Its name, for sentences about it.
    columns : tuple of str
        Known columns. A column of any other name is refused, since a misspelt one would be missed.
    required : tuple of str
        Those that must be there; the order of columns is free.

    Returns
    -------
    Table
        The rows, and those whose number of cells differs from the header's, held back.

    Raises
    ------
    Refusal
        If the file is no text, no CSV, a column is missing, unknown or there twice, or there are no rows or
        too many.

    Examples
    --------
    >>> text = "probe;slurry" + chr(10) + "5,9;5,41" + chr(10)
    >>> read_table(text.encode(), "pairs.csv", ("probe", "slurry"), ("probe",)).rows
    (Row(number=2, cells={'probe': '5,9', 'slurry': '5,41'}),)
    """
    text = read_text(data, name, f"begin it with a header like {','.join(columns)}")
    first = text.lstrip().split("\n", 1)[0]
    delimiter = max(",;\t", key=first.count)
    rows: list[Row] = []
    held_back: list[HeldBack] = []
    header: list[str] | None = None
    number = 0
    records = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        for number, cells in enumerate(records, 1):
            while cells and not cells[-1].strip() and (header is None or len(cells) > len(header)):
                cells.pop()
            if not any(cell.strip() for cell in cells):
                continue
            if header is None:
                header = _header(cells, f"{name}, row {number}", columns, required)
            elif len(cells) != len(header):
                held_back.append(HeldBack(number, _uneven(len(cells), len(header), delimiter)))
            else:
                rows.append(Row(number, {k: c.strip() or None for k, c in zip(header, cells, strict=True)}))
            if len(rows) > MOST_ROWS:
                raise Refusal(f"more than {MOST_ROWS} rows; give the table in parts.", name)
    except csv.Error as wrong:
        raise Refusal(
            f'the row is no CSV ({wrong}); a cell in quotes ends with a quote, "left, front".',
            f"{name}, row {number + 1}",
        ) from None
    if not rows and not held_back:
        raise Refusal(f"there is no row under the header; a row has {', '.join(header or columns)}.", name)
    return Table(tuple(rows), tuple(held_back))


def _uneven(cells: int, columns: int, delimiter: str) -> str:
    comma = " (a decimal comma? write 5.41, or part the cells by semicolons)" if delimiter == "," else ""
    return f"{cells} cells where the header has {columns}{comma}."


def _header(cells: list[str], place: str, columns: tuple[str, ...], required: tuple[str, ...]) -> list[str]:
    """Hold the header to the known columns."""
    header = [cell.strip().casefold() for cell in cells]
    right = f"write the header like {','.join(columns)}."
    if "reading" in columns and "reading" not in header and {"date", "ph"} <= set(header):
        raise Refusal("these are past readings, each a date and its pH, for slurrycalc import.", place)
    for cell, column in zip(cells, header, strict=True):
        if column not in columns:
            meant = near(column, columns)
            guess = f"did you mean {meant}? Then " if meant else ""
            raise Refusal(f"no column is called {quoted(cell)}; {guess}{right}", place)
        if header.count(column) > 1:
            raise Refusal(f"column {quoted(column)} is there twice; {right}", place)
    for column in required:
        if column not in header:
            raise Refusal(f"column {quoted(column)} is missing; {right}", place)
    return header


def read_jars(data: bytes, name: str = "day.csv") -> JarTable:
    """Read a table with a row a jar.

    The columns are ``jar,enclosure,reading,temperature,probe,note``; all but ``jar`` and ``reading`` may be
    left out, and ``spot`` may be added. Without an enclosure column each jar stands for itself. A row with a
    ``buffer`` instead of an enclosure is a check bottle that was read among the jars.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        Its name, for sentences about it.

    Returns
    -------
    JarTable
        What it declares. Whether its readings can stand is judged with the calibration at hand.

    Raises
    ------
    Refusal
        If the table itself cannot be read; a single row is held back instead.

    Examples
    --------
    >>> text = "jar,enclosure,reading" + chr(10) + "A1,window,5.41" + chr(10) + "A2,,5.43" + chr(10)
    >>> table = read_jars(text.encode())
    >>> table.jars[0].label, table.held_back[0].row, table.held_back[0].text
    ('A1', 3, 'jar A2 has no enclosure; name the one that it was taken from.')
    """
    table = read_table(data, name, JAR_COLUMNS, ("jar", "reading"))
    jars: list[JarEntry] = []
    numbers: list[int] = []
    spellings: dict[str, str] = {}
    held_back = list(table.held_back)
    for row in table.rows:
        try:
            jars.append(_jar(row.cells, spellings))
        except Refusal as refusal:
            held_back.append(HeldBack(row.number, refusal.sentence))
        else:
            numbers.append(row.number)
    return JarTable(tuple(jars), tuple(numbers), tuple(spellings.values()), tuple(held_back))


def _jar(cells: Mapping[str, str | None], spellings: dict[str, str]) -> JarEntry:
    """Take a jar, or a check bottle, from a row; an enclosure is held to the spelling that it had first."""
    buffer = cells.get("buffer")
    return JarEntry(
        label=cells["jar"],
        enclosure=_enclosure(cells, spellings) if buffer is None else cells.get("enclosure"),
        buffer=buffer,
        shows=cells["reading"],
        temperature=cells.get("temperature"),
        spot=cells.get("spot"),
        probe=cells.get("probe"),
        note=cells.get("note") or "",
    )


def _enclosure(cells: Mapping[str, str | None], spellings: dict[str, str]) -> str:
    label = cells["jar"]
    if label is None:
        raise Refusal("the row has no jar; give each jar a label such as A1.")
    typed = cells.get("enclosure", label)
    if typed is None:
        raise Refusal(f"jar {label} has no enclosure; name the one that it was taken from.")
    enclosure = plain_name(typed, "enclosure", "window")
    spelt = spellings.setdefault(enclosure.casefold(), enclosure)
    if spelt != enclosure:
        what = f"enclosure {quoted(enclosure)} is spelt {quoted(spelt)} further up"
        raise Refusal(f"{what}; write one of the two.")
    return enclosure
