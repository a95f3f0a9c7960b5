"""What of the record stands, and what was struck out.

Nothing is deleted: a voiding is a record of its own, which can be voided in turn. So what stands follows from
all voidings together, the newest first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from slurrycalc.logbook.store import Row, Store

CHUNK = 500
"""Numbers that are asked for in one statement."""
_WHOLES = "SELECT id, part_of FROM entry WHERE part_of IS NOT NULL AND id IN ({})"
_PARTS = "SELECT id, part_of FROM entry WHERE part_of IN ({})"
CAME_WITH = (
    "SELECT a.target, a.entry FROM arrival a WHERE a.{} IN ({{}}) AND NOT EXISTS (SELECT 1 FROM arrival o "
    "WHERE o.target = a.entry AND NOT EXISTS (SELECT 1 FROM arrival p WHERE p.entry = o.entry "
    "AND p.target = a.target))"
)
"""What came in by an import, and that import.

Another keeper's import, which came in by one in turn, brought in nothing here that did not come along with
it: that was here before, and stays where the import is struck out.
"""


@dataclass(frozen=True, slots=True)
class StandingEntries:
    """What was struck out, and by which entry."""

    entries: dict[int, int]
    """Entry that does not stand, to the entry that voids it."""
    values: dict[tuple[int, int], int]
    """Single value that does not stand, to the entry that voids it."""

    def has(self, entry: int, n: int | None = None) -> bool:
        """Tell whether an entry or one value of it stands.

        Parameters
        ----------
        entry : int
            Its number.
        n : int, optional
            Of the value.

        Returns
        -------
        bool
            False where it was struck out.
        """
        return entry not in self.entries and (n is None or (entry, n) not in self.values)

    def __bool__(self) -> bool:
        return bool(self.entries or self.values)


def standing(book: Store) -> StandingEntries:
    """Find out what stands.

    Parameters
    ----------
    book : Store

    Returns
    -------
    StandingEntries
        As the record is now.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> bool(standing(in_memory()))
    False
    """
    voids = book.rows("SELECT entry, target_entry, target_n FROM void ORDER BY entry DESC, n")
    if not voids:
        return StandingEntries({}, {})
    above = _owners(book, {entry for entry, _, _ in voids})
    entries: dict[int, int] = {}
    values: dict[tuple[int, int], int] = {}
    # A voiding points to an older entry only, so going backwards its own fate is settled when it is met.
    for entry, target, n in voids:
        if any(owner in entries for owner in above[entry]):
            continue
        if n is None:
            entries.setdefault(target, entry)
        else:
            values.setdefault((target, n), entry)
    _with_parts(book, entries)
    return StandingEntries(entries, values)


def _owners(book: Store, entries: set[int]) -> dict[int, list[int]]:
    """Give for each entry itself and all that it is a part of, or came in with."""
    owners: dict[int, list[int]] = {}
    wanted = set(entries)
    while wanted:
        owners |= {entry: [] for entry in wanted}
        for sql in (_WHOLES, CAME_WITH.format("target")):
            for entry, owner in chunked(book, sql, wanted):
                owners[entry].append(owner)
        wanted = {owner for entry in wanted for owner in owners[entry]} - owners.keys()
    chains = {}
    for entry in entries:
        chain = [entry]
        for one in chain:
            chain += [owner for owner in owners[one] if owner not in chain]
        chains[entry] = chain
    return chains


def _with_parts(book: Store, entries: dict[int, int]) -> None:
    """Let everything fall that belongs to what fell, or came in with it and no other way."""
    fallen = set(entries)
    while fallen:
        parts = [row for sql in (_PARTS, CAME_WITH.format("entry")) for row in chunked(book, sql, fallen)]
        fallen = set()
        for part, owner in parts:
            if part not in entries:
                entries[part] = entries[owner]
                fallen.add(part)


def chunked(book: Store, sql: str, numbers: Iterable[int] | Iterable[str]) -> list[Row]:
    """Ask for rows by many numbers, or uids.

    Parameters
    ----------
    book : Store
    sql : str
        A statement with ``{}`` where the numbers go.
    numbers : iterable of int or of str
        Which.

    Returns
    -------
    list of tuple
        All rows.
    """
    every: list[Any] = sorted(numbers)
    rows: list[Row] = []
    for start in range(0, len(every), CHUNK):
        part = every[start : start + CHUNK]
        rows += book.rows(sql.format(", ".join("?" * len(part))), part)
    return rows
