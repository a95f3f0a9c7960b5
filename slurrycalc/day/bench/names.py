"""Names that people give to several things at once."""

from __future__ import annotations

from collections.abc import Sequence

from slurrycalc.day.bench.places import Places
from slurrycalc.metrology.names import near, plain_name, plain_note
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

__all__ = ["near", "plain_name", "plain_note", "unique_names"]


def unique_names(names: Sequence[str], places: Places, what: str, like: str) -> list[str]:
    """Hold the names of several things to be plain and each its own.

    Parameters
    ----------
    names : sequence of str
        The names as typed.
    places : Places
        Where they stand.
    what : str
        What they name, which is also their table: ``"bottle"``.
    like : str
        A right one, for the sentence.

    Returns
    -------
    list of str
        The names as `plain_name` gives them.

    Raises
    ------
    Refusal
        If one is not plain, or there twice; capitals make no difference.

    Examples
    --------
    >>> unique_names(["window", "atlas "], Places(), "enclosure", "window")
    ['window', 'atlas']
    """
    seen: dict[str, int] = {}
    plain = []
    for index, name in enumerate(names):
        with places.around(what, index, "name"):
            plain.append(plain_name(name, what, like))
            if seen.setdefault(plain[-1].casefold(), index) != index:
                raise Refusal(f"{what} {quoted(name)} is there twice; give each a name of its own.")
    return plain
