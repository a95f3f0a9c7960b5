"""A bench day at the table: questions out, answers in, each kept before the next is asked.

A guided day knows no terminal, no clock and no file. Whoever holds it shows the questions, says what was
typed and when, and keeps each answer. It ends in a declared day, which is computed as any other.
"""

from __future__ import annotations

import datetime
from collections.abc import Generator, Iterable
from typing import Any, TypeAlias

from slurrycalc.day.guided.asking import DONE, KIT, WAIT, Question, next_question, question, unread
from slurrycalc.day.guided.commands import Command, command_of, jar_meant
from slurrycalc.day.guided.declaring import calibrated_at, day_of, lone_probings
from slurrycalc.day.guided.events import Ask, End, Event, Finish, Save, Say, Typed
from slurrycalc.day.guided.jars import said_after, take_at_bench
from slurrycalc.day.guided.kit import settled, take_kit
from slurrycalc.day.guided.labels import cup_labels
from slurrycalc.day.guided.reading import Doubt
from slurrycalc.day.guided.room import Room
from slurrycalc.day.guided.skips import skipped_keys
from slurrycalc.day.guided.state import Answer, Progress, answers_in_words, counted
from slurrycalc.day.guided.words import CAN, CLOSING, KEYS, METERING, READING, as_typed, heading
from slurrycalc.metrology.names import plain_note
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

Heard: TypeAlias = Typed | Refusal | None
"""What comes in: a line for an `Ask`, a refusal or nothing for a `Finish`, nothing for a `Save`."""
Talk: TypeAlias = Generator[Event, Heard, Any]
NOT_ASKED = ("note ", "moving ", "swap ", "again ", "labels")
"""Keys of answers that no question asked for."""


def guided(
    room: Room,
    kept: Iterable[Answer] = (),
    *,
    now: datetime.datetime,
    begun: datetime.datetime | None = None,
    by: str | None = None,
) -> Generator[Event, Heard, End]:
    """Guide a bench day.

    Parameters
    ----------
    room : Room
        What is known of the room.
    kept : iterable of Answer
        Answers of a day that was stopped, which goes on.
    now : datetime
        The present, with its offset from UTC.
    begun : datetime, optional
        When the day began; now, for a new one.
    by : str, optional
        Who is at the table.

    Yields
    ------
    Ask, Save or Finish
        A question wants a `Typed` in return. An answer to be kept wants nothing, and the guide goes on once
        it is kept. A finished day wants None once it is recorded, or the `Refusal` that keeps it open.

    Returns
    -------
    End
        Done, stopped or dropped.

    Examples
    --------
    >>> noon = datetime.datetime(2024, 5, 4, 12, tzinfo=datetime.UTC)
    >>> day = guided(Room(), now=noon)
    >>> next(day).text
    'Which enclosures? A comma between their names.'
    >>> day.send(Typed("window, atlas", noon)).answer.value
    ['window', 'atlas']
    >>> next(day).text
    'Slurries each?'
    """
    return _Guide(room, kept, now, begun or now, by).run()


class _Guide:
    """The day as it is being guided."""

    def __init__(
        self,
        room: Room,
        kept: Iterable[Answer],
        now: datetime.datetime,
        begun: datetime.datetime,
        by: str | None,
    ) -> None:
        self.room = room
        self.progress = Progress(kept)
        self.now = now
        self.begun = begun
        self.by = by
        self.chosen: str | None = None
        """Cup that the keeper wants to read."""
        self.behind: str | None = None
        """Key of the answer that the keeper went back to."""
        self.pending: str | None = None
        """A line that was typed before its question was asked again."""
        self.unasked: list[Answer] = []
        """Answers that needed no question, until they are kept."""
        title = f"Bench day, {begun.day} {begun:%B}. Each answer is saved."
        self.says: list[Say] = [Say(title, "step"), Say(KEYS)]
        self.step = 0
        self.minded: set[int] = set()

    def run(self) -> Generator[Event, Heard, End]:
        """Ask until the day is done, stopped or dropped."""
        end: End | None = None
        if len(self.progress):
            end = yield from self._go_on()
        while end is None:
            self._settle()
            asked = self._question()
            line = yield from self._line(asked)
            command = command_of(line)
            if command is None:
                end = yield from self._answer(asked, line)
            else:
                end = yield from self._command(command, asked)
        return end

    # What is asked, and what was typed.

    def _question(self) -> Question:
        if self.behind is not None:
            return question(self.behind, self.progress, self.room, self.now)
        return next_question(self.progress, self.room, self.now, self.chosen)

    def _before(self, asked: Question) -> str:
        """Give the answer that stands under a question already, as it was typed."""
        if asked.key not in self.progress:
            return ""
        return as_typed(asked.key, self.progress.get(asked.key))

    def _line(self, asked: Question) -> Generator[Event, Heard, str]:
        if self.pending is not None:
            line, self.pending = self.pending, None
            return line
        if asked.step != self.step:
            self.step = asked.step
            if asked.step:
                self.says += heading(asked.step, self.progress, self.room, minded=asked.step in self.minded)
                self.minded.add(asked.step)
        if asked.clocks:
            self.says.append(Say(asked.clocks))
        before = self._before(asked)
        return (yield from self._ask(asked.key, asked.text, before or asked.default, asked.wake))

    def _ask(
        self, key: str, text: str, default: str = "", wake: datetime.datetime | None = None
    ) -> Generator[Event, Heard, str]:
        says, self.says = tuple(self.says), []
        typed = yield Ask(key, text, says, default, wake)
        assert isinstance(typed, Typed), typed
        # A clock that is set back must not turn the day around.
        self.now = max(self.now, typed.at)
        return typed.line.strip()

    def _wrong(self, text: str) -> None:
        self.says.append(Say(text, "wrong"))

    def _sure(self, doubt: Doubt) -> Generator[Event, Heard, bool | None]:
        """Ask about a doubt; None where something else was typed, which then counts as the answer."""
        while True:
            line = yield from self._ask("sure", doubt.sentence, "Y/n" if doubt.likely else "y/N")
            word = line.casefold()
            if word in ("", "y", "yes", "n", "no"):
                return doubt.likely if not word else word[0] == "y"
            self.pending = line
            return None

    # Answers.

    def _keep(self, key: str, value: Any) -> Talk:
        # What needed no question is kept with the first answer that rests on it.
        for answer in (*self.unasked, Answer(key, value, self.now)):
            yield Save(answer)
            self.progress.take(answer)
        self.unasked = []

    def _settle(self) -> None:
        """Answer what needs no question: the only meter there is, the labels of the cups."""
        answers = {key: value for key, value in settled(self.room).items() if key not in self.progress}
        cases, each = self.progress.cases, self.progress.get("each")
        if cases and each and not self.progress.under_way:
            labels = cup_labels(cases, each, self.room.taken)
            if labels != self.progress.get("labels"):
                answers["labels"] = labels
        for key, value in answers.items():
            answer = Answer(key, value, self.now)
            self.progress.take(answer)
            self.unasked = [*(one for one in self.unasked if one.key != key), answer]

    def _answer(self, asked: Question, line: str) -> Generator[Event, Heard, End | None]:
        if asked.step >= READING and (meant := jar_meant(line, self.progress)) is not None:
            return (yield from self._jar(*meant))
        if not line:
            if asked.key == DONE:
                return (yield from self._finish())
            if asked.key == WAIT:
                return None
            if self._before(asked):
                self.behind = self.chosen = None
                return None
            line = asked.default
        yield from self._take(asked, line)
        return None

    def _jar(self, label: str, rest: str) -> Generator[Event, Heard, End | None]:
        """Turn to another jar, and take its reading where it stands behind the label."""
        cup = self.progress.cup(label)
        if cup is None or cup.stirred is None:
            self._wrong(f"{label} was not mixed today.")
            return None
        self.behind, self.chosen = None, cup.label
        if rest:
            yield from self._take(self._question(), rest)
        return None

    def _take(self, asked: Question, line: str) -> Talk:
        """Take an answer, ask about what is doubtful, and keep it."""
        sure: frozenset[str] = frozenset()
        while True:
            try:
                value = self._value(asked, line, sure)
                break
            except Refusal as refusal:
                self._wrong(refusal.sentence)
                return
            except Doubt as doubt:
                yes = yield from self._sure(doubt)
                if yes and doubt.meant is not None:
                    line = doubt.meant
                elif (yes or doubt.meant) and doubt.about and yes is not None:
                    sure |= {doubt.about}
                else:
                    return
        yield from self._keep(asked.key, value)
        self.behind = self.chosen = None
        self.says += [Say(text) for text in said_after(asked.key, self.progress, self.room)]

    def _value(self, asked: Question, line: str, sure: frozenset[str]) -> Any:
        if asked.key in KIT or asked.key == "probe":
            return take_kit(asked.key, line, self.room, sure)
        if asked.key in (DONE, WAIT):
            raise Refusal(f"{quoted(line)} is no answer here: {asked.about or 'Enter, or b to go back.'}")
        if not line and asked.key.endswith(" at"):
            return None
        if not line and not asked.key.startswith("stirred "):
            raise Refusal(f"Nothing was typed. {asked.about}")
        return take_at_bench(
            asked.key, line, progress=self.progress, room=self.room, now=self.now, sure=sure
        )

    def _finish(self) -> Generator[Event, Heard, End | None]:
        wrong = yield Finish(
            day_of(self.progress, date=self.begun.date(), by=self.by),
            when=calibrated_at(self.progress, self.begun),
            at=self.now,
            lone=lone_probings(self.progress),
            cup=None if self.room.cup else self.progress.get("cup"),
        )
        if isinstance(wrong, Refusal):
            self._wrong(str(wrong))
            return None
        return End("done")

    # What can be typed instead of an answer.

    def _command(self, command: Command, asked: Question) -> Generator[Event, Heard, End | None]:
        match command.name:
            case "stop":
                return End("stopped")
            case "back":
                self._back()
            case "help":
                self.says += [Say(asked.about)] if asked.about else []
                self.says += [Say(text) for text in CAN]
            case "note":
                yield from self._note(command.rest, asked)
            case "skip":
                yield from self._skip(asked, every=command.rest == "all")
            case "moving":
                yield from self._moving(asked)
            case "swap":
                yield from self._swap(command.rest)
            case "calibrate":
                yield from self._calibrate(asked)
        return None

    def _asked_keys(self) -> list[str]:
        """Give the keys of the answers that b goes through, the newest last."""
        fixed = {*settled(self.room), *(KIT if self.progress.under_way else ())}
        return [
            answer.key
            for answer in self.progress
            if not answer.key.startswith(NOT_ASKED) and answer.key not in fixed
        ]

    def _back(self) -> None:
        keys = self._asked_keys()
        place = keys.index(self.behind) if self.behind in keys else len(keys)
        if self.chosen is not None and self.behind is None:
            self.chosen = None
        elif place == 0:
            begun = "the cups have their labels" if self.progress.under_way else "this is the first question"
            self._wrong(f"b goes no further back: {begun}.")
        else:
            self.behind = keys[place - 1]

    def _note(self, text: str, asked: Question) -> Talk:
        about = asked.cup
        if not text:
            text = yield from self._ask("note", f"Note on {about}:" if about else "Note:")
        try:
            note = plain_note(text)
        except Refusal as refusal:
            self._wrong(refusal.sentence)
            return
        if note:
            number = self.progress.next_number("note")
            yield from self._keep(f"note {number}", {"about": about, "text": note})
            self.says.append(Say(f"Noted of {about}." if about else "Noted."))

    def _skip(self, asked: Question, *, every: bool) -> Talk:
        try:
            skips = skipped_keys(asked, self.progress, self.room, self.now, every=every)
        except Refusal as refusal:
            self._wrong(refusal.sentence)
            return
        for key, value in skips:
            yield from self._keep(key, value)
        self.behind = self.chosen = None

    def _moving(self, asked: Question) -> Talk:
        if asked.key != "close" and not asked.key.startswith(("probe ", "point ", "read ")):
            self._wrong("w is for a reading that is still moving, and nothing is being read here.")
            return
        if asked.key.startswith("read "):
            key = f"moving {asked.cup}"
            yield from self._keep(f"{key} {self.progress.next_number(key)}", True)
        self.says.append(Say("Give it a minute; type what it shows once it holds."))

    def _swap(self, rest: str) -> Talk:
        found = [self.progress.cup(label) for label in rest.replace(",", " ").split()]
        first, second = (*found, None, None)[:2]
        if len(found) != 2 or first is None or second is None or first == second:
            self._wrong("swap needs the labels of two cups that are on the table: swap B2 C1.")
            return
        here, there = (f"{cup.place.case}, spot {cup.place.spot}" for cup in (first, second))
        yes = yield from self._sure(
            Doubt(f"So {first.label} holds {there}, and {second.label} holds {here}?")
        )
        if yes:
            number = self.progress.next_number("swap")
            yield from self._keep(f"swap {number}", [first.label, second.label])
            self.says.append(Say("Swapped; what was read stays with its cup."))

    def _calibrate(self, asked: Question) -> Talk:
        if asked.step not in (READING, CLOSING) or "close" in self.progress:
            self._wrong("c calibrates the meter anew between its first calibration and the close.")
            return
        number = self.progress.next_number("again", 2)
        yield from self._keep(f"again {number}", True)
        self.behind = self.chosen = None
        # Buffers are poured again: what to mind is said again.
        self.minded.discard(METERING)

    # A day that was stopped.

    def _go_on(self) -> Generator[Event, Heard, End | None]:
        answers = answers_in_words(counted(self.progress))
        day = f"{self.begun.day} {self.begun:%B}"
        if self.begun.date() == self.now.date():
            self.says.append(Say(f"Going on with the day that began at {self.begun:%H:%M}: {answers} kept."))
            return None
        read = [cup.label for cup in self.progress.cups() if cup.shows is not None]
        left = [cup.label for cup in unread(self.progress)]
        stood = f" {', '.join(left)} stood since then." if left else ""
        self.says.append(
            Say(f"The bench day of {day} is not finished: {answers} kept, {len(read)} jars read.{stood}")
        )
        ways = "g go on with it, e end it as it stands, d drop it?" if read else "g go on with it, d drop it?"
        while True:
            line = yield from self._ask("go on", ways, "g")
            word = line.casefold()[:1] or "g"
            if word == "q":
                return End("stopped")
            if word == "e" and read:
                end = yield from self._finish()
                if end is not None:
                    return end
            elif word == "d":
                return (yield from self._drop(day))
            elif word == "g":
                return None

    def _drop(self, day: str) -> Generator[Event, Heard, End | None]:
        yes = yield from self._sure(
            Doubt(f"Strike out the bench day of {day}? History still shows it.", likely=False)
        )
        if yes:
            return End("dropped", (Say(f"The bench day of {day} is struck out."),))
        self.pending = None
        return (yield from self._go_on())
