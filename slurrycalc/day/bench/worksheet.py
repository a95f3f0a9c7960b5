"""A declared bench day, and the strict reading of one from TOML."""

from __future__ import annotations

import datetime
import re
import tomllib
from collections.abc import Mapping
from typing import Any

import msgspec

from slurrycalc.day.bench.names import near
from slurrycalc.day.bench.places import Path, Places, key_lines, spelt, value_at, with_point
from slurrycalc.measuring.electrode.calibration import Fit
from slurrycalc.metrology.calendar import misdated
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

LARGEST_FILE = 10_000_000
"""Size of a worksheet or table that is still read. [bytes]"""
BEGIN = "`slurrycalc sheet my-day.toml` writes one to fill in"
"""What to do about an empty worksheet."""

Amount = int | float | str
"""A number, or an amount as a person says it: ``"84.3 mV"``, ``"70 F"``, ``"5,41"``."""


class _Entry(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What all tables of a worksheet share: no key is allowed that nothing reads."""


class MeterEntry(_Entry, frozen=True):
    """The pH meter; what it shows may be on record."""

    shows: str | None = None
    name: str | None = None
    resolution: Amount | None = None
    repeatability: Amount | None = None
    junction: Amount | None = None
    compensates: bool | None = None


class ThermometerEntry(_Entry, frozen=True):
    """The thermometer that all temperatures of the day were read on."""

    tolerance: Amount


class BottleEntry(_Entry, frozen=True):
    """A buffer bottle with a name of its own."""

    name: str
    label: Amount
    tolerance: Amount | None = None
    measured: Amount | None = None


class PointEntry(_Entry, frozen=True):
    """The meter in one buffer; ``buffer`` is a bottle's name or a label."""

    buffer: Amount
    shows: Amount | list[Amount]
    temperature: Amount | None = None
    calibration: int = 1
    """Which of the day's: 2 for one that was made anew in the middle of it."""


class ProbeEntry(_Entry, frozen=True):
    """The soil probe; ``next`` is an indication that waits for a meaning."""

    name: str | None = None
    next: Amount | None = None


class EnclosureEntry(_Entry, frozen=True):
    """An enclosure, the range wanted in it, and the floor below which its life suffers."""

    name: str
    target: tuple[Amount, Amount] | None = None
    floor: Amount | None = None
    note: str = ""


class JarEntry(_Entry, frozen=True):
    """One slurry: what the meter showed in it, and the probe at the spot it was taken from.

    On a command line a jar needs no label, and nothing needs to name where it is from. One that names a
    buffer instead of an enclosure is a check bottle that was read among the jars.
    """

    label: str | None = None
    enclosure: str | None = None
    buffer: Amount | None = None
    shows: Amount | None = None
    temperature: Amount | None = None
    spot: str | None = None
    probe: Amount | None = None
    note: str = ""
    calibration: int = 1
    """Which of the day's it was read under."""


class Day(_Entry, frozen=True):
    """A bench day as it was declared, not yet judged.

    Amounts stand as they were typed: numbers in the unit of their kind (mV or pH, degC), or words with a
    unit.
    """

    meter: MeterEntry
    points: tuple[PointEntry, ...] = msgspec.field(name="point", default=())
    """Empty where the named meter was calibrated that day already."""
    jars: tuple[JarEntry, ...] = msgspec.field(name="jar", default=())
    enclosures: tuple[EnclosureEntry, ...] = msgspec.field(name="enclosure", default=())
    bottles: tuple[BottleEntry, ...] = msgspec.field(name="bottle", default=())
    thermometer: ThermometerEntry | None = None
    check: PointEntry | None = None
    close: PointEntry | None = None
    probe: ProbeEntry | None = None
    fit: Fit = "line"
    date: datetime.date | None = None
    by: str | None = None
    note: str = ""


class _WrittenMeter(MeterEntry, frozen=True):
    shows: str


class _WrittenJar(JarEntry, frozen=True):
    def __post_init__(self) -> None:
        for key in ("label", "enclosure") if self.buffer is None else ():
            if getattr(self, key) is None:
                raise ValueError(f"Object missing required field `{key}`")


class _WrittenDay(Day, frozen=True):
    """What a worksheet may not leave out."""

    meter: _WrittenMeter
    points: tuple[PointEntry, ...] = msgspec.field(name="point")
    jars: tuple[_WrittenJar, ...] = msgspec.field(name="jar")


_TABLES: Mapping[str | int | None, type[msgspec.Struct]] = {
    None: Day,
    "meter": MeterEntry,
    "thermometer": ThermometerEntry,
    "bottle": BottleEntry,
    "point": PointEntry,
    "check": PointEntry,
    "close": PointEntry,
    "probe": ProbeEntry,
    "enclosure": EnclosureEntry,
    "jar": JarEntry,
}
_REPEATED = ("bottle", "point", "enclosure", "jar")

_RIGHT: Mapping[str, str] = {
    "fit": 'fit = "line", or "bracket"',
    "date": "date = 2024-05-04, the year first",
    "by": 'by = "desk team"',
    "note": 'note = "watered yesterday"',
    "name": 'name = "window"',
    "label": 'label = "A1"',
    "enclosure": 'enclosure = "window"',
    "buffer": 'buffer = "7.00"',
    "shows": "shows = 5.41",
    "temperature": "temperature = 21.5",
    "spot": 'spot = "left, front"',
    "probe": "probe = 5.9",
    "calibration": "calibration = 2, for one that was made anew in the middle of the day",
    "next": "next = 6.0",
    "target": "target = [5.4, 6.5]",
    "floor": "floor = 5.0",
    "tolerance": "tolerance = 0.02",
    "measured": "measured = 4.006",
    "resolution": "resolution = 0.01",
    "repeatability": "repeatability = 0.01",
    "junction": "junction = 0.02",
    "compensates": "compensates = true",
}
"""A right line for each key, to show beside a wrong one."""


def _right(path: Path) -> str:
    match path:
        case ("meter", "shows"):
            return 'shows = "pH", or "mV"'
        case ("bottle", _, "label"):
            return 'label = "4.01"'
        case (str(table), int()) | (str(table),) if table in _REPEATED:
            return f"[[{table}]], with double brackets, above each one"
        case (str(table),) if table in _TABLES:
            return f"[{table}] on a line of its own, its keys below"
    last = next(step for step in reversed(path) if isinstance(step, str))
    return _RIGHT[last]


def _keys(path: Path) -> tuple[str, ...]:
    return tuple(field.encode_name for field in msgspec.structs.fields(_TABLES[path[0] if path else None]))


def read_text(data: bytes, name: str, begin: str = BEGIN) -> str:
    """Turn a file's bytes into text, or say what kind of file it seems to be.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        Its name, for the sentence.
    begin : str
        What to do where it is empty, for the sentence.

    Returns
    -------
    str
        Its text, without a byte order mark.

    Raises
    ------
    Refusal
        If it is too large, empty, or no UTF-8 text.

    Examples
    --------
    >>> read_text(bytes([0xEF, 0xBB, 0xBF, 0x61]), "day.csv")
    'a'
    """
    if len(data) > LARGEST_FILE:
        raise Refusal(
            f"the file is larger than {LARGEST_FILE // 1_000_000} MB, which no bench day fills; give one "
            "day, or bring in a table of past readings by slurrycalc import.",
            name,
        )
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Refusal("the file is UTF-16 text; save it as UTF-8.", name)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        line = data.count(b"\n", 0, wrong.start) + 1
        raise Refusal(
            f"byte {data[wrong.start]:#04x} is no UTF-8 text; save the file as plain text in UTF-8.",
            f"{name}, line {line}",
        ) from None
    if not text.strip():
        raise Refusal(f"the file is empty; {begin}.", name)
    if "\0" in text:
        raise Refusal(
            "the file holds zero bytes, so it is no text; give a worksheet (.toml) or a table (.csv).", name
        )
    return text


def read_worksheet(
    data: bytes, name: str = "worksheet.toml", *, today: datetime.date | None = None
) -> tuple[Day, Places]:
    """Read a bench day that somebody wrote down as TOML.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        Its name, for sentences about it.
    today : datetime.date, optional
        A date after it is refused; None lets a date ahead stand.

    Returns
    -------
    Day
        What was declared.
    Places
        Where each part of it stands in the file.

    Raises
    ------
    Refusal
        If it is no TOML, a key is unknown, missing or of the wrong type, or the date cannot be meant.
        The sentence starts with the file, the line where it can be told, and the path.

    Examples
    --------
    >>> from slurrycalc.data.shipped import shipped
    >>> day, places = read_worksheet(shipped("examples", "reading-room.toml").read_bytes())
    >>> day.meter.name, len(day.jars), day.jars[0].label
    ('desk', 6, 'A1')
    >>> places.at("date")
    'worksheet.toml, line 5, date'
    """
    text = read_text(data, name)
    raw = _toml(text, name)
    places = Places(name, key_lines(text))
    _refuse_blanks(raw, places)
    try:
        day: Day = msgspec.convert(raw, _WrittenDay)
    except msgspec.ValidationError as wrong:
        raise _refused(str(wrong), raw, places) from None
    if day.date is not None and (why := misdated(day.date, today)):
        raise Refusal(
            f"{day.date.isoformat()} {why}; write the day on which the slurries were read.", places.at("date")
        )
    return day, places


BLANK = "?"
"""What stands in a blank worksheet where something is to be filled in."""


def _refuse_blanks(tree: Any, places: Places, path: Path = ()) -> None:
    """Point at the first place of a worksheet that was left blank."""
    match tree:
        case dict():
            for key, below in tree.items():
                _refuse_blanks(below, places, (*path, key))
        case list():
            for index, below in enumerate(tree):
                _refuse_blanks(below, places, (*path, index))
        case _ if tree == BLANK and path and path[-1] in _RIGHT:
            raise Refusal(f"this is still blank; write {_right(path)}, or strike the line.", places.at(*path))


_AT_LINE = re.compile(r" \(at line (\d+), column (\d+)\)$")


def _toml(text: str, name: str) -> dict[str, Any]:
    """Parse TOML, or point at the line that is none."""
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise Refusal("brackets are nested too deep; a worksheet's deepest are [[jar]].", name) from None
    except ValueError as wrong:
        said = str(wrong)
        found = _AT_LINE.search(said)
        if not found:
            why = said.removesuffix(" (at end of document)")
            cut = " at its end, as if cut short" if why != said else ""
            why = why.partition(";")[0]
            raise Refusal(
                f'the file is no TOML{cut} ({why}); a line reads key = "text" or key = 5.41.', name
            ) from None
        number = int(found[1])
        line = text.split("\n")[number - 1].strip()
        if right := with_point(line):
            why = f"{quoted(line, 60)}: write a point, not a comma: {right}"
            raise Refusal(why, f"{name}, line {number}") from None
        why = f"{quoted(line, 60)} is no TOML at column {found[2]} ({said[: found.start()]})"
        raise Refusal(f"{why}; {_line_like(line)}.", f"{name}, line {number}") from None


def _line_like(line: str) -> str:
    """Show a right line of the kind that somebody seems to have meant."""
    word = re.match(r"\[*\s*(\w+)", line)
    if word and line.startswith("[") and word[1] in _REPEATED:
        return f"head each {word[1]} with [[{word[1]}]], in double brackets, those further up too"
    if word and line.startswith("[") and word[1] in _TABLES:
        return f"[{word[1]}] stands once, on a line of its own, its keys below"
    if word and word[1] in _RIGHT:
        return f"write {_RIGHT[word[1]]}"
    return 'text stands in quotes (spot = "left"), numbers have a decimal point (shows = 5.41)'


_MISSING = re.compile(r"Object missing required field `(.*?)`")
_UNKNOWN = re.compile(r"Object contains unknown field `(.*)`", re.DOTALL)
_AT = re.compile(r"(.*) - at `\$((?:\.\w+|\[\d+\])*)`", re.DOTALL)
_STEP = re.compile(r"\.([^.\[\]]+)|\[(\d+)\]")


def _refused(said: str, raw: dict[str, Any], places: Places) -> Refusal:
    """Say in a sentence what msgspec found wrong, with the place and what stands there."""
    found = _AT.fullmatch(said)
    what, where = (found[1], found[2]) if found else (said, "")
    path: Path = tuple(key if key else int(index) for key, index in _STEP.findall(where))
    if missing := _MISSING.search(what):
        key = missing[1]
        return Refusal(f"`{key}` is missing; write {_right((*path, key))}.", places.at(*path))
    if unknown := _UNKNOWN.search(what):
        key = unknown[1]
        keys = _keys(path)
        meant = near(key, keys)
        guess = f"did you mean {meant}?" if meant else f"what can stand here: {', '.join(keys)}."
        return Refusal(f"no key is called {quoted(key)}; {guess}", places.at(*path, *_plain(key)))
    value = value_at(raw, path)
    right = _right(path)
    if isinstance(value, int | float) and '"' in right and path[-1] != "shows":
        right = f'{path[-1]} = "{value}", in quotes'
    return Refusal(f"{spelt(value)} cannot stand here; write {right}.", places.at(*path))


def _plain(key: str) -> tuple[str, ...]:
    """Let a key into a place only where it is a plain word."""
    return (key,) if re.fullmatch(r"[\w-]{1,30}", key, re.ASCII) else ()
