"""What comes in from elsewhere: one step to take back, held to what the program writes, in little memory."""

from __future__ import annotations

import hashlib
import json
import re
import subprocess
import sys
import warnings
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from slurrycalc.logbook.exporting import export
from slurrycalc.logbook.mend import undo
from slurrycalc.logbook.merging import import_package
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.rules import misset
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory, open_logbook
from slurrycalc.logbook.tables import as_typed, harmless
from slurrycalc.logbook.things import things_of
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs
from tests.logbook.room import at, calibrate, furnish, read
from tests.logbook.test_exchange import edit_file, fill, rows_of

LATER = at(40)
ROOT = Path(__file__).parents[2]


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """An exported record."""
    with in_memory() as book:
        fill(book)
        export(book, tmp_path / "out", LATER)
    return tmp_path / "out"


def keeper(book: Store, day: int, shows: float) -> None:
    """Let a keeper furnish a room and read a jar."""
    kit = furnish(book, at(day))
    _, calibration = calibrate(book, kit, at(day))
    read(book, kit, at(day), calibration, kit.atlas, (shows,))


def readings(book: Store) -> list[float]:
    return sorted(row.shows for row in Recall(book, Inputs()).readings().rows)


def send(book: Store, to: Store, folder: Path) -> None:
    """Give a whole record to another keeper."""
    folder = folder / f"sent {len(list(folder.iterdir()))}"
    export(book, folder, LATER)
    import_package(to, folder, LATER)


def test_an_import_is_one_step_that_undo_takes_back_and_brings_back(book: Store, out: Path) -> None:
    keeper(book, 0, 5.5)
    mine, names = readings(book), [each.name for each in things_of(book).every]
    before = rows_of(book)
    imported = import_package(book, out, LATER)
    assert imported.saved is not None
    assert len(readings(book)) > len(mine)
    undone = undo(book, LATER)
    assert undone.struck == (imported.saved,)
    assert readings(book) == mine
    assert [each.name for each in things_of(book).every] == names
    # Nothing is deleted, and nothing of this keeper's own is touched.
    assert all(set(before[name]) <= set(rows) for name, rows in rows_of(book).items())
    # A second time nothing comes in, and it is said why.
    again = import_package(book, out, LATER)
    assert (again.rows, again.struck) == (0, undone.saved.id)
    undo(book, LATER, str(undone.saved.id))
    assert len(readings(book)) > len(mine)
    assert import_package(book, out, LATER).struck is None


def test_what_is_rested_on_an_import_falls_with_it_and_nothing_else_does(book: Store, out: Path) -> None:
    keeper(book, 0, 5.5)
    imported = import_package(book, out, LATER)
    things = things_of(book)
    theirs = next(each for each in things.of("enclosure") if each.name == "atlas (2)")
    own = things.find("enclosure", "atlas")
    for enclosure, shows in ((theirs, 5.6), (own, 5.7)):
        step = Step("read", When(at(41)))
        step.reading(step.slurry(enclosure.uid), None, shows)
        record(book, step, at(41))
    undo(book, LATER, str(imported.saved))
    assert readings(book) == [5.5, 5.6, 5.7]
    assert things_of(book).by_uid[theirs.uid].name == "atlas"


def test_a_keeper_who_takes_back_an_import_of_mine_strikes_out_nothing_here(tmp_path: Path) -> None:
    with in_memory() as mine, in_memory() as hers:
        keeper(mine, 0, 5.5)
        keeper(hers, 1, 5.9)
        send(mine, hers, tmp_path)
        assert readings(hers) == [5.5, 5.9]
        undo(hers, LATER)
        assert readings(hers) == [5.9]
        send(hers, mine, tmp_path)
        assert readings(mine) == [5.5, 5.9]
        # And taking back her record leaves mine.
        undo(mine, LATER)
        assert readings(mine) == [5.5]


def test_what_came_in_two_ways_stands_as_long_as_one_of_them_does(tmp_path: Path) -> None:
    with in_memory() as mine, in_memory() as hers, in_memory() as his:
        keeper(mine, 0, 5.5)
        keeper(hers, 1, 5.9)
        keeper(his, 2, 6.1)
        send(his, hers, tmp_path)
        send(his, mine, tmp_path)
        send(hers, mine, tmp_path)
        assert readings(mine) == [5.5, 5.9, 6.1]
        undo(mine, LATER)
        assert readings(mine) == [5.5, 6.1]


def test_a_record_restored_from_its_export_knows_what_was_taken_back(tmp_path: Path) -> None:
    with in_memory() as mine, in_memory() as hers, in_memory() as anew, in_memory() as third:
        keeper(mine, 0, 5.5)
        keeper(hers, 1, 5.9)
        send(hers, mine, tmp_path)
        undo(mine, LATER)
        send(mine, anew, tmp_path)
        assert readings(anew) == [5.5]
        send(anew, third, tmp_path)
        assert readings(third) == [5.5]


def test_two_keepers_who_send_to_and_fro_come_to_an_end(tmp_path: Path) -> None:
    with in_memory() as mine, in_memory() as hers:
        keeper(mine, 0, 5.5)
        keeper(hers, 1, 5.9)
        for _ in range(3):
            send(hers, mine, tmp_path)
            send(mine, hers, tmp_path)
        ends = [len(book.rows("SELECT id FROM entry")) for book in (mine, hers)]
        send(hers, mine, tmp_path)
        send(mine, hers, tmp_path)
        assert [len(book.rows("SELECT id FROM entry")) for book in (mine, hers)] == ends
        assert readings(mine) == readings(hers) == [5.5, 5.9]


def cells(text: str, row: int) -> list[str]:
    return text.split("\r\n")[row].split(",")


def put(column: str, cell: str, row: int = 1) -> Callable[[str], str]:
    """Write a cell of one row."""

    def edit(text: str) -> str:
        lines = text.split("\r\n")
        parts = lines[row].split(",")
        parts[lines[0].split(",").index(column)] = cell
        lines[row] = ",".join(parts)
        return "\r\n".join(lines)

    return edit


def put_where(marker: str, old: str, new: str) -> Callable[[str], str]:
    """Change the first row that holds a marker."""

    def edit(text: str) -> str:
        lines = text.split("\r\n")
        row = next(i for i, line in enumerate(lines) if marker in line)
        assert old in lines[row]
        lines[row] = lines[row].replace(old, new, 1)
        return "\r\n".join(lines)

    return edit


def swapped(text: str) -> str:
    lines = text.split("\r\n")
    lines[1], lines[2] = lines[2], lines[1]
    return "\r\n".join(lines)


def twice(text: str) -> str:
    lines = text.split("\r\n")
    return "\r\n".join([*lines[:2], lines[1].replace("1,", "1,", 1), *lines[2:]])


def uid(row: int) -> str:
    return f"{row:020x}"


DEEP = '"' + "[" * 5000 + "]" * 5000 + '"'

BAD: list[tuple[str, str, Callable[[str], str], str]] = [
    ("a year of slips", "entry.csv", lambda text: text.replace("2024-05-04", "1024-05-04", 2), "1950"),
    ("a day ahead", "entry.csv", lambda text: text.replace("2024-05-04", "2025-05-04", 2), "in the future"),
    ("written down later", "entry.csv", put("recorded", "2031-05-04T08:30:00.000Z"), "look at the clock"),
    ("written down before", "entry.csv", put("recorded", "2023-05-04T08:30:00.000Z"), "after it was written"),
    ("no moment", "entry.csv", put("recorded", "yesterday"), "`yesterday` is no recorded"),
    ("a thirteenth month", "entry.csv", lambda text: text.replace("2024-05-04", "2024-13-04", 2), "is no at"),
    ("capital letters", "entry.csv", put("uid", "A" * 20), "is no uid"),
    ("half a uid", "entry.csv", put("uid", "a" + "*" * 19), "is no uid"),
    ("rows in disorder", "entry.csv", swapped, "is not above the one before"),
    ("a row twice", "entry.csv", twice, "is not above the one before"),
    ("digits of a language", "entry.csv", put("utc_offset", "1_20"), "`1_20` is no integer"),
    ("an escape", "entry.csv", put("keeper", "desk\x1b[2J"), "is no keeper"),
    ("a blank in front", "entry.csv", put("keeper", " desk"), "is no keeper"),
    ("a part of a later one", "entry.csv", put("part_of", "{last}"), "its part_of"),
    ("a fix of nothing", "entry.csv", put("kind", "fix"), "`fix` is part of no entry"),
    ("wrong way round", "setting.csv", put_where(",target,", "5.4,6.5", "6.5,5.4"), "cannot be the target"),
    ("a target of text", "setting.csv", put_where(",floor,", "5.0", '"""low"""'), "cannot be the floor"),
    ("no such setting", "setting.csv", put_where(",floor,", ",floor,", ",roof,"), "nothing is called `roof`"),
    ("a floor of a meter", "setting.csv", put_where(",shows,", ",shows,", ",floor,"), "`floor` of a meter"),
    ("a wide tolerance", "setting.csv", put_where(",tolerance,", "0.02", "9.0"), "cannot be the tolerance"),
    ("no buffer", "setting.csv", put_where(",label,", "4.01", "3.33"), "cannot be the label"),
    ("no JSON", "setting.csv", put_where(",floor,", "5.0", "{"), "`{` is no JSON"),
    ("a deep one", "setting.csv", put_where(",floor,", "5.0", DEEP), "brackets within brackets"),
    (
        "a stage of none",
        "setting.csv",
        put_where(",floor,5.0", ",floor,5.0", ',stages,"[[1]]"'),
        "the stages",
    ),
    (
        "a stage too large",
        "setting.csv",
        put_where(",floor,5.0", ",floor,5.0", ',stages,"[[""2024-06-01"",1.5]]"'),
        "cannot be the stages",
    ),
    (
        "a day of none",
        "setting.csv",
        put_where(",floor,5.0", "floor,5.0", 'retired,"""soon"""'),
        "the retired",
    ),
    ("no name", "setting.csv", put_where(",name,", ",name,", ",note,"), "has no name"),
    ("no name said", "setting.csv", put_where(",name,", '"""desk"""', "null"), "cannot be the name"),
    (
        "no label",
        "setting.csv",
        put_where(",label,", ",label,", ",lot,"),
        "the bottle that it adds has no label",
    ),
    ("an enclosure of buffer", "point.csv", put("bottle", "{enclosure}"), "its bottle is a enclosure"),
    ("no such jar", "reading.csv", put("slurry_n", "77"), "it cannot stand (FOREIGN KEY"),
    ("another number", "reading.csv", put("n", "2"), "has two values 2"),
    ("a unit lost", "reading.csv", put("shows", "84.3"), "`84.3` is nothing that a display of pH shows"),
    ("more of no number", "reading.csv", put("again", "5.4 sour"), "is no again"),
    ("more of another unit", "reading.csv", put("again", "84.3"), "`84.3` is nothing that a display of pH"),
    ("another display", "calibration.csv", put("shows", "mV"), "it is in mV, and its meter shows pH"),
    ("a display without a step", "calibration.csv", put("resolution", "0.0"), "`0` cannot be the resolution"),
    ("nan", "reading.csv", put("shows", "nan"), "`nan` is no number for shows"),
    ("one bottle twice", "point.csv", put("bottle", "{bottle}"), "calibration.csv, entry"),
    (
        "struck out by itself",
        "void.csv",
        put("target_entry", "{own}"),
        "its target_entry was recorded after it",
    ),
    ("no such value", "void.csv", put("target_n", "77"), "what it strikes out has no value 77"),
    (
        "no JSON of marks",
        "mark.csv",
        lambda text: re.sub(r'"\{.*\}"', "nonsense", text),
        "`nonsense` is no JSON",
    ),
    ("a long note", "event.csv", lambda text: text.replace("'-1+1", "x" * 501), "is no note"),
]


@pytest.mark.parametrize(("file", "edit", "says"), [row[1:] for row in BAD], ids=[row[0] for row in BAD])
def test_what_the_program_would_not_write_keeps_all_of_it_out(
    out: Path, tmp_path: Path, file: str, edit: Callable[[str], str], says: str
) -> None:
    table = (out / file).read_bytes().decode()
    names = dict(re.findall(r"\d+,([0-9a-f]{20}),(\w+),", (out / "thing.csv").read_text()))
    own = {kind: uid for uid, kind in reversed(names.items())}
    last = (out / "entry.csv").read_text().splitlines()[-1].split(",")[1]
    points = (out / "point.csv").read_text().splitlines()
    known = {
        "{last}": last,
        "{enclosure}": own["enclosure"],
        "{bottle}": points[2].split(",")[5],
        "{own}": cells(table, 1)[0],
    }

    def filled(text: str) -> str:
        text = edit(text)
        for mark, uid in known.items():
            text = text.replace(mark, uid)
        return text

    edit_file(out, file, filled)
    with open_logbook(tmp_path / "other.sqlite") as other:
        before = other.path.read_bytes()
        with pytest.raises(Refusal) as refused:
            import_package(other, out, LATER)
        assert says in str(refused.value)
        assert "nothing was imported" in str(refused.value)
        assert "\n" not in str(refused.value)
        assert other.path.read_bytes() == before


def without_sum(made: dict[str, object]) -> None:
    for each in made["resources"]:  # type: ignore[attr-defined]
        if each["name"] == "reading":
            del each["hash"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (without_sum, "states no sha256: of `reading.csv`"),
        (lambda made: made["resources"][5].update(hash="md5:0123"), "states no sha256:"),
        (lambda made: made.update(resources=made["resources"][:3]), "states no sha256:"),
        (lambda made: made.update(more=json.loads("[" * 200 + "]" * 200)), "of another kind"),
        (lambda made: made.update(more="x" * 1_000_000), "of another kind"),
        (lambda made: made["slurrycalc"].update(form=True), "exported in form True"),
    ],
)
def test_a_descriptor_tells_whether_each_file_is_whole(
    book: Store, out: Path, change: Callable[[dict[str, object]], None], says: str
) -> None:
    descriptor = out / "datapackage.json"
    made = json.loads(descriptor.read_text(encoding="utf-8"))
    change(made)
    descriptor.write_text(json.dumps(made), encoding="utf-8")
    with pytest.raises(Refusal, match=says):
        import_package(book, out, LATER)


def packed(out: Path, name: Path, how: int = zipfile.ZIP_DEFLATED) -> None:
    with zipfile.ZipFile(name, "w", how) as archive:
        for file in out.iterdir():
            archive.write(file, file.name)


def in_it_twice(out: Path, name: Path) -> None:
    packed(out, name)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with zipfile.ZipFile(name, "a") as archive:
            archive.writestr("reading.csv", b"entry")


def many_files(out: Path, name: Path) -> None:
    packed(out, name)
    with zipfile.ZipFile(name, "a") as archive:
        for i in range(1000):
            archive.writestr(f"{i}.txt", b"")


def very_many_files(out: Path, name: Path) -> None:
    packed(out, name)
    with zipfile.ZipFile(name, "a") as archive:
        for i in range(65_536):
            archive.writestr(f"{i}", b"")


def damaged(out: Path, name: Path) -> None:
    packed(out, name)
    data = bytearray(name.read_bytes())
    data[data.index(b"reading.csv") + 200] ^= 0xFF
    name.write_bytes(data)


def larger_than_said(out: Path, name: Path) -> None:
    """Say of a file that it is shorter than it is."""
    packed(out, name)
    data = bytearray(name.read_bytes())
    at = data.rindex(b"reading.csv") - 46 + 24
    data[at : at + 4] = (100).to_bytes(4, "little")
    name.write_bytes(data)


def within_a_folder(out: Path, name: Path) -> None:
    with zipfile.ZipFile(name, "w") as archive:
        for file in out.iterdir():
            archive.write(file, f"out/{file.name}")


def a_folder_for_a_file(out: Path, name: Path) -> None:
    with zipfile.ZipFile(name, "w") as archive:
        archive.mkdir("datapackage.json") if hasattr(archive, "mkdir") else archive.writestr(
            "datapackage.json/", b""
        )


def bomb(out: Path, name: Path) -> None:
    """Three gigabytes of the letter x in three megabytes."""
    packed(out, name)
    with zipfile.ZipFile(name) as archive:
        files = {each: archive.read(each) for each in archive.namelist() if each != "reading.csv"}
    with zipfile.ZipFile(name, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for each, data in files.items():
            archive.writestr(each, data)
        with archive.open("reading.csv", "w", force_zip64=True) as file:
            for _ in range(2001):
                file.write(b"x" * 1_000_000)


ODD: list[tuple[Callable[[Path, Path], object], str]] = [
    (in_it_twice, "reading.csv is in it twice"),
    (many_files, "it holds more than 1000 files"),
    (damaged, "is no archive that can be read|was changed or cut short"),
    (larger_than_said, "is no archive that can be read|was changed or cut short"),
    (within_a_folder, "holds no `datapackage.json`"),
    (a_folder_for_a_file, "holds no `datapackage.json`"),
    (lambda out, name: packed(out, name, zipfile.ZIP_LZMA), "is packed in an unusual way"),
    (lambda out, name: packed(out, name, zipfile.ZIP_BZIP2), "is packed in an unusual way"),
    (lambda out, name: name.symlink_to(name), "cannot be read"),
    (lambda out, name: name.write_bytes(b"PK\x05\x06"), "is no archive"),
]


@pytest.mark.parametrize(("make", "says"), ODD)
def test_an_odd_archive_is_refused_in_a_sentence(
    book: Store, out: Path, tmp_path: Path, make: Callable[[Path, Path], object], says: str
) -> None:
    make(out, tmp_path / "odd.zip")
    with pytest.raises(Refusal, match=says) as refused:
        import_package(book, tmp_path / "odd.zip", LATER)
    assert "\n" not in str(refused.value)
    assert book.rows("SELECT count(*) FROM entry") == [(0,)]


def one_row(out: Path) -> None:
    """One row of two gigabytes: empty cells, and no end of the line."""
    edit_size(out, b"," * 1_000_000)


def one_cell(out: Path) -> None:
    """One cell in quotes over many lines, without its end."""
    edit_size(out, b'"' + b"x\n" * 500_000)


def many_rows(out: Path) -> None:
    """Rows that are all alike."""
    line = (out / "reading.csv").read_bytes().splitlines(keepends=True)[1]
    edit_size(out, line * 10_000, 300)


def deep_ones(out: Path) -> None:
    """Brackets within brackets."""
    edit_size(out, b'"' + b"[" * 500_000 + b'"\r\n', 300)


def edit_size(out: Path, data: bytes, times: int = 900) -> None:
    with (out / "reading.csv").open("ab") as file:
        for _ in range(times):
            file.write(data)
    made = json.loads((out / "datapackage.json").read_text(encoding="utf-8"))
    digest = hashlib.sha256()
    with (out / "reading.csv").open("rb") as file:
        while block := file.read(1_000_000):
            digest.update(block)
    next(each for each in made["resources"] if each["name"] == "reading")["hash"] = (
        f"sha256:{digest.hexdigest()}"
    )
    (out / "datapackage.json").write_text(json.dumps(made), encoding="utf-8")


IN_A_PROCESS = """
import datetime, sys
from pathlib import Path
from slurrycalc.logbook.merging import import_package
from slurrycalc.logbook.store import in_memory, open_logbook
from slurrycalc.metrology.remark import Refusal
try:
    with open_logbook(Path(sys.argv[2])) as book:
        import_package(book, Path(sys.argv[1]), datetime.datetime(2024, 7, 1, tzinfo=datetime.UTC))
except Refusal as refusal:
    print(refusal)
# Not getrusage: its peak is inherited from the process that started this one.
peak = next(line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM"))
print(int(peak.split()[1]) // 1024)
"""
MOST_MEMORY = 500
"""[MB]"""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="memory is counted in other units elsewhere")
@pytest.mark.parametrize("make", [bomb, very_many_files, one_row, one_cell, many_rows, deep_ones])
def test_no_file_takes_more_than_500_mb_of_memory(
    out: Path, tmp_path: Path, make: Callable[..., None]
) -> None:
    given = out
    if make in (bomb, very_many_files):
        given = tmp_path / "odd.zip"
        make(out, given)
    else:
        make(out)
    line = [sys.executable, "-c", IN_A_PROCESS, str(given), str(tmp_path / "other.sqlite")]
    ran = subprocess.run(line, cwd=ROOT, capture_output=True, text=True, timeout=300, check=True)
    sentence, memory = ran.stdout.splitlines()
    assert "nothing was imported" in sentence
    assert int(memory) < MOST_MEMORY


# What a spreadsheet would run.

STARTS = st.sampled_from(["=", "+", "@", "-", "\t", "\r", "'", "''", " =", "＝", ""])
TEXTS = st.builds(str.__add__, STARTS, st.text(max_size=20))


@given(TEXTS)
@example("'=1")
@example("-30")
@example("-30 mV")
@example("=HYPERLINK(1)")
def test_a_harmless_cell_is_no_formula_and_comes_back_as_typed(text: str) -> None:
    cell = harmless(text)
    assert as_typed(cell) == text
    number = re.fullmatch(r"[+-]?[0-9]+(\.[0-9]+)?([eE][+-]?[0-9]+)?", cell)
    assert number or not cell.lstrip().startswith(("=", "+", "-", "@", "＝", "＋", "－", "＠"))
    assert not cell.startswith(("\t", "\r", "\n"))


@given(st.lists(st.tuples(TEXTS, TEXTS), min_size=1, max_size=5), st.floats(-500, -0.001))
def test_texts_that_a_spreadsheet_would_run_go_out_harmless_and_come_in_as_typed(
    tmp_path_factory: pytest.TempPathFactory, texts: list[tuple[str, str]], shows: float
) -> None:
    folder = tmp_path_factory.mktemp("round")
    with in_memory() as book, in_memory() as other:
        step = Step("read", When(at(0)))
        meter = step.thing("meter", "desk", {"shows": "mV"})
        bottles = [step.thing("bottle", label, {"label": label}) for label in ("4.01", "7.00")]
        calibration = step.calibration("mV", meter=meter)
        for bottle, shown in zip(bottles, (175.0, 0.0), strict=True):
            step.point(calibration, bottle, shown, 21.0)
        for note, name in texts:
            for label, spot, said in ((name, note, name), (None, None, None)):
                try:
                    jar = step.slurry(label=label, spot=spot, note=said)
                    break
                except Refusal:
                    continue
            step.reading(jar, calibration, shows)
        record(book, step, at(0))
        export(book, folder / "out", LATER)
        imported = import_package(other, folder / "out", LATER)
        assert rows_of(other, imported) == rows_of(book)
        # A number stays a number, whatever its sign.
        first = (folder / "out" / "reading.csv").read_text(encoding="utf-8").splitlines()[1]
        assert repr(shows) in first.split(",")


def test_what_was_exported_before_cells_were_made_harmless_comes_in_as_it_is(
    book: Store, out: Path, tmp_path: Path
) -> None:
    made = json.loads((out / "datapackage.json").read_text(encoding="utf-8"))
    made["slurrycalc"]["form"] = 2
    (out / "datapackage.json").write_text(json.dumps(made), encoding="utf-8")
    (out / "arrival.csv").unlink()
    edit_file(out, "event.csv", lambda text: text.replace("'-1+1", "'=1"))
    import_package(book, out, LATER)
    assert book.rows("SELECT note FROM event WHERE note IS NOT NULL") == [("'=1",)]


def test_an_empty_note_that_was_written_before_it_counted_as_taken_back_comes_in(
    book: Store, tmp_path: Path
) -> None:
    step = Step("enclosure", When(at(0)))
    step.setting(step.thing("enclosure", "atlas"), "note", "")
    record(book, step, at(0))
    assert misset(book) is None
    with in_memory() as other:
        send(book, other, tmp_path)
        assert other.rows("SELECT key, value FROM setting") == [("name", '"atlas"'), ("note", '""')]


def test_a_record_with_days_of_its_things_counts_as_written_by_the_program(book: Store) -> None:
    step = Step("kit", When(at(0)))
    for key, value in (("opened", "2024-05-04"), ("expires", "2199-12-31"), ("retired", "2024-05-04")):
        step.setting(step.thing("bottle", f"acid {key}"), key, value)
    record(book, step, at(0))
    assert misset(book) is None
