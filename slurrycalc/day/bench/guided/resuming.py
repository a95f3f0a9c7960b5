"""A day that was stopped: gone on with, ended as it stands, or dropped."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Generator

from slurrycalc.day.bench.guided.asking import unread
from slurrycalc.day.bench.guided.events import End, Event, Say
from slurrycalc.day.bench.guided.reading import Doubt
from slurrycalc.day.bench.guided.state import answers_in_words, counted
from slurrycalc.day.bench.guided.talking import Heard, Talk

Ending = Generator[Event, Heard, End | None]
"""What may end a day; None where it goes on."""


def resume(talk: Talk, begun: datetime.datetime, finish: Callable[[], Ending]) -> Ending:
    """Ask what is to become of a day that was stopped, unless it is of today or from paper.

    Parameters
    ----------
    talk : Talk
        The day.
    begun : datetime
        When it began.
    finish : callable
        Ends it as it stands.

    Yields
    ------
    Event

    Returns
    -------
    End or None
        None where it goes on.
    """
    progress, day = talk.progress, f"{begun.day} {begun:%B}"
    answers = answers_in_words(counted(progress))
    if begun.date() == talk.now.date():
        which = f"the day of {day}" if progress.paper else f"the day that began at {begun:%H:%M}"
        talk.says.append(Say(f"Going on with {which}: {answers} kept."))
        return None
    read = [cup.label for cup in progress.cups() if cup.shows is not None]
    left = [cup.label for cup in unread(progress)]
    said = f"The bench day of {day} is not finished: {answers} kept, {len(read)} jars read."
    if left:
        said += f" {', '.join(left)} stood since then: mix them anew (stir {left[0]} starts its clock)"
        said += ", and calibrate again (c)."
    talk.says.append(Say(said))
    ways = "g go on with it, e end it as it stands, d drop it?" if read else "g go on with it, d drop it?"
    while True:
        line = yield from talk.ask("go on", ways, "g")
        word = line.casefold()[:1] or "g"
        if word == "q":
            return End("stopped")
        if word == "e" and read:
            end = yield from finish()
            if end is not None:
                return end
        elif word == "d":
            return (yield from _drop(talk, begun, finish))
        elif word == "g":
            return None


def _drop(talk: Talk, begun: datetime.datetime, finish: Callable[[], Ending]) -> Ending:
    day = f"{begun.day} {begun:%B}"
    yes = yield from talk.sure(
        Doubt(f"Strike out the bench day of {day}? History still shows it.", likely=False)
    )
    if yes:
        return End("dropped", (Say(f"The bench day of {day} is struck out."),))
    talk.pending = None
    return (yield from resume(talk, begun, finish))
