"""What is the keeper's own: the meter and the probe that count where a step names none, and who reads."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from slurrycalc.logbook.things import Thing, Things
from slurrycalc.metrology.remark import Remark


def own(things: Things, kind: str, day: datetime.date) -> Thing | None:
    """Give the meter or the probe in use on a day that is said to be the keeper's own.

    Examples
    --------
    >>> meters = [Thing(n, 1, "meter", n, {"mine": True, "reader": "Kim"}, ()) for n in ("desk",)]
    >>> today = datetime.date(2024, 5, 4)
    >>> own(Things(tuple(meters)), "meter", today).name, own(Things(()), "meter", today)
    ('desk', None)
    """
    mine = [each for each in things.of(kind, day) if each.get("mine")]
    # Two keepers' records that were merged may have one each: the one said last counts.
    return max(mine, key=_said_on, default=None)


def _said_on(thing: Thing) -> str:
    return max((each.recorded for each in thing.said if each.key == "mine" and each.stands), default="")


def only(things: Things, kind: str, day: datetime.date) -> Thing | None:
    """Give the only thing of a kind that is in use on a day."""
    live = things.of(kind, day)
    return live[0] if len(live) == 1 else None


def reader(things: Things, day: datetime.date) -> str | None:
    """Give the name of whoever reads the keeper's own meter or probe; else the only name that reads any."""
    kit = [each for kind in ("meter", "probe") for each in things.of(kind, day) if each.get("reader")]
    for kind in ("meter", "probe"):
        if (mine := own(things, kind, day)) in kit and mine is not None:
            return str(mine.get("reader"))
    names = {str(each.get("reader")) for each in kit}
    return names.pop() if len(names) == 1 else None


def taken_from_kit(taken: Mapping[str, str]) -> tuple[Remark, ...]:
    """Say what a step did not name and the kit gave; nothing where it gave nothing.

    Examples
    --------
    >>> taken_from_kit({"reader": "Kim", "meter": "desk"})[0].text
    'Taken from your kit: read by Kim, meter desk.'
    """
    if not taken:
        return ()
    words = (f"read by {name}" if kind == "reader" else f"{kind} {name}" for kind, name in taken.items())
    return (Remark("from-your-kit", f"Taken from your kit: {', '.join(words)}."),)
