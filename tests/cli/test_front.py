"""The pages without a command, and the table they are made from."""

from __future__ import annotations

import inspect
import os
import subprocess
import sys
from compileall import compile_file
from typing import get_args

import pytest

from slurrycalc.cli import table
from slurrycalc.cli.declaration import declaration
from slurrycalc.cli.group import declared, examples, load, result_type

NAMES = table.names()
HEAVY = {"numpy", "scipy", "pint", "uncertainties", "msgspec", "sqlite3", "rich.console", "platformdirs"} | {
    f"slurrycalc.{floor}" for floor in ("logbook", "deciding", "measuring", "day", "verify")
}
"""What a page of help has no use for."""


@pytest.mark.parametrize("name", NAMES)
def test_the_table_says_what_the_docstring_says(name):
    assert (inspect.getdoc(load(name)) or "").split("\n")[0] == table.line_of(name)


@pytest.mark.parametrize("name", NAMES)
def test_every_command_shows_a_right_line_that_calls_it(name):
    lines = examples(load(name))
    assert lines
    assert all(line.split()[:2] == ["slurrycalc", name] for line in lines)


@pytest.mark.parametrize("name", NAMES)
def test_every_command_says_what_its_result_is(name):
    assert hasattr(result_type(load(name)), "__dataclass_fields__")


def test_alone_it_shows_the_ways_in_and_only_commands_that_exist(run):
    ran = run()
    assert ran.status == 0
    assert ran.err == ""
    named = [line.split()[1] for line in ran.out.splitlines() if line.strip().startswith("slurrycalc ")]
    assert named[:3] == ["demo", "sheet", "bench"]
    assert set(named) <= set(NAMES)


@pytest.mark.parametrize("words", [("--help",), ("-h",), ("help",)])
def test_help_names_every_command_and_keeps_the_brackets_of_units(run, words):
    ran = run(*words)
    assert ran.status == 0
    assert "[degC]" in ran.out
    assert all(f"\n  {name} " in ran.out for name in NAMES)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("width", [40, 80])
def test_a_commands_own_page_fits_and_lists_its_options(run, name, width):
    ran = run(name, "--help", width=width)
    assert ran.status == 0
    assert ran.err == ""
    assert "--json" in ran.out
    # A command line stays whole, to be copied; a single long word has no place to break.
    prose = [line for line in ran.out.splitlines() if " " in line.strip() and "slurrycalc " not in line]
    assert max(map(len, prose)) <= width


@pytest.mark.parametrize("width", [40, 80])
@pytest.mark.parametrize("words", [(), ("--help",)])
def test_the_pages_fit_their_width(run, words, width):
    assert max(map(len, run(*words, width=width).out.splitlines())) <= width


def test_no_commands_page_imports_numbers_units_or_the_record():
    code = (
        "import sys; from slurrycalc.cli import main\n"
        f"for name in {NAMES}:\n"
        "    main([name, '--help'])\n"
        f"    print('#', name, *sorted({HEAVY}.intersection(sys.modules)))"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    said = [line.split()[1:] for line in ran.stdout.splitlines() if line.startswith("# ")]
    assert said == [[name] for name in NAMES]


@pytest.mark.parametrize("name", NAMES)
def test_a_command_read_from_its_source_is_the_command(name):
    read, imported = (inspect.signature(one(name), eval_str=True).parameters for one in (declared, load))
    assert list(read) == list(imported)
    for one, other in zip(read.values(), imported.values(), strict=True):
        assert (one.kind, one.default) == (other.kind, other.default)
        assert get_args(one.annotation)[0] == get_args(other.annotation)[0]
        says, means = (vars(get_args(both.annotation)[1]) for both in (one, other))
        assert says == means
    assert inspect.getdoc(declared(name)) == inspect.getdoc(load(name))


def test_a_command_without_its_source_is_imported(tmp_path, monkeypatch):
    (tmp_path / "bare.py").write_text('def mix():\n    """Mix."""\n')
    compile_file(tmp_path / "bare.py", legacy=True, quiet=1)
    (tmp_path / "bare.py").unlink()
    monkeypatch.syspath_prepend(tmp_path)
    assert declaration("bare", "mix", lambda: load("mix")) is load("mix")


def test_help_imports_no_command_and_no_parser():
    code = (
        "import sys; from slurrycalc.cli import main; main(['--help']); main([]);"
        "print([m for m in ('typer', 'rich', 'pint', 'numpy', 'slurrycalc.cli.group') if m in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.splitlines()[-1] == "[]"


@pytest.mark.slow
def test_the_tab_key_names_commands_without_importing_them():
    asked = {"_SLURRYCALC_COMPLETE": "complete_bash", "COMP_WORDS": "slurrycalc s", "COMP_CWORD": "1"}
    environment = {**os.environ, **asked}
    code = "import sys; from slurrycalc.cli import main; sys.argv[0] = 'slurrycalc'; sys.exit(main([]))"
    command = [sys.executable, "-c", code]
    ran = subprocess.run(command, capture_output=True, text=True, env=environment, check=False)
    assert ran.stderr == ""
    assert set(ran.stdout.split()) == {"salts", "sheet", "show", "spots"}


def test_help_for_a_command_may_be_asked_for_in_front_of_it(run):
    assert run("help", "ratio") == run("--help", "ratio") == run("ratio", "--help")


def test_version_is_one_line(run):
    ran = run("--version")
    assert ran.status == 0
    assert ran.out.startswith("slurrycalc ")


def test_a_commands_options_stand_in_groups_each_once(run):
    page = run("read", "--help").out
    heads = [line for line in page.splitlines() if line.endswith(":") and not line.startswith(" ")]
    assert heads == ["Options:", "The meter and its buffers:", "The record:", "What is asked:"]
    named = [line.split()[0] for line in page.splitlines() if line.startswith("  --")]
    assert len(named) == len(set(named))
