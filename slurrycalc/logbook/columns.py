"""What a table of the record is made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

FARTHEST = 1e9
"""No number that anybody read is larger; the conditions of every form hold to the same (our own figure)."""
UID = "[0-9a-f]{20}"
"""How a uid is written, as a pattern."""
Type = Literal["integer", "number", "string", "boolean", "datetime", "date", "json"]


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table."""

    name: str
    type: Type
    about: str
    null: bool = False
    """Whether it may be empty."""
    choices: tuple[str, ...] = ()
    to: Literal["", "entry", "thing"] = ""
    """The table it points to: by number inside a logbook, by uid outside."""
    check: str = ""
    """Condition in SQL; it holds where it is true, and not where it is NULL."""
    kind: str = ""
    """Of the thing that it points to, where the column is not called so."""

    @property
    def is_text(self) -> bool:
        """Whether its cells are what somebody typed, so that they may begin with anything."""
        return not self.to and self.type in ("string", "json")


@dataclass(frozen=True, slots=True)
class TableShape:
    """One table."""

    name: str
    about: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    links: tuple[tuple[tuple[str, ...], str], ...] = ()
    """Pairs of columns that point to a row (entry, n) of another table."""
    indices: tuple[tuple[str, ...], ...] = ()
    since: int = 1
    """The form of the record that has it first."""

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the columns."""
        return tuple(column.name for column in self.columns)

    @property
    def insertion(self) -> str:
        """The SQL statement that adds a row."""
        marks = ", ".join("?" * len(self.columns))
        return f"INSERT INTO {self.name} ({', '.join(self.names)}) VALUES ({marks})"
