"""Which act of the keeper a row belongs to: a value that was entered anew is still part of the first one."""

from __future__ import annotations

from collections.abc import Iterable

from slurrycalc.logbook.standing import chunked
from slurrycalc.logbook.store import Store


def acts_of(book: Store, entries: Iterable[int]) -> dict[int, int]:
    """Give for each entry the one whose values it holds: of a fix, the entry that was fixed.

    Parameters
    ----------
    book : Store
    entries : iterable of int
        Their numbers.

    Returns
    -------
    dict
        Entry to itself, or to the one that it mends.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> acts_of(in_memory(), [1])
    {1: 1}
    """
    acts = {entry: entry for entry in entries}
    at = set(acts)
    # A fix may have been fixed in turn.
    while at:
        mends: dict[int, int] = dict(
            chunked(book, "SELECT id, part_of FROM entry WHERE kind = 'fix' AND id IN ({})", at)
        )
        acts = {entry: mends.get(act, act) for entry, act in acts.items()}
        at = set(mends.values())
    return acts
