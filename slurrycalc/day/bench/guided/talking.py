"""The talk of a guided day: questions asked, doubts settled, answers kept before anything else."""

from __future__ import annotations

import datetime
from collections.abc import Generator, Iterable
from typing import Any, TypeAlias

from slurrycalc.day.bench.guided.events import Ask, Event, Save, Say, Typed
from slurrycalc.day.bench.guided.kit import settled
from slurrycalc.day.bench.guided.labels import cup_labels
from slurrycalc.day.bench.guided.reading import Doubt
from slurrycalc.day.bench.guided.room import Room
from slurrycalc.day.bench.guided.state import Cup, Progress, Reply
from slurrycalc.metrology.remark import Refusal

Heard: TypeAlias = Typed | Refusal | None
"""What comes in: a line for an `Ask`, a refusal or nothing for a `Finish`, nothing for a `Save`."""
Steps: TypeAlias = Generator[Event, Heard, None]


class Talk:
    """What is said on both sides, and what is kept of it.

    Parameters
    ----------
    room : Room
        What is known of the room.
    kept : iterable of Answer
        What was kept before.
    now : datetime
        The present, with its offset from UTC.
    """

    def __init__(self, room: Room, kept: Iterable[Reply], now: datetime.datetime) -> None:
        self.room = room
        self.progress = Progress(kept)
        self.now = now
        self.pending: str | None = None
        """A line that was typed before its question was asked again."""
        self.unasked: list[Reply] = []
        """Answers that needed no question, until they are kept."""
        self.says: list[Say] = []
        """What to show before the next question."""

    def ask(
        self,
        key: str,
        text: str,
        default: str = "",
        wake: datetime.datetime | None = None,
        settling: tuple[Cup, ...] = (),
    ) -> Generator[Event, Heard, str]:
        """Ask, after everything that was to be said before.

        Parameters
        ----------
        key, text, default, wake, settling
            As `Ask` has them.

        Yields
        ------
        Ask

        Returns
        -------
        str
            The line that was typed, without blanks around it.
        """
        says, self.says = tuple(self.says), []
        typed = yield Ask(key, text, says, default, wake, settling)
        assert isinstance(typed, Typed), typed
        # A day from paper stays on its date, whenever it is typed in.
        self.now = self.now if self.progress.paper else typed.at
        return typed.line.strip()

    def wrong(self, text: str) -> None:
        """Say before the next question why a line cannot stand."""
        self.says.append(Say(text, "wrong"))

    def sure(self, doubt: Doubt) -> Generator[Event, Heard, bool | None]:
        """Ask about a doubt.

        Parameters
        ----------
        doubt : Doubt
            What is doubtful.

        Yields
        ------
        Ask

        Returns
        -------
        bool or None
            None where neither yes nor no was typed: the line then counts as the answer to what was asked
            before.
        """
        line = yield from self.ask("sure", doubt.sentence, "Y/n" if doubt.likely else "y/N")
        word = line.casefold()
        if word in ("", "y", "yes", "n", "no"):
            return doubt.likely if not word else word[0] == "y"
        self.pending = line
        return None

    def keep(self, key: str, value: Any) -> Steps:
        """Keep an answer, and before it those that needed no question.

        Parameters
        ----------
        key, value
            As `Answer` has them.

        Yields
        ------
        Save
            The day goes on once it is kept.
        """
        for answer in (*self.unasked, Reply(key, value, self.now)):
            yield Save(answer)
            self.progress.take(answer)
        self.unasked = []

    def settle(self) -> None:
        """Answer what needs no question: the only meter there is, the labels of the cups."""
        answers = {key: value for key, value in settled(self.room).items() if key not in self.progress}
        cases, each = self.progress.cases, self.progress.get("each")
        if cases and each and not self.progress.under_way:
            labels = cup_labels(cases, each, self.room.taken)
            if labels != self.progress.get("labels"):
                answers["labels"] = labels
        for key, value in answers.items():
            answer = Reply(key, value, self.now)
            self.progress.take(answer)
            self.unasked = [*(one for one in self.unasked if one.key != key), answer]
