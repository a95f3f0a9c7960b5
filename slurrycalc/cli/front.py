"""The pages that need no command: the front page, ``--help`` and ``--version``."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from textwrap import wrap
from typing import Any

from slurrycalc.cli.table import COMMANDS
from slurrycalc.cli.writing import width

HELP = ("--help", "-h", "help")
"""How people ask for help; with a command behind it, for that command's."""
WAYS_IN = (
    ("slurrycalc demo", "one bench day of an invented example, in five steps; nothing is kept"),
    ("slurrycalc sheet my-day.toml", "a worksheet to fill in; slurrycalc run my-day.toml reads it"),
    ("slurrycalc bench", "your own bench day, question by question: 50 min for three cases, 30 waiting"),
)


def answer(words: Sequence[str]) -> str | None:
    """Give the page that answers a command line by itself.

    Parameters
    ----------
    words : sequence of str
        The words after the program's name.

    Returns
    -------
    str or None
        The page, or None where a command has to be called.
    """
    if not words:
        from slurrycalc.cli.alone import alone

        return alone(width())
    if len(words) == 1 and words[0] in HELP:
        return help_page(width())
    if words[0] == "--version":
        from importlib.metadata import version

        return f"slurrycalc {version('slurrycalc')}\n"
    return None


def front_page(columns: int) -> str:
    """Lay out what ``slurrycalc`` alone says: the ways in.

    Parameters
    ----------
    columns : int
        Width of the page. [characters]

    Returns
    -------
    str
        The page.
    """
    lines = [
        *fill("Soil pH by the 1:2 slurry method: amounts, meter, probe, each with its interval.", columns),
        "",
        "Three ways in:",
        *listed(WAYS_IN, columns, left=30),
        "",
        *fill("One step at a time: slurrycalc --help lists every command.", columns),
    ]
    return "\n".join(lines) + "\n"


def help_page(columns: int) -> str:
    """Lay out the page of ``--help``: every command, by the moment at which it is used.

    Parameters
    ----------
    columns : int
        Width of the page. [characters]

    Returns
    -------
    str
        The page.
    """
    lines = [
        "Usage: slurrycalc COMMAND ...",
        "",
        *fill(
            "Soil pH by the 1:2 slurry method. Every command shows a number with its interval, what it means "
            "and what to do next.",
            columns,
        ),
    ]
    for moment, files in COMMANDS.items():
        rows = [(name, text) for group in files.values() for name, text in group.items()]
        lines += ["", f"{moment}:", *listed(rows, columns, left=11)]
    lines += [
        "",
        "How to write things:",
        *listed(
            [
                ("amount", "1/2 cup, 1 1/2 cups, 4 fl oz, 4 oz wt, 60 g, 118 mL"),
                ("READING", "84.3mV@21C (the temperature [degC] after @), or 5.41 for a meter that shows pH"),
                ("POINT", "BUFFER=READING@TEMPERATURE, like 4.01=178.2mV@22C"),
            ],
            columns,
            left=11,
        ),
        "",
        *fill("slurrycalc COMMAND --help shows a command's options with examples.", columns),
        *fill("Any command: --why for what its answer rests on too.", columns),
        *fill("Any command: --json for one JSON object, --schema for its JSON Schema.", columns),
        *fill("slurrycalc --version; slurrycalc --install-completion makes the Tab key help.", columns),
    ]
    return "\n".join(lines) + "\n"


def command_page(command: Any, columns: int) -> str:
    """Lay out the page of ``slurrycalc COMMAND --help``.

    Parameters
    ----------
    command : typer.core.TyperCommand
        The command; its docstring has prose in paragraphs and example lines that begin with ``slurrycalc``.
    columns : int
        Width of the page. [characters]

    Returns
    -------
    str
        The page.
    """
    arguments = [one for one in command.params if one.param_type_name == "argument"]
    options = [one for one in command.params if one.param_type_name == "option"]
    needed = [one.metavar if one.required else f"[{one.metavar}]" for one in arguments]
    needed += [f"{one.opts[-1]} {one.metavar}" for one in options if one.required]
    lines = [*fill(f"Usage: slurrycalc {' '.join([command.name, *needed])} [options]", columns)]
    for paragraph in (command.help or "").split("\n\n"):
        shown = [line.strip() for line in paragraph.splitlines()]
        verbatim = shown and shown[0].startswith("slurrycalc ")
        lines += ["", *(f"  {line}" for line in shown)] if verbatim else ["", *fill(paragraph, columns)]
    rows = [(one.metavar, one.help or "") for one in arguments]
    lines += ["", *listed(rows, columns, left=25)] if rows else []
    groups: dict[str, list[tuple[str, str]]] = {"Options": []}
    for one in options:
        group = getattr(one, "rich_help_panel", None) or "Options"
        row = f"{one.opts[-1]} {one.metavar or ''}".strip(), _with_default(one)
        groups.setdefault(group, []).append(row)
    groups["Options"].append(("--help", "Show this page."))
    for group, rows in groups.items():
        lines += ["", f"{group}:", *listed(rows, columns, left=25)]
    return "\n".join(lines) + "\n"


def _with_default(option: Any) -> str:
    shown = option.default not in (None, "", False, (), []) and not option.is_flag
    return f"{option.help} [{option.default}]" if shown else str(option.help)


def listed(rows: Iterable[tuple[str, str]], columns: int, left: int = 21) -> list[str]:
    """Lay out names and what they mean, side by side, or one under the other on a narrow page."""
    lines: list[str] = []
    for name, text in rows:
        if columns < 60:
            lines += [f"  {name}", *fill(text, columns, "    ")]
        elif len(name) < left:
            first, *rest = fill(text, columns, " " * (left + 2))
            lines += [f"  {name:<{left}}{first.strip()}", *rest]
        else:
            lines += [f"  {name}", *fill(text, columns, " " * (left + 2))]
    return lines


def fill(text: str, columns: int, indent: str = "") -> list[str]:
    """Break a text into lines at its spaces only, so that options and amounts stay whole."""
    return wrap(
        text,
        columns,
        initial_indent=indent,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    ) or [""]
