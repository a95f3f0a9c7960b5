"""Version of the method by which results come out of readings."""

METHOD = "1"
"""Raised when the same readings would give other numbers than before; each recorded step keeps its own."""
