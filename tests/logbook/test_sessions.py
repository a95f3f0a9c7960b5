"""A guided bench day goes on where it was, unless it was ended or struck out."""

from __future__ import annotations

from slurrycalc.logbook.mend import undo
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.sessions import DONE, KIND, open_session, session
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store
from tests.logbook.room import LATER, at


def begin(book: Store, day: int) -> Step:
    step = Step(KIND, When(at(day)), keeper="desk team")
    record(book, step, at(day))
    return step


def answer(book: Store, day: Step, key: str, value: object, minute: int = 31) -> None:
    moment = day.when.at.replace(minute=minute)
    step = Step(KIND, When(moment), part_of=day.uid)
    step.mark(key, value)
    record(book, step, moment)


def test_the_newest_day_that_was_not_ended_goes_on_with_its_answers(book: Store) -> None:
    assert open_session(book) is None
    old, day = begin(book, 0), begin(book, 7)
    answer(book, old, "cases", ["window"])
    answer(book, day, "cases", ["atlas", None, 1.5])
    answer(book, day, "stirred A1", True, 40)
    found = open_session(book)
    assert found is not None
    assert (found.uid, found.keeper, found.when.at) == (day.uid, "desk team", at(7))
    assert [(mark.key, mark.value) for mark in found.marks] == [
        ("cases", ["atlas", None, 1.5]),
        ("stirred A1", True),
    ]
    # The clock of a jar goes on from its own time.
    assert found.marks[1].when.at == at(7, 10, 40)


def test_an_answer_that_was_struck_out_is_asked_again(book: Store) -> None:
    day = begin(book, 0)
    answer(book, day, "cases", ["atlas"])
    answer(book, day, "slurries", 3)
    undo(book, LATER)
    found = open_session(book)
    assert found is not None
    assert [mark.key for mark in found.marks] == ["cases"]


def test_a_day_that_was_ended_or_struck_out_does_not_go_on(book: Store) -> None:
    day = begin(book, 0)
    answer(book, day, DONE, True)
    assert open_session(book) is None
    other = begin(book, 1)
    answer(book, other, "cases", ["atlas"])
    found = open_session(book)
    assert found is not None
    undo(book, LATER, str(found.id))
    assert open_session(book) is None
    assert session(book, found.id).marks == ()
