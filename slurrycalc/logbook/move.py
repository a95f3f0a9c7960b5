"""Moving what was read in one enclosure to the one that it was read in."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Any

from slurrycalc.logbook.forms import BY_NAME, VALUES
from slurrycalc.logbook.mend import carry_mix, existing
from slurrycalc.logbook.record import Saved, record_within
from slurrycalc.logbook.refs import Id, Ref, When
from slurrycalc.logbook.standing import StandingEntries, standing
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store
from slurrycalc.logbook.things import things_of
from slurrycalc.logbook.uids import Everywhere
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

TOGETHER = ("conductivity", "blend")
"""Tables whose rows of one entry belong together, and so move together."""


@dataclass(frozen=True)
class Moved:
    """What was moved."""

    saved: Saved
    old: tuple[Id, ...]
    """What was struck out, in the order of `saved.values`."""
    came_from: tuple[str, ...]
    """Names of the enclosures that it was of."""
    to: str


@dataclass(frozen=True)
class _Value:
    """A value that stands, as the record holds it."""

    id: Id
    table: str
    row: dict[str, Any]
    enclosure: int | None

    @property
    def jar(self) -> tuple[int, int] | None:
        """The jar that it was read in, or that was filled at its spot."""
        entry = self.row.get("slurry_entry")
        return None if entry is None else (entry, self.row["slurry_n"])


def move(
    book: Store,
    now: datetime.datetime,
    what: str,
    enclosure: str,
    *,
    why: str | None = None,
    keeper: str | None = None,
) -> Moved:
    """Enter what was read in one enclosure, or done to it, as of another one; the old stays, struck out.

    Parameters
    ----------
    book : Store
        Open for writing.
    now : datetime
        The present, with its offset from UTC.
    what : str
        Number of an entry, or of one value of it: of a jar all its readings move, with the probe's indication
        of its spot; what was read together of salts, or of a trial, moves together.
    enclosure : str
        Name of the other one.
    why : str, optional
        The reason.
    keeper : str, optional
        Who says so.

    Returns
    -------
    Moved
        What was moved.

    Raises
    ------
    Refusal
        If there is no such entry, it is of no enclosure or of several, or of that one already.
    LogbookFault
        If the file cannot be written.
    """
    with book.transaction():
        stands = standing(book)
        target = existing(book, stands, Id.of(what))
        things = things_of(book, stands)
        uid, stamp, offset, day_only = book.rows(
            "SELECT uid, at, utc_offset, day_only FROM entry WHERE id = ?", (target.entry,)
        )[0]
        when = When.read(stamp, offset, bool(day_only))
        to = things.find("enclosure", enclosure, when.day)
        meant = _meant(book, stands, target)
        names = {things.by_id[one.enclosure].name for one in meant if one.enclosure is not None}
        if len(names) > 1:
            ids = ", ".join(str(one.id) for one in meant[:6])
            of = ", ".join(sorted(names))
            raise Refusal(f"entry {target} is of several enclosures, {of}; name one of its values: {ids}.")
        if all(one.enclosure == to.id for one in meant):
            raise Refusal(f"`{target}` is of {quoted(to.name)} already.")
        step = Step("fix", when, keeper=keeper, note=why, part_of=uid)
        _enter(book, step, meant, to.uid, why)
        (saved,) = record_within(book, [step], now)
        return Moved(saved, tuple(one.id for one in meant), tuple(sorted(names)), to.name)


def _meant(book: Store, stands: StandingEntries, target: Id) -> list[_Value]:
    """Give the values that move, in the order in which they were entered."""
    mine = [one for one in _values(book, stands, "entry = ?", (target.entry,)) if _is_of_one(one)]
    if target.n is not None:
        one = next((one for one in mine if one.id == target), None)
        if one is None:
            raise Refusal(f"`{target}` was neither read in an enclosure nor done to one; it cannot be moved.")
        mine = [each for each in mine if each.table == one.table] if one.table in TOGETHER else [one]
    if not mine:
        raise Refusal(f"entry {target} holds nothing that was read in an enclosure or done to one.")
    jars = dict.fromkeys(one.jar for one in mine if one.jar is not None)
    for jar in jars:
        of_jar = _values(book, stands, "slurry_entry = ? AND slurry_n = ?", jar, ("reading", "probing"))
        mine += [one for one in of_jar if one not in mine]
    return mine


def _is_of_one(one: _Value) -> bool:
    return one.table == "reading" or "enclosure" in one.row


def _values(
    book: Store,
    stands: StandingEntries,
    where: str,
    given: tuple[int, ...],
    tables: tuple[str, ...] = VALUES,
) -> list[_Value]:
    found = []
    for name in tables:
        names = BY_NAME[name].names
        for cells in book.rows(f"SELECT {', '.join(names)} FROM {name} WHERE {where}", given):
            row = dict(zip(names, cells, strict=True))
            if stands.has(row["entry"], row["n"]):
                number = row.get("enclosure")
                if name == "reading":
                    jar = (row["slurry_entry"], row["slurry_n"])
                    ((number,),) = book.rows("SELECT enclosure FROM slurry WHERE entry = ? AND n = ?", jar)
                found.append(_Value(Id(row["entry"], row["n"]), name, row, number))
    return sorted(found, key=lambda one: (one.id.entry, one.id.n or 0))


def _enter(book: Store, step: Step, meant: list[_Value], to: str, why: str | None) -> None:
    """Strike out each value, and enter the same of the other enclosure."""
    everywhere, jars = Everywhere(book), dict[tuple[int, int], Ref]()
    for one in meant:
        step.void(everywhere.entries[one.id.entry], one.id.n, why)
        if one.jar is not None and one.jar not in jars:
            table = BY_NAME["slurry"]
            names = ", ".join(table.names)
            (row,) = book.rows(f"SELECT {names} FROM slurry WHERE entry = ? AND n = ?", one.jar)
            jar = dict(zip(table.names, row, strict=True)) | {"enclosure": to}
            jars[one.jar] = step.add("slurry", tuple(jar.values())[2:])
        table = BY_NAME[one.table]
        (cells,) = everywhere.outside(table, [tuple(one.row.values())])
        new = dict(zip(table.names, cells, strict=True))
        if "enclosure" in new:
            new["enclosure"] = to
        if one.jar is not None:
            new["slurry_entry"], new["slurry_n"] = jars[one.jar]
        ref = step.value(one.table, tuple(new.values())[2:])
        if one.table == "event":
            carry_mix(book, everywhere, step, one.id, ref)
