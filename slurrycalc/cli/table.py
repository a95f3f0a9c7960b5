"""Which commands there are: moment, file, names, and what each does in a line.

``--help`` reads only this table, so that it need not import the commands; a test holds it equal to their
docstrings.
"""

from __future__ import annotations

COMMANDS: dict[str, dict[str, dict[str, str]]] = {
    "At the bench": {
        "guiding": {
            "bench": "Walk a whole bench day at the table: ask, time each jar, save each answer.",
        },
        "day": {
            "run": "Compute a whole bench day from a worksheet or a CSV of jars, and record it.",
        },
        "sheeting": {
            "sheet": "Begin a bench day's sheet from the record: a worksheet, or one for a pencil.",
        },
        "mixing": {
            "mix": "Say how much substrate and water to mix, and how, step by step.",
            "ratio": "Say what ratio an amount of substrate and one of water make.",
        },
        "metering": {
            "buffers": "List the buffers and their pH at a temperature.",
            "calibrate": "Judge a meter by the buffers it read.",
            "read": "Turn meter readings of slurries into a pH with its interval.",
        },
        "probing": {
            "compare": "Compare a soil probe with slurries of the same spots.",
            "probe": "Say what a probe's indication adds to what your slurries say.",
        },
        "conducting": {
            "salts": "Turn a conductivity meter's readings of slurries into salts, and say what they mean.",
        },
        "sampling": {
            "spots": "Say how many spots to sample for a wanted margin.",
        },
    },
    "Deciding": {
        "drifting": {
            "trend": "Say how fast pH drifts, when it meets a limit, and by when to read again.",
        },
        "changing": {
            "exchange": "Say how much of a bed to exchange for a fresh mix, in which stages.",
            "upkeep": "Say how much to exchange again and again, so that a bed keeps its limit.",
            "trial": "Find the dose that brings a pH, from jars that were given doses.",
        },
        "outside": {
            "agree": "Say whether an outside laboratory's result and ours agree.",
        },
        "duties": {
            "due": "Say what is due by date: readings, tending, exchanges, bottles, probes.",
        },
    },
    "The record": {
        "showing": {
            "show": "Show one thing on record: where it stands, what is due, what was done.",
        },
        "things": {
            "enclosure": "List the enclosures, or add, show or change one.",
            "kit": "List meters, probes, bottles and the cup, or add, show or change one.",
        },
        "record": {
            "event": "Note what was done to an enclosure, or befell it.",
            "history": "Show what is on record, what was struck out included.",
            "undo": "Strike out the last step, an entry, one value of it, or a whole day.",
            "fix": "Enter a value anew; what rested on the old one rests on the new one.",
        },
        "reporting": {
            "report": "Write the record as one page: for keeper, vet and class, on screen and paper.",
        },
        "carrying": {
            "export": "Write the whole record out as open tables, to keep or to merge.",
            "import": "Bring in an exported record, or a CSV of past readings.",
        },
        "damage": {"restore": "Go back to the newest good copy of a damaged record."},
    },
    "Trust": {
        "checking": {"verify": "Recompute the check values on this machine, each beside its source."},
        "example": {"demo": "Show one bench day of an invented reading-room, in five steps."},
    },
}

DRAWN = frozenset({"calibrate", "compare", "exchange", "probe", "read", "run", "show", "trend", "upkeep"})
"""Commands whose page has a figure."""


def file_of(name: str) -> str | None:
    """Give the file in ``cli/commands`` that holds a command, or None if there is no such command.

    Examples
    --------
    >>> file_of("ratio")
    'mixing'
    """
    for files in COMMANDS.values():
        for file, names in files.items():
            if name in names:
                return file
    return None


def line_of(name: str) -> str:
    """Give what a command does, in a line."""
    return next(group[name] for files in COMMANDS.values() for group in files.values() if name in group)


def names() -> tuple[str, ...]:
    """Give the names of all commands in the order of the table."""
    return tuple(name for files in COMMANDS.values() for group in files.values() for name in group)
