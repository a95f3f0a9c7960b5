"""Where the logbook lies: as the command line says, the environment, or the platform's custom."""

from __future__ import annotations

import os
from pathlib import Path

from slurrycalc.metrology.remark import Refusal

VARIABLE = "SLURRYCALC_LOGBOOK"
FILE = "logbook.sqlite"


def logbook_path(given: str | None = None) -> Path:
    """Say where the logbook lies, whether or not there is one yet.

    Parameters
    ----------
    given : str, optional
        The value of ``--logbook``.

    Returns
    -------
    Path
        Its file.

    Raises
    ------
    Refusal
        If the option is empty, or no path can be made of it.

    Examples
    --------
    >>> logbook_path("bench.sqlite").name
    'bench.sqlite'
    """
    if given is not None and (not given.strip() or "\0" in given):
        raise Refusal("--logbook names no file: write a path, like --logbook bench.sqlite")
    named = given or os.environ.get(VARIABLE, "").strip()
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("slurrycalc", appauthor=False) / FILE


def is_there(path: Path) -> bool:
    """Tell whether there is a file of that name, whatever it holds."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False
