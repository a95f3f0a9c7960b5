"""Rows gathered for one entry before any of them is recorded, numbered as they come."""

from __future__ import annotations

from typing import Any

from slurrycalc.logbook.forms import TABLES, VALUES
from slurrycalc.logbook.refs import Ref, new_uid


class Gathered:
    """What one entry will hold.

    Parameters
    ----------
    uid : str, optional
        Of the entry; a new one by default.

    Examples
    --------
    >>> rows = Gathered()
    >>> rows.value("event", ("a" * 20, "water", None, None, None)).n
    1
    """

    def __init__(self, uid: str | None = None) -> None:
        self.uid = new_uid() if uid is None else uid
        self.rows: dict[str, list[tuple[Any, ...]]] = {table.name: [] for table in TABLES}
        """What it adds to each table but the entry's own, pointing to entries and things by uid."""
        self._values = 0

    def add(self, table: str, cells: tuple[Any, ...]) -> Ref:
        """Add a row that nobody addresses by number.

        Parameters
        ----------
        table : str
            Its name.
        cells : tuple
            All but entry and number.

        Returns
        -------
        Ref
            Of the row.
        """
        rows = self.rows[table]
        rows.append((self.uid, len(rows) + 1, *cells))
        return Ref(self.uid, len(rows))

    def value(self, table: str, cells: tuple[Any, ...]) -> Ref:
        """Add a row that people address by number.

        Parameters
        ----------
        table : str
            One of `slurrycalc.logbook.forms.VALUES`.
        cells : tuple
            All but entry and number.

        Returns
        -------
        Ref
            Of the row.
        """
        assert table in VALUES
        self._values += 1
        self.rows[table].append((self.uid, self._values, *cells))
        return Ref(self.uid, self._values)
