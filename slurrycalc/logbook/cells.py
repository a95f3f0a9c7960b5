"""What a keeper says, as the record keeps it."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import TypeAlias

from slurrycalc.metrology.names import plain_note
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

Shows: TypeAlias = float | Sequence[float]
"""One indication, or repeated ones of the same thing."""


def first_and_again(shows: Shows) -> tuple[float, str | None]:
    """Part repeated indications into the first and the further ones, as the record keeps them.

    Parameters
    ----------
    shows : float or sequence of float
        In what the display shows.

    Returns
    -------
    first : float
    again : str or None
        The others, parted by blanks.

    Examples
    --------
    >>> first_and_again((5.41, 5.42))
    (5.41, '5.42')
    """
    if isinstance(shows, int | float):
        return float(shows), None
    first, *rest = (float(each) for each in shows)
    return first, " ".join(repr(each) for each in rest) or None


def number(value: float | None) -> float | None:
    """Hold a number to be finite.

    Parameters
    ----------
    value : float or None

    Returns
    -------
    float or None
        The same.

    Raises
    ------
    Refusal
        If it is not.
    """
    if value is None:
        return None
    if not isfinite(value):
        raise Refusal(f"`{value:g}` is no number that can be recorded; write one such as 5.41.")
    return float(value)


def note(text: str | None) -> str | None:
    """Hold a note to what can be kept and shown.

    Parameters
    ----------
    text : str or None
        As typed.

    Returns
    -------
    str or None
        Without blanks around it; None where nothing is left.

    Raises
    ------
    Refusal
        If it is too long, or holds a character that no file can keep.
    """
    if text is None:
        return None
    plain = plain_note(text)
    if "\0" in plain or any("\ud800" <= c <= "\udfff" for c in plain):
        raise Refusal(
            f"the note {quoted(text)} holds a character that cannot be kept; write it as plain text."
        )
    return plain or None
