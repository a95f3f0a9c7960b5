"""The last step to the terminal: its width, characters that it cannot show, pipes that are closed."""

from __future__ import annotations

import codecs
import os
import shutil
import sys
import unicodedata
from typing import TextIO

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
}
"""What stands for a character where the terminal cannot show it."""

CUT_OFF = 2
"""Exit status when the result could not be written."""
SAVED_UNSEEN = 1
"""Exit status when it could not be written and the step is on record: 2 promises that nothing was changed."""


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


def width() -> int:
    """Width of the page: COLUMNS where it is set, else that of the terminal, 80 in a pipe. [characters]."""
    return max(20, shutil.get_terminal_size().columns)


def deliver(text: str, saved: str | None = None) -> int:
    """Write a finished text to standard output.

    Parameters
    ----------
    text : str
        The whole page or JSON object, line break included.
    saved : str, optional
        Number of the entry by which the step is on record, so that nobody enters it twice.

    Returns
    -------
    int
        Exit status: 0, also where the reader of a pipe has closed it; where the text could not be written,
        with a sentence on standard error, 2, or 1 if the step is on record.
    """
    try:
        if sys.stdout is None:
            raise OSError(9, "standard output is closed")
        sys.stdout.write(spelled(text, getattr(sys.stdout, "encoding", None)))
        sys.stdout.flush()
    except OSError as error:
        if sys.stdout is not None:
            _let_go(sys.stdout)
        gone = isinstance(error, BrokenPipeError)
        if saved is not None:
            complain(
                f"The result could not be written ({error.strerror}), but the step is on record as {saved}: "
                f"don't give the line again; slurrycalc history {saved} shows it."
            )
        elif not gone:
            complain(f"The result could not be written ({error.strerror}); give the same line again.")
        return 0 if gone else CUT_OFF if saved is None else SAVED_UNSEEN
    return 0


def complain(sentence: str) -> None:
    """Write one sentence, or one JSON object, to standard error, if anyone can hear it."""
    if sys.stderr is None:
        return
    try:
        sys.stderr.write(spelled(sentence, getattr(sys.stderr, "encoding", None)) + "\n")
        sys.stderr.flush()
    except OSError:
        _let_go(sys.stderr)


def _let_go(stream: TextIO) -> None:
    """Point a broken stream at nothing, so that closing it when Python ends does not complain again."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
    except (OSError, ValueError):
        return
