"""A bench day at the table, question by question."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import typer

from slurrycalc.cli import options
from slurrycalc.cli.commands.day import DayRun, of_day
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.prompting import Closed, Terminal, converse, has_terminal
from slurrycalc.cli.recording import Recording, SavedAs, last_line, present, saved_as, who, writing_into
from slurrycalc.cli.running import INTERRUPTED
from slurrycalc.cli.writing import complain
from slurrycalc.day.bench.guided.state import answers_in_words, counted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.report.page import Say

if TYPE_CHECKING:
    from slurrycalc.day.bench.guided import Finish, Save
    from slurrycalc.day.bench.guided.journal import Finished, Journal

NO_TERMINAL = (
    "`slurrycalc bench` asks and waits for answers, so it needs a terminal; for a day that is written down: "
    "slurrycalc run my-day.toml"
)


@dataclass(frozen=True)
class BenchDay:
    """A bench day at the table, as far as it came."""

    state: Literal["done", "stopped", "dropped"]
    answers: int
    """Kept so far."""
    run: DayRun | None
    """Once it is done, as a day from a file has it."""

    @property
    def saved(self) -> SavedAs | None:
        """What the day is called once it is on record."""
        return None if self.run is None else self.run.saved


def bench(
    *,
    by: options.By = None,
    budget: options.Budget = False,
    strict: options.Strict = False,
    logbook: options.Logbook = None,
) -> Outcome[BenchDay]:
    """Walk a whole bench day at the table: ask, time each jar, save each answer.

    slurrycalc bench
    slurrycalc bench --by Kim

    About 50 minutes for three enclosures, 30 of them waiting. Every answer is saved before the next question:
    stop whenever you like, and slurrycalc bench goes on where it was, clocks included.
    """
    if not has_terminal():
        raise Refusal(NO_TERMINAL)
    from slurrycalc.day.bench.guided.journal import Journal
    from slurrycalc.logbook.seat import seat

    recording = Recording(by=by, logbook=logbook)
    with writing_into(recording.path) as book, seat(book.path):
        journal = Journal(book, by)
        journal.by, _ = who(book, journal.by, present())
        table = _Table(journal)
        if table.clock is not None:
            complain(table.clock)
        try:
            how = table.hold()
        except Closed:
            how = "stopped"
        except KeyboardInterrupt:
            complain(f"\n{table.stopped()}")
            raise typer.Exit(INTERRUPTED) from None
    return table.outcome(how, recording, budget=budget)


class _Table:
    """The day at the table, with its record."""

    def __init__(self, journal: Journal) -> None:
        from slurrycalc.logbook.record import clock_behind

        self.journal = journal
        self.terminal = Terminal()
        self.done: Finished | None = None
        self.clock = clock_behind(journal.book, present())

    def hold(self) -> Literal["done", "stopped", "dropped"]:
        """Ask until the day ends; if somebody else answers meanwhile, go on from what both said."""
        from slurrycalc.day.bench.guided import guided

        while True:
            now = present()
            begun = self.journal.begun or now
            guide = guided(
                self.journal.room(begun.date()),
                self.journal.answers(),
                now=now,
                begun=begun,
                by=self.journal.by,
            )
            try:
                end = converse(guide, self.keep, self.terminal)
            except _Moved:
                continue
            if end.how == "dropped":
                self.journal.drop(present())
            return end.how

    def keep(self, event: Save | Finish) -> Refusal | None:
        """Put an answer, or the whole day, on record."""
        from slurrycalc.day.bench.guided import Save

        if isinstance(event, Save):
            if not self.journal.save(event.answer):
                raise _Moved
            return None
        try:
            self.done = self.journal.finish(event)
        except Refusal as refusal:
            return refusal
        return None

    def stopped(self) -> str:
        """Say what is kept, and how to go on."""
        kept = self.journal.answers()
        if not kept:
            return "Stopped before the first answer; nothing was kept."
        count = answers_in_words(counted(kept))
        return f"Stopped. {count} kept, the last at {kept[-1].at:%H:%M}; slurrycalc bench goes on there."

    def outcome(
        self, how: Literal["done", "stopped", "dropped"], recording: Recording, *, budget: bool
    ) -> Outcome[BenchDay]:
        """Hand back what came of it."""
        count = counted(self.journal.answers())
        if self.done is None:
            said = self.stopped() if how == "stopped" else "Struck out; slurrycalc bench begins a new day."
            return Outcome(
                BenchDay(how, count, None), (Say(said, indent=0),), minds=False
            )
        saved = saved_as(self.done.saved, recording.path)
        last = last_line(saved, recording, "")
        clock = () if self.clock is None else (Remark("clock-behind", self.clock),)
        run = of_day(self.done.day, saved, "at the table", 0.95, budget=budget, last=last)
        return Outcome(
            BenchDay(how, count, run.result),
            run.page,
            (*run.remarks, *clock),
            run.needs_action,
            last=run.last,
            again=run.again,
        )


class _Moved(Exception):
    """Somebody else answered meanwhile."""
