"""``import slurrycalc as sc``: the names are there, lazily, and a misspelt one is not."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import slurrycalc as sc

# The plan's names, as far as this version has them.
PLANNED = {
    *("parse", "ratio", "mix", "buffer_ph", "buffer", "Scatter", "scatter_fit", "straight_line", "Meter"),
    *("calibrate", "slurry_ph", "judge", "compare", "spots", "interval", "budget", "probability"),
    *("trend", "exchange", "upkeep", "trial", "ec25", "salts", "agree", "steady", "electrode_life", "due"),
}


def names_for_type_checkers() -> list[str]:
    tree = ast.parse(Path(sc.__file__).read_text(encoding="utf-8"))
    imports = [node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    return [alias.asname for node in imports for alias in node.names if alias.asname]


@pytest.mark.parametrize("name", names_for_type_checkers())
def test_each_name_leads_where_its_import_says(name):
    value = getattr(sc, name)
    tree = ast.parse(Path(sc.__file__).read_text(encoding="utf-8"))
    (home,) = (
        node.module
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and any(alias.asname == name for alias in node.names)
    )
    module = __import__(str(home), fromlist=[name])
    assert value is getattr(module, name)


def test_the_planned_names_are_there_and_dir_shows_all():
    assert set(names_for_type_checkers()) >= PLANNED
    assert set(names_for_type_checkers()) <= set(dir(sc))


def test_the_figures_are_there_by_name():
    assert sc.plot is __import__("slurrycalc.report.figures", fromlist=["figures"])
    assert {"months", "strips"} <= set(dir(sc.plot))
    assert sc.plot.months.__module__ == "slurrycalc.report.figures.month"
    with pytest.raises(AttributeError, match="no figure 'month_s'"):
        sc.plot.month_s  # noqa: B018


def test_a_misspelt_name_is_an_error():
    with pytest.raises(AttributeError, match="calibrat"):
        sc.calibrat  # noqa: B018


@pytest.mark.slow
def test_the_front_door_imports_nothing_by_itself():
    code = "import sys, slurrycalc; print([m for m in ('numpy', 'pint', 'msgspec') if m in sys.modules])"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"
