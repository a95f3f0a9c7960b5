"""What somebody typed, shown harmlessly inside a sentence."""

from __future__ import annotations

LONGEST = 40
"""Characters of a text that a sentence shows; a longer one is cut and marked."""


def clean(text: str) -> str:
    r"""Make every control character of a person's text visible.

    Parameters
    ----------
    text : str
        Text that may hold anything: escape sequences, line breaks, marks that turn the direction of writing,
        lone surrogates.

    Returns
    -------
    str
        One line of printable text.

    Examples
    --------
    >>> clean("atlas\x1b[2J")
    'atlas\\x1b[2J'
    """
    if text.isprintable():
        return text
    return "".join(letter if letter.isprintable() else escaped(letter) for letter in text)


def escaped(letter: str) -> str:
    r"""Write a character by its number.

    Examples
    --------
    >>> print(escaped("\x1b"), escaped("\u202e"))
    \x1b \u202e
    """
    return letter.encode("unicode_escape", "surrogatepass").decode("ascii")


def quoted(text: object, longest: int = LONGEST) -> str:
    r"""Quote a text for a sentence, so that nothing in it can act on a terminal.

    It is made `clean`. Brackets and tags stay as they are: who shows the sentence in a markup language
    escapes it there.

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
    return f"`{clean(whole[:longest])}{'...' if len(whole) > longest else ''}`"
