"""Which commands there are: moment, file, names, and what each does in a line.

``--help`` reads only this table, so that it need not import the commands; a test holds it equal to their
docstrings.
"""

from __future__ import annotations

COMMANDS: dict[str, dict[str, dict[str, str]]] = {
    "At the bench": {
        "day": {
            "run": "Compute a whole bench day from a worksheet or a CSV of jars.",
            "sheet": "Write a commented blank worksheet to fill in.",
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
            "probe": "Say which slurry pH a probe's indication means.",
        },
        "sampling": {
            "spots": "Say how many spots to sample for a wanted margin.",
        },
    },
    "Trust": {
        "checking": {"verify": "Recompute every published check value on this machine."},
        "example": {"demo": "Show the whole job on an invented reading-room."},
    },
}


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
