"""The form of the record as SQL."""

from __future__ import annotations

from collections.abc import Iterator

from slurrycalc.logbook.columns import Column, TableShape
from slurrycalc.logbook.forms import TABLES

VERSION = 5
"""Of the form, kept as ``user_version``; migrations lead up to it."""
READABLE = 5
"""The oldest form whose tables can be read as they are: what came later only holds new rows to more."""
APPLICATION_ID = 0x736C7279
"""Marks a database file as a logbook."""
APPEND_ONLY = "the logbook is append-only: void an entry instead"

_REFUSE = f"BEGIN SELECT RAISE(ABORT, '{APPEND_ONLY}'); END"
_SQL_TYPES = {
    "integer": "INTEGER",
    "number": "REAL",
    "string": "TEXT",
    "boolean": "INTEGER",
    "datetime": "TEXT",
    "date": "TEXT",
    "json": "TEXT",
}


def statements() -> Iterator[str]:
    """Give the statements that make an empty logbook.

    Yields
    ------
    str
        Tables, indices and triggers, then the marks of the file.

    Examples
    --------
    >>> next(statements()).splitlines()[0]
    'CREATE TABLE entry ('
    """
    for table in TABLES:
        yield from _making(table)
    yield f"PRAGMA application_id = {APPLICATION_ID}"
    yield f"PRAGMA user_version = {VERSION}"


def added(form: int) -> Iterator[str]:
    """Give the statements that make the tables which a form has and the one before it has not.

    Parameters
    ----------
    form : int
        Version of the form.

    Yields
    ------
    str
        Tables, indices and triggers.

    Examples
    --------
    >>> [each.split()[2] for each in added(2) if each.startswith("CREATE TABLE")]
    ['conductivity', 'blend', 'outside']
    """
    for table in TABLES:
        if table.since == form:
            yield from _making(table)


def made_anew(form: int) -> Iterator[str]:
    """Give the statements that make every table anew with the rows that it has, whatever they hold.

    Parameters
    ----------
    form : int
        Version of the form; tables that came later are not there yet.

    Yields
    ------
    str
        For a transaction in which neither checks nor links are looked at.

    Examples
    --------
    >>> list(made_anew(3))[1]
    'DROP TABLE entry'
    """
    for table in TABLES:
        if table.since > form:
            continue
        columns = ", ".join(table.names)
        yield f"CREATE TEMP TABLE kept AS SELECT {columns} FROM {table.name}"
        yield f"DROP TABLE {table.name}"
        making, *rest = _making(table)
        yield making
        yield f"INSERT INTO {table.name} ({columns}) SELECT {columns} FROM kept"
        yield "DROP TABLE kept"
        yield from rest


def _making(table: TableShape) -> Iterator[str]:
    yield _table(table)
    for columns in table.indices:
        yield f"CREATE INDEX {table.name}_by_{'_'.join(columns)} ON {table.name} ({', '.join(columns)})"
    yield from _triggers(table)


def _table(table: TableShape) -> str:
    lines = [_column(column, column.name == "id") for column in table.columns]
    if table.key != ("id",):
        lines.append(f"PRIMARY KEY ({', '.join(table.key)})")
    lines += [
        f"FOREIGN KEY ({', '.join(columns)}) REFERENCES {target} (entry, n)"
        for columns, target in table.links
    ]
    lines += [f"CHECK (({columns[0]} IS NULL) = ({columns[1]} IS NULL))" for columns, _ in table.links]
    # A table without a row number of its own is kept in the order of its key: an entry's rows lie together.
    tail = "" if table.key == ("id",) else " WITHOUT ROWID"
    return f"CREATE TABLE {table.name} (\n  " + ",\n  ".join(lines) + f"\n){tail}"


def _column(column: Column, is_id: bool) -> str:
    name = column.name
    kind = "INTEGER" if column.to else _SQL_TYPES[column.type]
    parts = [name, kind]
    if is_id:
        parts.append("PRIMARY KEY")
    if not column.null:
        parts.append("NOT NULL")
    if name == "uid":
        parts.append("UNIQUE")
    if column.to:
        parts.append(f"REFERENCES {column.to} (id)")
    may = f"{name} IS NULL OR " if column.null else ""
    checks = [_kind_check(column)] if not is_id else []
    if column.check:
        checks.append(column.check.format(name))
    if column.choices:
        checks.append(f"{may}{name} IN ({', '.join(repr(choice) for choice in column.choices)})")
    # SQLite lets a condition pass that is neither true nor false.
    parts += [f"CHECK (({check}) IS TRUE)" for check in checks]
    return " ".join(parts)


def _kind_check(column: Column) -> str:
    """Hold a column to its type: SQLite by itself takes anything anywhere."""
    name, may = column.name, "" if not column.null else f"{column.name} IS NULL OR "
    if column.to or column.type == "integer":
        return f"{may}typeof({name}) = 'integer'"
    if column.type == "boolean":
        return f"{may}{name} IN (0, 1)"
    if column.type == "number":
        # Infinity is a number to SQLite, and none that anybody read.
        return f"{may}(typeof({name}) = 'real' AND abs({name}) < 1e9)"
    return f"{may}(typeof({name}) = 'text' AND {name} <> '')"


def _triggers(table: TableShape) -> Iterator[str]:
    for act in ("UPDATE", "DELETE"):
        yield f"CREATE TRIGGER {table.name}_no_{act.lower()} BEFORE {act} ON {table.name} {_REFUSE}"
    yield guard(table)


def guard(table: TableShape) -> str:
    """Give the trigger that keeps rows from being replaced.

    ``INSERT OR REPLACE`` deletes what is in its way without asking the trigger that keeps rows from being
    deleted.

    Parameters
    ----------
    table : Table
        Whose rows.

    Returns
    -------
    str
        The statement that makes ``<table>_no_replace``.
    """
    same = " AND ".join(f"{name} = NEW.{name}" for name in table.key)
    if "uid" in table.names:
        same = f"{same} OR uid = NEW.uid"
    return (
        f"CREATE TRIGGER {table.name}_no_replace BEFORE INSERT ON {table.name} "
        f"WHEN EXISTS (SELECT 1 FROM {table.name} WHERE {same}) {_REFUSE}"
    )
