"""A bench day at the table: questions out, answers in, each kept before the next is asked.

A guided day knows no terminal, no clock and no file. Whoever holds it shows the questions, says what was
typed and when, and keeps each answer. It ends in a declared day, which is computed as any other.
"""

from __future__ import annotations

import datetime
from collections.abc import Generator, Iterable
from typing import Any

from slurrycalc.day.bench.guided.asking import DONE, KIT, WAIT, Question, next_question, question, unread
from slurrycalc.day.bench.guided.clock import by_clock, left
from slurrycalc.day.bench.guided.commands import Command, command_of, jar_meant
from slurrycalc.day.bench.guided.declaring import calibrated_at, day_of, lone_probings
from slurrycalc.day.bench.guided.events import End, Event, Finish, Say
from slurrycalc.day.bench.guided.jars import said_after, stirred_at, take_at_bench
from slurrycalc.day.bench.guided.kit import settled, take_kit
from slurrycalc.day.bench.guided.reading import Doubt
from slurrycalc.day.bench.guided.resuming import resume
from slurrycalc.day.bench.guided.room import Room
from slurrycalc.day.bench.guided.skips import skipped_keys
from slurrycalc.day.bench.guided.state import PAPER, Reply
from slurrycalc.day.bench.guided.talking import Heard, Steps, Talk
from slurrycalc.day.bench.guided.words import CAN, CLOSING, KEYS, METERING, MINDED, READING, heading
from slurrycalc.day.record.answers import as_typed
from slurrycalc.logbook.own import taken_from_kit
from slurrycalc.metrology.names import plain_note
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

NOT_ASKED = ("note ", "moving ", "swap ", "again ", "labels", PAPER)
"""Keys of answers that no question asked for."""


def guided(
    room: Room,
    kept: Iterable[Reply] = (),
    *,
    now: datetime.datetime,
    begun: datetime.datetime | None = None,
    by: str | None = None,
    paper: datetime.date | None = None,
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
    paper : date, optional
        The date of a day that begins to be typed in from paper; `now` is then some moment of it, and no clock
        counts. One that goes on knows it by its answers.

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
    >>> from slurrycalc.day.bench.guided.events import Typed
    >>> noon = datetime.datetime(2024, 5, 4, 12, tzinfo=datetime.UTC)
    >>> day = guided(Room(), now=noon)
    >>> next(day).text
    'Which enclosures? A comma between their names.'
    >>> day.send(Typed("window, atlas", noon)).answer.value
    ['window', 'atlas']
    >>> next(day).text
    'Slurries each?'
    """
    return _Guide(room, kept, now, begun=begun or now, by=by, paper=paper).run()


class _Guide(Talk):
    """The day as it is being guided."""

    def __init__(
        self,
        room: Room,
        kept: Iterable[Reply],
        now: datetime.datetime,
        *,
        begun: datetime.datetime,
        by: str | None,
        paper: datetime.date | None,
    ) -> None:
        super().__init__(room, kept, now)
        self.begun = begun
        self.fresh = not len(self.progress)
        if self.fresh and paper is not None:
            self.unasked.append(Reply(PAPER, paper.isoformat(), now))
            self.progress.take(self.unasked[0])
        on_paper = self.progress.paper is not None
        self.by = by
        self.chosen: str | None = None
        """Cup that the keeper wants to read."""
        self.behind: str | None = None
        """Key of the answer that the keeper went back to."""
        paper_words = ", from paper" if on_paper else ""
        title = f"Bench day, {begun.day} {begun:%B}{paper_words}. Each answer is saved."
        self.says += [Say(title, "step"), Say(KEYS)]
        self.says += [Say(remark.text) for remark in taken_from_kit(room.taken_for(by))]
        self.step = 0
        # From paper no hand moves: the headings alone.
        self.minded: set[int] = set(MINDED) if on_paper else set()

    def run(self) -> Generator[Event, Heard, End]:
        """Ask until the day is done, stopped or dropped."""
        end: End | None = None
        if not self.fresh:
            end = yield from resume(self, self.begun, self._finish)
        while end is None:
            self.settle()
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
        cup = None if asked.cup is None else self.progress.cup(asked.cup)
        if asked.key not in self.progress or (self.behind is None and cup is not None and cup.again):
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
            self.says.append(Say(asked.clocks, "clock"))
        default = self._before(asked) or asked.default
        return (yield from self.ask(asked.key, asked.text, default, asked.wake, asked.settling))

    # Answers.

    def _answer(self, asked: Question, line: str) -> Generator[Event, Heard, End | None]:
        if asked.step >= READING and (meant := jar_meant(line, self.progress)) is not None:
            return (yield from self._jar(*meant))
        if not line:
            if asked.key == DONE:
                return (yield from self._finish())
            if asked.key == WAIT:
                # Where it has not settled yet, somebody wants to read it all the same.
                first = by_clock(unread(self.progress), self.now)[0]
                self.chosen = first.label if left(first, self.now) else None
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
            self.wrong(f"{label} was not mixed; stir {label} starts its clock.")
            return None
        self.behind, self.chosen = None, cup.label
        if rest:
            yield from self._take(self._question(), rest)
        return None

    def _take(self, asked: Question, line: str) -> Steps:
        """Take an answer, ask about what is doubtful, and keep it."""
        sure: frozenset[str] = frozenset()
        while True:
            try:
                value = self._value(asked, line, sure)
                break
            except Refusal as refusal:
                self.wrong(refusal.sentence)
                return
            except Doubt as doubt:
                yes = yield from self.sure(doubt)
                if yes and doubt.meant is not None:
                    line = doubt.meant
                elif (yes or doubt.meant) and doubt.about and yes is not None:
                    sure |= {doubt.about}
                else:
                    return
        yield from self.keep(asked.key, value)
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
        return take_at_bench(asked.key, line, progress=self.progress, room=self.room, now=self.now, sure=sure)

    def _finish(self) -> Generator[Event, Heard, End | None]:
        wrong = yield Finish(
            day_of(self.progress, date=self.begun.date(), by=self.by),
            when=calibrated_at(self.progress, self.begun),
            at=self.now,
            lone=lone_probings(self.progress),
            cup=None if self.room.cup else self.progress.get("cup"),
        )
        if isinstance(wrong, Refusal):
            self.wrong(str(wrong))
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
            case "stir":
                yield from self._stir(command.rest)
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
            self.wrong(f"b goes no further back: {begun}.")
        else:
            self.behind = keys[place - 1]

    def _note(self, text: str, asked: Question) -> Steps:
        about = asked.cup
        if not text:
            text = yield from self.ask("note", f"Note on {about}:" if about else "Note:")
            if command_of(text) is not None:
                self.pending = text
                return
        try:
            note = plain_note(text)
        except Refusal as refusal:
            self.wrong(refusal.sentence)
            return
        if note:
            number = self.progress.next_number("note")
            yield from self.keep(f"note {number}", {"about": about, "text": note})
            self.says.append(Say(f"Noted of {about}." if about else "Noted."))

    def _skip(self, asked: Question, *, every: bool) -> Steps:
        try:
            skips = skipped_keys(asked, self.progress, self.room, self.now, every=every)
        except Refusal as refusal:
            self.wrong(refusal.sentence)
            return
        for key, value in skips:
            yield from self.keep(key, value)
        self.behind = self.chosen = None

    def _moving(self, asked: Question) -> Steps:
        if self.progress.paper is not None:
            self.wrong("w is for a meter that is at hand, and this day is from paper.")
            return
        if asked.key != "close" and not asked.key.startswith(("probe ", "point ", "read ")):
            self.wrong("w is for a reading that is still moving, and nothing is being read here.")
            return
        if asked.key.startswith("read "):
            key = f"moving {asked.cup}"
            yield from self.keep(f"{key} {self.progress.next_number(key)}", True)
        self.says.append(Say("Give it a minute; type what it shows once it holds."))

    def _swap(self, rest: str) -> Steps:
        found = [self.progress.cup(label) for label in rest.replace(",", " ").split()]
        first, second = (*found, None, None)[:2]
        if len(found) != 2 or first is None or second is None or first == second:
            self.wrong("swap needs the labels of two cups that are on the table: swap B2 C1.")
            return
        here, there = (f"{cup.place.case}, spot {cup.place.spot}" for cup in (first, second))
        yes = yield from self.sure(Doubt(f"So {first.label} holds {there}, and {second.label} holds {here}?"))
        if yes:
            number = self.progress.next_number("swap")
            yield from self.keep(f"swap {number}", [first.label, second.label])
            self.says.append(Say("Swapped; what was read stays with its cup."))

    def _stir(self, rest: str) -> Steps:
        """Start a jar's clock anew: it was mixed again, or after all."""
        label, _, time = rest.partition(" ")
        cup = self.progress.cup(label)
        if cup is None:
            self.wrong("stir needs the label of a cup that is on the table: stir B1, or stir B1 5 min ago.")
            return
        key = f"stirred {cup.label}"
        try:
            stirred = stirred_at(time, self.progress, self.now)
        except Refusal as refusal:
            self.wrong(refusal.sentence)
            return
        yield from self.keep(key, stirred)
        self.behind = self.chosen = None
        if self.progress.paper is None:
            self.says.append(Say(f"The clock of {cup.label} counts from {as_typed(key, stirred)}."))

    def _calibrate(self, asked: Question) -> Steps:
        if asked.step not in (READING, CLOSING) or "close" in self.progress:
            self.wrong("c calibrates the meter anew between its first calibration and the close.")
            return
        number = self.progress.next_number("again", 2)
        yield from self.keep(f"again {number}", True)
        self.behind = self.chosen = None
        # Buffers are poured again: what to mind is said again.
        if self.progress.paper is None:
            self.minded.discard(METERING)
