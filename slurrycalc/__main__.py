"""``python -m slurrycalc``."""

from __future__ import annotations

import sys

from slurrycalc.cli import main

sys.exit(main())
