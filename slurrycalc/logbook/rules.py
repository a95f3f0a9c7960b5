"""Cells and settings that come in from elsewhere, held to the rules of what the program writes."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from math import isfinite
from typing import Any

import msgspec

from slurrycalc.deciding.days import LONGEST
from slurrycalc.logbook import cells
from slurrycalc.logbook.columns import FARTHEST, UID, Column
from slurrycalc.logbook.settings import NEVER, SETTINGS
from slurrycalc.logbook.store import Store
from slurrycalc.logbook.tables import nested
from slurrycalc.logbook.things import with_article
from slurrycalc.measuring.electrode import Meter
from slurrycalc.measuring.electrode.buffer_kinds import known_label
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.temperatures import thermometer_error
from slurrycalc.metrology.calendar import misdated
from slurrycalc.metrology.names import plain_name
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs
from slurrycalc.metrology.units import magnitude
from slurrycalc.metrology.units.amounts import LENGTH_UNITS

REMEMBERED = 10_000
"""Settings of which it is remembered that they can stand: most come again (our own figure)."""
A_DAY = datetime.timedelta(days=1)
"""By so much the clocks of two keepers' machines may differ, zones mistaken (our own figure)."""
_STAMP = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z")
_RECORDED = re.compile(_STAMP.pattern[:-1] + r"\.[0-9]{3}Z")


class NotOurs(ValueError):
    """A cell as the program does not write it; its text says why, and follows the cell."""


def wrong_cells(column: Column, values: Iterable[Any]) -> dict[Any, str]:
    """Find the values of a column that the program would not have written.

    Parameters
    ----------
    column : Column
        Which column.
    values : iterable
        None is passed over: the logbook's own conditions tell where one is wanted.

    Returns
    -------
    dict
        Value to what is wrong with it.

    Examples
    --------
    >>> from slurrycalc.logbook.forms import BY_NAME
    >>> entry = {column.name: column for column in BY_NAME["entry"].columns}
    >>> wrong_cells(entry["uid"], ["0123456789abcdef0123", "another"])
    {'another': '`another` is no uid'}
    >>> wrong_cells(entry["keeper"], ["desk team", " desk team", None])
    {' desk team': '` desk team` is no keeper as it is written here'}
    """
    rule = _BY_NAME.get(column.name, _JSON if column.type == "json" else None)
    wrong: dict[Any, str] = {}
    if rule is None or column.to:
        return wrong
    for value in set(values) - {None}:
        try:
            rule(value)
        except NotOurs as why:
            wrong[value] = f"{quoted(value)} {why}"
        except (Refusal, ValueError):
            wrong[value] = f"{quoted(value)} is no {column.name} as it is written here"
    return wrong


def _same(read: Callable[[str], str | None]) -> Callable[[str], None]:
    """Hold a text to what comes out of the door through which the program takes such texts."""

    def rule(text: str) -> None:
        if read(text) != text:
            raise ValueError

    return rule


def _uid(text: str) -> None:
    if not re.fullmatch(UID, text):
        raise NotOurs("is no uid")


def _stamp(text: str) -> None:
    if not _STAMP.fullmatch(text):
        raise ValueError
    datetime.datetime.fromisoformat(text)


def _recorded(text: str) -> None:
    if not _RECORDED.fullmatch(text):
        raise ValueError
    datetime.datetime.fromisoformat(text)


def _again(text: str) -> None:
    numbers = [float(each) for each in text.split(" ")]
    if " ".join(map(repr, numbers)) != text or not all(abs(each) < FARTHEST for each in numbers):
        raise ValueError


def _JSON(text: str) -> None:  # noqa: N802  named as what it is
    if nested(text):
        raise NotOurs("has more brackets within brackets than anything that is written here")
    try:
        msgspec.json.decode(text)
    except (msgspec.DecodeError, UnicodeError):
        raise NotOurs("is no JSON") from None


_NOTE = _same(cells.note)
_NAME = _same(lambda text: plain_name(text, "name", "atlas"))
_BY_NAME: Mapping[str, Callable[[str], None]] = {
    "uid": _uid,
    "at": _stamp,
    "recorded": _recorded,
    "again": _again,
    **dict.fromkeys(("kind", "keeper", "method", "label", "unit", "key", "command"), _NAME),
    **dict.fromkeys(("note", "reason", "spot", "solution", "laboratory", "preparation", "amendment"), _NOTE),
}


def misplaced(at: str, recorded: str, day_only: int, now: datetime.datetime) -> str | None:
    """Say why the times of an entry cannot be meant.

    Parameters
    ----------
    at, recorded : str
        When it happened and when it was written down, UTC, each as it is written here.
    day_only : int
        Whether only the day is known.
    now : datetime
        The present, with its offset from UTC.

    Returns
    -------
    str or None
        None where they can.

    Examples
    --------
    >>> now = datetime.datetime(2024, 5, 4, 12, tzinfo=datetime.UTC)
    >>> misplaced("2024-05-04T09:00:00Z", "2024-05-04T09:01:00.000Z", 0, now)
    >>> misplaced("1024-05-04T09:00:00Z", "2024-05-04T09:01:00.000Z", 0, now)
    '`1024-05-04` lies before 1950, which must be a slip'
    >>> misplaced("2024-05-04T09:00:00Z", "2031-05-04T09:01:00.000Z", 0, now)
    'it was written down on 2031-05-04, and today is 2024-05-04: look at the clock'
    """
    happened = datetime.datetime.fromisoformat(at)
    written = datetime.datetime.fromisoformat(recorded)
    if why := misdated(happened.date(), now.date() + A_DAY):
        return f"`{happened.date()}` {why}"
    if written > now + A_DAY:
        return f"it was written down on {written.date()}, and today is {now.date()}: look at the clock"
    if happened > written + A_DAY:
        return f"it happened on {happened.date()}, after it was written down on {written.date()}"
    return None


@lru_cache(maxsize=REMEMBERED)
def wrong_setting(kind: str, key: str, text: str, today: datetime.date) -> str | None:
    """Say why a setting cannot be one that the program wrote.

    Parameters
    ----------
    kind : str
        Of the thing.
    key : str
        What is said of it.
    text : str
        The value, as JSON.
    today : date
        The present day.

    Returns
    -------
    str or None
        None where it can.

    Examples
    --------
    >>> today = datetime.date(2024, 5, 4)
    >>> wrong_setting("enclosure", "target", "[5.4,6.5]", today)
    >>> wrong_setting("enclosure", "target", "[6.5,5.4]", today)
    '`[6.5,5.4]` cannot be the target of an enclosure'
    >>> wrong_setting("cup", "floor", "5.0", today)
    'nothing is called `floor` of a cup'
    """
    a = with_article(kind)
    if key not in SETTINGS.get(kind, ()):
        return f"nothing is called {quoted(key)} of {a}"
    rule = _VALUES[key if key != "resolution" else "step"]
    try:
        value = msgspec.json.decode(text)
        if (value is None and key != "name") or (value is not None and rule(value, today)):
            return None
    except (Refusal, ValueError, TypeError, ArithmeticError, msgspec.DecodeError):
        pass
    return f"{quoted(text)} cannot be the {key} of {a}"


def misset(book: Store) -> str | None:
    """Find a setting on record that the program does not write; None without one."""
    rows = book.rows("SELECT t.kind, s.key, s.value, s.entry FROM setting s JOIN thing t ON t.id = s.thing")
    for kind, key, value, entry in rows:
        if wrong_setting(kind, key, value, datetime.date.max - A_DAY):
            return f"was edited: entry {entry} sets what the program never writes"
    return None


Rule = Callable[[Any, datetime.date], bool]


def _number(low: float, high: float, open_below: bool = False) -> Rule:
    def rule(value: Any, _: datetime.date) -> bool:
        return _is_number(value) and low <= value <= high and not (open_below and value == low)

    return rule


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)


def _built(build: Callable[[Any], object]) -> Rule:
    """Hold a figure to what it is for: what is built with it refuses what it cannot be."""

    def rule(value: Any, _: datetime.date) -> bool:
        build(value)
        return _is_number(value)

    return rule


def _text(read: Callable[[str], str | None]) -> Rule:
    return lambda value, _: isinstance(value, str) and read(value) == value


def _yes_or_no(value: Any, _: datetime.date) -> bool:
    return isinstance(value, bool)


def _interval(value: Any, _: datetime.date) -> bool:
    whole = isinstance(value, int) and not isinstance(value, bool)
    return value == NEVER or (whole and 1 <= value <= LONGEST)


def _day(value: Any, today: datetime.date | None) -> bool:
    day = datetime.date.fromisoformat(value)
    return day.isoformat() == value and misdated(day, today) is None


def _behind(value: Any, today: datetime.date) -> bool:
    return _day(value, today + A_DAY)


def _ahead(value: Any, _: datetime.date) -> bool:
    return _day(value, None)


def _stages(value: Any, today: datetime.date) -> bool:
    part = _number(0, 1, open_below=True)
    return isinstance(value, list) and all(
        isinstance(stage, list) and len(stage) == 2 and _day(stage[0], None) and part(stage[1], today)
        for stage in value
    )


def _several(count: int, rule: Rule, rising: bool = False) -> Rule:
    return lambda value, today: (
        isinstance(value, list)
        and len(value) == count
        and all(rule(each, today) for each in value)
        and (not rising or value == sorted(set(value)))
    )


def _said_in(rule: Rule, value: Any, today: datetime.date) -> bool:
    """Take lengths [cm] that the unit follows in which they were said."""
    said = isinstance(value, list) and len(value) > 1 and value[-1] in LENGTH_UNITS and value[-1] != "cm"
    return said and rule(value[:-1], today)


_LENGTH = _number(0, 1000, open_below=True)
_SIZE = _several(2, _LENGTH)
_PH = _built(lambda value: magnitude(value, "ph"))
_VALUES: Mapping[str, Rule] = {
    "name": _text(lambda value: plain_name(value, "thing", "atlas")),
    # An empty one was written until it counted as taken back.
    **dict.fromkeys(("note", "lot"), lambda value, today: value == "" or _text(cells.note)(value, today)),
    "size": lambda value, today: _SIZE(value, today) or _said_in(_SIZE, value, today),
    "bed_depth": lambda value, today: _LENGTH(value, today) or _said_in(_several(1, _LENGTH), value, today),
    "target": _several(2, _PH, rising=True),
    **dict.fromkeys(("floor", "wanted", "measured"), _PH),
    **dict.fromkeys(("steady", "fresh", "compensates", "mine"), _yes_or_no),
    "reader": _text(lambda value: plain_name(value, "reader", "Kim")),
    "stages": _stages,
    **dict.fromkeys(
        ("read_every", "upkeep_every", "litter_every", "charcoal_every", "check_every"), _interval
    ),
    **dict.fromkeys(("retired", "opened", "electrode"), _behind),
    "expires": _ahead,
    "shows": lambda value, _: value in ("mV", "pH"),
    "resolution_mV": _built(lambda value: Meter("mV", value)),
    "resolution_pH": _built(lambda value: Meter("pH", value)),
    "repeatability_mV": _built(lambda value: Meter("mV", None, value)),
    "repeatability_pH": _built(lambda value: Meter("pH", None, value)),
    "junction": _built(lambda value: Meter("pH", None, None, value)),
    "thermometer": _built(lambda value: thermometer_error(value, "thermometer", Inputs())),
    "label": _text(known_label),
    "tolerance": _built(lambda value: Bottle("7.00", None, value)),
    "step": _number(0, 1),
    "volume": _number(0, 1000, open_below=True),
}
