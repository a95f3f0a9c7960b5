"""How somebody who waits may follow along: what goes through many things hands them over on their way."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol, TypeVar

Item = TypeVar("Item")


class Watch(Protocol):
    """Gives the same things, one after the other, and may show how many have gone by."""

    def __call__(self, items: Iterable[Item], total: int | None = None) -> Iterable[Item]:
        """Give them; `total` says how many there are, where that is known."""
        ...


def unwatched(items: Iterable[Item], total: int | None = None) -> Iterable[Item]:
    """Give them, where nobody waits.

    Examples
    --------
    >>> list(unwatched("ab"))
    ['a', 'b']
    """
    del total
    return items
