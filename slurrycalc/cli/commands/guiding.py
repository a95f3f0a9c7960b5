"""A bench day at the table, question by question."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Literal

import typer
from typer import Option

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
from slurrycalc.report.pages.day import table_last

if TYPE_CHECKING:
    from slurrycalc.day.bench.guided import Finish, Save
    from slurrycalc.day.bench.guided.journal import Finished, Journal
    from slurrycalc.logbook.refs import When

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
    on: Annotated[
        str | None,
        Option(metavar="DATE", help="A day from paper: yesterday, 2024-05-04; no clock counts for it."),
    ] = None,
    by: options.By = None,
    budget: options.Budget = False,
    strict: options.Strict = False,
    logbook: options.Logbook = None,
) -> Outcome[BenchDay]:
    """Walk a whole bench day at the table: ask, time each jar, save each answer.

    slurrycalc bench
    slurrycalc bench --by Kim
    slurrycalc bench --on yesterday

    About 50 minutes for three enclosures, 30 of them waiting: the jars are counted down with a bell where the
    terminal can, and Enter goes on before their time. Every answer is saved before the next question: stop
    whenever you like, and slurrycalc bench goes on where it was, clocks included. --on takes a day from paper
    (slurrycalc sheet): times are as they stand there, and nothing waits.
    """
    if not has_terminal():
        raise Refusal(NO_TERMINAL)
    from slurrycalc.day.bench.guided.journal import Journal
    from slurrycalc.logbook.seat import seat

    recording = Recording(on=on, by=by, logbook=logbook)
    paper = None if on is None else recording.when(present())
    with writing_into(recording.path) as book, seat(book.path):
        journal = Journal(book, by)
        _refuse_another(journal, paper)
        journal.by, _ = who(book, journal.by, present())
        table = _Table(journal, paper)
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


def _refuse_another(journal: Journal, paper: When | None) -> None:
    """See that no other day is open than the one from paper that is meant."""
    begun = journal.begun
    if paper is None or begun is None or journal.paper == paper.day:
        return
    raise Refusal(
        f"the bench day of {begun.date()} is not finished: go on with it, end it or drop it first, by "
        f"slurrycalc bench; then --on {paper.day}."
    )


class _Table:
    """The day at the table, with its record."""

    def __init__(self, journal: Journal, paper: When | None) -> None:
        from slurrycalc.logbook.record import clock_behind

        self.journal = journal
        self.paper = paper
        self.terminal = Terminal()
        self.done: Finished | None = None
        self.clock = clock_behind(journal.book, present())

    @property
    def is_from_paper(self) -> bool:
        """Whether the day is typed in from paper."""
        return self.paper is not None or self.journal.paper is not None

    def hold(self) -> Literal["done", "stopped", "dropped"]:
        """Ask until the day ends; if somebody else answers meanwhile, go on from what both said."""
        from slurrycalc.day.bench.guided import guided

        while True:
            now = present()
            begun = self.journal.begun or (now if self.paper is None else self.paper.at)
            if self.is_from_paper:
                # No clock of this machine counts for it.
                now = begun
            guide = guided(
                self.journal.room(begun.date()),
                self.journal.answers(),
                now=now,
                begun=begun,
                by=self.journal.by,
                paper=None if self.paper is None else self.paper.day,
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
            if not self.journal.save(event.answer, present()):
                raise _Moved
            return None
        try:
            self.done = self.journal.finish(event, present())
        except Refusal as refusal:
            return refusal
        return None

    def stopped(self) -> str:
        """Say what is kept, and how to go on."""
        kept = self.journal.answers()
        if not kept:
            return "Stopped before the first answer; nothing was kept."
        count = answers_in_words(counted(kept))
        last = "" if self.is_from_paper else f", the last at {kept[-1].at:%H:%M}"
        return f"Stopped. {count} kept{last}; slurrycalc bench goes on there."

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
        where = "from paper" if self.is_from_paper else "at the table"
        run = of_day(self.done.day, saved, where, 0.95, budget=budget, last=last)
        page, foot = table_last(run.page)
        return Outcome(
            BenchDay(how, count, run.result),
            page,
            (*run.remarks, *clock),
            run.needs_action,
            last=run.last,
            again=run.again,
            foot=foot,
        )


class _Moved(Exception):
    """Somebody else answered meanwhile."""
