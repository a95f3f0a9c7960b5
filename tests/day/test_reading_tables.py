"""A table is read as spreadsheets write it; a row that cannot stand is held back by its row number."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurrycalc.data.shipped import shipped
from slurrycalc.day.bench.table import JAR_COLUMNS, MOST_ROWS, read_jars, read_table
from slurrycalc.metrology.remark import Refusal

PLAIN = "jar,enclosure,reading,temperature,probe,note\nA1,window,5.41,21,5.9,\nA2,window,5.43,21,,wet\n"


def refused(text: str | bytes) -> str:
    data = text.encode() if isinstance(text, str) else text
    with pytest.raises(Refusal) as caught:
        read_jars(data, "day.csv")
    return str(caught.value)


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_spreadsheet_writes_the_same_table(delimiter: str, mark: str, end: str) -> None:
    text = mark + PLAIN.replace(",", delimiter).replace("\n", end)
    assert read_jars(text.encode()) == read_jars(PLAIN.encode())


def test_a_decimal_comma_stands_where_semicolons_part_the_cells() -> None:
    table = read_jars(b"jar;reading;temperature\nA1;5,41;21,5\n")
    assert (table.jars[0].shows, table.jars[0].temperature) == ("5,41", "21,5")
    assert table.held_back == ()


def test_a_decimal_comma_among_commas_is_held_back_and_explained() -> None:
    table = read_jars(b"jar,reading\nA1,5,41\nA2,5.43\n")
    assert [jar.label for jar in table.jars] == ["A2"]
    assert table.held_back[0].row == 2
    assert "decimal comma" in table.held_back[0].text


def test_columns_come_in_any_order_and_case_and_empty_rows_keep_their_numbers() -> None:
    table = read_jars(b"Reading, JAR ,probe\n\n5.41,A1,5.9\n,,\n5.43,A2,\n")
    read = [(jar.label, jar.shows, jar.probe) for jar in table.jars]
    assert read == [("A1", "5.41", "5.9"), ("A2", "5.43", None)]
    assert table.rows == (3, 5)


def test_a_cell_in_quotes_may_hold_the_delimiter_and_line_breaks() -> None:
    table = read_jars(b'jar,reading,note\nA1,5.41,"left, front\nand wet"\nA2,5.43,\n')
    assert table.jars[0].note == "left, front\nand wet"
    assert table.rows == (2, 3)


def test_without_an_enclosure_column_each_jar_stands_for_itself() -> None:
    table = read_jars(b"jar,reading\nA1,5.41\nA2,5.43\n")
    assert table.enclosures == ("A1", "A2")


def test_a_second_spelling_of_an_enclosure_is_held_back() -> None:
    table = read_jars(b"jar,enclosure,reading\nA1,Window,5.41\nA2,window,5.43\n")
    assert table.enclosures == ("Window",)
    assert (table.held_back[0].row, "spelt" in table.held_back[0].text) == (3, True)


@pytest.mark.parametrize(
    ("row", "why"),
    [
        (",window,5.41", "no jar"),
        ("A1,,5.41", "no enclosure"),
        ("A1,-x,5.41", "a dash"),
        ('A1,"a\nb",5.41', "cannot be printed"),
    ],
)
def test_a_row_without_a_name_is_held_back(row: str, why: str) -> None:
    table = read_jars(f"jar,enclosure,reading\n{row}\nA2,window,5.43\n".encode())
    assert (table.held_back[0].row, len(table.jars)) == (2, 1)
    assert why in table.held_back[0].text


@pytest.mark.parametrize(
    ("text", "place", "holds"),
    [
        ("", "day.csv", "is empty"),
        ("jar,enclosure,reading\n", "day.csv", "no row under the header"),
        ("jar,enclosur,reading\nA1,window,5.41\n", "day.csv, row 1", "did you mean enclosure?"),
        ("jar,readng\nA1,5.41\n", "day.csv, row 1", "did you mean reading?"),
        ("jar,operator,reading\nA1,me,5.41\n", "day.csv, row 1", "no column is called `operator`"),
        ("jar,reading,jar\nA1,5.41,A1\n", "day.csv, row 1", "there twice"),
        ("jar,temperature\nA1,21\n", "day.csv, row 1", "`reading` is missing"),
        ("A1,window,5.41\n", "day.csv, row 1", "no column is called `A1`"),
        ('jar,reading\nA1,"5.41\nA2,5.43\n', "day.csv, row 2", "is no CSV"),
        ('jar,reading\n"A1"x,5.41\n', "day.csv, row 2", "is no CSV"),
        ("[meter]\nshows = 5\n", "day.csv, row 1", "no column is called `[meter]`"),
        (b"jar,reading\nA1,5.41\xff\n", "day.csv, line 2", "no UTF-8"),
        ("jar,reading\nA1,5.41\n".encode("utf-16"), "day.csv", "UTF-16"),
        ("jar,reading\n" + "A1,5\n" * (MOST_ROWS + 1), "day.csv", "more than 50000 rows"),
        ("jar,reading\n" + "x" * 200_000 + ",5\n", "day.csv, row 2", "is no CSV"),
        (b"jar,reading\n" + b"x" * 10_000_000, "day.csv", "larger than 10 MB"),
    ],
    ids=lambda value: str(value)[:20].encode("unicode_escape").decode(),
)
def test_what_is_no_table_is_refused_with_its_place(text: str | bytes, place: str, holds: str) -> None:
    said = refused(text)
    assert said.startswith(f"{place}: ")
    assert holds in said
    assert len(said) < 400
    assert said.isprintable()


def test_the_forty_jars_are_read_and_their_rows_known() -> None:
    table = read_jars(shipped("examples", "forty-jars.csv").read_bytes())
    assert (len(table.jars), table.rows[0], table.rows[-1], len(table.enclosures)) == (40, 2, 41, 20)
    assert table.held_back == ()


def test_pairs_are_read_by_the_same_door() -> None:
    data, columns = shipped("examples", "pairs.csv").read_bytes(), ("probe", "slurry")
    table = read_table(data, "pairs.csv", columns, columns)
    assert len(table.rows) == 6


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    try:
        read_jars(data)
    except Refusal as refusal:
        said = str(refusal)
    else:
        said = "day.csv"
    assert said.startswith("day.csv")


@given(st.lists(st.lists(st.sampled_from(["A1", "5.41", "", '"', ",", "\n", "x"]), max_size=8), max_size=8))
def test_every_row_is_read_or_held_back_never_lost(rows: list[list[str]]) -> None:
    filled = [row for row in rows if any(cell.strip() for cell in row)]
    quoted = ['"' + '","'.join(cell.replace('"', '""') for cell in row) + '"' for row in filled]
    text = ",".join(JAR_COLUMNS) + "\nA0,window,5.41,21,,,\n" + "".join(f"{row}\n" for row in quoted)
    table = read_jars(text.encode())
    assert len(table.jars) + len(table.held_back) == 1 + len(quoted)
