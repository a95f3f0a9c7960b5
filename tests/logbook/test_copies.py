"""Copies beside a logbook: made before the first write of a day, kept, known to be good, and gone back to."""

from __future__ import annotations

import contextlib
import datetime
import os
import re
import shutil
import sqlite3
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

import slurrycalc as sc
from slurrycalc.cli import main
from slurrycalc.logbook.copies import before_writing, copies_of, day_of, folder_of, newest_good
from slurrycalc.logbook.faults import Damaged, LogbookFault
from slurrycalc.logbook.record import record, record_within
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.restore import restore
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, open_logbook
from slurrycalc.metrology.remark import Refusal
from tests.logbook.room import at, furnish, kit_of

TODAY = datetime.datetime.now(datetime.UTC).astimezone()


def begin(path: Path, days_ago: int = 3) -> None:
    """Begin a logbook some days before today."""
    with open_logbook(path) as book:
        furnish(book, TODAY - datetime.timedelta(days=days_ago))


def note(book: Store, now: datetime.datetime = TODAY) -> str:
    """Record one event."""
    step = Step("event", When(at(0)))
    step.event(kit_of(book).atlas, "water", amount=500.0, unit="mL")
    record(book, step, now)
    return step.uid


def uids(path: Path) -> list[str]:
    with contextlib.closing(sqlite3.connect(path)) as db:
        return [uid for (uid,) in db.execute("SELECT uid FROM entry ORDER BY id")]


def days(path: Path) -> list[str]:
    return [day_of(copy) for copy in copies_of(path)]


def copied_on(path: Path, *on: datetime.date) -> None:
    """Write something on each of some days, after the copy of that day."""
    for day in on:
        with open_logbook(path) as book:
            assert before_writing(book.connection, path, day) is None
            # What is written goes by the clock of the machine, and so would its copy.
            with book.transaction(copies=False):
                record_within(book, [Step("event", When(at(0)))], TODAY)


def flip(path: Path, was: bytes, now: bytes) -> None:
    """Change bytes of a file as a failing disk does."""
    data = path.read_bytes()
    assert was in data
    path.write_bytes(data.replace(was, now))


def test_a_copy_is_made_before_the_first_write_of_a_day_and_before_no_other(path: Path) -> None:
    begin(path)
    before = uids(path)
    for _ in range(3):
        with open_logbook(path) as book:
            note(book)
    (copy,) = copies_of(path)
    assert copy.parent == path.with_name("bench.sqlite.copies")
    assert day_of(copy) == str(TODAY.date())
    assert uids(copy) == before
    assert len(uids(path)) == len(before) + 3
    assert newest_good(path) == copy
    # A whole logbook by itself, which opens as one.
    with open_logbook(copy, writes=False) as book:
        assert kit_of(book).atlas


def test_a_logbook_that_was_begun_today_has_nothing_to_copy_yet(path: Path) -> None:
    begin(path, days_ago=0)
    with open_logbook(path) as book:
        note(book)
    assert sorted(path.parent.iterdir()) == [path]


def test_reading_and_a_refused_write_make_no_copy(path: Path) -> None:
    begin(path)
    with open_logbook(path, writes=False) as book:
        kit_of(book)
    with open_logbook(path):
        pass
    assert sorted(path.parent.iterdir()) == [path]


READ = ("read", "5.41", "5.43", "--buffer", "4.01=4.06", "--buffer", "7.00=7.04", "--enclosure", "atlas")


@pytest.mark.parametrize("words", [(*READ, "--try"), (*READ, "--target", "6:5"), (*READ, "--scatter", "9")])
def test_a_step_that_is_only_tried_or_refused_makes_no_copy(path: Path, words: tuple[str, ...]) -> None:
    begin(path)
    main([*words, "--logbook", str(path)])
    assert sorted(path.parent.iterdir()) == [path]
    assert main([*READ, "--logbook", str(path)]) == 0
    assert len(copies_of(path)) == 1


@pytest.mark.parametrize(
    "words",
    [
        ("undo", "99"),
        ("undo", "1.77"),
        ("undo", "--day", "2001-01-01"),
        ("fix", "1", "5.4"),
        ("fix", "99", "5.4"),
    ],
)
def test_a_refused_undo_or_fix_makes_no_copy(path: Path, words: tuple[str, ...]) -> None:
    begin(path)
    before = path.read_bytes()
    assert main([*words, "--logbook", str(path)]) == 2
    assert path.read_bytes() == before
    assert sorted(path.parent.iterdir()) == [path]
    assert main(["undo", "--logbook", str(path)]) == 0
    (copy,) = copies_of(path)
    assert uids(copy) == uids(path)[:-1]


def test_the_newest_five_are_kept_and_the_first_of_every_month(path: Path) -> None:
    begin(path, days_ago=400)
    first = TODAY.date() - datetime.timedelta(days=100)
    written = [first + datetime.timedelta(days=n) for n in range(0, 100, 3)]
    copied_on(path, *written)
    months: dict[str, datetime.date] = {}
    for day in written:
        months.setdefault(f"{day:%Y-%m}", day)
    kept = {*written[-5:], *months.values()}
    assert days(path) == sorted(map(str, kept), reverse=True)
    assert len(months) >= 4
    assert newest_good(path) == copies_of(path)[0]


def test_a_clock_set_back_deletes_no_copy_and_still_makes_one(path: Path) -> None:
    begin(path)
    ahead = [TODAY.date() + datetime.timedelta(days=3000 + n) for n in range(6)]
    copied_on(path, *ahead)
    there = days(path)
    back = datetime.date(2001, 1, 1)
    copied_on(path, TODAY.date(), back)
    assert days(path) == [*there, str(TODAY.date()), str(back)]
    # The newest is the one that holds most, whatever day it bears.
    newest = newest_good(path)
    assert newest is not None
    assert day_of(newest) == str(back)


def test_two_writers_at_once_tear_no_copy(path: Path) -> None:
    begin(path)
    copy = threading.Barrier(4)

    def write() -> str | None:
        with open_logbook(path) as book:
            copy.wait()
            note(book)
            return book.no_copy

    with ThreadPoolExecutor(4) as pool:
        said = [each.result() for each in [pool.submit(write) for _ in range(4)]]
    assert said == [None] * 4
    copies = copies_of(path)
    assert copies
    assert {day_of(each) for each in copies} == {str(TODAY.date())}
    for each in copies:
        with open_logbook(each, writes=False) as book:
            assert book.wrong() is None
    assert sorted(folder_of(path).iterdir()) == sorted(copies)
    assert len(uids(path)) == 5


def test_what_a_killed_program_left_half_made_is_never_taken_for_a_copy_and_goes(path: Path) -> None:
    begin(path)
    folder = folder_of(path)
    folder.mkdir()
    old, young = folder / ".2024-05-04.sqlite.00.new", folder / ".2024-05-05.sqlite.01.new"
    for left in (old, young):
        left.write_bytes(path.read_bytes()[:5000])
    os.utime(old, (time.time() - 100_000,) * 2)
    assert newest_good(path) is None
    with open_logbook(path) as book:
        note(book)
    # Another program may be making the young one just now.
    assert sorted(folder.iterdir()) == sorted([young, *copies_of(path)])
    assert len(copies_of(path)) == 1


def test_a_copy_is_as_private_as_its_logbook(path: Path) -> None:
    begin(path)
    path.chmod(0o640)
    with open_logbook(path) as book:
        note(book)
    assert copies_of(path)[0].stat().st_mode & 0o777 == 0o640
    assert folder_of(path).stat().st_mode & 0o777 == 0o750


def in_the_way(path: Path) -> None:
    folder_of(path).write_text("somebody's file")


def a_dead_link(path: Path) -> None:
    folder_of(path).symlink_to("nowhere/at/all")


@pytest.mark.skipif(os.name != "posix", reason="links are those of POSIX")
@pytest.mark.parametrize("prevent", [in_the_way, a_dead_link])
def test_a_copy_that_cannot_be_made_stops_no_reading_and_is_said(
    path: Path, prevent: Callable[[Path], None]
) -> None:
    begin(path)
    prevent(path)
    with open_logbook(path) as book:
        uid = note(book)
        said = book.no_copy
    assert said is not None
    assert said.startswith(f"No copy of `{path}` was made before the first step of {TODAY.date()} (")
    assert uid in uids(path)


@pytest.mark.parametrize("road", ["line", "python"])
def test_neither_road_records_silently_without_its_copy(
    path: Path, road: str, capsys: pytest.CaptureFixture[str]
) -> None:
    begin(path)
    in_the_way(path)
    said = f"No copy of `{path}` was made before the first step of {TODAY.date()}"
    if road == "line":
        assert main(["event", "atlas", "water", "--logbook", str(path)]) == 0
        assert capsys.readouterr().err.startswith(said)
    else:
        with pytest.warns(UserWarning, match=re.escape(said)):
            sc.Logbook(path).run("examples/reading-room.toml", new=True)
    assert len(uids(path)) == 2


def test_a_changed_value_is_noticed_before_the_next_days_first_write(path: Path) -> None:
    begin(path)
    with open_logbook(path) as book:
        uid = note(book)
    tomorrow = TODAY.date() + datetime.timedelta(days=1)
    # A name of one letter more or less is a name too: the pages and the rows are whole.
    flip(path, b"atlas", b"atlat")
    before = path.read_bytes()
    says = r"was edited: entry 1 is no longer as in its copy of .*restore"
    with contextlib.closing(sqlite3.connect(path)) as db, pytest.raises(Damaged, match=says):
        before_writing(db, path, tomorrow)
    for writes in (False, True):
        with pytest.raises(Damaged, match=says):
            open_logbook(path, writes=writes)
    assert path.read_bytes() == before
    assert days(path) == [str(TODAY.date())]
    assert uid in uids(path)


def test_an_older_file_in_place_of_the_logbook_is_noticed(path: Path, tmp_path: Path) -> None:
    begin(path, days_ago=9)
    older = tmp_path / "older.sqlite"
    shutil.copy(path, older)
    copied_on(path, TODAY.date() - datetime.timedelta(days=3), TODAY.date() - datetime.timedelta(days=2))
    shutil.copy(older, path)
    with pytest.raises(LogbookFault, match="entry 2 is no longer as in its copy"):
        open_logbook(path)
    assert path.read_bytes() == older.read_bytes()


def test_another_logbook_under_the_same_name_is_not_held_against_the_copies_of_the_first(path: Path) -> None:
    begin(path)
    copied_on(path, TODAY.date() - datetime.timedelta(days=2))
    path.unlink()
    begin(path.with_name("other.sqlite"), days_ago=1)
    path.with_name("other.sqlite").rename(path)
    with open_logbook(path) as book:
        note(book)
    assert len(days(path)) == 2


def test_a_copy_that_went_bad_is_passed_over(path: Path) -> None:
    begin(path)
    copied_on(path, *(TODAY.date() - datetime.timedelta(days=n) for n in (2, 1)))
    newest, older = copies_of(path)
    flip(newest, b"atlas", b"atlat")
    assert newest_good(path) == older
    with open_logbook(path) as book:
        note(book)
        assert book.no_copy is None
    assert len(days(path)) == 3


def cut(path: Path) -> None:
    os.truncate(path, path.stat().st_size - 1000)


def scribble(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[4096:-4096] = os.urandom(len(data) - 8192)
    path.write_bytes(data)


def empty(path: Path) -> None:
    path.write_bytes(b"")


def another(path: Path) -> None:
    path.write_text("enclosure,ph\n")


def edit(path: Path) -> None:
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.execute("DROP TRIGGER entry_no_update")
        db.execute("UPDATE entry SET keeper = 'somebody'")
        db.commit()


def refused(path: Path, writes: bool) -> None:
    """Look for something that is not there, as a line does that has a slip; or whose name was damaged."""
    with open_logbook(path, writes=writes):
        raise Refusal("`atlas` is no enclosure on record; add it by slurrycalc enclosure atlas.")


DAMAGE = [cut, scribble, empty, another, edit, Path.unlink]


@pytest.mark.parametrize("damage", DAMAGE, ids=lambda each: each.__name__)
def test_the_sentence_on_damage_names_the_newest_good_copy_and_its_line_goes_back_to_it(
    path: Path, damage: Callable[[Path], None]
) -> None:
    begin(path)
    with open_logbook(path) as book:
        note(book)
    (copy,) = copies_of(path)
    good = uids(copy)
    damage(path)
    wrong = path.read_bytes() if path.exists() else None
    for writes in (False, True):
        with pytest.raises(Damaged) as fault:
            refused(path, writes)
        said = str(fault.value)
        assert f"the newest good copy is of {TODAY.date()}, with 1 entry: slurrycalc restore --log" in said
        assert str(path) in said
        assert (path.read_bytes() if path.exists() else None) == wrong
    done = restore(path)
    assert (done.day, done.entries) == (str(TODAY.date()), "1 entry")
    assert uids(path) == good
    assert (done.kept.read_bytes() if done.kept else None) == wrong
    with open_logbook(path) as book:
        assert book.wrong() is None
        note(book)
    assert len(uids(path)) == 2


def test_going_back_takes_the_journal_of_the_damaged_file_along(path: Path) -> None:
    begin(path)
    with open_logbook(path) as book:
        note(book)
    empty(path)
    journal = path.with_name("bench.sqlite-journal")
    journal.write_bytes(b"left behind")
    done = restore(path)
    assert done.kept == path.with_name("bench.sqlite.damaged")
    assert path.with_name("bench.sqlite.damaged-journal").read_bytes() == b"left behind"
    assert not journal.exists()
    empty(path)
    assert restore(path).kept == path.with_name("bench.sqlite.damaged-2")


def test_a_whole_logbook_is_left_as_it_is(path: Path) -> None:
    begin(path)
    with open_logbook(path) as book:
        note(book)
    before, there = path.read_bytes(), sorted(path.parent.iterdir())
    with pytest.raises(Refusal, match="is whole, so it stays"):
        restore(path)
    assert (path.read_bytes(), sorted(path.parent.iterdir())) == (before, there)


def test_without_a_good_copy_there_is_nothing_to_go_back_to(path: Path) -> None:
    begin(path)
    cut(path)
    before = path.read_bytes()
    with pytest.raises(LogbookFault, match="no good copy lies beside it: keep it as it is"):
        restore(path)
    assert path.read_bytes() == before


def test_two_names_of_one_file_have_one_row_of_copies(path: Path) -> None:
    begin(path)
    link = path.with_name("link.sqlite")
    link.symlink_to(path)
    with open_logbook(link) as book:
        note(book)
    assert copies_of(path) == copies_of(link) != []
