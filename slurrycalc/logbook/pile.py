"""Past readings of any number on their way in, piled up on the disk and taken off by time."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from types import TracebackType
from typing import Any, NamedTuple, Self

from slurrycalc.logbook.foreign import PastReading

_FORM = """
CREATE TABLE past (row INTEGER PRIMARY KEY, day TEXT, time TEXT, place TEXT, ph REAL, u REAL, label TEXT,
    spot TEXT, probe REAL, note TEXT);
CREATE TABLE meant (place TEXT PRIMARY KEY, uid TEXT);
CREATE TABLE there (uid TEXT, day TEXT, ph REAL, u REAL, label TEXT);
CREATE INDEX there_by_day ON there (uid, day, ph);
CREATE TABLE twice (row INTEGER PRIMARY KEY, label TEXT);
"""
_NEW = """
FROM (
    SELECT past.*, meant.uid,
        row_number() OVER (PARTITION BY meant.uid, day, ph, u, label ORDER BY row) AS nth
    FROM past JOIN meant USING (place)) p
WHERE p.nth > (SELECT count(*) FROM there t WHERE t.uid = p.uid AND t.day = p.day AND t.ph = p.ph
    AND t.u IS p.u AND t.label IS p.label)
"""
"""What is there so many times already is new from the next one on."""
_FRESH = f"""
SELECT p.row, p.day, p.time, p.uid, p.ph, p.u, p.label, p.spot, p.probe, p.note {_NEW}
AND p.row NOT IN (SELECT row FROM twice)
ORDER BY p.day, coalesce(p.time, '~'), p.row
"""
"""A day without a time comes last."""
_TWICE = f"""
INSERT INTO twice
WITH was AS (SELECT uid, day, ph, u, label, count(*) AS n FROM there GROUP BY uid, day, ph, u, label),
    comes AS (SELECT uid, day, ph, u, label, count(*) AS n FROM past JOIN meant USING (place)
        GROUP BY uid, day, ph, u, label),
    other AS (SELECT w.uid, w.day, w.ph, w.label FROM was w LEFT JOIN comes c ON c.uid = w.uid
        AND c.day = w.day AND c.ph = w.ph AND c.u IS w.u AND c.label IS w.label
        WHERE w.n > coalesce(c.n, 0))
SELECT new.row, min(other.label) FROM (SELECT p.row, p.uid, p.day, p.ph, p.spot {_NEW}) new
JOIN other USING (uid, day, ph) WHERE new.spot IS NULL GROUP BY new.row
"""
"""New by label or u alone, where the same is there that does not come again: one jar, entered twice."""


Mark = tuple[str, str, float, float | None, str | None]
"""What tells past readings apart: enclosure, day, pH, u, label."""


class Piled(NamedTuple):
    """One reading, as it is taken off."""

    row: int
    day: str
    time: str | None
    enclosure: str
    """Its uid."""
    ph: float
    """[pH]"""
    u: float | None
    """[pH]"""
    label: str | None
    spot: str | None
    probe: float | None
    """[pH]"""
    note: str | None


class Pile:
    """Past readings, kept in a file of their own that is gone afterwards.

    Examples
    --------
    >>> import datetime
    >>> one = PastReading(2, datetime.date(2023, 5, 4), None, "atlas", 5.41, None, "A1", None, None, None)
    >>> with Pile() as pile:
    ...     pile.put(one, "atlas")
    ...     pile.mean("atlas", "a" * 20)
    ...     [(piled.day, piled.ph) for piled in pile.fresh()]
    [('2023-05-04', 5.41)]
    """

    def __init__(self) -> None:
        # An empty name: SQLite keeps it in memory as long as it is small, and on the disk from there on.
        self._db = sqlite3.connect("", isolation_level=None)
        self._db.execute("PRAGMA journal_mode = OFF")
        self._db.execute("PRAGMA synchronous = OFF")
        self._db.executescript(_FORM)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._db.close()

    def put(self, reading: PastReading, place: str) -> None:
        """Put a reading on it, with what its enclosure is called there."""
        time = None if reading.time is None else reading.time.isoformat("minutes")
        self._db.execute(
            "INSERT INTO past VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (
                *(reading.row, reading.day.isoformat(), time, place, reading.ph, reading.u),
                *(reading.label, reading.spot, reading.probe, reading.note),
            ),
        )

    def mean(self, place: str, uid: str) -> None:
        """Say which enclosure is meant by what it is called; readings of others stay on the pile."""
        self._db.execute("INSERT INTO meant VALUES (?, ?)", (place, uid))

    def there(self, rows: Iterable[Mark]) -> None:
        """Say which readings are on record already."""
        self._db.executemany("INSERT INTO there VALUES (?, ?, ?, ?, ?)", rows)

    def twice(self) -> list[tuple[int, tuple[str, str, float, str | None]]]:
        """Set aside what is there under another label; give its row, place, day, pH and that label."""
        self._db.execute(_TWICE)
        found = self._db.execute(
            "SELECT row, place, day, ph, twice.label FROM twice JOIN past USING (row) ORDER BY row"
        )
        return [(row, (place, day, ph, label)) for row, place, day, ph, label in found]

    def rows_of(self, place: str) -> list[int]:
        """Give the rows in which an enclosure is called so."""
        return [row for (row,) in self._db.execute("SELECT row FROM past WHERE place = ?", (place,))]

    def counted(self) -> int:
        """Give how many readings are of an enclosure that is known by now."""
        found: Any = self._db.execute("SELECT count(*) FROM past JOIN meant USING (place)").fetchone()
        return int(found[0])

    def fresh(self) -> Iterator[Piled]:
        """Take off what is not on record already, by time."""
        return map(Piled._make, self._db.execute(_FRESH))
