"""From Python a record takes in the same tables and packages as `slurrycalc import`, to the same readings."""

from __future__ import annotations

import pytest

import slurrycalc as sc

TABLE = "Day;pH;where\n2024-03-02;5,61;atlas\n2024-04-06;5,52;atlas\n2024-04-06;5,90;window\n"
COLUMNS = {"date": "Day", "ph": "pH", "enclosure": "where"}


@pytest.fixture
def table(tmp_path):
    path = tmp_path / "old.csv"
    path.write_text(TABLE, encoding="utf-8")
    return path


def test_a_table_of_past_readings_comes_in_as_by_import(run, logbook, table, tmp_path):
    book = sc.Logbook(tmp_path / "python.sqlite")
    came = book.bring_in(table, columns=COLUMNS, new=True)
    said = ",".join(f"{ours}={theirs}" for ours, theirs in COLUMNS.items())
    assert run("import", str(table), "--columns", said, "--new").status == 0
    assert (came.rows > 0, came.left_out) == (True, ())
    assert book.readings() == sc.Logbook(logbook).readings()
    assert [(row["enclosure"], row["ph"]) for row in book.readings("atlas")] == [
        ("atlas", 5.61),
        ("atlas", 5.52),
    ]
    again = book.bring_in(table, columns=COLUMNS, new=True)
    assert (again.entries, len(book.readings())) == (0, 3)
    assert book.trend("window", on="2024-05-01").enclosure == "window"


def test_an_exported_record_comes_in_too(table, tmp_path):
    book = sc.Logbook(tmp_path / "one.sqlite")
    book.bring_in(table, columns=COLUMNS, new=True)
    book.export(tmp_path / "out.zip")
    other = sc.Logbook(tmp_path / "two.sqlite")
    other.bring_in(tmp_path / "out.zip")
    assert other.readings() == book.readings()


def test_a_bad_row_keeps_all_out_unless_it_is_left_out(table, tmp_path):
    table.write_text(TABLE + "2024-05-04;55;atlas\n", encoding="utf-8")
    book = sc.Logbook(tmp_path / "one.sqlite")
    with pytest.raises(sc.Refusal, match=r"old\.csv, row 5"):
        book.bring_in(table, columns=COLUMNS, new=True)
    assert book.readings() == []
    came = book.bring_in(table, columns=COLUMNS, new=True, leave_out=True)
    assert (len(came.left_out), len(book.readings())) == (1, 3)
