"""Names and notes that people give to what they keep."""

from __future__ import annotations

import re
import shlex
import unicodedata
from collections.abc import Iterable

from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

LONGEST_NAME = 60
LONGEST_NOTE = 500
NEAR = 0.7
"""Words less alike than this (of difflib's ratio) are no slips of one another (our own figure). [1]"""
SHORTEST_PART = 3
"""Fewer letters of a word do not tell which one is meant (our own figure)."""


def plain_name(text: str, what: str, like: str) -> str:
    """Hold a name to what can be shown on a line, typed in a shell and found again.

    Parameters
    ----------
    text : str
        The name as typed.
    what : str
        What it names, for the sentence: ``"jar"``.
    like : str
        A right one, for the sentence: ``"A1"``.

    Returns
    -------
    str
        The name without blanks around it, in Unicode's composed form.

    Raises
    ------
    Refusal
        If it is empty, too long, not one line of printable text, or starts with a dash.

    Examples
    --------
    >>> plain_name(" map [2] ", "enclosure", "window")
    'map [2]'
    >>> plain_name("-x", "jar", "A1")
    Traceback (most recent call last):
    ...
    slurrycalc.metrology.remark.Refusal: the jar name `-x` starts with a dash, which a command line takes for
    an option; write a name such as `A1`.
    """
    name = unicodedata.normalize("NFC", text).strip(" \t")
    if not name:
        why = "is empty"
    elif name.startswith("-"):
        why = "starts with a dash, which a command line takes for an option"
    elif not name.isprintable():
        why = "holds a character that cannot be printed"
    elif len(name) > LONGEST_NAME:
        why = f"is {len(name)} characters long, more than {LONGEST_NAME}"
    else:
        return name
    raise Refusal(f'the {what} name {quoted(text)} {why}; write a name such as `{like}`.')


def plain_note(text: str) -> str:
    """Hold a note to a length that can be shown.

    Parameters
    ----------
    text : str
        The note as typed; line breaks are allowed.

    Returns
    -------
    str
        The note without blanks around it.

    Raises
    ------
    Refusal
        If it is too long.
    """
    if len(text) > LONGEST_NOTE:
        raise Refusal(
            f"the note {quoted(text)} is {len(text)} characters long; keep a note to {LONGEST_NOTE} or fewer."
        )
    return text.strip()


NUMBER = re.compile(
    r"[-−+±]?[.,]?[\d½¼¾⅓⅔⅛][\d½¼¾⅓⅔⅛.,/ ±+−-]*(m?v|ph|[uµμm]s/cm|ds/m|%|g/l|°?[cf]|degc)?\s*(@.*)?$",
    re.IGNORECASE,
)
"""What reads as a number, with or without its unit; a thing that is called so is named by its option."""


def line_about(command: str, enclosure: str) -> str:
    """Write a command about an enclosure, its name alone where that can be nothing else.

    Examples
    --------
    >>> line_about("exchange", "atlas"), line_about("exchange", "leaf mix"), line_about("trend", "12")
    ('slurrycalc exchange atlas', "slurrycalc exchange 'leaf mix'", 'slurrycalc trend --enclosure 12')
    """
    doubtful = NUMBER.match(enclosure) or "=" in enclosure or enclosure.startswith("#")
    return f"slurrycalc {command} {'--enclosure ' if doubtful else ''}{shlex.quote(enclosure)}"


def on_logbook(line: str, given: str | None) -> str:
    """Write a command to copy so that it goes to the logbook that the line before it named.

    Examples
    --------
    >>> on_logbook("slurrycalc undo", "tour.sqlite")
    'slurrycalc undo --logbook tour.sqlite'
    >>> on_logbook("slurrycalc undo", None)
    'slurrycalc undo'
    """
    return f"{line} --logbook {shlex.quote(given)}" if given else line


def near(word: str, known: Iterable[str]) -> str | None:
    """Find the known word of which another one may be a slip, or a part.

    Parameters
    ----------
    word : str
        What was typed.
    known : iterable of str
        What could have been meant.

    Returns
    -------
    str or None
        The nearest known word; None where none is near, since a wrong guess leads astray.

    Examples
    --------
    >>> near("windw", ["atlas", "window"]), near("bed", ["by", "bed-depth"]), near("serve", ["sheet"])
    ('window', 'bed-depth', None)
    """
    from difflib import get_close_matches  # noqa: PLC0415  only a mistake needs it

    key, choices = word.casefold().strip(), {k.casefold(): k for k in known}
    found = get_close_matches(key, choices, n=1, cutoff=NEAR) or [
        one for one in choices if len(key) >= SHORTEST_PART and (one.startswith(key) or key in one.split("-"))
    ]
    return choices[found[0]] if len(found) == 1 else None
