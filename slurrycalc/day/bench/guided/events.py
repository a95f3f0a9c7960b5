"""What a guided bench day and whoever holds it say to each other.

Out go questions, answers to be kept, and the finished day; in come lines with the time at which they were
typed. Neither side knows more of the other.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Literal, TypeAlias

from slurrycalc.day.bench.guided.state import Cup, Reply
from slurrycalc.day.bench.worksheet import Day

Tone = Literal["step", "mind", "text", "wrong", "clock"]
"""The heading of a step, what to mind at it, what to know, why a line cannot stand, how far the jars are."""


@dataclass(frozen=True, slots=True)
class Say:
    """A sentence or two to show."""

    text: str
    tone: Tone = "text"


@dataclass(frozen=True, slots=True)
class Ask:
    """A question; a `Typed` is wanted in return."""

    key: str
    """What the answer is kept under; of a question on the side, what it is about."""
    text: str
    says: tuple[Say, ...] = ()
    """What to show before it."""
    default: str = ""
    """What an empty line means; empty where it means nothing."""
    wake: datetime.datetime | None = None
    """When to take an empty line for typed, since a jar will have settled by then."""
    settling: tuple[Cup, ...] = ()
    """Jars that settle meanwhile; a terminal that can counts them down in place of what is said of clocks."""


@dataclass(frozen=True, slots=True)
class Save:
    """An answer to be kept before anything else is asked."""

    answer: Reply


@dataclass(frozen=True, slots=True)
class Finish:
    """The whole day, to be computed and put on record; a `Refusal` in return sends it back to the bench."""

    day: Day
    when: datetime.datetime
    """When the meter was calibrated: what is read later on that day may rest on it."""
    at: datetime.datetime
    """The present."""
    lone: tuple[tuple[str, float], ...] = ()
    """Enclosure and indication of the probe where no slurry was read. [pH]"""
    cup: str | None = None
    """Whose cup measured, if the record does not know yet."""


@dataclass(frozen=True, slots=True)
class Typed:
    """A line that somebody typed."""

    line: str
    at: datetime.datetime
    """With its offset from UTC."""


@dataclass(frozen=True, slots=True)
class End:
    """How it ended."""

    how: Literal["done", "stopped", "dropped"]
    says: tuple[Say, ...] = ()


Event: TypeAlias = Ask | Save | Finish
