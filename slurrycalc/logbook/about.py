"""What a table says of one enclosure, as far as it stands."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from slurrycalc.logbook.recall import Recall
    from slurrycalc.logbook.store import Row
    from slurrycalc.logbook.things import Thing


def rows_about(
    recall: Recall, table: str, columns: str, enclosure: Thing, until: datetime.date | None = None
) -> list[Row]:
    """Give the rows of a table that are about an enclosure.

    Parameters
    ----------
    recall : Recall
        The record.
    table : str
        One whose rows people address by number, with a column ``enclosure``.
    columns : str
        Which of its columns, parted by commas.
    enclosure : Thing
        Which enclosure.
    until : date, optional
        Nothing later than this day.

    Returns
    -------
    list of tuple
        Entry, number, time as the record has it (three columns), then those columns; in the order of time.
        What was struck out is not among them.

    Examples
    --------
    >>> from slurrycalc.logbook.recall import Recall
    >>> from slurrycalc.logbook.store import in_memory
    >>> from slurrycalc.logbook.things import Thing
    >>> atlas = Thing("a" * 20, 1, "enclosure", "atlas", {}, ())
    >>> rows_about(Recall(in_memory()), "outside", "ph", atlas)
    []
    """
    last = datetime.date.max if until is None else until
    rows = recall.book.rows(
        f"SELECT t.entry, t.n, e.at, e.utc_offset, e.day_only, {columns} FROM {table} t "
        "JOIN entry e ON e.id = t.entry WHERE t.enclosure = ? AND e.day <= ? ORDER BY e.at, e.id, t.n",
        (enclosure.id, last.isoformat()),
    )
    return [row for row in rows if recall.stands.has(row[0], row[1])]
