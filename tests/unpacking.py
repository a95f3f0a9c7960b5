"""Unpacking what we packed, by any Python that we name."""

from __future__ import annotations

import tarfile
from pathlib import Path
from typing import Any


def unpack(packed: tarfile.TarFile, folder: Path) -> None:
    """Unpack an archive; Python 3.11 knows filters from 3.11.4 on, and 3.12 asks for one."""
    safe: dict[str, Any] = {"filter": "data"} if hasattr(tarfile, "data_filter") else {}
    packed.extractall(folder, **safe)
