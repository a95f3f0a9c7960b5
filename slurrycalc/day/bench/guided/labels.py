"""What to write on the cups."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

Labels = list[list[str | list[str]]]
"""Each enclosure with the labels of its cups."""
_LABEL = re.compile(r"([A-Z]+)(\d+)", re.ASCII)


def letters() -> Iterator[str]:
    """Give A to Z, then AA, AB and so on.

    Examples
    --------
    >>> found = letters()
    >>> [next(found) for _ in range(28)][25:]
    ['Z', 'AA', 'AB']
    """
    number = 0
    while True:
        number += 1
        word, rest = "", number
        while rest:
            rest, last = divmod(rest - 1, 26)
            word = chr(ord("A") + last) + word
        yield word


def cup_labels(cases: Sequence[str], each: int, taken: Sequence[tuple[str, str]] = ()) -> Labels:
    """Label the cups: a letter an enclosure, a number a slurry.

    Parameters
    ----------
    cases : sequence of str
        Names of the enclosures.
    each : int
        Slurries of each.
    taken : sequence of (str, str)
        Enclosure and label of cups that are on the table already: an enclosure keeps its letter and counts
        on, so that no two cups bear the same label.

    Returns
    -------
    list
        Name and labels of each enclosure, in their order, as JSON has them.

    Examples
    --------
    >>> cup_labels(["window", "stairs"], 2)
    [['window', ['A1', 'A2']], ['stairs', ['B1', 'B2']]]
    >>> cup_labels(["stairs", "atlas"], 1, [("window", "A1"), ("stairs", "B1")])
    [['stairs', ['B2']], ['atlas', ['C1']]]
    """
    used: dict[str, list[tuple[str, int]]] = {}
    for case, label in taken:
        if found := _LABEL.fullmatch(label.upper()):
            used.setdefault(case.casefold(), []).append((found[1], int(found[2])))
    known = {letter for mine in used.values() for letter, _ in mine}
    fresh = (letter for letter in letters() if letter not in known)
    labels: Labels = []
    for case in cases:
        mine = used.get(case.casefold())
        letter = mine[0][0] if mine else next(fresh)
        last = max((number for of, number in mine or () if of == letter), default=0)
        labels.append([case, [f"{letter}{last + n}" for n in range(1, each + 1)]])
    return labels
