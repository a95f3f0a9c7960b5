"""Tables of numbers, each row beside its source."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from importlib.resources import files
from typing import Any, Protocol, TypeVar


class Named(Protocol):
    """A row that goes by a name, or several."""

    @property
    def name(self) -> str:
        """What it is called here, in small letters."""

    @property
    def also(self) -> tuple[str, ...]:
        """What else it is called."""


Row = TypeVar("Row", bound=Named)


@cache
def table(name: str) -> dict[str, Any]:
    """Read one of the shipped tables.

    Parameters
    ----------
    name : str
        The table's file name without its ending, for instance ``"buffers"``.

    Returns
    -------
    dict
        The file's content. It is cached and shared: do not change it.

    Raises
    ------
    FileNotFoundError
        If there is no such table.
    """
    return tomllib.loads(files(__name__).joinpath(f"{name}.toml").read_text(encoding="utf-8"))


def called(rows: Iterable[Row], name: str) -> Row | None:
    """Find a row by one of its names.

    Parameters
    ----------
    rows : iterable
        Each with a ``name`` and others in ``also``.
    name : str
        As it was typed; case and spaces at its ends don't matter.

    Returns
    -------
    row or None
        The first of that name, if there is one.
    """
    wanted = " ".join(name.casefold().split())
    return next((row for row in rows if wanted in (row.name, *row.also)), None)
