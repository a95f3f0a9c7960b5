"""The last step to the terminal: its width, pipes that are closed."""

from __future__ import annotations

import os
import shutil
import sys
from typing import TextIO

from slurrycalc.report.spelling import spelled

CUT_OFF = 2
"""Exit status when the result could not be written."""
SAVED_UNSEEN = 1
"""Exit status when it could not be written and the step is on record: 2 promises that nothing was changed."""


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
