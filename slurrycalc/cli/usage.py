"""What is wrong with a command line, in one sentence that shows a right one."""

from __future__ import annotations

import re
from typing import Any

from slurrycalc.cli import table
from slurrycalc.cli.group import GUARD, declared, examples
from slurrycalc.metrology.names import near


def sentence_of(error: Any, name: str | None) -> str:
    """Say in one sentence what the words of a command line lack.

    Parameters
    ----------
    error : typer.TyperException
        The complaint of the parser. Its kinds are told apart by what they carry, since their classes are not
        public.
    name : str or None
        The first word of the command line.

    Returns
    -------
    str
        The sentence.
    """
    known = name is not None and table.file_of(name) is not None
    line = f"slurrycalc {name}" if known else "slurrycalc"
    right = f"a right line: {examples(declared(str(name)))[0]}" if known else "slurrycalc --help lists them."
    if hasattr(error, "possibilities"):
        options = error.ctx.command.params if error.ctx is not None else ()
        meant = near(error.option_name.lstrip("-"), [opt.lstrip("-") for one in options for opt in one.opts])
        meant = f"did you mean --{meant}?" if meant else f"{line} --help lists them."
        return f"`{error.option_name}` is no option of {line}; {meant}"
    if hasattr(error, "option_name"):
        reason = "takes no value" if "not take" in error.message else "lacks the value that belongs after it"
        return f"`{error.option_name}` {reason}; {right}"
    parameter = getattr(error, "param", None)
    if hasattr(error, "param_type") and parameter is not None:
        if known and (task := _wanted(parameter)):
            right = f"{task}: {examples(declared(str(name)))[0]}"
        return f"{line} lacks {label(parameter)}; {right}"
    reason = str(getattr(error, "message", error)).replace(GUARD, "").rstrip(".")
    return f"{reason}; {right}" if parameter is None else f"{label(parameter)}: {reason}; {right}"


def _wanted(parameter: Any) -> str:
    """Say what to write for an argument, in the words of its help up to what it is like."""
    told = "" if parameter.param_type_name == "option" else getattr(parameter, "help", None) or ""
    first = re.split(r"[:;]|, like |\.(?:\s|$)", told)[0].strip()
    if not first:
        return ""
    verb = "name" if first.startswith(("A ", "An ")) else "write"
    return f"{verb} {first[:1].lower()}{first[1:]}"


def label(parameter: Any) -> str:
    """Name a parameter as its command's help names it."""
    if parameter.param_type_name == "option":
        return str(parameter.opts[-1])
    return str(parameter.metavar or parameter.name.upper())
