"""Tables of any size, read row by row: no more of a file is held than one row of it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from contextlib import suppress
from typing import BinaryIO

from slurrycalc.metrology.remark import Refusal

LONGEST_ROW = 1_000_000
"""Characters of a row that is still read (our own figure): no table of ours comes near, a note has 500."""
_BLOCK = 1_000_000
"""Bytes that are looked through at a time."""


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
