"""Reading a table of past readings that somebody kept elsewhere, under columns of any names."""

from __future__ import annotations

import csv
import datetime
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain, islice
from typing import BinaryIO, Literal

from slurrycalc.logbook import cells as said
from slurrycalc.logbook.packages import BadRow
from slurrycalc.logbook.tables import RowTooLong, delimiter_of, lines, rows
from slurrycalc.metrology.calendar import misdated
from slurrycalc.metrology.names import near, plain_name
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import magnitude

COLUMNS = ("date", "ph", "enclosure", "time", "plus_minus", "jar", "spot", "probe", "note")
"""What can be read: the day, the slurry's pH, where, when, its 95 % half-width, and what else was noted."""
REQUIRED = ("date", "ph")
K95 = 1.959963984540054
"""Half-width of a 95 % interval over its standard uncertainty. JCGM 100:2008 (GUM), table G.1."""
REMEMBERED = 10_000
"""Texts of a column of which it is remembered what they mean: most come again (our own figure)."""
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
    """A table of past readings, which is read from its file each time it is gone through."""

    name: str
    file: BinaryIO
    order: Order
    """In which order its dates are written."""
    columns: Mapping[str, int]
    """Where each column lies."""
    header: tuple[str, ...]
    """What the columns are called."""

    @property
    def width(self) -> int:
        """How many columns there are."""
        return len(self.header)

    def __iter__(self) -> Iterator[PastReading | BadRow]:
        below = islice(_rows(self.file, self.name), 1, None)
        return (self._read(number, row) for number, row in below)

    def _read(self, number: int, row: list[str]) -> PastReading | BadRow:
        if len(row) != self.width:
            return BadRow(self.name, number, f"{len(row)} cells where the header has {self.width}")
        try:
            return _reading(number, {key: row[at].strip() for key, at in self.columns.items()}, self.order)
        except Refusal as refusal:
            return BadRow(self.name, number, refusal.sentence.rstrip("."))


def read_foreign(
    file: BinaryIO, name: str, columns: Mapping[str, str] | None = None, order: Order | None = None
) -> Foreign:
    """Read a table of past readings, of any size.

    Parameters
    ----------
    file : file
        Open for reading bytes, and to stay so while its rows are taken: cells parted by commas, semicolons or
        tabs.
    name : str
        Its name, for sentences about it.
    columns : mapping, optional
        What each of `COLUMNS` is called there; by default the same, capitals aside. Others are passed over.
    order : {"ymd", "dmy", "mdy"}, optional
        In which order dates are written; by default year first, or as the whole column proves.

    Returns
    -------
    Foreign
        Its rows, each a reading or one that cannot be read.

    Raises
    ------
    Refusal
        If the file is no table, a column is not there, or the order of its dates cannot be told.

    Examples
    --------
    >>> import io
    >>> table = "Date;pH;Case" + chr(10) + "2023-05-04;5,41;atlas" + chr(10)
    >>> found, = read_foreign(io.BytesIO(table.encode()), "old.csv", {"enclosure": "Case"})
    >>> found.ph, found.enclosure
    (5.41, 'atlas')
    """
    numbered = _rows(file, name)
    top, first = next(numbered, None), next(numbered, None)
    if top is None or first is None:
        raise Refusal("there is no row under the header.", name)
    header = [cell.strip() for cell in top[1]]
    at = _places(header, columns or {}, name)
    if order is None:
        whole = (row for _, row in chain([first], numbered) if len(row) == len(header))
        order = _order((row[at["date"]].strip() for row in whole), name)
    return Foreign(name, file, order, at, tuple(header))


def _rows(file: BinaryIO, name: str) -> Iterator[tuple[int, list[str]]]:
    """Give header and rows with their numbers; blank ones are passed over."""
    parted = rows(lines(file, name), delimiter_of(lines(file, name), name))
    number = 0
    try:
        for number, row in enumerate(parted, 1):
            if any(map(str.strip, row)):
                yield number, row
    except csv.Error as wrong:
        raise Refusal(f"the row is no CSV ({wrong}).", f"{name}, row {number + 1}") from None
    except RowTooLong as wrong:
        raise wrong.at(f"{name}, row {number + 1}") from None


def _places(header: Sequence[str], columns: Mapping[str, str], name: str) -> dict[str, int]:
    """Find where each column lies."""
    said = {cell.strip().casefold() for cell in header}
    if not columns and {"jar", "reading"} <= said and "ph" not in said:
        raise Refusal("these are the jars of one bench day, for slurrycalc run with its buffers.", name)
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


def _order(dates: Iterable[str], name: str) -> Order:
    """Tell in which order a column writes its dates, if it proves it."""
    first, days_first, months_first = None, False, False
    for found in map(_PARTED.fullmatch, dates):
        if found and len(found[1]) < 4:
            first = first or found[0]
            days_first |= int(found[1]) > 12
            months_first |= int(found[2]) > 12
    if first is None:
        return "ymd"
    if days_first == months_first:
        raise Refusal(
            f"the date {quoted(first)} can be read in two ways, and no other row tells which; say "
            "--order dmy where days come first, --order mdy where months do.",
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


@lru_cache(maxsize=REMEMBERED)
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
        found = datetime.date(int(year), int(month), int(day))
    except ValueError:
        raise Refusal(f"{quoted(text)} is no day of the calendar; write one such as 2024-05-04.") from None
    if why := misdated(found):
        raise Refusal(f"{quoted(text)} {why}; write one such as 2024-05-04.")
    return found


@lru_cache(maxsize=REMEMBERED)
def _time(text: str) -> datetime.time:
    try:
        hour, minute, *_ = map(int, text.split(":"))
        return datetime.time(hour, minute)
    except ValueError:
        raise Refusal(f"{quoted(text)} is no time of day; write one such as 14:30.") from None


@lru_cache(maxsize=REMEMBERED)
def _ph(text: str) -> tuple[float, float | None]:
    """Read a pH, with the half-width of its 95 % interval where one stands behind it."""
    for sign in ("±", "+-", "+/-"):
        value, found, half_width = text.partition(sign)
        if found:
            return magnitude(value.strip(), "ph"), _half_width(half_width.strip())
    return magnitude(text, "ph"), None


@lru_cache(maxsize=REMEMBERED)
def _half_width(text: str) -> float:
    value = magnitude(text, "number")
    if not 0.0 < value <= 3.0:
        raise Refusal(f"{quoted(text)} cannot be the half-width of a pH's interval; write one such as 0.20.")
    return value
