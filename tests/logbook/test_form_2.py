"""Form 2 of the record: a logbook of form 1 comes up to it whole, and what is new is told and mended."""

from __future__ import annotations

import contextlib
import json
import sqlite3
from pathlib import Path

import pytest

from slurrycalc.day.record.telling import tell
from slurrycalc.logbook import schema
from slurrycalc.logbook.blends import newest_trial
from slurrycalc.logbook.conductivities import salts_on_record
from slurrycalc.logbook.copies import folder_of
from slurrycalc.logbook.exporting import export
from slurrycalc.logbook.forms import TABLES
from slurrycalc.logbook.mend import fix, undo
from slurrycalc.logbook.merging import import_package
from slurrycalc.logbook.migrate import form_of
from slurrycalc.logbook.outside import outside_results
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.store import Store, open_logbook
from slurrycalc.logbook.things import Thing
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs
from tests.logbook.room import at, furnish, sundries

OLD = Path(__file__).with_name("form_1.sql")
KEPT = [table for table in TABLES if table.since == 1]
NEW = [table for table in TABLES if table.since == 2]


def form_1(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """Make a logbook of form 1, and give all that is in it."""
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.executescript(OLD.read_text(encoding="utf-8"))
        return {table.name: db.execute(f"SELECT * FROM {table.name}").fetchall() for table in KEPT}


def rows(book: Store) -> dict[str, list[tuple[object, ...]]]:
    return {table.name: book.rows(f"SELECT * FROM {table.name}") for table in KEPT}


def atlas(recall: Recall) -> Thing:
    return recall.things.find("enclosure", "atlas")


def test_a_logbook_of_form_1_comes_up_whole_with_its_copy_beside(path: Path) -> None:
    kept = form_1(path)
    assert all(kept[table.name] for table in KEPT if table.name not in ("probing",))
    before = path.read_bytes()
    with open_logbook(path) as book:
        assert form_of(book) == schema.VERSION
        assert rows(book) == kept
        assert len(Recall(book, Inputs()).readings()) == 2
        sundries(book, atlas(Recall(book, Inputs())).uid, at(10))
    copy = path.with_name(f"{path.name}.form-1")
    assert copy.exists()
    assert sorted(path.parent.iterdir()) == [path, folder_of(path), copy]
    with contextlib.closing(sqlite3.connect(copy)) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (1,)
        assert {table.name: db.execute(f"SELECT * FROM {table.name}").fetchall() for table in KEPT} == kept
    # Once up, it is a logbook like any other.
    assert path.read_bytes() != before
    with open_logbook(path) as book:
        assert book.rows("SELECT count(*) FROM outside") == [(1,)]
    assert sorted(path.parent.iterdir()) == [path, folder_of(path), copy]


def test_a_logbook_that_came_up_has_the_form_of_one_begun_anew(path: Path, tmp_path: Path) -> None:
    form_1(path)
    sql = "SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY type, name"
    with open_logbook(path) as old, open_logbook(tmp_path / "anew.sqlite") as new:
        assert old.rows(sql) == new.rows(sql)


def test_a_logbook_of_form_1_is_read_without_touching_it(path: Path) -> None:
    kept = form_1(path)
    before = path.read_bytes()
    with open_logbook(path, writes=False) as book:
        recall = Recall(book, Inputs())
        assert rows(book) == kept
        assert len(tell(recall)) == len(kept["entry"])
        assert salts_on_record(recall, atlas(recall)) == ()
    assert path.read_bytes() == before
    assert list(path.parent.iterdir()) == [path]


def test_rows_of_the_new_tables_cannot_be_changed_in_a_logbook_that_came_up(path: Path) -> None:
    form_1(path)
    with open_logbook(path) as book:
        sundries(book, atlas(Recall(book, Inputs())).uid, at(10))
        for table in NEW:
            (row, *_) = book.rows(f"SELECT * FROM {table.name}")
            for sql, values in (
                (f"UPDATE {table.name} SET note = 'x'", ()),
                (f"DELETE FROM {table.name}", ()),
                (f"REPLACE INTO {table.name} VALUES ({', '.join('?' * len(row))})", row),
            ):
                with pytest.raises(sqlite3.IntegrityError, match="append-only"):
                    book.connection.execute(sql, values)


def test_what_was_exported_in_form_1_comes_in(path: Path, tmp_path: Path) -> None:
    kept = form_1(path)
    out = tmp_path / "out"
    with open_logbook(path, writes=False) as book:
        export(book, out, at(40))
    made = json.loads((out / "datapackage.json").read_text())
    made["slurrycalc"]["form"] = 1
    later = [table for table in TABLES if table.since > 1]
    made["resources"] = [each for each in made["resources"] if each["name"] not in {t.name for t in later}]
    (out / "datapackage.json").write_text(json.dumps(made))
    for table in later:
        (out / f"{table.name}.csv").unlink()
    with open_logbook(tmp_path / "other.sqlite") as other:
        imported = import_package(other, out, at(40))
        assert imported.entries == len(kept["entry"])
        assert imported.saved is not None
        assert rows(other)["entry"].pop()[0] == imported.saved.entry
        assert {**rows(other), "entry": rows(other)["entry"][:-1]} == kept
        sundries(other, atlas(Recall(other, Inputs())).uid, at(41))
        # A second time adds nothing, though there is more here than there.
        assert import_package(other, out, at(42)).rows == 0
    # A file that form 2 has is missed where form 2 is said, and so is what tells whether it is whole.
    made["slurrycalc"]["form"] = 2
    (out / "datapackage.json").write_text(json.dumps(made))
    with open_logbook(tmp_path / "other.sqlite") as other, pytest.raises(Refusal, match=r"conductivity\.csv"):
        import_package(other, out, at(42))


def test_what_is_new_is_told_struck_out_and_entered_anew(book: Store) -> None:
    kit = furnish(book)
    saved = sundries(book, kit.atlas, at(5))
    assert [str(one) for one in saved.values] == [f"2.{n}" for n in range(1, 9)]

    def said() -> dict[str | None, str]:
        recall = Recall(book, Inputs())
        return {item.id: item.text for entry in tell(recall, atlas(recall)) for item in entry.items}

    told = said()
    assert told["2.1"] == "standard 1413 uS/cm for atlas conducts 1398 uS/cm at 23 degC"
    assert told["2.2"] == "water of atlas conducts 6 uS/cm at 22 degC"
    assert told["2.3"] == "slurry of atlas conducts 850 uS/cm at 21 degC"
    assert told["2.5"] == "atlas, jar with 0 % fresh mix: pH 5.10"
    assert told["2.8"] == "atlas: county soil laboratory says pH 5.85 ± 0.15, 1:2.5 water"

    assert fix(book, at(6), "2.3", "0.9 mS/cm", temperature=22.0, why="misread").now == (900.0,)
    fix(book, at(6), "2.6", "5.5")
    fix(book, at(6), "2.8", "5.75")
    undo(book, at(7), "2.7", why="the jar dried out")
    undo(book, at(7), "2.2")
    recall = Recall(book, Inputs())
    (kept,) = salts_on_record(recall, atlas(recall))
    assert str(kept.id) == "2"
    assert sorted(one.shows for one in kept.slurries) == [(900.0,), (930.0,)]
    assert kept.blanks == ()
    assert [one.standard for one in kept.standards] == [1413.0]
    trial = newest_trial(recall, atlas(recall))
    assert trial is not None
    assert [(jar.dose, jar.ph) for jar in trial.jars] == [(0.0, 5.1), (20.0, 5.5)]
    assert (trial.unit, trial.amendment) == ("%", "fresh mix")
    (outside,) = outside_results(recall, atlas(recall))
    assert (outside.ph, outside.half_width, outside.laboratory) == (5.75, 0.15, "county soil laboratory")
    # What was entered anew can be entered anew again, and falls with what it belongs to.
    again = fix(book, at(8), str(kept.slurries[-1].id), "0.91 mS/cm")
    recall = Recall(book, Inputs())
    assert again.saved.id.entry > saved.id.entry + 1
    (kept,) = salts_on_record(recall, atlas(recall))
    assert (910.0,) in [one.shows for one in kept.slurries]
    assert len(kept.slurries) == 2
    undo(book, at(9), "2")
    recall = Recall(book, Inputs())
    assert salts_on_record(recall, atlas(recall)) == ()
    assert newest_trial(recall, atlas(recall)) is None
    assert outside_results(recall, atlas(recall)) == ()


def test_the_newest_trial_and_a_day_can_be_asked_for(book: Store) -> None:
    kit = furnish(book)
    for day in (5, 15):
        sundries(book, kit.atlas, at(day))
    fix(book, at(20), "2.6", "5.6")
    recall = Recall(book, Inputs())
    newest = newest_trial(recall, atlas(recall))
    assert newest is not None
    assert str(newest.id) == "3"
    older = newest_trial(recall, atlas(recall), until=at(14).date())
    assert older is not None
    assert [jar.ph for jar in older.jars] == [5.1, 5.6, 5.7]
    assert newest_trial(recall, atlas(recall), unit="g/L") is None
    assert len(salts_on_record(recall, atlas(recall), until=at(14).date())) == 1
    assert len(outside_results(recall, atlas(recall))) == 2


def test_a_value_that_cannot_stand_is_not_entered_anew(book: Store) -> None:
    kit = furnish(book)
    sundries(book, kit.atlas, at(5))
    for what, value, says in (
        ("2.3", "850 mS/cm", "did you mean `850 uS/cm`"),
        ("2.3", "850", "could be 850 uS/cm or 850 mS/cm"),
        ("2.6", "58", "58"),
        ("2.8", "x", "x"),
    ):
        with pytest.raises(Refusal, match=says):
            fix(book, at(6), what, value)
    with pytest.raises(Refusal, match=r"`2\.8` has no temperature on record; give the value alone"):
        fix(book, at(6), "2.8", "5.8", temperature=21.0)
    assert book.rows("SELECT count(*) FROM entry") == [(2,)]
