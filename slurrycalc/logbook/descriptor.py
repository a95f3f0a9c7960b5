"""The descriptor of an exported logbook, after the open Data Package standard."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from slurrycalc.logbook import schema
from slurrycalc.logbook.columns import UID, Column, TableShape
from slurrycalc.logbook.forms import BY_NAME, TABLES

NAME = "datapackage.json"
HASH = "sha256:"
PROFILE = "tabular-data-package"

_TYPES: Mapping[str, dict[str, Any]] = {
    "integer": {"type": "integer"},
    "number": {"type": "number"},
    "string": {"type": "string"},
    "boolean": {"type": "boolean", "trueValues": ["1"], "falseValues": ["0"]},
    "datetime": {"type": "datetime", "format": "default"},
    "date": {"type": "date", "format": "default"},
    "json": {"type": "any"},
}


class FileSum(NamedTuple):
    """What tells whether a file is whole."""

    size: int
    """[bytes]"""
    sha256: str
    """In hexadecimal digits."""


def file_of(table: TableShape) -> str:
    """Give the name of a table's file.

    Parameters
    ----------
    table : Table

    Returns
    -------
    str
        Within the folder or the archive.
    """
    return f"{table.name}.csv"


def descriptor(files: Mapping[str, FileSum], created: str) -> dict[str, Any]:
    """Describe an exported logbook.

    Parameters
    ----------
    files : mapping
        Name of each file to what tells whether it is whole.
    created : str
        When, UTC.

    Returns
    -------
    dict
        To be written as JSON.

    References
    ----------
    .. [1] Frictionless Standards, Data Package and Table Schema, specs.frictionlessdata.io (from memory).

    Examples
    --------
    >>> made = descriptor({file_of(table): FileSum(0, "") for table in TABLES}, "2024-05-04T09:00:00Z")
    >>> made["resources"][6]["schema"]["foreignKeys"][0]["reference"]["resource"]
    'entry'
    """
    return {
        "profile": PROFILE,
        "name": "slurrycalc-logbook",
        "title": "Logbook of soil pH by slurry: raw readings, calibrations, events",
        "description": (
            "Every row is as it was recorded; nothing is ever changed or deleted. What no longer stands "
            "is named "
            "in the void table. Rows point to each other by the uid of their entry and a number within "
            "it, which "
            "are the same in every logbook; an id is the number in the logbook that this was taken from. A "
            "text that a spreadsheet would run, as it begins with =, +, -, @, a tab or a line end, or with "
            "apostrophes before one of these, has one apostrophe more in front; it is no part of the text."
        ),
        "created": created,
        "slurrycalc": {"form": schema.VERSION},
        "resources": [_resource(table, files[file_of(table)]) for table in TABLES],
    }


def _resource(table: TableShape, file: FileSum) -> dict[str, Any]:
    return {
        "profile": "tabular-data-resource",
        "name": table.name,
        "path": file_of(table),
        "title": table.about,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "bytes": file.size,
        "hash": f"{HASH}{file.sha256}",
        "schema": {
            "fields": [_field(column) for column in table.columns],
            "missingValues": [""],
            "primaryKey": ["uid"] if "uid" in table.names else list(table.key),
            "foreignKeys": [*_to_uids(table), *_to_rows(table)],
        },
    }


def _field(column: Column) -> dict[str, Any]:
    constraints: dict[str, Any] = {"required": not column.null}
    if column.choices:
        constraints["enum"] = list(column.choices)
    if column.name == "uid":
        constraints |= {"unique": True, "pattern": UID}
    shape = {"type": "string"} if column.to else _TYPES[column.type]
    return {"name": column.name, **shape, "description": column.about, "constraints": constraints}


def _to_uids(table: TableShape) -> list[dict[str, Any]]:
    return [
        # An empty name means the same table.
        {
            "fields": column.name,
            "reference": {"resource": "" if column.to == table.name else column.to, "fields": "uid"},
        }
        for column in table.columns
        if column.to
    ]


def _to_rows(table: TableShape) -> list[dict[str, Any]]:
    return [
        {"fields": list(columns), "reference": {"resource": target, "fields": list(BY_NAME[target].key)}}
        for columns, target in table.links
    ]
