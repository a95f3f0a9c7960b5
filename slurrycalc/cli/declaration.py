"""What a command declares, its arguments, options and prose, without importing what it needs to run.

``slurrycalc COMMAND --help``, the Tab key and a misspelt option need the signature of a command and its
docstring. Both are read from its source: what the signature itself names is imported, a few options, and
never the numbers, units and records that the body needs.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from functools import wraps
from importlib.util import find_spec
from pathlib import Path
from typing import Any


def declaration(module: str, function: str, load: Callable[[], Callable[..., Any]]) -> Callable[..., Any]:
    """Give a stand-in for a command that has its signature and prose, and imports it when it is called.

    Parameters
    ----------
    module : str
        Name of the module that holds the command.
    function : str
        Name of its function.
    load : callable
        Imports the command itself.

    Returns
    -------
    callable
        The stand-in; the command itself, where its source is not there to be read.
    """
    spec = find_spec(module)
    source = None if spec is None or spec.origin is None else Path(spec.origin)
    if source is None or source.suffix != ".py" or not source.is_file():
        return load()
    namespace: dict[str, Any] = {"__name__": module}
    exec(compile(_signature(ast.parse(source.read_bytes()), function), source, "exec"), namespace)

    @wraps(namespace[function])
    def called(**given: Any) -> Any:
        return load()(**given)

    return called


def _signature(whole: ast.Module, function: str) -> ast.Module:
    """Cut a module down to a function without its body, and to what its arguments and defaults name."""
    bound = {name: statement for statement in whole.body for name in _bound(statement)}
    command = bound[function]
    assert isinstance(command, ast.FunctionDef)
    command.body, command.returns = command.body[:1], None
    needed, open_names = {function}, _named(command)
    while open_names:
        needed |= open_names
        further = {name for one in open_names & bound.keys() for name in _named(bound[one])}
        open_names = further - needed
    return ast.Module([one for one in whole.body if needed.intersection(_bound(one))], [])


def _bound(statement: ast.stmt) -> Iterator[str]:
    """Give the names that a statement at the head of a module binds."""
    match statement:
        case ast.FunctionDef(name=name) | ast.ClassDef(name=name):
            yield name
        case ast.Import(names=names) | ast.ImportFrom(names=names):
            yield from (one.asname or one.name for one in names)
        case ast.Assign(targets=targets):
            yield from (one.id for target in targets for one in ast.walk(target) if isinstance(one, ast.Name))


def _named(statement: ast.stmt) -> set[str]:
    return {one.id for one in ast.walk(statement) if isinstance(one, ast.Name)}
