"""The product before its roads were made one, in a process of its own: where expected numbers come from."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

from tests.roads.program import Act, Ran
from tests.unpacking import unpack

FROZEN = "c5ef5131696221f78c67bd61f1f2bd82b0db876d"
"""The last commit before the roads are made one."""
ROOT = Path(__file__).parents[2]


class NoHistory(Exception):
    """The commit is not there to be built."""


def build(folder: Path) -> Path:
    """Build the frozen commit's wheel and install it into a folder; nothing is fetched for it.

    Raises
    ------
    NoHistory
        Where there is no git, or a clone without that commit.
    """
    source, target = folder / "source", folder / "package"
    source.mkdir()
    try:
        command = ["git", "archive", "--format=tar", FROZEN]
        packed = subprocess.run(command, cwd=ROOT, capture_output=True, check=True, timeout=120).stdout
    except (OSError, subprocess.CalledProcessError) as wrong:
        raise NoHistory(f"commit {FROZEN} cannot be had from git here: {wrong}") from None
    with tarfile.open(fileobj=io.BytesIO(packed)) as tree:
        unpack(tree, source)
    wheels = folder / "wheels"
    for command in (
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(wheels)],
        [
            sys.executable,
            "-m",
            "pip",
            "install",
            "--quiet",
            "--no-index",
            "--no-deps",
            "--target",
            str(target),
        ],
    ):
        files = map(str, wheels.glob("*.whl")) if "pip" in command else ()
        done = subprocess.run(
            [*command, *files], cwd=source, capture_output=True, text=True, check=False, timeout=300
        )
        assert done.returncode == 0, done.stderr
    return target


class Frozen:
    """The frozen product, at work until it is closed."""

    def __init__(self) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="frozen-")
        try:
            built = os.environ.get("ROADS_FROZEN")
            self.package = Path(built) if built else build(Path(self._folder.name))
        except BaseException:
            self._folder.cleanup()
            raise
        # -P: the working folder, which holds the tree under test, is not looked at.
        command = [sys.executable, "-P", str(Path(__file__).with_name("program.py")), str(self.package)]
        self._process = subprocess.Popen(
            command, cwd=self._folder.name, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def ask(self, room: list[Act], do: list[Act]) -> list[Ran]:
        """Let it do something with a room's logbook."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(json.dumps({"room": room, "do": do}) + "\n")
        self._process.stdin.flush()
        answer = self._process.stdout.readline()
        assert answer, "the frozen product has ended"
        return [Ran(*each) for each in json.loads(answer)]

    def close(self) -> None:
        assert self._process.stdin is not None
        self._process.stdin.close()
        self._process.wait(30)
        self._folder.cleanup()
