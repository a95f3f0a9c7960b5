"""What somebody typed, shown harmlessly inside a sentence."""

from __future__ import annotations

LONGEST = 40
"""Characters of a text that a sentence shows; a longer one is cut and marked."""


def quoted(text: object, longest: int = LONGEST) -> str:
    r"""Quote a text for a sentence, so that nothing in it can act on a terminal.

    Control, formatting and lone surrogate characters are written as escapes. Brackets and tags stay as they
    are: who shows the sentence in a markup language escapes it there.

    Parameters
    ----------
    text : object
        What was given; anything that is no string is quoted by its ``str``.
    longest : int
        Characters to keep; the rest becomes ``...``.

    Returns
    -------
    str
        The text between backticks.

    Examples
    --------
    >>> quoted("4 oz")
    '`4 oz`'
    >>> print(quoted("5.4\x1b[31m"))
    `5.4\x1b[31m`
    >>> quoted("9" * 100, longest=5)
    '`99999...`'
    """
    whole = str(text)
    shown = whole[:longest]
    safe = "".join(
        c if c.isprintable() else c.encode("unicode_escape", "surrogatepass").decode("ascii") for c in shown
    )
    return f"`{safe}{'...' if len(whole) > longest else ''}`"
