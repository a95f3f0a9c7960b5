"""The contracts between the floors bite: each deliberate violation in a copy is found."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
pytestmark = pytest.mark.slow


def lint_imports(folder: Path) -> subprocess.CompletedProcess[str]:
    # With -c the working folder leads sys.path, so that the copy is looked at and not what is installed.
    program = "from importlinter.cli import lint_imports_command; lint_imports_command()"
    command = [sys.executable, "-c", program, "--no-cache"]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    without = shutil.ignore_patterns("__pycache__")
    shutil.copytree(ROOT / "slurrycalc", tmp_path / "slurrycalc", ignore=without)
    return tmp_path


def test_as_it_stands_every_contract_is_kept(copy: Path) -> None:
    run = lint_imports(copy)
    assert run.returncode == 0, run.stdout
    assert "7 kept, 0 broken" in run.stdout


@pytest.mark.parametrize(
    ("file", "line", "contract"),
    [
        ("metrology/remark.py", "import slurrycalc.measuring.slurry", "Floors: arrows point downward"),
        ("day/door.py", "import slurrycalc.verify", "Floors: arrows point downward"),
        ("stray.py", "", "Floors: arrows point downward"),
        ("day/record/limits.py", "import slurrycalc.day.months.series", "Rooms of a day"),
        ("day/months/series.py", "import slurrycalc.day.bench.enter", "Rooms of a day"),
        ("day/bench/places.py", "import slurrycalc.day.bench.worksheet", "Rooms of a bench day"),
        ("day/bench/meter.py", "import slurrycalc.day.bench.enter", "Rooms of a bench day"),
        ("measuring/stray.py", "import pathlib", "The pure floors know no file"),
        ("deciding/stray.py", "from time import time", "The pure floors know no file"),
        ("report/pages/stray.py", "import slurrycalc.cli.options", "Floors: arrows point downward"),
        ("report/pages/stray.py", "import rich.table", "Pages are data"),
        ("report/page.py", "import time", "Pages are data"),
        ("report/terminal.py", "import pathlib", "Pages are data"),
        ("cli/stray.py", "import matplotlib", "Only report draws"),
        ("cli/stray.py", "import slurrycalc", "Nothing inside enters by the public front door"),
        ("day/door.py", "from slurrycalc import ratio", "Nothing inside enters by the public front door"),
    ],
)
def test_a_violation_is_found_and_named(copy: Path, file: str, line: str, contract: str) -> None:
    path = copy / "slurrycalc" / file
    before = path.read_text(encoding="utf-8") if path.exists() else ""
    path.write_text(f"{before}\n{line}\n", encoding="utf-8")
    run = lint_imports(copy)
    assert run.returncode != 0
    named = any(contract in text and "BROKEN" in text for text in run.stdout.splitlines())
    # A module on no floor ends the run before any contract is judged.
    assert named or (file == "stray.py" and "stray" in run.stdout), run.stdout
