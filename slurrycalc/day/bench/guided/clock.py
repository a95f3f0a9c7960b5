"""The clock of each jar, in words."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from slurrycalc.data.assumed import STANDING
from slurrycalc.day.bench.guided.state import SETTLES, Cup

STANDS = datetime.timedelta(minutes=STANDING.value)
"""Before its reading a jar is stirred a last time, and stands for so long."""
SECOND = datetime.timedelta(seconds=1)


def left(cup: Cup, now: datetime.datetime) -> datetime.timedelta:
    """Tell how long a stirred jar still has to settle; nothing where it is ready."""
    # A clock that was set back makes no jar wait longer than a fresh one does.
    return min(max(cup.ready() - now, datetime.timedelta()), SETTLES)


def minutes(time: datetime.timedelta) -> str:
    """Write a time as minutes and seconds, or hours and minutes.

    Examples
    --------
    >>> minutes(datetime.timedelta(seconds=70)), minutes(datetime.timedelta(hours=14, minutes=5))
    ('1:10', '14 h 05 min')
    """
    seconds = -(-time // SECOND)
    if seconds >= 3600:
        return f"{seconds // 3600} h {seconds // 60 % 60:02} min"
    return f"{seconds // 60}:{seconds % 60:02}"


def by_clock(cups: Sequence[Cup], now: datetime.datetime) -> list[Cup]:
    """Put jars in the order in which they can be read.

    Parameters
    ----------
    cups : sequence of Cup
        Stirred ones.
    now : datetime
        The present.

    Returns
    -------
    list of Cup
        The ready ones in the order of their labels, then those that settle.
    """
    return sorted(cups, key=lambda cup: left(cup, now))


def last_stirs(cups: Sequence[Cup], now: datetime.datetime) -> tuple[str, ...]:
    """Give the labels of the jars that are to be stirred a last time, and stand from then on."""
    return tuple(cup.label for cup in by_clock(cups, now) if datetime.timedelta() < left(cup, now) <= STANDS)


def countdown(cups: Sequence[Cup], now: datetime.datetime, room: int) -> str:
    """Say how long the jars still take, on one line that is drawn anew each second.

    Parameters
    ----------
    cups : sequence of Cup
        Stirred ones that are not read yet.
    now : datetime
        The present.
    room : int
        What the line may take; as many jars are named as it holds. [characters]

    Returns
    -------
    str
        The jar that is ready first, those after it, and what to stir now.

    Examples
    --------
    >>> from slurrycalc.day.bench.guided.state import Progress, Reply
    >>> noon = datetime.datetime(2024, 5, 4, 12, tzinfo=datetime.UTC)
    >>> day = Progress([Reply("labels", [["atlas", ["A1", "A2", "A3"]]], noon)])
    >>> for label, minute in (("A1", 0), ("A2", 2), ("A3", 9)):
    ...     day.take(Reply(f"stirred {label}", noon.replace(minute=minute).isoformat(), noon))
    >>> countdown(day.cups(), noon.replace(minute=25, second=1), 60)
    'A1 in 4:59, A2 in 6:59, A3 in 13:59. Stir A1 a last time.'
    >>> countdown(day.cups(), noon.replace(minute=20), 30)
    'A1 in 10:00, A2 in 12:00, ...'
    """
    waiting = [f"{cup.label} in {minutes(left(cup, now))}" for cup in by_clock(cups, now) if left(cup, now)]
    stirs = last_stirs(cups, now)
    stir = f". Stir {', '.join(stirs)} a last time." if stirs else ""
    for many in range(len(waiting), 0, -1):
        said = ", ".join([*waiting[:many], *(["..."] if many < len(waiting) else [])]) + stir
        if len(said) <= room:
            return said
    return ", ".join(waiting[:1])[:room]


def clocks(cups: Sequence[Cup], now: datetime.datetime) -> str:
    """Say which jars are ready, how long the others take, and which to stir a last time.

    Parameters
    ----------
    cups : sequence of Cup
        Stirred ones that are not read yet.
    now : datetime
        The present.

    Returns
    -------
    str
        A sentence or two.

    Examples
    --------
    >>> from slurrycalc.day.bench.guided.state import Progress, Reply
    >>> noon = datetime.datetime(2024, 5, 4, 12, tzinfo=datetime.UTC)
    >>> day = Progress([Reply("labels", [["atlas", ["A1", "A2"]]], noon)])
    >>> for label, minute in (("A1", 0), ("A2", 2)):
    ...     day.take(Reply(f"stirred {label}", noon.replace(minute=minute).isoformat(), noon))
    >>> clocks(day.cups(), noon.replace(minute=30, second=50))
    'Ready: A1. A2 in 1:10. Stir A2 a last time now.'
    """
    ready = [cup.label for cup in cups if not left(cup, now)]
    waiting = [cup for cup in by_clock(cups, now) if left(cup, now)]
    said = [f"Ready: {', '.join(ready)}."] if ready else []
    if waiting:
        said.append(", ".join(f"{cup.label} in {minutes(left(cup, now))}" for cup in waiting) + ".")
    soon = last_stirs(cups, now)
    said += [f"Stir {', '.join(soon)} a last time now."] if soon else []
    return " ".join(said)
