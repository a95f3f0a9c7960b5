"""A drawn record that is handed on: it says the same there, and no cell that somebody changed slips in.

``HANDED_ON`` says how many records are drawn (150 in full), ``CHANGED_CELLS`` how many cells (600 in full).
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from tests.roads.days import BenchDay, drawn_days
from tests.roads.entering import ROADS
from tests.roads.law import carries
from tests.roads.program import Act, Book, Program
from tests.roads.writing import room

RECORDS_DRAWN = int(os.environ.get("HANDED_ON", "8"))
CELLS_DRAWN = int(os.environ.get("CHANGED_CELLS", "20"))
STARTS = ("", "=", "+", "@", "-", "'", "''=", "\t", "\r", " =", "＝", "=HYPERLINK(1)", "-30", '"')
TEXTS = st.builds(str.__add__, st.sampled_from(STARTS), st.text(max_size=12))
ON = ["--on", "2024-05-06"]
NAMES = ("worksheet", "table", "commands")
Given = tuple[BenchDay, str, list[list[str]]]


@st.composite
def lines(draw: st.DrawFn) -> list[str]:
    """Draw a line that a keeper may type after a bench day; the program may refuse it."""
    text, place = draw(TEXTS), draw(st.sampled_from(("atlas", "window")))
    kinds = ("leaf-litter", "exchange", "calcium", "moved-in", "illness", "other")
    return draw(
        st.sampled_from(
            (
                ["enclosure", "--new", f"--note={text}", "--target", "5.6:6.2", "--", text],
                ["enclosure", place, f"--note={text}", "--read-every", "never", "--size", "60x45 cm"],
                ["enclosure", place, "--bed-depth", "10 cm", "--floor", "none", f"--by={text}"],
                ["enclosure", place, f"--rename={text}"],
                ["enclosure", place, "--retired", "2024-05-05"],
                ["kit", "meter", "desk", "--electrode", "2024-03-01", "--thermometer", "0.5"],
                ["kit", "meter", "desk", "--shows", draw(st.sampled_from(("mV", "pH")))],
                ["kit", "bottle", "--label", "4.01", f"--lot={text}", "--expires", "2031-01-01", "--", text],
                ["kit", "probe", "--check-every", "9 d", f"--note={text}", "--", text],
                ["kit", "cup", "240 mL"],
                ["event", place, draw(st.sampled_from(kinds)), f"--note={text}", "--new", *ON],
                ["event", place, "exchange", "--amount", "3 L", f"--by={text}", *ON],
                ["trial", "0%=5.1", "10%=5.3", "20%=5.4", "--enclosure", place, f"--of={text}", *ON],
                ["salts", "0.85mS/cm@21C", "0.9mS/cm", "--blank", "6uS/cm@21C", "--enclosure", place, *ON],
                ["agree", "--enclosure", place, "--theirs", "5.85+-0.15", f"--laboratory={text}", *ON],
                [*("exchange", "--enclosure", place, "--fresh", "6.9+-0.1", "--want", "5.9", "--volume=9 L"),
                 *("--plan", *ON)],
                ["fix", draw(st.sampled_from(("5", "9.1", "10.2", "11.1"))), "5.5", f"--because={text}"],
                ["undo", f"--because={text}"],
                ["undo", draw(st.sampled_from(("2", "5", "8.1", "9", "10"))), f"--because={text}"],
                ["import", "old.csv", "--enclosure", place],
            )
        )
    )  # fmt: skip


RECORDS = st.tuples(drawn_days(), st.sampled_from(NAMES), st.lists(lines(), max_size=6))
FEW = {
    "database": None,
    "deadline": None,
    "phases": [Phase.generate],
    "suppress_health_check": list(HealthCheck),
}
OLD = "date,ph,jar,note\n2023-05-04,5.6,A1,=1+1\n2023-06-01,5.5,A2,- dry\n"


@pytest.fixture(scope="module")
def program() -> Iterator[Program]:
    made = Program()
    yield made
    made.close()


def kept(program: Program, given: Given) -> Book:
    """Put a drawn record on record, as a keeper would."""
    day, road, more = given
    book = program.book(room(day))
    ROADS[road if carries(road, day) else "worksheet"](day, book)
    for words in more:
        file = ("old.csv", OLD) if "old.csv" in words else ()
        ran = book.do(Act(words, *file))
        assert ran.status in (0, 1, 2), ran.err
    assume(book.path.exists())
    return book


def asked(book: Book) -> list[str]:
    """Give what the record says of itself, as of a day after the last one."""
    on = ["--on", "2024-06-20"]
    due = [book.type("due", *on), book.type("due", *on, "--json"), book.type("kit", *on)]
    assert {ran.status for ran in due} <= {0, 2}, due
    history = book.type("history", "--all", "--json")
    texts = [*(f"{ran.out}{ran.err}" for ran in due), history.out]
    return [text.replace(str(book.path), "the logbook") for text in texts]


def entries(history: str) -> list[object]:
    return json.loads(history)["result"]["entries"]


def hold_handed_on(program: Program, given: Given) -> None:
    book = kept(program, given)
    out, other = program.folder / f"{program.count}-out.zip", program.book([])
    assert book.type("export", str(out)).status == 0
    came = other.type("import", str(out))
    assert (came.status, came.err) == (0, ""), came.err
    *mine, history = asked(book)
    *theirs, there = asked(other)
    assert theirs == mine
    told = entries(there)
    # Beside its own entry the import adds nothing.
    assert [each for each in told if each not in entries(history)] == told[-1:]
    assert told[:-1] == entries(history)
    again = out.with_name(f"{program.count}-again.zip")
    assert other.type("export", str(again)).status == 0
    # Its descriptor bears the moment of the export.
    assert tables(again) == tables(out)
    assert other.type("undo").status == 0
    assert all(each["struck"] for each in entries(asked(other)[-1])[:-2])  # type: ignore[index]


def tables(path: Path) -> dict[str, bytes]:
    import zipfile

    with zipfile.ZipFile(path) as archive:
        return {each: archive.read(each) for each in archive.namelist() if each != "datapackage.json"}


@settings(max_examples=5, **FEW)
@given(RECORDS)
def test_a_record_that_is_handed_on_says_the_same_there(program: Program, given: Given) -> None:
    hold_handed_on(program, given)


@pytest.mark.slow
@pytest.mark.timeout(300 + 10 * RECORDS_DRAWN)
@settings(max_examples=RECORDS_DRAWN, **FEW)
@given(RECORDS)
def test_many_records_that_are_handed_on_say_the_same_there(program: Program, given: Given) -> None:
    hold_handed_on(program, given)


CELLS = st.one_of(
    st.sampled_from(
        (
            *("", "0", "1", "-1", "77", "5.43", "-5", "nan", "inf", "1e400", "1e8", "9" * 400, "0x10", "1_0"),
            *("mV", "pH", "null", "true", "[]", "{}", "[5.4,6.5]", '"atlas"', "[[[[[[", "import", "fix"),
            *("0024-05-04", "2024-05-04", "2024-02-30T09:00:00Z", "9999-12-31T23:59:59Z", "now", "0" * 20),
            *(
                "1.0 2.0",
                "=1",
                "'=1",
                "\x1b[2J",
                "\u202e",
                "\0",
                "a\nb",
                "x" * 600,
                "meter",
                "close",
                "check",
            ),
        )
    ),
    st.text(max_size=12),
    st.floats(allow_nan=True).map(repr),
)
TAMPERED = st.tuples(
    st.integers(0, 10**6), st.integers(0, 10**6), st.integers(0, 10**6), CELLS, st.booleans()
)


def hold_untampered(program: Program, given: Given, way: tuple[int, int, int, str, bool]) -> str:
    book = kept(program, given)
    out, other = program.folder / f"{program.count}-bad", program.book([Act(["kit", "cup", "200 mL"])])
    assert book.type("export", str(out)).status == 0
    which, row, column, cell, hides = way
    filled = [each for each in sorted(out.glob("*.csv")) if each.read_bytes().count(b"\n") > 1]
    assume(filled)  # a day that was only tried leaves nothing to change
    path = filled[which % len(filled)]
    rows = list(csv.reader(io.StringIO(path.read_bytes().decode(), newline="")))
    at = 1 + row % (len(rows) - 1), column % len(rows[0])
    assume(rows[at[0]][at[1]] != cell)
    rows[at[0]][at[1]] = cell
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\r\n").writerows(rows)
    data = text.getvalue().encode("utf-8", "surrogatepass")
    path.write_bytes(data)
    if hides:
        # Somebody who wants to be believed makes the sum match.
        made = json.loads((out / "datapackage.json").read_text())
        one = next(each for each in made["resources"] if each["path"] == path.name)
        one["hash"] = f"sha256:{hashlib.sha256(data).hexdigest()}"
        (out / "datapackage.json").write_text(json.dumps(made))
    before = other.bytes()
    ran = other.type("import", str(out))
    what = f"{path.name} {rows[0][at[1]]} {cell!r}: {ran.err}"
    if ran.status == 0:
        # A number that a keeper may well have read: nobody can tell. All of it can be told, then.
        assert hides, what
        assert all("Traceback" not in told for told in asked(other)), what
        again = out.with_name(f"{program.count}-bad-again")
        assert other.type("export", str(again)).status == 0
        assert program.book([]).type("import", str(again)).status == 0, what
        return f"{path.name} {rows[0][at[1]]}"
    assert ran.status == 2, what
    assert ran.err.strip().endswith((".", ".)")), what
    assert "nothing was imported" in " ".join(ran.err.split()), what
    assert other.bytes() == before, what
    return ""


@settings(max_examples=12, **FEW)
@given(RECORDS, TAMPERED)
def test_a_package_with_a_changed_cell_comes_in_whole_or_not_at_all(
    program: Program, given: Given, way: tuple[int, int, int, str, bool]
) -> None:
    hold_untampered(program, given, way)


@pytest.mark.slow
@pytest.mark.timeout(300 + 10 * CELLS_DRAWN)
@settings(max_examples=CELLS_DRAWN, **FEW)
@given(RECORDS, TAMPERED)
def test_many_packages_with_a_changed_cell_come_in_whole_or_not_at_all(
    program: Program, given: Given, way: tuple[int, int, int, str, bool]
) -> None:
    hold_untampered(program, given, way)
