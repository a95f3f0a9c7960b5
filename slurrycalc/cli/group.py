"""The lazy group: a command's file is read for what it declares, and imported when the command is called."""

from __future__ import annotations

import re
from collections.abc import Callable
from importlib import import_module
from keyword import iskeyword
from typing import Annotated, Any, get_args, get_type_hints

import typer
from typer.core import TyperCommand, TyperGroup

from slurrycalc.cli import table, writing
from slurrycalc.cli.declaration import declaration
from slurrycalc.cli.front import command_page
from slurrycalc.cli.outcome import Outcome
from slurrycalc.metrology.names import near
from slurrycalc.metrology.remark import Refusal

NEGATIVE = re.compile(r"[-−][.,]?[0-9½¼¾⅓⅔⅛]")
GUARD = "\0"
"""Put before a negative number, so that it is not taken for an option; no argument can hold it otherwise."""


def load(name: str) -> Callable[..., Outcome[object]]:
    """Import the function behind a command.

    Parameters
    ----------
    name : str
        Name of the command.

    Returns
    -------
    callable
        The function.

    Raises
    ------
    Refusal
        If there is no such command, with the nearest one.
    """
    function: Callable[..., Outcome[object]] = getattr(import_module(_module(name)), _called(name))
    return function


def declared(name: str) -> Callable[..., Outcome[object]]:
    """Give a stand-in for the function behind a command, which is imported when it is called.

    Parameters
    ----------
    name : str
        Name of the command, as for `load`.

    Returns
    -------
    callable
        What has its arguments, options and docstring.

    Raises
    ------
    Refusal
        As `load`.
    """
    return declaration(_module(name), _called(name), lambda: load(name))


def _module(name: str) -> str:
    """Name the module that holds a command."""
    file = table.file_of(name)
    if file is None:
        raise Refusal(unknown(name))
    return f"slurrycalc.cli.commands.{file}"


def _called(name: str) -> str:
    """Name the function: `import` is a word of the language, and so no name of one."""
    return f"{name}_" if iskeyword(name) else name


def unknown(name: str) -> str:
    """Say that there is no such command, and which one may be meant."""
    if name.startswith("-"):
        return f"`{name}` belongs after a command (slurrycalc --help lists them), like slurrycalc mix --json"
    meant = near(name, table.names())
    meant = f"did you mean slurrycalc {meant}?" if meant else "slurrycalc --help lists what there is."
    return f"`{name}` is no command of slurrycalc; {meant}"


def result_type(function: Callable[..., Outcome[object]]) -> Any:
    """Give the type of a command's result, from its annotation ``-> Outcome[...]``."""
    return get_args(get_type_hints(function)["return"])[0]


def examples(function: Callable[..., Any]) -> list[str]:
    """Give the command lines in a command's docstring."""
    lines = [line.strip() for line in (function.__doc__ or "").splitlines()]
    return [line for line in lines if line.startswith("slurrycalc ")]


def _everywhere(
    json: Annotated[bool, typer.Option("--json", help="Write one JSON object and nothing else.")] = False,
    why: Annotated[bool, typer.Option("--why", help="Show what the answer rests on, too.")] = False,
    schema: Annotated[bool, typer.Option("--schema", help="Write the JSON Schema of that object.")] = False,
    page: Annotated[
        str | None,
        typer.Option("--page", metavar="PAGE.html", help="Write it as one HTML page too, with its figures."),
    ] = None,
) -> None:
    """Hold the options that every command has; `running` reads them from the command line itself."""


def _with_figure(
    plot: Annotated[
        str | None,
        typer.Option("--plot", metavar="FIGURE", help="Write its figure too: atlas.svg, or atlas.png."),
    ] = None,
) -> None:
    """Hold the option that commands have whose page has a figure."""


def _shared_options(hold: Callable[..., None]) -> list[Any]:
    app = typer.Typer(add_completion=False)
    app.command()(hold)
    options = typer.main.get_command(app).params
    for option in options:
        option.expose_value = False
    return list(options)


class SlurryCommand(TyperCommand):
    """A command that takes negative readings, names what is wrong in a sentence and shows its examples."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        drawn = _shared_options(_with_figure) if self.name in table.DRAWN else []
        self.params = [*self.params, *_shared_options(_everywhere), *drawn]
        self.allow_extra_args = True

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read the words; a minus before a digit is a number, any other an option."""
        end = args.index("--") if "--" in args else len(args)
        guarded = [GUARD + word if NEGATIVE.match(word) else word for word in args[:end]]
        rest = super().parse_args(ctx, guarded + args[end:])
        ctx.params = {name: _unguarded(value) for name, value in ctx.params.items()}
        if rest and not ctx.resilient_parsing:
            right = examples(declared(str(self.name)))[0]
            word = _unguarded(rest[0])
            raise Refusal(f"`{word}` is one word too many for slurrycalc {self.name}; a right line: {right}")
        return []

    def format_help(self, ctx: Any, formatter: Any) -> None:
        """Write the command's page: how to call it, what it does, examples, arguments, options."""
        formatter.write(command_page(self, writing.width()))


class SlurryGroup(TyperGroup):
    """All commands by name; none is imported before it is called."""

    naming = False
    """Whether only names are asked for, by the Tab key."""

    def list_commands(self, ctx: Any) -> list[str]:
        """Give the names in the order of the table."""
        return list(table.names())

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """Build the command of a name."""
        if self.naming:
            return TyperCommand(cmd_name, help=table.line_of(cmd_name))
        app = typer.Typer(add_completion=False, rich_markup_mode=None)
        helps = {"help_option_names": ["--help", "-h"]}
        app.command(cmd_name, cls=SlurryCommand, context_settings=helps)(declared(cmd_name))
        return typer.main.get_command(app)

    def shell_complete(self, ctx: Any, incomplete: str) -> Any:
        """List names for the Tab key without importing what they name."""
        self.naming = True
        try:
            return super().shell_complete(ctx, incomplete)
        finally:
            self.naming = False


def _unguarded(value: Any) -> Any:
    if isinstance(value, str):
        return value.removeprefix(GUARD)
    if isinstance(value, (list, tuple)):
        return type(value)(_unguarded(one) for one in value)
    return value


def group() -> Any:
    """Build the group with the options for completion by the Tab key."""
    app = typer.Typer(cls=SlurryGroup, name="slurrycalc", rich_markup_mode=None)
    app.callback()(_front)
    return typer.main.get_command(app)


def _front() -> None:
    """Soil pH by the 1:2 slurry method."""
