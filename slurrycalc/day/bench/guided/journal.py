"""A guided bench day in the record: each answer an entry of its own, and at the end the day itself."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from slurrycalc.day.bench.bench_day import bench_day
from slurrycalc.day.bench.guided.events import Finish
from slurrycalc.day.bench.guided.room import Room, room_of
from slurrycalc.day.bench.guided.state import PAPER, Progress, Reply
from slurrycalc.day.bench.result import DayResult
from slurrycalc.day.record import Keeper
from slurrycalc.logbook.conductivities import meters_of_salts
from slurrycalc.logbook.mend import undo
from slurrycalc.logbook.record import Saved, record_within
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.sessions import ANSWER, DONE, KIND, Mark, Session, open_session, session
from slurrycalc.logbook.standing import standing
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store
from slurrycalc.logbook.things import things_of
from slurrycalc.metrology.units import cup_size

ANEW = "answered anew"
DROPPED = "dropped at the table"


@dataclass(frozen=True)
class Finished:
    """A guided day that is on record."""

    day: DayResult
    saved: Saved


class Journal:
    """The record of one guided day: the one that was not ended, or a new one.

    Parameters
    ----------
    book : Store
        Open for writing.
    by : str, optional
        Who is at the table.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> book, noon = in_memory(), datetime.datetime(2024, 5, 4, 12, tzinfo=datetime.UTC)
    >>> Journal(book).save(Reply("cases", ["atlas"], noon))
    True
    >>> [answer.value for answer in Journal(book).answers()]
    [['atlas']]
    """

    def __init__(self, book: Store, by: str | None = None) -> None:
        self.book = book
        self._session: Session | None = open_session(book)
        self._seen = self._ids()
        self.by = by if by is not None or self._session is None else self._session.keeper

    @property
    def begun(self) -> datetime.datetime | None:
        """When the day began; None for one that nothing is kept of."""
        return None if self._session is None else self._session.when.at

    def answers(self) -> tuple[Reply, ...]:
        """Give the answers that stand, in the order in which they were given."""
        marks: Sequence[Mark] = () if self._session is None else self._session.marks
        return tuple(Reply(mark.key, mark.value, mark.when.at) for mark in marks)

    def room(self, day: datetime.date) -> Room:
        """Give what the record knows of the room.

        Parameters
        ----------
        day : date
            The bench day.

        Returns
        -------
        Room
            What is in use on that day, and which jars are on the table already.
        """
        return room_on(self.book, day)

    @property
    def paper(self) -> datetime.date | None:
        """The date of a day from paper; None for one at the table, and for one that nothing is kept of."""
        return Progress(self.answers()).paper

    def save(self, answer: Reply, now: datetime.datetime | None = None) -> bool:
        """Keep an answer; when this returns, no stop of the machine can lose it.

        Parameters
        ----------
        answer : Answer
            What was said, and when. An earlier one under its key is struck out.
        now : datetime, optional
            When it is written down; when it was said, unless given.

        Returns
        -------
        bool
            Whether nobody else changed the day meanwhile.

        Raises
        ------
        Refusal
            If the day was struck out meanwhile.
        LogbookFault
            If the logbook cannot be written; the answer is then not kept.
        """
        steps = []
        # On a paper there is a day; the time of an answer is that of the typing.
        day_only = answer.key == PAPER or self.paper is not None
        if self._session is None:
            head = Step(KIND, When(answer.at, day_only), keeper=self.by)
            steps, uid = [head], head.uid
        else:
            uid = self._session.uid
        step = Step(ANSWER, When(answer.at, day_only), keeper=self.by, part_of=uid)
        step.mark(answer.key, answer.value)
        with self.book.transaction():
            same = self._refreshed() == self._seen
            for old in self._session.marks if self._session else ():
                if old.key == answer.key:
                    ((entry,),) = self.book.rows("SELECT uid FROM entry WHERE id = ?", (old.id.entry,))
                    step.void(entry, reason=ANEW)
            saved = record_within(self.book, [*steps, step], now or answer.at)
        self._session = session(self.book, saved[0].id if self._session is None else self._session.id)
        self._seen = self._ids()
        return same

    def finish(self, done: Finish, now: datetime.datetime | None = None) -> Finished:
        """Compute the day by the road that every declared day takes, and put it on record.

        Parameters
        ----------
        done : Finish
            The day, and what belongs to it besides.
        now : datetime, optional
            When it is written down; when it was ended, unless given.

        Returns
        -------
        Finished
            Its result, and what it is called.

        Raises
        ------
        Refusal
            If something in it cannot stand; its answers are kept all the same.
        LogbookFault
            If the logbook cannot be written; its answers are kept all the same.
        """
        assert self._session is not None
        when = When(done.when, self.paper is not None)
        step = Step(KIND, when, keeper=self.by, part_of=self._session.uid)
        # Each jar was read at the table.
        keeper = Keeper(self.book, step, now=now or done.at, new=True, sure=lambda question: True)
        result = bench_day(done.day, keeper=keeper)
        for name, shows in done.lone:
            probe = done.day.probe.name if done.day.probe else None
            step.probing(
                shows,
                probe=None if probe is None else keeper.thing("probe", probe, adds=True).uid,
                enclosure=keeper.thing("enclosure", name, adds=True).uid,
            )
        if done.cup is not None:
            keeper.thing("cup", "cup", declared={"volume": round(cup_size(done.cup), 6)}, adds=True)
        step.mark(DONE, True)
        return Finished(result, keeper.record(self.book))

    def drop(self, now: datetime.datetime) -> None:
        """Strike out the day.

        Parameters
        ----------
        now : datetime
            The present, with its offset from UTC.

        Raises
        ------
        Refusal
            If it was struck out before.
        LogbookFault
            If the logbook cannot be written.
        """
        if self._session is not None:
            undo(self.book, now, str(self._session.id), why=DROPPED, keeper=self.by)
            self._session = None

    def _refreshed(self) -> list[int]:
        """Look at the day as it is on record now."""
        if self._session is not None:
            self._session = session(self.book, self._session.id)
        return self._ids()

    def _ids(self) -> list[int]:
        return [] if self._session is None else [mark.id.entry for mark in self._session.marks]


def room_on(book: Store, day: datetime.date) -> Room:
    """Give what the record knows of the room on a day, and which jars are on the table already."""
    stands = standing(book)
    things = things_of(book, stands)
    rows = book.rows(
        "SELECT s.entry, s.enclosure, s.label FROM slurry s JOIN entry e ON e.id = s.entry "
        "WHERE e.day = ? AND s.enclosure IS NOT NULL AND s.label IS NOT NULL ORDER BY s.entry, s.n",
        (day.isoformat(),),
    )
    taken = tuple(
        (things.by_id[enclosure].name, label)
        for entry, enclosure, label in rows
        if stands.has(entry) and enclosure in things.by_id
    )
    return room_of(things, day, taken, meters_of_salts(book))
