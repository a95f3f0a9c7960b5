"""The repository keeps to its own plan: its layout, its words, its sources."""

from __future__ import annotations

import subprocess
from pathlib import Path
from typing import Any

import pytest

from slurrycalc.data import assumed, table

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "slurrycalc"
KNOWN = {"measured", "given", "published", "common practice", "memory", "our own", "computed"}
AGREED = {"README.md", "DEVELOPERS.md", "pyproject.toml", "slurrycalc", "tests", "reference", "examples"}


def tracked() -> list[str]:
    """Files under version control; where there is none (an unpacked sdist), the tests here don't apply."""
    if not (ROOT / ".git").exists():
        pytest.skip("not a clone")
    listing = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True)
    return [name for name in listing.stdout.decode().split("\0") if name and (ROOT / name).is_file()]


def test_nothing_but_the_agreed_stands_at_the_top() -> None:
    tops = {name.split("/")[0] for name in tracked()}
    assert {top for top in tops if not top.startswith(".")} == AGREED


def test_no_module_holds_more_than_one_idea_in_400_lines() -> None:
    long = {
        str(path.relative_to(ROOT)): lines
        for path in PACKAGE.rglob("*.py")
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert not long


def test_no_file_tells_the_path_of_whoever_builds_it() -> None:
    own = [f"{path.as_posix()}/" for path in (ROOT, Path.home()) if len(path.parts) > 1]
    assert own
    texts = {name: (ROOT / name).read_text(encoding="utf-8", errors="replace") for name in tracked()}
    assert not [name for name, text in texts.items() if any(path in text for path in own)]


def test_every_default_says_how_it_is_known_and_on_what_ground() -> None:
    defaults = {name: value for name, value in vars(assumed).items() if isinstance(value, assumed.Assumed)}
    assert len(defaults) > 8
    assert all(value.known in KNOWN and value.ground.strip() for value in defaults.values())
    # How it is known is a word of its own, which budgets and `--json` give on.
    assert not [name for name, value in defaults.items() if "our own" in value.ground]


def rows_of(name: str) -> list[dict[str, Any]]:
    content = table(name)
    return [row for rows in content.values() if isinstance(rows, list) for row in rows]


@pytest.mark.parametrize("name", ["buffers", "materials", "fresh", "bands", "standards"])
def test_every_row_of_a_table_stands_beside_its_source(name: str) -> None:
    rows = rows_of(name)
    assert rows
    assert all(row["known"] in KNOWN and row["source"].strip() for row in rows)
