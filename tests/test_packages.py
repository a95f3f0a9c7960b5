"""What is built to be handed on: a wheel made from the sdist, and all that either must hold."""

from __future__ import annotations

import email
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from dataclasses import dataclass
from pathlib import Path

import pytest

import slurrycalc as sc
from tests.unpacking import unpack

ROOT = Path(__file__).parents[1]
LICENCE = (ROOT / "reference" / "LICENSE").read_bytes()
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


@dataclass(frozen=True)
class Built:
    """What is in each of the two, by its name there."""

    sdist: dict[str, bytes]
    wheel: dict[str, bytes]


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    room = tmp_path_factory.mktemp("built")
    build = [sys.executable, "-m", "hatchling", "build", "-d", str(room), "-t"]
    subprocess.run([*build, "sdist"], cwd=ROOT, check=True, capture_output=True)
    (archive,) = room.glob("*.tar.gz")
    with tarfile.open(archive) as tar:
        unpack(tar, room)
    unpacked = room / archive.name.removesuffix(".tar.gz")
    subprocess.run([*build, "wheel"], cwd=unpacked, check=True, capture_output=True)
    (wheel,) = room.glob("*.whl")
    with zipfile.ZipFile(wheel) as file:
        inside = {name: file.read(name) for name in file.namelist()}
    files = (path for path in unpacked.rglob("*") if path.is_file())
    return Built({path.relative_to(unpacked).as_posix(): path.read_bytes() for path in files}, inside)


def dist_info(wheel: dict[str, bytes]) -> str:
    (name,) = {name.split("/")[0] for name in wheel if ".dist-info/" in name}
    return name


def test_the_licence_s_text_is_in_both_and_the_metadata_names_it(built: Built) -> None:
    assert LICENCE.startswith(b"MIT License")
    assert built.sdist["reference/LICENSE"] == LICENCE
    assert built.wheel[f"{dist_info(built.wheel)}/licenses/reference/LICENSE"] == LICENCE
    metadata = email.message_from_bytes(built.wheel[f"{dist_info(built.wheel)}/METADATA"])
    assert metadata["License-Expression"] == PROJECT["license"] == "MIT"
    assert metadata.get_all("License-File") == PROJECT["license-files"]


def test_the_wheel_holds_every_file_of_the_program_and_no_test(built: Built) -> None:
    shipped = {
        f"slurrycalc/_shipped/{name}" for name in built.sdist if name.startswith(("reference/", "examples/"))
    }
    program = {name for name in built.sdist if name.startswith("slurrycalc/")}
    assert {
        "slurrycalc/_shipped/reference/methods.md",
        "slurrycalc/_shipped/examples/reading-room.toml",
    } <= shipped
    inside = {name for name in built.wheel if ".dist-info/" not in name}
    assert inside == shipped | program


def test_the_sdist_holds_what_its_tests_need(built: Built) -> None:
    here = {
        path.relative_to(ROOT).as_posix() for path in (ROOT / "tests").rglob("*.*") if path.suffix != ".pyc"
    }
    assert {"tests/conftest.py", "tests/logbook/form_1.sql"} <= here
    assert here | {"README.md", "DEVELOPERS.md", "pyproject.toml", ".ci/run", ".ci/versions"} <= set(
        built.sdist
    )


def test_the_version_is_that_of_the_package_in_both(built: Built) -> None:
    metadata = email.message_from_bytes(built.wheel[f"{dist_info(built.wheel)}/METADATA"])
    assert sc.__version__ == metadata["Version"] == PROJECT["version"]
    assert "__version__" in dir(sc)


def test_asking_for_the_version_reads_nothing_else_of_the_program() -> None:
    code = (
        "import sys, slurrycalc as sc; before = 'importlib.metadata' in sys.modules; "
        "sc.__version__; print(before, [name for name in sys.modules if name.startswith('slurrycalc.')])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert ran.stdout.strip() == "False []"
