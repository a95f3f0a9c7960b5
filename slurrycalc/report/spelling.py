"""Plain spellings of what a terminal or a file cannot show."""

from __future__ import annotations

import codecs
import unicodedata

from slurrycalc.metrology.quote import escaped

PLAIN = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅓": "1/3",
    "⅔": "2/3",
    "⅛": "1/8",
    "±": "+-",
    "−": "-",
    "µ": "u",
    "μ": "u",
    "°": "deg ",
    "×": "x",
    "·": ".",
    "–": "-",
    "—": "-",
    "…": "...",
    "‘": "'",
    "’": "'",
    "“": '"',
    "”": '"',
    "≤": "<=",
    "≥": ">=",
    "≈": "about ",
    "χ": "chi",
    "²": "^2",
    "ν": "nu",
    "Δ": "delta ",
    "☐": "[ ]",
    "─": "-",
    "░": ":",
    "┃": "|",
    "●": "o",
    "┆": "'",
    "═": "=",
}
"""What stands for a character where the terminal cannot show it."""


def spelled(text: str, encoding: str | None) -> str:
    """Give plain spellings to what an encoding cannot show.

    Parameters
    ----------
    text : str
        Any text.
    encoding : str or None
        The encoding of the terminal or file.

    Returns
    -------
    str
        The text, with ``1/2`` for ½, ``+-`` for ± and the like where the encoding has no such character.

    Examples
    --------
    >>> spelled("½ cup ± 5 %", "ascii")
    '1/2 cup +- 5 %'
    """
    try:
        text.encode(encoding or "utf-8")
    except UnicodeEncodeError:
        return text.encode(encoding or "utf-8", errors="slurrycalc.spelled").decode(encoding or "utf-8")
    return text


def _spell(error: UnicodeError) -> tuple[str, int]:
    """Replace what could not be encoded; registered as an error handler for the output streams."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(_spelling(letter) for letter in error.object[error.start : error.end]), error.end


def _spelling(letter: str) -> str:
    if letter in PLAIN:
        return PLAIN[letter]
    bare = unicodedata.normalize("NFKD", letter).encode("ascii", "ignore").decode("ascii")
    return bare or escaped(letter)


codecs.register_error("slurrycalc.spelled", _spell)
