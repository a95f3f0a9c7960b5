"""The command line: takes words, calls one pure function, shows what came back."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

__all__ = ["main"]


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line.

    The front page, the page of ``--help`` and the version are answered here, before anything heavy is
    imported.

    Parameters
    ----------
    argv : sequence of str, optional
        The words after the program's name; those of the process if not given.

    Returns
    -------
    int
        Exit status: 0 done, 1 a result that needs action under ``--strict`` (or a miss of ``verify``, or a
        step that was saved though its result could not be written), 2 bad input, 3 the record could not be
        used.
    """
    words = list(sys.argv[1:] if argv is None else argv)
    if "_SLURRYCALC_COMPLETE" not in os.environ:
        from slurrycalc.cli import front, writing

        page = front.answer(words)
        if page is not None:
            return writing.deliver(page)
        if words[0] in front.HELP:
            words = [words[1], "--help"]
    from slurrycalc.cli.running import run_command

    return run_command(words)
