"""What every test shares."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from hypothesis import settings

# No test may read or write the record of whoever runs it.
os.environ["SLURRYCALC_LOGBOOK"] = str(Path(tempfile.gettempdir()) / f"none-{os.getpid()}" / "bench.sqlite")

# A busy machine makes a law no less true: examples have no deadline.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
