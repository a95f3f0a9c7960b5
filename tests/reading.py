"""The JSON of `read`, for tests."""

from __future__ import annotations

from typing import Any


def flat(read: dict[str, Any]) -> dict[str, Any]:
    """Put what the enclosure came to, whatever it is, beside what was read under."""
    one = read["enclosure"] or read["steady"] or read["fresh"]
    return read | one
