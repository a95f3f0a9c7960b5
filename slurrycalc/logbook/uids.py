"""Between the numbers of one logbook and the uids that all logbooks share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from slurrycalc.logbook.columns import TableShape
from slurrycalc.logbook.store import Store
from slurrycalc.metrology.remark import Refusal


class Here:
    """Numbers that this logbook gives to what has a uid everywhere.

    Parameters
    ----------
    book : Store

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> Here(in_memory()).next_entry()
    1
    """

    def __init__(self, book: Store) -> None:
        self.book = book
        self.entries: dict[str, int] = {}
        self.things: dict[str, int] = {}
        self._last_entry = 0
        self._last_thing = 0

    def next_entry(self) -> int:
        """Give the next free number of an entry, each time another."""
        self._last_entry = 1 + (self._last_entry or self._last("entry"))
        return self._last_entry

    def next_thing(self) -> int:
        """Give the next free number of a thing, each time another."""
        self._last_thing = 1 + (self._last_thing or self._last("thing"))
        return self._last_thing

    def _last(self, table: str) -> int:
        return int(self.book.rows(f"SELECT coalesce(max(id), 0) FROM {table}")[0][0])

    def entry(self, uid: str) -> int:
        """Give an entry's number."""
        return self._look_up(self.entries, "entry", uid)

    def thing(self, uid: str) -> int:
        """Give a thing's number."""
        return self._look_up(self.things, "thing", uid)

    def _look_up(self, known: dict[str, int], table: str, uid: str) -> int:
        if uid not in known:
            found = self.book.rows(f"SELECT id FROM {table} WHERE uid = ?", (uid,))
            if not found:
                raise Refusal(f"there is no {table} `{uid}` in this logbook; look in `slurrycalc history`.")
            known[uid] = int(found[0][0])
        return known[uid]

    def inside(self, table: TableShape, rows: Iterable[Sequence[Any]]) -> Iterator[list[Any]]:
        """Turn rows that point by uid into rows that point by number.

        Parameters
        ----------
        table : Table
            Whose rows they are.
        rows : iterable of sequence
            A cell a column.

        Yields
        ------
        list
            The same with numbers.
        """
        numbers = {"entry": self.entry, "thing": self.thing}
        to = [(i, numbers[column.to]) for i, column in enumerate(table.columns) if column.to]
        for row in rows:
            cells = list(row)
            if table.name == "thing":
                cells[0] = self.thing(cells[1])
            for i, number in to:
                if cells[i] is not None:
                    cells[i] = number(cells[i])
            yield cells


class Everywhere:
    """The uids of what has a number in this logbook.

    Parameters
    ----------
    book : Store
    """

    def __init__(self, book: Store) -> None:
        self.entries: dict[int, str] = dict(book.rows("SELECT id, uid FROM entry"))
        self.things: dict[int, str] = dict(book.rows("SELECT id, uid FROM thing"))

    def outside(self, table: TableShape, rows: Iterable[Sequence[Any]]) -> Iterator[list[Any]]:
        """Turn rows that point by number into rows that point by uid.

        Parameters
        ----------
        table : Table
            Whose rows they are.
        rows : iterable of sequence
            A cell a column.

        Yields
        ------
        list
            The same with uids.
        """
        uids = {"entry": self.entries, "thing": self.things}
        to = [(i, uids[column.to]) for i, column in enumerate(table.columns) if column.to]
        for row in rows:
            cells = list(row)
            for i, names in to:
                if cells[i] is not None:
                    cells[i] = names[cells[i]]
            yield cells
