"""Tables of numbers, each row beside its source."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


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
