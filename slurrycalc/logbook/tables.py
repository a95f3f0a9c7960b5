"""Tables of any size, read row by row: no more of a file is held than one row of it."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator
from contextlib import suppress
from typing import BinaryIO

from slurrycalc.metrology.remark import Refusal

LONGEST_ROW = 1_000_000
"""Characters of a row that is still read (our own figure): no table of ours comes near, a note has 500."""
_BLOCK = 1_000_000
"""Bytes that are looked through at a time."""

_RUNS = re.compile(r"'*(\s*[=+\-@＝＋－＠]|[\t\r\n])")
"""How a cell begins that a spreadsheet takes for a formula: common practice, the wide signs among them."""
_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?([eE][+-]?[0-9]+)?")

DEEPEST = 32
"""Brackets within brackets of a JSON text that is still read; ours has four (our own figure)."""


class RowTooLong(Refusal):
    """A row that is longer than any row of a table."""

    def __init__(self) -> None:
        super().__init__(f"a row is longer than {LONGEST_ROW} characters, so it is no row of a table.")


def lines(file: BinaryIO, name: str) -> Iterator[str]:
    r"""Give the lines of a text file from its start, each with its end.

    Parameters
    ----------
    file : file
        Open for reading bytes; it can be read from its start again.
    name : str
        Its name, for sentences about it.

    Yields
    ------
    str
        The next line.

    Raises
    ------
    Refusal
        If the file is no text in UTF-8, or a line is longer than any row of a table.

    Examples
    --------
    >>> list(lines(io.BytesIO(b"date,ph" + bytes([13, 10]) + b"2024-05-04,5.41"), "old.csv"))
    ['date,ph\r\n', '2024-05-04,5.41']
    """
    file.seek(0)
    if file.read(2) in (b"\xff\xfe", b"\xfe\xff"):
        raise Refusal("the file is UTF-16 text; save it as UTF-8.", name)
    file.seek(0)
    text = io.TextIOWrapper(file, "utf-8-sig", newline="")
    try:
        for line in short(text):
            if "\0" in line:
                raise Refusal(
                    "the file holds zero bytes, so it is no text; save the table as CSV in UTF-8.", name
                )
            yield line
    except UnicodeDecodeError:
        raise Refusal(*_no_text(file, name)) from None
    finally:
        # The file is its owner's, who may have closed it meanwhile.
        with suppress(ValueError):
            text.detach()


def short(text: io.TextIOWrapper) -> Iterator[str]:
    """Give lines, and refuse one that is longer than any row of a table."""
    while line := text.readline(LONGEST_ROW + 1):
        if len(line) > LONGEST_ROW:
            raise RowTooLong
        yield line


def _no_text(file: BinaryIO, name: str) -> tuple[str, str]:
    """Say which byte is no text, and in which line it stands."""
    file.seek(0)
    line, rest = 1, b""
    while block := file.read(_BLOCK):
        data = rest + block
        try:
            data.decode("utf-8")
            rest = b""
        except UnicodeDecodeError as wrong:
            if len(data) - wrong.start >= 4:  # no character has more bytes
                line += data.count(b"\n", 0, wrong.start)
                return _byte(data[wrong.start]), f"{name}, line {line}"
            data, rest = data[: wrong.start], data[wrong.start :]
        line += data.count(b"\n")
    return _byte(rest[0]), f"{name}, line {line}"


def _byte(byte: int) -> str:
    return f"byte {byte:#04x} is no UTF-8 text; save the table as CSV in UTF-8."


def rows(text: Iterable[str], delimiter: str = ",") -> Iterator[list[str]]:
    r"""Give the rows of a CSV; a row in quotes may go over several lines.

    Parameters
    ----------
    text : iterable of str
        Its lines.
    delimiter : str
        What parts the cells.

    Yields
    ------
    list of str
        The cells of the next row.

    Raises
    ------
    Refusal
        If a row is longer than any row of a table.
    csv.Error
        If a row is no CSV.

    Examples
    --------
    >>> list(rows(["a,b" + chr(10), '"1' + chr(10), '2",3']))
    [['a', 'b'], ['1\n2', '3']]
    """
    taken = 0

    def counted() -> Iterator[str]:
        nonlocal taken
        for line in text:
            taken += len(line)
            if taken > LONGEST_ROW:
                raise RowTooLong
            yield line

    for row in csv.reader(counted(), delimiter=delimiter, strict=True):
        taken = 0
        yield row


def delimiter_of(text: Iterable[str], name: str) -> str:
    """Tell by the first line that is not blank what parts the cells of a table.

    Parameters
    ----------
    text : iterable of str
        The lines of the table.
    name : str
        Its name, for a sentence about it.

    Returns
    -------
    str
        A comma, a semicolon or a tab, whichever stands there most often.

    Raises
    ------
    Refusal
        If there is no such line.

    Examples
    --------
    >>> delimiter_of(["", "date;ph;note, if any"], "old.csv")
    ';'
    """
    for line in text:
        if line.strip():
            return max(",;\t", key=line.lstrip().count)
    raise Refusal("the file is empty; a table has a header and a row a reading.", name)


def harmless(text: str) -> str:
    """Give a text as a cell that no spreadsheet runs.

    Parameters
    ----------
    text : str
        As somebody typed it.

    Returns
    -------
    str
        The same; with an apostrophe in front where it would be taken for a formula. Numbers stay numbers.

    Examples
    --------
    >>> harmless("=1+1"), harmless("-30"), harmless("- wiped"), harmless("'=1"), harmless("it's dry")
    ("'=1+1", '-30', "'- wiped", "''=1", "it's dry")
    """
    return f"'{text}" if _RUNS.match(text) and not _NUMBER.fullmatch(text) else text


def as_typed(cell: str) -> str:
    """Give back the text of which `harmless` made a cell.

    Parameters
    ----------
    cell : str
        As it stands in an exported table.

    Returns
    -------
    str
        As somebody typed it.

    Examples
    --------
    >>> as_typed("'=1+1"), as_typed("-30"), as_typed("''=1"), as_typed("'s dry")
    ('=1+1', '-30', "'=1", "'s dry")
    """
    return cell[1:] if cell.startswith("'") and _RUNS.match(cell) else cell


def nested(text: str) -> bool:
    """Tell whether a JSON text has more brackets within brackets than any of ours.

    Parameters
    ----------
    text : str
        Nothing is decoded: a deep one would be too much for that.

    Returns
    -------
    bool

    Examples
    --------
    >>> nested('{"a": [[1], [2]]}'), nested("[" * 100), nested('"' + "[" * 100 + '"')
    (False, True, False)
    """
    if text.count("[") + text.count("{") <= DEEPEST:
        return False
    depth = 0
    for bracket in _BRACKETS.finditer(text):
        if bracket[0] in "[{":
            depth += 1
            if depth > DEEPEST:
                return True
        elif bracket[0] in "]}":
            depth -= 1
    return False


_BRACKETS = re.compile(r'"(?:[^"\\]|\\.)*"|[\[\]{}]', re.DOTALL)
"""A bracket, or a string, which is passed over with those in it."""
