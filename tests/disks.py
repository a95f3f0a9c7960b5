"""Small disks of a test's own, which can be full or read-only."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


@contextmanager
def small_disk(folder: Path, size: int) -> Iterator[Path]:
    """Mount a disk of some bytes on a new folder."""
    if os.name != "posix" or os.geteuid() != 0:
        pytest.skip("a small disk of its own takes a superuser of POSIX")
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("no disk can be mounted here")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=True)


def remount(disk: Path, how: str) -> None:
    """Make it read-only (``ro``) or not (``rw``)."""
    subprocess.run(["mount", "-o", f"remount,{how}", str(disk)], check=True)


def fill(disk: Path, leaving: int = 0) -> None:
    """Fill a disk with one file, but for some bytes."""
    file = disk / "full"
    with file.open("wb", buffering=0) as opened:
        try:
            while opened.write(b"x" * 4096):
                pass
        except OSError:
            pass
    os.truncate(file, file.stat().st_size - leaving)
