"""Files that travel with the package: the examples and the check values."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable


def shipped(folder: str, name: str) -> Traversable:
    """Find a file of ``examples/`` or ``reference/``, in a wheel or in a checkout.

    A wheel carries both folders inside the package, under ``_shipped``; an editable install finds them at the
    top of the repository.

    Parameters
    ----------
    folder : str
        ``"examples"`` or ``"reference"``.
    name : str
        The file's name in it.

    Returns
    -------
    importlib.resources.abc.Traversable
        The file: ``read_bytes()``, ``read_text(encoding="utf-8")``.

    Raises
    ------
    FileNotFoundError
        If neither place has it.

    Examples
    --------
    >>> shipped("examples", "forty-jars.csv").read_text(encoding="utf-8").splitlines()[0]
    'jar,enclosure,reading,temperature,probe,note'
    """
    package = files(__package__)
    for path in (("..", "_shipped", folder, name), ("..", "..", folder, name)):
        found = package.joinpath(*path)
        if found.is_file():
            return found
    raise FileNotFoundError(f"no shipped file {folder}/{name}")
