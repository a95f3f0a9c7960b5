"""Mending the record: striking out, and entering anew."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from slurrycalc.data.events import PERCENT
from slurrycalc.logbook.calibrations import indications
from slurrycalc.logbook.cells import first_and_again
from slurrycalc.logbook.columns import TableShape
from slurrycalc.logbook.forms import BY_NAME, VALUES
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import Saved, record_within
from slurrycalc.logbook.refs import Id, Ref, When
from slurrycalc.logbook.standing import StandingEntries, chunked, standing
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store
from slurrycalc.logbook.uids import Everywhere
from slurrycalc.measuring.electrode.indication import shown
from slurrycalc.measuring.electrode.meter import Meter
from slurrycalc.measuring.salts import ALLOWED, conductivity
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs
from slurrycalc.metrology.units import Kind, magnitude
from slurrycalc.metrology.units.amounts import Amount, amount, unit_of

NOT_A_BENCH_DAY = ("enclosure", "kit", "undo", "import")
"""Kinds that taking back a whole day leaves alone: things stay, and what came in was not read on that day."""
PH_ALONE = ("blend", "outside")
"""Tables whose values are a pH and no indication."""
_AMOUNTS: tuple[Kind, ...] = ("volume", "mass")
Shown = float | str | Sequence[float | str]


@dataclass(frozen=True)
class StruckOut:
    """What was struck out."""

    saved: Saved
    struck: tuple[Id, ...]
    """What was named."""
    fell: tuple[Id, ...]
    """What rested on it, in other entries."""
    came_back: tuple[Id, ...]
    """What stands again, since its striking out was struck out."""


@dataclass(frozen=True)
class PutRight:
    """What was entered anew."""

    saved: Saved
    old: Id
    was: tuple[float, ...]
    """What it showed."""
    now: tuple[float, ...]
    affected: tuple[Id, ...]
    """Readings that rest on it and mean another pH now, in other entries."""


def undo(
    book: Store,
    now: datetime.datetime,
    what: str | None = None,
    *,
    day: datetime.date | None = None,
    why: str | None = None,
    keeper: str | None = None,
) -> StruckOut:
    """Strike out an entry, one value of it, or a whole day; everything stays readable.

    Parameters
    ----------
    book : Store
        Open for writing.
    now : datetime
        The present, with its offset from UTC.
    what : str, optional
        Number of the entry or the value; by default the last entry that was recorded.
    day : date, optional
        A whole local day instead.
    why : str, optional
        The reason.
    keeper : str, optional
        Who says so.

    Returns
    -------
    Undone
        What was struck out, and what fell with it.

    Raises
    ------
    Refusal
        If there is nothing to strike out, it was struck out before, or a calibration could not stand without
        it.
    LogbookFault
        If the file cannot be written.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> undo(in_memory(), datetime.datetime(2024, 5, 4, 9, tzinfo=datetime.UTC))
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: nothing stands in this logbook that could be struck out.
    """
    with book.transaction():
        before = standing(book)
        if day is not None:
            targets = _of_day(book, before, day)
        else:
            targets = [_last(book, before) if what is None else existing(book, before, Id.of(what))]
        step = Step("undo", When(now), keeper=keeper, note=why)
        uids = _uids(book, {target.entry for target in targets})
        for target in targets:
            step.void(uids[target.entry], target.n, why)
        (saved,) = record_within(book, [step], now)
        for target in targets:
            if target.n is not None:
                table, row = _row(book, target)
                _still_calibrates(book, table.name, row, f"without {target}")
        after = standing(book)
        gone = after.entries.keys() - before.entries.keys()
        back = [Id(entry) for entry in before.entries.keys() - after.entries.keys()]
        back += [Id(*value) for value in before.values.keys() - after.values.keys()]
        fallen = _fallen(book, set(gone), after)
        return StruckOut(saved, tuple(targets), fallen, tuple(sorted(back, key=_order)))


def _order(one: Id) -> tuple[int, int]:
    return one.entry, one.n or 0


def fix(
    book: Store,
    now: datetime.datetime,
    what: str,
    shows: Shown,
    *,
    temperature: float | None = None,
    why: str | None = None,
    keeper: str | None = None,
) -> PutRight:
    """Enter a value anew, so that what rested on the old one rests on the new one.

    Parameters
    ----------
    book : Store
        Open for writing.
    now : datetime
        The present, with its offset from UTC.
    what : str
        Number of the entry or the value.
    shows : float, str, or a sequence of them
        What the display showed, or how much it was. [as before]
    temperature : float, optional
        As read; by default as before. [degC]
    why : str, optional
        The reason.
    keeper : str, optional
        Who says so.

    Returns
    -------
    Fixed
        What was entered, and what rests on it.

    Raises
    ------
    Refusal
        If there is no such value, an entry of several is meant as a whole, the new value cannot stand, or a
        calibration could not stand with it.
    LogbookFault
        If the file cannot be written.
    """
    with book.transaction():
        target = _value(book, standing(book), Id.of(what))
        table, row = _row(book, target)
        at = row["entry"]
        uid, stamp, offset, day_only = book.rows(
            "SELECT uid, at, utc_offset, day_only FROM entry WHERE id = ?", (at,)
        )[0]
        was, values = _as_it_was(table.name, row), _taken(book, table.name, row, shows)
        step = Step("fix", When.read(stamp, offset, bool(day_only)), keeper=keeper, note=why, part_of=uid)
        step.void(uid, target.n, why)
        everywhere = Everywhere(book)
        new = dict(zip(table.names, next(everywhere.outside(table, [tuple(row.values())])), strict=True))
        new |= {"entry": step.uid, "n": 1} | _shown_as(table.name, values, row, shows)
        if temperature is not None:
            if "temperature" not in new:
                raise Refusal(f"`{target}` has no temperature on record; give the value alone.")
            new["temperature"] = temperature
        step.rows[table.name].append(tuple(new.values()))
        if table.name == "event":
            carry_mix(book, everywhere, step, target, Ref(step.uid, 1))
        (saved,) = record_within(book, [step], now)
        _still_calibrates(book, table.name, row, f"with {' '.join(map(str, values))} in place of {target}")
        rests = _under(book, row) if table.name == "point" else ()
        return PutRight(saved, target, was, values, rests)


def carry_mix(book: Store, everywhere: Everywhere, step: Step, old: Id, new: Ref) -> None:
    """Let what an exchange put in go with the exchange where that is entered anew."""
    table = BY_NAME["mix"]
    sql = f"SELECT {', '.join(table.names)} FROM mix WHERE event_entry = ? AND event_n = ?"
    for cells in everywhere.outside(table, book.rows(sql, old)):
        step.add("mix", (*new, *cells[4:]))


def _of_day(book: Store, stands: StandingEntries, day: datetime.date) -> list[Id]:
    rows = book.rows("SELECT id, part_of, kind FROM entry WHERE day = ? ORDER BY id", (day.isoformat(),))
    meant = {entry for entry, _, kind in rows if kind not in NOT_A_BENCH_DAY and stands.has(entry)}
    # What belongs to another entry of that day falls with it.
    targets = [Id(entry) for entry, owner, _ in rows if entry in meant and owner not in meant]
    if not targets:
        raise Refusal(f"nothing stands in this logbook that was done on {day.isoformat()}.")
    return targets


def _last(book: Store, stands: StandingEntries) -> Id:
    rows = book.rows(
        "SELECT e.id, CASE WHEN owner.kind = 'import' THEN owner.id END FROM entry e "
        "LEFT JOIN entry owner ON owner.id = e.part_of "
        # By number, since a clock may have been set back.
        "WHERE e.kind <> 'undo' ORDER BY e.id DESC LIMIT ?",
        (len(stands.entries) + 1,),
    )
    for entry, brought_in in rows:
        if stands.has(entry):
            # What came in together goes together; an answer on a bench day goes by itself.
            return Id(entry if brought_in is None else brought_in)
    raise Refusal("nothing stands in this logbook that could be struck out.")


def existing(book: Store, stands: StandingEntries, target: Id) -> Id:
    """See that an entry or a value is there and stands."""
    (last,) = book.rows("SELECT max(id) FROM entry")[0]
    if last is None or target.entry > last:
        there = "this logbook is empty" if last is None else f"the last is {last}"
        raise Refusal(f"there is no entry {quoted(str(target))}; {there}.")
    if target.n is not None and not _find(book, target):
        raise Refusal(f"entry {target.entry} has no value {quoted(str(target))}; see `slurrycalc history`.")
    if not stands.has(*target):
        by = stands.entries.get(target.entry) or stands.values.get((target.entry, target.n or 0))
        if (now := _in_its_place(book, stands, by)) is not None:
            raise Refusal(
                f"`{target}` was entered anew, and is {now} now: slurrycalc fix {now} VALUE changes that, "
                f"`slurrycalc undo {now.entry}` brings back what was before it."
            )
        raise Refusal(f"`{target}` was struck out already, by {by}; `slurrycalc undo {by}` brings it back.")
    return target


def _in_its_place(book: Store, stands: StandingEntries, by: int | None) -> Id | None:
    """Find the one value that was entered anew by the step that struck another out, or by a later one."""
    while by is not None and book.rows("SELECT kind FROM entry WHERE id = ?", (by,)) == [("fix",)]:
        there = [
            n for name in VALUES for (n,) in book.rows(f"SELECT n FROM {name} WHERE entry = ?", (by,))
        ]
        if len(there) != 1:
            return None
        if stands.has(by, there[0]):
            return Id(by, there[0])
        by = stands.entries.get(by) or stands.values.get((by, there[0]))
    return None


def _value(book: Store, stands: StandingEntries, target: Id) -> Id:
    """Find the one value that is meant."""
    target = existing(book, stands, target)
    if target.n is not None:
        return target
    there = sorted(
        n for name in VALUES for (n,) in book.rows(f"SELECT n FROM {name} WHERE entry = ?", target[:1])
    )
    if not there:
        raise Refusal(f"entry {target} holds no value that could be entered anew; undo it instead.")
    live = [n for n in there if stands.has(target.entry, n)]
    if len(there) > 1 or not live:
        names = ", ".join(str(Id(target.entry, n)) for n in live)
        raise Refusal(f"entry {target} holds several values; name one of them: {names}.")
    return Id(target.entry, live[0])


def _find(book: Store, target: Id) -> tuple[TableShape, dict[str, Any]] | None:
    for name in VALUES:
        table = BY_NAME[name]
        rows = book.rows(f"SELECT {', '.join(table.names)} FROM {name} WHERE entry = ? AND n = ?", target)
        if rows:
            return table, dict(zip(table.names, rows[0], strict=True))
    return None


def _row(book: Store, target: Id) -> tuple[TableShape, dict[str, Any]]:
    found = _find(book, target)
    assert found is not None  # `existing` saw to it
    return found


def _taken(book: Store, name: str, row: dict[str, Any], shows: Shown) -> tuple[float, ...]:
    """Take in a new value by the door that the old one came through."""
    if name == "probing":
        return (magnitude(_single(shows), "ph"),)
    if name == "event":
        return (_amount(row, shows).number,)
    if name == "conductivity":
        return (conductivity(_single(shows), *ALLOWED[row["role"]]),)
    if name in PH_ALONE:
        return (magnitude(_single(shows), "ph"),)
    unit: Literal["mV", "pH"] = "pH"
    if row["calibration_entry"] is not None:
        unit = book.rows(
            "SELECT shows FROM calibration WHERE entry = ? AND n = ?",
            (row["calibration_entry"], row["calibration_n"]),
        )[0][0]
    return shown(shows, Meter(unit))


def _amount(row: dict[str, Any], shows: Shown) -> Amount:
    """Read the new amount of an event, of the kind of the old one and in the unit in which it is typed."""
    unit, new = row["unit"] or "", _single(shows)
    if unit == PERCENT:
        part = magnitude(new, "number") if isinstance(new, str) else new / 100.0
        if not 0.0 < part <= 1.0:
            raise Refusal(f"{quoted(new)} is no part of a bed: give such as 1/3 or 30 %.")
        return Amount(100.0 * part, PERCENT)
    kind = next((one for one in _AMOUNTS if unit_of(unit, (one,))), None)
    if kind is None:
        raise Refusal("this event has no amount that could be entered anew; undo it and note it again.")
    return amount(new, (kind,)) if isinstance(new, str) else Amount(new, unit)


def _single(shows: Shown) -> float | str:
    if isinstance(shows, float | int | str):
        return shows
    if len(shows) != 1:
        raise Refusal(f"{quoted(shows)} is more than one value; give one.")
    return shows[0]


def _as_it_was(name: str, row: dict[str, Any]) -> tuple[float, ...]:
    if name == "event":
        return () if row["amount"] is None else (row["amount"],)
    if name in PH_ALONE:
        return (row["ph"],)
    return indications(row["shows"], row.get("again"))


def _shown_as(name: str, values: tuple[float, ...], row: dict[str, Any], shows: Shown) -> dict[str, Any]:
    if name == "event":
        new = _amount(row, shows)
        return {"amount": new.number, "unit": new.unit}
    if name in PH_ALONE:
        return {"ph": values[0]}
    first, again = first_and_again(values)
    return {"shows": first} if name == "probing" else {"shows": first, "again": again}


def _still_calibrates(book: Store, name: str, row: dict[str, Any], how: str) -> None:
    """See that a calibration can be computed after one of its points changed."""
    if name != "point":
        return
    try:
        Recall(book, Inputs()).calibration((row["calibration_entry"], row["calibration_n"]))
    except Refusal as refusal:
        raise Refusal(
            f"{how} the calibration of entry {row['calibration_entry']} could not stand: {refusal.sentence}"
        ) from None


def _under(book: Store, point: dict[str, Any]) -> tuple[Id, ...]:
    """Give the readings that stand under a point's calibration."""
    rows = book.rows(
        "SELECT entry, n FROM reading WHERE calibration_entry = ? AND calibration_n = ? ORDER BY entry, n",
        (point["calibration_entry"], point["calibration_n"]),
    )
    stands = standing(book)
    return tuple(Id(*row) for row in rows if stands.has(*row))


def _fallen(book: Store, gone: set[int], stands: StandingEntries) -> tuple[Id, ...]:
    """Give the values of other entries that rested on entries which are gone."""
    rows = {
        row
        for sql in (
            "SELECT entry, n FROM reading WHERE calibration_entry IN ({})",
            "SELECT entry, n FROM reading WHERE slurry_entry IN ({})",
            "SELECT entry, n FROM point WHERE calibration_entry IN ({})",
        )
        for row in chunked(book, sql, gone)
    }
    return tuple(Id(*row) for row in sorted(rows) if stands.has(*row))


def _uids(book: Store, entries: set[int]) -> dict[int, str]:
    return dict(chunked(book, "SELECT id, uid FROM entry WHERE id IN ({})", entries))
