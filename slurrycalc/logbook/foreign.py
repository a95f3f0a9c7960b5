"""Reading a table of past readings that somebody kept elsewhere, under columns of any names."""

from __future__ import annotations

import csv
import datetime
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal

from slurrycalc.logbook import cells as said
from slurrycalc.logbook.packages import BadRow
from slurrycalc.metrology.names import near, plain_name
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import magnitude

COLUMNS = ("date", "ph", "enclosure", "time", "plus_minus", "jar", "spot", "probe", "note")
"""What can be read: the day, the slurry's pH, where, when, its 95 % half-width, and what else was noted."""
REQUIRED = ("date", "ph")
K95 = 1.959963984540054
"""Half-width of a 95 % interval over its standard uncertainty. JCGM 100:2008 (GUM), table G.1."""
Order = Literal["ymd", "dmy", "mdy"]


@dataclass(frozen=True, slots=True)
class PastReading:
    """One past reading."""

    row: int
    """As a spreadsheet counts: the header is row 1."""
    day: datetime.date
    time: datetime.time | None
    enclosure: str | None
    ph: float
    """[pH]"""
    u: float | None
    """Standard uncertainty, if one was stated. [pH]"""
    label: str | None
    spot: str | None
    probe: float | None
    """What the probe showed at the same spot. [pH]"""
    note: str | None


@dataclass(frozen=True)
class Foreign:
    """What a table of past readings holds."""

    name: str
    readings: tuple[PastReading, ...]
    bad: tuple[BadRow, ...]
    """Rows that cannot be read."""


def read_foreign(
    data: bytes, name: str, columns: Mapping[str, str] | None = None, order: Order | None = None
) -> Foreign:
    """Read a table of past readings.

    Parameters
    ----------
    data : bytes
        The whole file: cells parted by commas, semicolons or tabs.
    name : str
        Its name, for sentences about it.
    columns : mapping, optional
        What each of `COLUMNS` is called there; by default the same, capitals aside. Others are passed over.
    order : {"ymd", "dmy", "mdy"}, optional
        In which order dates are written; by default year first, or as the whole column proves.

    Returns
    -------
    Foreign
        Its readings, and the rows that cannot be read.

    Raises
    ------
    Refusal
        If the file is no table, a column is not there, or the order of its dates cannot be told.

    Examples
    --------
    >>> table = "Date;pH;Case" + chr(10) + "2023-05-04;5,41;atlas" + chr(10)
    >>> found = read_foreign(table.encode(), "old.csv", {"enclosure": "Case"})
    >>> found.readings[0].ph, found.readings[0].enclosure
    (5.41, 'atlas')
    """
    header, rows = _rows(_text(data, name), name)
    at = _places(header, columns or {}, name)
    bad = [
        BadRow(name, number, f"{len(row)} cells where the header has {len(header)}")
        for number, row in rows
        if len(row) != len(header)
    ]
    whole = [(number, row) for number, row in rows if len(row) == len(header)]
    dates = [row[at["date"]].strip() for _, row in whole]
    order = _order(dates, name) if order is None else order
    readings = []
    for number, row in whole:
        cells = {key: row[place].strip() for key, place in at.items()}
        try:
            readings.append(_reading(number, cells, order))
        except Refusal as refusal:
            bad.append(BadRow(name, number, refusal.sentence.rstrip(".")))
    return Foreign(name, tuple(readings), tuple(sorted(bad, key=lambda one: one.row)))


def _text(data: bytes, name: str) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Refusal("the file is UTF-16 text; save it as UTF-8.", name)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        line = data.count(b"\n", 0, wrong.start) + 1
        why = f"byte {data[wrong.start]:#04x} is no UTF-8 text; save the table as CSV in UTF-8."
        raise Refusal(why, f"{name}, line {line}") from None
    if not text.strip():
        raise Refusal("the file is empty; a table has a header and a row a reading.", name)
    if "\0" in text:
        raise Refusal("the file holds zero bytes, so it is no text; save the table as CSV in UTF-8.", name)
    return text


def _rows(text: str, name: str) -> tuple[list[str], list[tuple[int, list[str]]]]:
    """Part a table into its header and its rows, with their numbers."""
    first = text.lstrip().partition("\n")[0]
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=max(",;\t", key=first.count), strict=True)
    found = []
    number = 0
    try:
        for number, row in enumerate(lines, 1):
            if any(map(str.strip, row)):
                found.append((number, row))
    except csv.Error as wrong:
        raise Refusal(f"the row is no CSV ({wrong}).", f"{name}, row {number + 1}") from None
    header = [cell.strip() for cell in found[0][1]] if found else []
    if len(found) < 2:
        raise Refusal("there is no row under the header.", name)
    return header, found[1:]


def _places(header: Sequence[str], columns: Mapping[str, str], name: str) -> dict[str, int]:
    """Find where each column lies."""
    for key in columns:
        if key not in COLUMNS:
            meant = near(key, COLUMNS)
            guess = f"did you mean {meant}?" if meant else f"what can be read: {', '.join(COLUMNS)}."
            raise Refusal(f"nothing called {quoted(key)} can be read; {guess}")
    levelled = [cell.casefold() for cell in header]
    at = {}
    for key in COLUMNS:
        called = columns.get(key, key)
        count = levelled.count(called.casefold())
        if count > 1:
            raise Refusal(f"column {quoted(called)} is there twice.", name)
        if count == 1:
            at[key] = levelled.index(called.casefold())
        elif key in columns or key in REQUIRED:
            there = ", ".join(quoted(cell) for cell in header[:12])
            right = f"--columns {key}={near(called, header) or header[0]}"
            raise Refusal(f"no column is called {quoted(called)} among {there}; write {right}.", name)
    return at


_DATE = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ](\d{1,2}:\d{2}(?::\d{2})?)(?:\.\d+)?Z?)?", re.ASCII)
_PARTED = re.compile(r"(\d{1,4})[./-](\d{1,2})[./-](\d{1,4})", re.ASCII)


def _order(dates: Sequence[str], name: str) -> Order:
    """Tell in which order a column writes its dates, if it proves it."""
    parted = [found for found in map(_PARTED.fullmatch, dates) if found and len(found[1]) < 4]
    if not parted:
        return "ymd"
    days_first = any(int(found[1]) > 12 for found in parted)
    months_first = any(int(found[2]) > 12 for found in parted)
    if days_first == months_first:
        shown = quoted(parted[0][0])
        raise Refusal(
            f"the date {shown} can be read in two ways, and no other row tells which; say --dates dmy where "
            "days come first, --dates mdy where months do.",
            name,
        )
    return "dmy" if days_first else "mdy"


def _reading(number: int, cells: Mapping[str, str], order: Order) -> PastReading:
    day, time = _when(cells["date"], order)
    if cells.get("time"):
        time = _time(cells["time"])
    ph, half_width = _ph(cells["ph"])
    if cells.get("plus_minus"):
        half_width = _half_width(cells["plus_minus"])
    enclosure, label = cells.get("enclosure"), cells.get("jar")
    return PastReading(
        number,
        day,
        time,
        plain_name(enclosure, "enclosure", "atlas") if enclosure else None,
        ph,
        None if half_width is None else half_width / K95,
        plain_name(label, "jar", "A1") if label else None,
        said.note(cells.get("spot")),
        magnitude(cells["probe"], "ph") if cells.get("probe") else None,
        said.note(cells.get("note")),
    )


@cache
def _when(text: str, order: Order) -> tuple[datetime.date, datetime.time | None]:
    found = _DATE.fullmatch(text)
    if found:
        return _date(text, found[1], found[2], found[3]), _time(found[4]) if found[4] else None
    parted = _PARTED.fullmatch(text)
    if not parted:
        raise Refusal(f"{quoted(text)} is no date; write one such as 2024-05-04.")
    parts = dict(zip(order, parted.groups(), strict=True))
    if len(parted[1]) == 4:
        parts = dict(zip("ymd", parted.groups(), strict=True))
    return _date(text, parts["y"], parts["m"], parts["d"]), None


def _date(text: str, year: str, month: str, day: str) -> datetime.date:
    if len(year) != 4:
        raise Refusal(f"{quoted(text)} has a year of {len(year)} digits; write it with four.")
    try:
        return datetime.date(int(year), int(month), int(day))
    except ValueError:
        raise Refusal(f"{quoted(text)} is no day of the calendar; write one such as 2024-05-04.") from None


@cache
def _time(text: str) -> datetime.time:
    try:
        hour, minute, *_ = map(int, text.split(":"))
        return datetime.time(hour, minute)
    except ValueError:
        raise Refusal(f"{quoted(text)} is no time of day; write one such as 14:30.") from None


@cache
def _ph(text: str) -> tuple[float, float | None]:
    """Read a pH, with the half-width of its 95 % interval where one stands behind it."""
    for sign in ("±", "+-", "+/-"):
        value, found, half_width = text.partition(sign)
        if found:
            return magnitude(value.strip(), "ph"), _half_width(half_width.strip())
    return magnitude(text, "ph"), None


@cache
def _half_width(text: str) -> float:
    value = magnitude(text, "number")
    if not 0.0 < value <= 3.0:
        raise Refusal(f"{quoted(text)} cannot be the half-width of a pH's interval; write one such as 0.20.")
    return value
