"""Kinds of events: what is done to an enclosure, or befalls it."""

from __future__ import annotations

SHIFTS = ("exchange", "calcium", "charcoal", "new-mix")
"""Events that shift an enclosure's level: each is a step in its trend, and what was read before it no longer
holds."""
PERCENT = "%"
"""Unit of an exchange's amount where that is a part of the bed."""
EVENTS = (
    *("leaf-litter", *SHIFTS, "water", "feed"),
    *("moved-in", "moved-out", "illness", "other"),
)
"""Kinds of events."""
