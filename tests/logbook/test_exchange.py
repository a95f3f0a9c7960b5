"""Out as open tables and in again: nothing lost, nothing twice, nothing half."""

from __future__ import annotations

import csv
import datetime
import hashlib
import io
import json
import shutil
import sqlite3
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurrycalc.logbook.exporting import export
from slurrycalc.logbook.faults import LogbookFault
from slurrycalc.logbook.foreign import Foreign, read_foreign
from slurrycalc.logbook.forms import TABLES
from slurrycalc.logbook.handing_down import import_foreign
from slurrycalc.logbook.mend import fix, undo
from slurrycalc.logbook.merging import Imported, import_package
from slurrycalc.logbook.packages import BadRows
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory, open_logbook
from slurrycalc.logbook.things import things_of
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs, covariance
from tests.logbook.room import EAST, at, calibrate, furnish, read, sundries

LATER = at(40)
FORMS = ["folder", "book.zip"]


def fill(book: Store) -> None:
    kit = furnish(book)
    for day in (0, 28):
        _, calibration = calibrate(book, kit, at(day), close=7.05)
        read(book, kit, at(day), calibration, kit.atlas, (5.97, 6.02), (6.6, 6.5))
    step = Step(
        "event", When.on(at(29).date(), EAST), keeper='Ü, [desk] "team"', note="a\r\nb\nc, d; 'e' = \"f\""
    )
    done = step.event(kit.atlas, "exchange", amount=1234.5678901234567, unit="mL", note="-1+1")
    step.mix(done, None, 6.6, 0.2)
    tub = step.thing("enclosure", "leaf mix", {"fresh": True})
    step.mix(step.event(kit.window, "exchange", amount=30.0, unit="%"), tub, None, None)
    step.mark("done", {"cases": ["atlas", None, True, 1.5]})
    step.shown("event", '{"result": "5.4±0.2"}')
    step.slurry(kit.atlas, label="Z1", ratio=None, basis="paste", solution="0.01 mol/L CaCl₂")
    record(book, step, at(30))
    step = Step("read", When(at(31)))
    step.reading(step.slurry(kit.window), calibration, (5.5, 5.52, 5.5100000000000001), None)
    step.reading(step.slurry(kit.window), None, 5.9, u=0.1)
    record(book, step, at(31))
    fix(book, at(32), "3.1", 5.9, why="misread")
    undo(book, at(33), "5", why="wrong bottle")
    sundries(book, kit.stairs, at(34))


def rows_of(book: Store, without: Imported | None = None) -> dict[str, list[tuple[object, ...]]]:
    """Give all that is in it, but not an import's own entry."""
    own = without.saved.entry if without and without.saved else 0
    return {
        table.name: [
            row
            for row in book.rows(f"SELECT * FROM {table.name} ORDER BY {', '.join(table.key)}")
            if row[table.names.index("id" if table.name == "entry" else "entry")] != own
        ]
        for table in TABLES
    }


@pytest.fixture
def full(book: Store) -> Store:
    fill(book)
    return book


@pytest.mark.parametrize("form", FORMS)
def test_out_and_in_gives_the_same_record(full: Store, tmp_path: Path, form: str) -> None:
    exported = export(full, tmp_path / form, LATER)
    assert exported.rows == sum(map(len, rows_of(full).values()))
    with open_logbook(tmp_path / "other.sqlite") as other:
        imported = import_package(other, tmp_path / form, LATER)
        assert (imported.entries, imported.known, imported.rows) == (exported.entries, 0, exported.rows)
        assert rows_of(other, imported) == rows_of(full)
        assert other.rows("PRAGMA foreign_key_check") == []
        # And out once more: the same bytes.
        again = tmp_path / f"again-{form}"
        export(other, again, LATER)
        if form == "folder":
            assert {each.name: each.read_bytes() for each in again.iterdir()} == {
                each.name: each.read_bytes() for each in (tmp_path / form).iterdir()
            }
        else:
            assert again.read_bytes() == (tmp_path / form).read_bytes()
        # What came in cannot be changed either.
        for table in TABLES:
            row = other.rows(f"SELECT * FROM {table.name} LIMIT 1")[0]
            replace = f"INSERT OR REPLACE INTO {table.name} VALUES ({', '.join('?' * len(row))})"
            with pytest.raises(sqlite3.IntegrityError, match="append-only"):
                other.add(replace, [row])


@pytest.mark.parametrize("form", FORMS)
def test_importing_twice_adds_nothing(full: Store, tmp_path: Path, form: str) -> None:
    export(full, tmp_path / form, LATER)
    before = rows_of(full)
    for _ in range(2):
        imported = import_package(full, tmp_path / form, LATER)
        assert (imported.entries, imported.rows) == (0, 0)
        assert rows_of(full) == before


def test_two_keepers_records_merge_and_keep_what_they_share(full: Store, tmp_path: Path) -> None:
    export(full, tmp_path / "common", LATER)
    with open_logbook(tmp_path / "hers.sqlite") as hers:
        import_package(hers, tmp_path / "common", LATER)
        things = things_of(hers)
        desk, acid, neutral, atlas = (
            things.find(*each).uid
            for each in (
                ("meter", "desk"),
                ("bottle", "acid 2"),
                ("bottle", "neutral 2"),
                ("enclosure", "atlas"),
            )
        )
        step = Step("read", When(at(35)))
        calibration = step.calibration("pH", meter=desk)
        step.point(calibration, neutral, 7.01, 21.0)
        step.point(calibration, acid, 4.02, 21.0)
        step.reading(step.slurry(atlas), calibration, 5.7, 21.0)
        record(hers, step, at(35))
        export(hers, tmp_path / "hers", LATER)
    # Meanwhile this keeper went on, too: numbers clash, uids do not.
    _, mine = calibrate(full, _kit(full), at(36))
    read(full, _kit(full), at(36), mine, atlas, (5.6,))
    undo(full, at(37), why="again")
    imported = import_package(full, tmp_path / "hers", LATER)
    assert imported.entries == 1
    assert imported.renamed == ()
    found = Recall(full, Inputs()).readings(since=at(35).date())
    assert [row.shows for row in found.rows] == [5.7]
    # Her reading and this keeper's share bottles, junction and thermometer.
    earlier = Recall(full, Inputs())
    first = earlier.readings()
    assert covariance(first.number(0), first.number(len(first) - 1)) > 0.0004
    assert full.rows("PRAGMA foreign_key_check") == []


def _kit(book: Store):
    from tests.logbook.room import kit_of

    return kit_of(book)


def test_strangers_with_things_of_the_same_name_keep_both(full: Store, tmp_path: Path) -> None:
    with open_logbook(tmp_path / "hers.sqlite") as hers:
        kit = furnish(hers)
        _, calibration = calibrate(hers, kit, at(5))
        read(hers, kit, at(5), calibration, kit.atlas, (4.9,))
        export(hers, tmp_path / "hers", LATER)
    imported = import_package(full, tmp_path / "hers", LATER)
    assert {(each.kind, each.name, each.now) for each in imported.renamed} >= {
        ("enclosure", "atlas", "atlas (2)"),
        ("meter", "desk", "desk (2)"),
    }
    assert imported.saved is not None
    recall = Recall(full, Inputs())
    assert [row.shows for row in recall.readings(recall.things.find("enclosure", "atlas (2)")).rows] == [4.9]
    assert len(recall.readings(recall.things.find("enclosure", "atlas"))) > 1
    before = rows_of(full)
    assert import_package(full, tmp_path / "hers", LATER).rows == 0
    assert rows_of(full) == before


def test_the_descriptor_says_what_the_files_hold(full: Store, tmp_path: Path) -> None:
    with in_memory() as hers:
        furnish(hers)
        export(hers, tmp_path / "hers", LATER)
    import_package(full, tmp_path / "hers", LATER)
    export(full, tmp_path / "out", LATER)
    made = json.loads((tmp_path / "out" / "datapackage.json").read_text(encoding="utf-8"))
    assert made["profile"] == "tabular-data-package"
    assert {each["path"] for each in made["resources"]} | {"datapackage.json"} == {
        each.name for each in (tmp_path / "out").iterdir()
    }
    resources = {each["name"]: each for each in made["resources"]}
    for resource in resources.values():
        data = (tmp_path / "out" / resource["path"]).read_bytes()
        assert resource["bytes"] == len(data)
        assert resource["hash"] == f"sha256:{hashlib.sha256(data).hexdigest()}"
        rows = list(csv.DictReader(io.StringIO(data.decode(), newline="")))
        fields = {field["name"]: field for field in resource["schema"]["fields"]}
        assert rows
        assert list(rows[0]) == list(fields)
        for row in rows:
            for name, cell in row.items():
                _holds(fields[name], cell)
        keys = [tuple(row[name] for name in resource["schema"]["primaryKey"]) for row in rows]
        assert len(set(keys)) == len(keys)
        for foreign in resource["schema"]["foreignKeys"]:
            _points(foreign, resource, rows, tmp_path / "out", resources)


def _holds(field: dict[str, object], cell: str) -> None:
    constraints: dict[str, object] = field["constraints"]  # type: ignore[assignment]
    if not cell:
        assert not constraints["required"], field["name"]
        return
    kind = field["type"]
    if kind == "integer":
        int(cell)
    elif kind == "number":
        float(cell)
    elif kind == "boolean":
        assert cell in "01"
    elif kind == "datetime":
        datetime.datetime.strptime(cell, "%Y-%m-%dT%H:%M:%SZ")  # noqa: DTZ007
    elif kind == "date":
        datetime.date.fromisoformat(cell)
    elif kind == "any":
        json.loads(cell)
    assert "enum" not in constraints or cell in constraints["enum"]  # type: ignore[operator]


def _points(
    foreign: dict[str, dict[str, object]],
    resource: dict[str, object],
    rows: list[dict[str, str]],
    folder: Path,
    resources: dict[str, dict[str, object]],
) -> None:
    fields = foreign["fields"] if isinstance(foreign["fields"], list) else [foreign["fields"]]
    reference = foreign["reference"]
    to = reference["fields"] if isinstance(reference["fields"], list) else [reference["fields"]]
    path = folder / str(resources[str(reference["resource"]) or str(resource["name"])]["path"])
    there = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"), newline="")))
    known = {tuple(row[str(name)] for name in to) for row in there}
    for row in rows:
        values = tuple(row[str(name)] for name in fields)
        assert not all(values) or values in known


def test_nothing_is_overwritten(full: Store, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    export(full, tmp_path / "empty", LATER)
    for name in ("empty", "kept.zip"):
        (tmp_path / "kept.zip").write_text("mine")
        with pytest.raises(Refusal, match="is there already"):
            export(full, tmp_path / name, LATER)
    assert (tmp_path / "kept.zip").read_text() == "mine"
    (tmp_path / "file").write_text("x")
    with pytest.raises(LogbookFault, match="cannot be written"):
        export(full, tmp_path / "file" / "out", LATER)
    assert not [each for each in tmp_path.iterdir() if each.name.endswith(".new")]


def edit_file(folder: Path, name: str, edit: Callable[[str], str], *, hide: bool = True) -> None:
    """Change a file, and its hash as well, as somebody with a spreadsheet would not."""
    path = folder / name
    data = edit(path.read_bytes().decode()).encode()
    assert data != path.read_bytes()
    path.write_bytes(data)
    if hide:
        descriptor = folder / "datapackage.json"
        made = json.loads(descriptor.read_text(encoding="utf-8"))
        for resource in made["resources"]:
            if resource["path"] == name:
                resource["hash"] = f"sha256:{hashlib.sha256(data).hexdigest()}"
        descriptor.write_text(json.dumps(made), encoding="utf-8")


BAD: list[tuple[str, str, Callable[[str], str], str]] = [
    (
        "letters for a number",
        "reading.csv",
        lambda text: text.replace("5.97", "5.9o", 1),
        "`5.9o` is no number for shows",
    ),
    (
        "infinity",
        "reading.csv",
        lambda text: text.replace("5.97", "inf", 1),
        "reading.csv, row 2: `inf` is no number for shows",
    ),
    (
        "a missing cell",
        "reading.csv",
        lambda text: text.replace("5.97", "", 1),
        "reading.csv, row 2: its shows is empty",
    ),
    (
        "a cell too many",
        "point.csv",
        lambda text: text.replace("7.04", "7.04,8", 1),
        "row 2: 10 cells where the header has 9",
    ),
    (
        "a broken reference",
        "reading.csv",
        lambda text: _first_cell(text, "f" * 20),
        "entry `ffffffffffffffffffff` is nowhere",
    ),
    (
        "another kind of thing",
        "thing.csv",
        lambda text: text.replace(",meter,", ",hamster,", 1),
        "thing.csv, row",
    ),
    (
        "a day that is none",
        "entry.csv",
        lambda text: text.replace(",2024-05-04,", ",2024-05-05,", 1),
        "entry.csv, row",
    ),
    (
        "another column",
        "event.csv",
        lambda text: text.replace("amount", "size", 1),
        "`event.csv` has other columns",
    ),
    ("a quote left open", "event.csv", lambda text: text + '"', "`event.csv` is no table that can be read"),
]


def _first_cell(text: str, cell: str) -> str:
    header, _, rest = text.partition("\r\n")
    return f"{header}\r\n{cell}{rest[20:]}"


@pytest.mark.parametrize(("file", "edit", "says"), [row[1:] for row in BAD], ids=[row[0] for row in BAD])
def test_a_row_that_cannot_stand_is_told_and_nothing_comes_in(
    full: Store, tmp_path: Path, file: str, edit: Callable[[str], str], says: str
) -> None:
    export(full, tmp_path / "out", LATER)
    edit_file(tmp_path / "out", file, edit)
    with open_logbook(tmp_path / "other.sqlite") as other:
        with pytest.raises(Refusal) as refused:
            import_package(other, tmp_path / "out", LATER)
        assert says in str(refused.value)
        assert "nothing was imported" in str(refused.value)
        assert other.rows("SELECT count(*) FROM entry") == [(0,)]
        # It is guarded as before.
        assert len(other.rows("SELECT 1 FROM sqlite_master WHERE type = 'trigger'")) == 3 * len(TABLES)


def test_a_changed_file_a_changed_entry_and_a_missing_file_are_told(full: Store, tmp_path: Path) -> None:
    export(full, tmp_path / "out", LATER)
    shutil.copytree(tmp_path / "out", tmp_path / "cut")
    shutil.copytree(tmp_path / "out", tmp_path / "less")
    edit_file(tmp_path / "cut", "reading.csv", lambda text: text[:200], hide=False)
    with pytest.raises(Refusal, match=r"`reading\.csv` was changed or cut short since it was exported"):
        import_package(full, tmp_path / "cut", LATER)
    edit_file(tmp_path / "out", "reading.csv", lambda text: text.replace("5.97", "5.79", 1))
    with pytest.raises(BadRows, match="the same entry is in this logbook with other contents"):
        import_package(full, tmp_path / "out", LATER)
    (tmp_path / "less" / "reading.csv").unlink()
    with pytest.raises(Refusal, match=r"holds no `reading\.csv`, so it is no exported logbook"):
        import_package(full, tmp_path / "less", LATER)


def newer(path: Path) -> None:
    edit_file(path, "datapackage.json", lambda text: text.replace('"form": 5', '"form": 6'), hide=False)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda path: path.write_bytes(b"PK\x03\x04" + bytes(100)), "is no archive that can be read"),
        (lambda path: path.write_text("x"), "is no archive that can be read"),
        (lambda path: zipfile.ZipFile(path, "w").close(), "holds no `datapackage.json`"),
        (lambda path: path.mkdir(), "holds no `datapackage.json`"),
        (lambda path: None, "cannot be read"),
    ],
)
def test_what_is_no_exported_logbook_is_refused(
    book: Store, tmp_path: Path, make: Callable[[Path], object], says: str
) -> None:
    make(tmp_path / "x.zip")
    with pytest.raises((Refusal, LogbookFault)) as refused:
        import_package(book, tmp_path / "x.zip", LATER)
    assert says in str(refused.value)


@pytest.mark.parametrize("text", ["{", "[]", "{}", '{"slurrycalc": {"form": 1}, "resources": 3}', "null"])
def test_a_descriptor_of_another_kind_is_refused(full: Store, tmp_path: Path, text: str) -> None:
    export(full, tmp_path / "out", LATER)
    (tmp_path / "out" / "datapackage.json").write_text(text)
    with pytest.raises(Refusal, match="of another kind"):
        import_package(full, tmp_path / "out", LATER)


def test_an_export_in_a_newer_form_is_refused(full: Store, tmp_path: Path) -> None:
    export(full, tmp_path / "out", LATER)
    newer(tmp_path / "out")
    with pytest.raises(Refusal, match="was exported in form 6, and this slurrycalc reads up to 5; update"):
        import_package(full, tmp_path / "out", LATER)


# Readings that were kept elsewhere.

OLD = """Date;Time;pH;Case;Jar;Probe;Remark
2023-03-04;;5,41;atlas;A1;5,9;
2023-03-04;;5,47;atlas;A2;;dry
2023-04-01;14:30;5.30±0.10;Window;;;
"""
NAMES = {"enclosure": "case", "note": "Remark"}


def old(text: str = OLD, columns: dict[str, str] = NAMES, order: str | None = None) -> Foreign:
    return read_foreign(io.BytesIO(text.encode()), "old.csv", columns, order)  # type: ignore[arg-type]


def test_past_readings_come_in_under_named_columns(book: Store) -> None:
    kit = furnish(book)
    imported = import_foreign(book, old(), LATER, probe="stick")
    assert imported.entries == 3
    recall = Recall(book, Inputs())
    found = recall.readings()
    assert [(row.day, row.shows, row.label) for row in found.rows] == [
        ("2023-03-04", 5.41, "A1"),
        ("2023-03-04", 5.47, "A2"),
        ("2023-04-01", 5.3, None),
    ]
    assert found.rows[2].enclosure == recall.things.by_uid[kit.window].id
    assert found.rows[2].u == pytest.approx(0.10 / 1.96, rel=1e-4)
    assert covariance(found.number(0), found.number(1)) == pytest.approx(0.05**2)
    assert book.rows("SELECT day_only FROM entry WHERE kind = 'read' ORDER BY at") == [(1,), (0,)]
    assert book.rows("SELECT shows FROM probing") == [(5.9,)]
    # All of it is one step to take back.
    undo(book, LATER)
    assert len(Recall(book, Inputs()).readings()) == 0


def test_past_readings_come_in_once(book: Store) -> None:
    furnish(book)
    import_foreign(book, old(), LATER)
    before = rows_of(book)
    again = import_foreign(book, old(), LATER)
    assert (again.entries, again.known, again.rows) == (0, 3, 0)
    assert rows_of(book) == before
    more = old(OLD + "2023-04-01;14:30;5.30±0.10;Window;;;\n2023-05-01;;5.2;Window;;;\n")
    assert import_foreign(book, more, LATER).known == 3
    assert len(Recall(book, Inputs()).readings()) == 5
    undo(book, LATER, "2")
    assert len(Recall(book, Inputs()).readings()) == 2
    assert import_foreign(book, old(), LATER).entries > 0


def test_bad_rows_are_listed_by_row_and_nothing_comes_in(book: Store) -> None:
    furnish(book)
    text = OLD + (
        "2023-13-01;;5.4;atlas;;;\n"
        "2023-05-01;;54.1;atlas;;;\n"
        "2023-05-01;;5.4;atals;;;\n"
        "2023-05-01;;;atlas;;;\n"
        "2023-05-01;25:00;5.4;atlas;;;\n"
        "2023-05-01;;5.4;atlas\n"
        "2099-05-01;;5.4;atlas;;;\n"
        "2023-05-01;;5.4;;;;\n"
        "2023-05-01;;5.4±-1;atlas;;;\n"
        "yesterday;;5.4;atlas;;;\n"
    )
    with pytest.raises(BadRows) as refused:
        import_foreign(book, old(text), LATER)
    told = {bad.row: bad.text for bad in refused.value.rows}
    assert list(told) == list(range(5, 15))
    assert "no day of the calendar" in told[5]
    assert "5.41" in told[6]
    assert "did you mean `atlas`" in told[7]
    assert "no time of day" in told[9]
    assert "4 cells where the header has 7" in told[10]
    assert "future" in told[11]
    assert "names no enclosure" in told[12]
    assert str(refused.value).startswith(
        "10 rows of `old.csv` cannot stand, so nothing was imported: old.csv, row 5: "
    )
    assert book.rows("SELECT count(*) FROM entry") == [(1,)]
    # Unless they are left out.
    assert import_foreign(book, old(text), LATER, leave_out=True).entries == 3
    assert len(Recall(book, Inputs()).readings()) == 3


def test_unknown_enclosures_are_added_where_that_is_wanted(book: Store) -> None:
    furnish(book)
    text = "date,ph,enclosure\n2023-03-04,5.4,garden\n2023-03-05,5.5,Garden\n"
    with pytest.raises(Refusal, match="One enclosure is not on record: `garden`"):
        import_foreign(book, old(text, {}), LATER)
    import_foreign(book, old(text, {}), LATER, adds=True)
    things = things_of(book)
    assert len(Recall(book, Inputs()).readings(things.find("enclosure", "garden"))) == 2
    close = old("date,ph,enclosure\n2023-03-04,5.4,atals\n", {})
    with pytest.raises(BadRows, match="did you mean `atlas`"):
        import_foreign(book, close, LATER, adds=True)
    import_foreign(book, close, LATER, adds=True, new=True)


@pytest.mark.parametrize(
    ("text", "columns", "says"),
    [
        ("", {}, "the file is empty"),
        ("date,ph\n", {}, "no row under the header"),
        (
            "Datum,ph\n2023-01-01,5\n",
            {},
            "no column is called `date` among `Datum`, `ph`; write --columns date=Datum",
        ),
        ("date,ph\n2023-01-01,5\n", {"ph": "pHH"}, "no column is called `pHH`"),
        ("date,ph\n2023-01-01,5\n", {"phh": "ph"}, "nothing called `phh` can be read; did you mean ph?"),
        ("date,ph,PH\n2023-01-01,5,5\n", {}, "column `ph` is there twice"),
        ("date,ph\n03/04/2023,5\n", {}, "the date `03/04/2023` can be read in two ways"),
        ('date,ph\n2023-01-01,"5\n', {}, "the row is no CSV"),
        ("date,ph\n2023-01-01,5\0\n", {}, "zero bytes"),
    ],
)
def test_a_table_that_cannot_be_read_is_refused(text: str, columns: dict[str, str], says: str) -> None:
    with pytest.raises(Refusal) as refused:
        old(text, columns)
    assert says in str(refused.value)


def test_a_column_of_dates_tells_its_own_order_if_it_can() -> None:
    def days(text: str, order: str | None = None) -> list[str]:
        table = "date,ph\n" + "".join(f"{day},5.4\n" for day in text.split())
        return [reading.day.isoformat() for reading in old(table, {}, order)]

    assert days("03/04/2023 13/04/2023") == ["2023-04-03", "2023-04-13"]
    assert days("03/04/2023 04/13/2023") == ["2023-03-04", "2023-04-13"]
    assert days("03.04.2023", "dmy") == ["2023-04-03"]
    assert days("2023/4/3 2023-04-03") == ["2023-04-03", "2023-04-03"]
    with pytest.raises(Refusal, match="two ways"):
        days("13/04/2023 04/13/2023")


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    said = ""
    try:
        list(read_foreign(io.BytesIO(data), "x.csv", {}))
    except Refusal as refusal:
        said = refusal.sentence
    assert "\n" not in said


@pytest.mark.slow
@given(st.lists(st.tuples(st.floats(0, 14), st.text(min_size=1, max_size=20)), min_size=1, max_size=8))
def test_any_readings_go_out_and_come_in(
    tmp_path_factory: pytest.TempPathFactory, readings: list[tuple[float, str]]
) -> None:
    folder = tmp_path_factory.mktemp("round")
    with in_memory() as book, in_memory() as other:
        step = Step("read", When(at(0)))
        for shows, text in readings:
            try:
                jar = step.slurry(note=text, spot=text)
            except Refusal:
                jar = step.slurry()
            step.reading(jar, None, shows)
        record(book, step, at(0))
        export(book, folder / "out", LATER)
        imported = import_package(other, folder / "out", LATER)
        assert rows_of(other, imported) == rows_of(book)
