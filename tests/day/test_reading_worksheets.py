"""A worksheet is read strictly: whatever cannot stand is named with its file, line and path."""

from __future__ import annotations

import datetime

import pytest

from slurrycalc.data.shipped import shipped
from slurrycalc.day.bench.blank import blank_worksheet
from slurrycalc.day.bench.places import Places, RowPlaces, key_lines, value_at
from slurrycalc.day.bench.worksheet import LARGEST_FILE, read_worksheet
from slurrycalc.metrology.remark import Refusal

EXAMPLE = shipped("examples", "reading-room.toml").read_bytes()


def refused(data: bytes, **options: datetime.date) -> str:
    with pytest.raises(Refusal) as caught:
        read_worksheet(data, "day.toml", **options)
    return str(caught.value)


def changed(old: str, new: str, count: int = 1) -> bytes:
    assert old.encode() in EXAMPLE
    return EXAMPLE.replace(old.encode(), new.encode(), count)


def test_the_example_is_read_as_it_stands() -> None:
    day, _ = read_worksheet(EXAMPLE)
    assert day.date == datetime.date(2024, 5, 4)
    assert (day.meter.shows, day.meter.name) == ("pH", "desk")
    assert [jar.label for jar in day.jars] == ["A1", "A2", "B1", "B2", "C1", "C2"]
    assert [enclosure.name for enclosure in day.enclosures] == ["window", "stairs", "atlas"]
    assert [(point.buffer, point.shows) for point in day.points] == [("neutral 2", 7.04), ("acid 2", 4.06)]


@pytest.mark.parametrize("mark", [b"\xef\xbb\xbf", b""])
@pytest.mark.parametrize("end", [b"\r\n", b"\n"])
def test_a_byte_order_mark_and_any_line_end_change_nothing(mark: bytes, end: bytes) -> None:
    day, places = read_worksheet(mark + EXAMPLE.replace(b"\n", end))
    assert day == read_worksheet(EXAMPLE)[0]
    assert places.lines == read_worksheet(EXAMPLE)[1].lines


def test_each_line_that_is_named_holds_the_key_that_is_named() -> None:
    text = EXAMPLE.decode()
    found = key_lines(text)
    lines = text.split("\n")
    assert len(found) > 60
    for path, number in found.items():
        key = next(step for step in reversed(path) if isinstance(step, str))
        assert lines[number - 1].strip().lstrip("[").startswith(key), path


def test_lines_are_not_claimed_where_text_could_look_like_keys() -> None:
    assert key_lines('note = """\nshows = 5\n"""\nshows = 6') == {}


def test_an_unknown_line_leaves_the_path() -> None:
    day = 'jar = [{label = "A1", enclosure = "x", shows = true}]\n'
    rest = '[meter]\nshows = "pH"\n[[point]]\nbuffer = "7.00"\nshows = 7.0\n'
    assert refused((day + rest).encode()).startswith("day.toml, line 1, jar 1, shows: true")


def test_places_count_from_one_and_a_table_names_rows() -> None:
    assert Places("day.toml").at("jar", 0, "shows") == "day.toml, jar 1, shows"
    assert RowPlaces("day.csv", rows=(2, 17)).at("jar", 1, "shows") == "row 17"
    assert RowPlaces("day.csv", rows=(2, 17)).at("meter", "resolution") == "--resolution"
    assert value_at({"a": [1, {"b": 2}]}, ("a", 1, "b")) == 2


def test_a_date_is_held_to_the_calendar_only_where_today_is_known() -> None:
    day_before = datetime.date(2024, 5, 3)
    said = refused(EXAMPLE, today=day_before)
    assert said.startswith("day.toml, line 5, date: 2024-05-04 lies in the future")
    assert "2024-05-03" in said
    read_worksheet(EXAMPLE, today=datetime.date(2024, 5, 4))
    read_worksheet(EXAMPLE)


def test_a_blank_worksheet_is_refused_at_its_first_blank() -> None:
    said = refused(blank_worksheet().encode())
    line = next(n for n, text in enumerate(blank_worksheet().splitlines(), 1) if text.startswith("date"))
    assert said.startswith(f"day.toml, line {line}, date: this is still blank; write date = 2024-05-04")


def test_a_file_of_the_largest_size_is_read_and_one_byte_more_is_not() -> None:
    padding = b"\n#" + b"x" * (LARGEST_FILE - len(EXAMPLE) - 2)
    read_worksheet(EXAMPLE + padding)
    assert "larger than 10 MB" in refused(EXAMPLE + padding + b"x")


@pytest.mark.parametrize("cut", [*range(0, len(EXAMPLE), 97), len(EXAMPLE) - 1])
def test_a_worksheet_cut_anywhere_is_read_or_refused_with_a_sentence(cut: int) -> None:
    said = ""
    try:
        day, _ = read_worksheet(EXAMPLE[:cut], "day.toml")
    except Refusal as refusal:
        said = str(refusal)
    assert said.startswith("day.toml") if said else len(day.jars) >= 1
    assert "\n" not in said


CASES = [
    # What stands there, instead of what; the place, and what the sentence holds. LINE is the line of the old
    # text, HEAD that of the table it stands in.
    ("shwos = 5.58", "shows = 5.58", "line LINE, jar 3, shwos", "did you mean shows?"),
    ("temprature = 21.0", "temperature = 21.0", "line LINE, point 1, temprature", "mean temperature?"),
    ("shows = 5,58", "shows = 5.58", "line LINE", "`shows = 5,58`: write a point, not a comma: shows = 5.58"),
    ("shows = five", "shows = 5.58", "line LINE", "`shows = five` is no TOML"),
    ("shows = true", "shows = 5.58", "line LINE, jar 3, shows", "true cannot stand here"),
    ("shows = [[5.58]]", "shows = 5.58", "line LINE, jar 3, shows", "cannot stand here; write shows = 5.41"),
    ("shows = " + "9" * 5000, "shows = 5.58", "", "is no TOML"),
    ("shows = " + "[" * 5000, "shows = 5.58", "", "nested too deep"),
    ('shows = "?"', "shows = 5.58", "line LINE, jar 3, shows", "still blank"),
    ("label = 1", 'label = "A1"', "line LINE, jar 1, label", '`1` cannot stand here'),
    ("", 'label = "A1"', "line HEAD, jar 1", "`label` is missing"),
    ("", 'enclosure = "window"', "line HEAD, jar 1", "`enclosure` is missing"),
    ("[jar]", "[[jar]]", "line", "head each jar with [[jar]], in double brackets, those further up too"),
    ("[[jars]]", "[[jar]]", "line LINE, jars", "did you mean jar?"),
    ("[[jar]", "[[jar]]", "line LINE", "`[[jar]` is no TOML"),
    ("[meters]", "[meter]", "line LINE, meters", "did you mean meter?"),
    ("[meter]\n[meter]", "[meter]", "line", "twice"),
    ("[[probe]]", "[probe]", "line LINE, probe", "[probe] on a line of its own"),
    ("", 'shows = "pH"', "line HEAD, meter", "`shows` is missing"),
    ("date = 2024-13-04", "date = 2024-05-04", "line LINE", "date = 2024-05-04, the year first"),
    ("date = 2024-02-30", "date = 2024-05-04", "line LINE", "date = 2024-05-04, the year first"),
    ('date = "04/05/2024"', "date = 2024-05-04", "line LINE, date", "`04/05/2024` cannot stand"),
    ("date = 2024-05-04T10:00:00", "date = 2024-05-04", "line LINE, date", "cannot stand here"),
    ("date = 20240504", "date = 2024-05-04", "line LINE, date", "`20240504` cannot stand"),
    ("target = [5.4]", "target = [5.4, 6.5]", "line LINE, enclosure 1, target", "`[5.4]` cannot stand"),
    ("target = 5.4", "target = [5.4, 6.5]", "line LINE, enclosure 1, target", "target = [5.4, 6.5]"),
    ("floor = []", "floor = 5.0", "line LINE, enclosure 1, floor", "floor = 5.0"),
    ("spot = 3", 'spot = "left"', "line LINE, jar 3, spot", 'spot = "3", in quotes'),
    ('spot = "left', 'spot = "left"', "line LINE", "is no TOML"),
    ("by = 4", 'by = "desk team"', "line LINE, by", 'by = "4", in quotes'),
    ('"a\x07" = 3', "date = 2024-05-04", "line LINE", "\\x07"),
    ('"[red]<b>" = 3', "date = 2024-05-04", ": no key is called `[red]<b>`", "what can stand here"),
]


@pytest.mark.parametrize(
    ("new", "old", "place", "holds"), CASES, ids=[case[0][:24] or "none" for case in CASES]
)
def test_what_cannot_stand_is_named_with_its_place(new: str, old: str, place: str, holds: str) -> None:
    said = refused(changed(old, new))
    before = EXAMPLE.decode().partition(old)[0].split("\n")
    heads = [number for number, line in enumerate(before, 1) if line.startswith("[")]
    place = place.replace("LINE", str(len(before))).replace("HEAD", str(heads[-1] if heads else 0))
    assert said.startswith(f"day.toml, {place}" if place[:1].isalpha() else f"day.toml{place}")
    assert holds in said
    assert said.isprintable()
    assert len(said) < 400


@pytest.mark.parametrize(
    ("data", "holds"),
    [
        (b"", "is empty"),
        (b" \r\n\t\n", "is empty"),
        (b"\xef\xbb\xbf", "is empty"),
        ("date = 2024-05-04".encode("utf-16"), "UTF-16"),
        (bytes(range(256)), "no UTF-8"),
        (b"\x89PNG\r\n\x1a\n\0\0", "byte 0x89 is no UTF-8"),
        (b"date = 2024-05-04\nnote = \"\0\"", "zero bytes"),
        (b"jar,enclosure,reading\nA1,window,5.41\n", "is no TOML"),
        (b"# nothing but a comment\n", "`meter` is missing"),
    ],
)
def test_what_is_no_worksheet_at_all_is_told_apart(data: bytes, holds: str) -> None:
    said = refused(data)
    assert said.startswith("day.toml")
    assert holds in said
