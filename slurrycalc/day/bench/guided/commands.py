"""Words that can be typed instead of an answer."""

from __future__ import annotations

import re
from typing import Literal, NamedTuple

from slurrycalc.day.bench.guided.state import Progress

Name = Literal["back", "skip", "note", "moving", "help", "stop", "swap", "stir", "calibrate"]
_ALONE: dict[str, Name] = {
    "b": "back",
    "back": "back",
    "s": "skip",
    "skip": "skip",
    "n": "note",
    "note": "note",
    "w": "moving",
    "?": "help",
    "h": "help",
    "help": "help",
    "q": "stop",
    "quit": "stop",
    "stop": "stop",
    "c": "calibrate",
    "calibrate": "calibrate",
    "swap": "swap",
    "stir": "stir",
}
_WITH_MORE = ("skip", "note", "swap", "stir")
_JAR = re.compile(r"([A-Za-z]{1,3}\d{1,3})(?:[\s:=]+(.*))?", re.ASCII)


class Command(NamedTuple):
    """A word, and what stands behind it."""

    name: Name
    rest: str = ""


def command_of(line: str) -> Command | None:
    """Tell whether a line is a command.

    Parameters
    ----------
    line : str
        What was typed.

    Returns
    -------
    Command or None
        None for an answer.

    Examples
    --------
    >>> command_of("B"), command_of("n watered yesterday"), command_of("5.41")
    (Command(name='back', rest=''), Command(name='note', rest='watered yesterday'), None)
    """
    word, _, rest = line.strip().partition(" ")
    name, rest = _ALONE.get(word.casefold()), rest.strip()
    if name is None or (rest and name not in _WITH_MORE):
        return None
    if name == "skip":
        return None if rest.casefold() not in ("", "all") else Command("skip", rest.casefold())
    return Command(name, rest)


def jar_meant(line: str, progress: Progress) -> tuple[str, str] | None:
    """Tell whether a line begins with the label of a jar.

    Parameters
    ----------
    line : str
        What was typed.
    progress : Progress
        The day so far.

    Returns
    -------
    tuple of str or None
        The label as it stands on the cup, and what was typed behind it.
    """
    found = _JAR.fullmatch(line.strip())
    cup = progress.cup(found[1]) if found else None
    return None if found is None or cup is None else (cup.label, (found[2] or "").strip())
