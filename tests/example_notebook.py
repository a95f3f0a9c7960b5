"""The example notebook, run without a notebook program.

Run ``python tests/example_notebook.py`` to write what its cells give anew into it, after a change of what
they ask or of the words of a result.
"""

from __future__ import annotations

import ast
import contextlib
import io
import json
from pathlib import Path
from typing import Any

NOTEBOOK = Path(__file__).parent.parent / "examples" / "reading-room.ipynb"


def outputs(notebook: dict[str, Any]) -> list[list[dict[str, Any]]]:
    """Run its code cells in order, in one namespace and in its folder, and give what each shows."""
    names: dict[str, Any] = {"__name__": "__main__"}
    given = []
    with contextlib.chdir(NOTEBOOK.parent):
        for cell in notebook["cells"]:
            if cell["cell_type"] == "code":
                printed, value = ran("".join(cell["source"]), names)
                given.append(kept(printed, value))
    return given


def ran(source: str, names: dict[str, Any]) -> tuple[str, str]:
    """Run a cell: what it prints, and its last expression's `repr`."""
    tree = ast.parse(source)
    last = tree.body.pop() if isinstance(tree.body[-1], ast.Expr) else None
    value = None
    with contextlib.redirect_stdout(io.StringIO()) as printed:
        exec(compile(tree, "cell", "exec"), names)
        if isinstance(last, ast.Expr):
            value = eval(compile(ast.Expression(last.value), "cell", "eval"), names)
    return printed.getvalue(), "" if value is None else repr(value)


def kept(printed: str, value: str) -> list[dict[str, Any]]:
    """Give them as a notebook keeps them."""
    given: list[dict[str, Any]] = []
    if printed:
        given.append({"name": "stdout", "output_type": "stream", "text": printed.splitlines(keepends=True)})
    if value:
        data = {"text/plain": value.splitlines(keepends=True)}
        given.append({"output_type": "execute_result", "data": data, "execution_count": None, "metadata": {}})
    return given


if __name__ == "__main__":
    read = json.loads(NOTEBOOK.read_text(encoding="utf-8"))
    cells = [cell for cell in read["cells"] if cell["cell_type"] == "code"]
    for cell, shown in zip(cells, outputs(read), strict=True):
        cell["outputs"] = shown
    NOTEBOOK.write_text(json.dumps(read, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
