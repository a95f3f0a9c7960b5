"""What a guided day asks about, refuses and says, one detour at a time."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest

from slurrycalc.day.bench.guided import Room
from slurrycalc.day.bench.guided.room import KnownBottle, KnownCase, KnownMeter
from slurrycalc.metrology.remark import Refusal
from tests.day.test_guided import BEGUN, RIGHT, ROOM, SETUP, Table, straight

ALL = SETUP | RIGHT
STIRRED = [key for key in RIGHT if key.startswith("stirred ")]
IN_MV = {
    **ALL,
    "meter": "desk mV",
    "point 1 0": "1.8",
    "point 1 1": "178.2 mV",
    "jars at": "",
    "read A1": "110.1 mV @ 20C",
    "read A2": "109.0",
    "read B1": "84.3",
    "read B2": "-2.0",
    "read C1": "60,1",
    "read C2": "61",
    "close": "1.2",
}


def at(key: str, right: dict[str, str] | None = None, room: Room | None = None) -> Table:
    """Give a table at a question."""
    table = Table(room or Room())
    table.through(right or ALL, until=key)
    assert table.ask.key == key
    return table


def kept(table: Table, key: str) -> object:
    """Give the newest value under a key."""
    return {answer.key: answer.value for answer in table.answers()}.get(key)


@pytest.mark.parametrize(
    ("key", "line", "meant", "value"),
    [
        ("probe A1", "58", "5.8", 5.8),
        ("point 1 0", "703", "7.03", {"shows": 7.03}),
        ("point 1 1", "403 21C", "4.03", {"shows": 4.03, "temperature": 21.0}),
        ("point 1 1", "403@70F", "4.03", {"shows": 4.03, "temperature": pytest.approx(21.11, abs=0.01)}),
        ("read A1", "-5,41", "5.41", {"shows": 5.41, "calibration": 1}),
        ("buffers at", "70", "70 F", pytest.approx(21.11, abs=0.01)),
        ("point 1 0", "7.03 70C", "70 F", {"shows": 7.03, "temperature": pytest.approx(21.11, abs=0.01)}),
    ],
)
def test_a_slip_is_asked_about_and_taken_as_meant(key: str, line: str, meant: str, value: object) -> None:
    table = at(key)
    table.type(line)
    assert table.ask.key == "sure"
    assert f"Did you mean {meant}" in table.ask.text
    assert table.ask.default == "Y/n"
    table.type("")
    assert kept(table, key) == value


def test_a_slip_in_millivolts_is_asked_about() -> None:
    table = at("point 1 1", IN_MV)
    assert "Did you mean 178.2?" in table.type("1782").text
    table.type("y")
    assert kept(table, "point 1 1") == {"shows": 178.2}


def test_a_slip_that_was_none_is_asked_anew_and_a_new_line_counts_at_once() -> None:
    table = at("read A1")
    table.type("541")
    assert table.type("n").key == "read A1"
    table.type("541")
    table.type("5.42")
    assert kept(table, "read A1") == {"shows": 5.42, "calibration": 1}


@pytest.mark.parametrize(
    ("key", "line", "why"),
    [
        ("probe A1", "damp", "`damp`"),
        ("probe A1", "", "Nothing was typed"),
        ("probe A1", "99999", "no pH"),
        ("read A1", "84.3 mV", "mV"),
        ("read A1", "5.41 @", "no temperature after its @"),
        ("read A1", "5.41 5.43", "`5.41 5.43`"),
        ("point 1 0", "7.04 -5C", "-5"),
        ("buffers at", "warm", "`warm`"),
        ("stirred A1", "23:59", "still to come"),
        ("stirred A1", "soon", "no time"),
        ("each", "0", "1 to 9"),
        ("each", "two", "1 to 9"),
        ("meter", "desk", "pH or mV"),
        ("bottles", "7.00", "two bottles at least"),
        ("bottles", "7.00, 6.86", "1 pH apart"),
        ("bottles", "7.00, 7.00", "twice"),
        ("bottles", "7.00, 4.0", "write 4.01"),
        ("cup", "mug", "no kitchen cup"),
        ("cases", "window, window", "twice"),
        ("cases", "-x", "dash"),
        ("cases", "s", "needed"),
        ("point 1 0", "s", "two bottles"),
        ("done", "s", "nothing to skip"),
        ("done", "5.41", "no answer here"),
        ("done", "c", "between"),
        ("probe A1", "c", "between"),
        ("stirred A1", "w", "still moving"),
        ("read A1", "swap A1", "two cups"),
        ("read A1", "swap A1 Z9", "two cups"),
        ("read A1", "n " + "x" * 600, "500"),
    ],
)
def test_what_cannot_stand_is_said_and_asked_again_and_nothing_is_kept(key: str, line: str, why: str) -> None:
    table = at(key)
    before = list(table.kept)
    table.type(line)
    assert table.ask.key == key
    assert why in table.says()
    assert table.kept == before
    assert table.says().count("\n") == 0


def test_a_display_nearer_to_the_other_bottle_is_asked_about() -> None:
    table = at("point 1 0")
    assert "nearer to 4.01" in table.type("4.05").text
    assert table.ask.default == "y/N"
    assert table.type("").key == "point 1 0"
    table.type("4.05")
    table.type("y")
    assert kept(table, "point 1 0") == {"shows": 4.05}


def test_bottles_that_cannot_calibrate_together_are_not_kept() -> None:
    table = at("point 1 1", IN_MV)
    table.type("-178.2")
    assert table.ask.key == "point 1 1"
    assert table.says()
    assert kept(table, "point 1 1") is None


def test_a_meter_is_judged_after_its_last_bottle() -> None:
    assert at("read A1").says().startswith("Good: the display's slope")
    table = at("read A1", ALL | {"point 1 1": "4.31"})
    assert "type c" in table.says()


def test_a_jar_read_before_its_time_is_asked_about_and_says_so() -> None:
    table = at("wait", ALL | dict.fromkeys(STIRRED, "20 min ago"))
    assert "A1 in " in table.says()
    table.type("A2 5.41")
    assert "Read it all the same?" in table.ask.text
    table.type("y")
    table.through(ALL | {"wait": ""})
    (jar,) = [jar for jar in table.day.jars if jar.label == "A2"]
    assert jar.shows == 5.41
    assert jar.note.endswith("min after it was stirred")


def test_a_wait_ends_when_the_first_jar_has_settled() -> None:
    table = at("wait", ALL | dict.fromkeys(STIRRED, ""))
    stirred = datetime.datetime.fromisoformat(str(kept(table, "stirred A1")))
    assert table.ask.wake == stirred + datetime.timedelta(minutes=30)
    # Nobody is held up: Enter reads the next one before its time, once that is meant; b waits again.
    assert table.type("").key == "read A1"
    assert table.type("5.14").text.startswith("A1 has settled")
    assert table.type("n").key == "read A1"
    assert table.type("b").key == "wait"
    waited = (table.ask.wake - table.now).total_seconds() / 60
    assert table.type("", waited).key == "read A1"
    assert "Ready: A1." in table.says()
    assert "Stir A2" in table.says()


def test_any_jar_is_read_by_its_label_with_or_without_its_reading() -> None:
    table = at("read A1")
    assert table.type("b2").key == "read B2"
    assert table.type("5.66").key == "read A1"
    assert table.type("C1 6.02").key == "read A1"
    assert kept(table, "read C1") == {"shows": 6.02, "calibration": 1}
    # One that was read already shows what it showed.
    table.type("B2")
    assert (table.ask.key, table.ask.default) == ("read B2", "5.66")
    assert table.type("").key == "read A1"
    assert table.type("B9").key == "read A1"


def test_replicates_that_lie_apart_are_told_while_they_can_be_read_again() -> None:
    table = at("read A2")
    table.type("5.44")
    assert "A1 and A2 lie 0.30 pH apart" in table.says()
    assert at("read B1").says().startswith("Ready:")


def test_back_shows_each_answer_and_enter_leaves_it() -> None:
    table = at("stirred A1")
    assert (table.type("b").key, table.ask.default) == ("probe C2", "6.5")
    assert (table.type("b").key, table.ask.default) == ("probe C1", "6.6")
    before = list(table.kept)
    assert table.type("").key == "stirred A1"
    assert table.kept == before
    table.type("b")
    table.type("6.4")
    assert (table.ask.key, kept(table, "probe C2")) == ("stirred A1", 6.4)


def test_going_back_to_the_cases_before_the_first_jar_labels_the_cups_anew() -> None:
    table = at("probe A1", room=ROOM)
    for key in ("each", "cases"):
        assert table.type("b").key == key
    table.type("stairs, window")
    assert table.ask.text.startswith("A1 stairs")
    table.type("6.0")
    table.type("b")
    assert "no further back" in (table.type("b"), table.says())[1]


def test_a_calibration_in_the_middle_of_the_day_holds_for_the_jars_after_it() -> None:
    again = {"point 2 0": "7.34", "point 2 1": "4.36"}
    table = at("read B1")
    assert table.type("c").key == "point 2 0"
    assert "3 of 5  Meter again" in table.says()
    table.through(ALL | again)
    assert [(jar.label, jar.calibration) for jar in table.day.jars] == [
        ("A1", 1),
        ("A2", 1),
        *((label, 2) for label in ("B1", "B2", "C1", "C2")),
    ]
    assert [(point.shows, point.calibration) for point in table.day.points] == [
        (7.04, 1),
        (4.06, 1),
        (7.34, 2),
        (4.36, 2),
    ]


def test_a_calibration_begun_by_mistake_is_taken_back_by_skipping_it() -> None:
    table = at("read B1")
    table.type("c")
    assert table.type("s").key == "read B1"
    table.sit_down()
    table.through(ALL)
    assert table.day == straight().day


def test_a_day_without_a_probe_skips_all_of_them_at_once() -> None:
    table = at("probe A1")
    assert table.type("s all").key == "stirred A1"
    table.through(ALL)
    assert [jar.probe for jar in table.day.jars] == [None] * 6
    assert table.day.probe is None


def test_jars_that_were_not_mixed_or_not_read_are_left_out_of_the_readings() -> None:
    table = at("stirred A1")
    table.type("s")
    table.through(ALL, until="read B1")
    assert table.type("A1").key == "read B1"
    assert "not mixed" in table.says()
    table.type("s")
    table.through(ALL)
    assert {jar.label for jar in table.day.jars if jar.shows is None} == {"A1", "B1"}
    assert table.finished is not None
    # What the probe showed there is kept all the same.
    assert table.finished.lone == (("window", 5.7), ("stairs", 6.0))


def test_a_meter_in_millivolts_is_asked_for_the_temperature_of_the_jars() -> None:
    table = at("jars at", IN_MV)
    assert table.ask.default == "21"
    table.through(IN_MV)
    assert table.day.meter.shows == "mV"
    assert [(jar.shows, jar.temperature) for jar in table.day.jars] == [
        (110.1, 20.0),
        (109.0, 21.0),
        (84.3, 21.0),
        (-2.0, 21.0),
        (60.1, 21.0),
        (61.0, 21.0),
    ]


def test_a_cup_may_be_its_size_with_or_without_a_unit() -> None:
    for line in ("240", "240 mL"):
        table = at("cup")
        table.type(line)
        assert kept(table, "cup") == "240 mL"


def test_three_bottles_may_lose_one_but_not_two() -> None:
    right = ALL | {"bottles": "10.01 7.00 4.01", "point 1 1": "10.05", "point 1 2": "4.06"}
    table = at("point 1 1", right)
    assert table.ask.text.startswith("10.01")
    assert table.type("s").key == "point 1 2"
    assert table.type("s").key == "point 1 2"
    assert "two bottles" in table.says()
    table.through(right)
    assert [point.buffer for point in table.day.points] == ["7.00", "4.01"]


def test_names_that_may_be_slips_are_asked_about() -> None:
    table = Table(ROOM)
    assert "Did you mean atlas?" in table.type("windo, atals").text or "window" in table.ask.text
    table.type("y")
    assert "Did you mean atlas?" in table.ask.text
    table.type("y")
    assert kept(table, "cases") == ["window", "atlas"]
    table = Table(ROOM)
    assert table.type("lamp").text == "No enclosure is called lamp. Add it?"
    assert table.type("").key == "cases"
    table.type("lamp")
    table.type("y")
    assert kept(table, "cases") == ["lamp"]


def test_names_without_commas_are_parted_only_if_that_is_meant() -> None:
    table = Table()
    assert table.type("map chest").text == "2 enclosures, map and chest?"
    assert table.type("n").key == "cases"
    table.type("map chest,")
    assert kept(table, "cases") == ["map chest"]


def test_retired_enclosures_are_refused() -> None:
    table = Table(replace(ROOM, retired=("cellar",)))
    table.type("cellar")
    if table.ask.key == "sure":
        table.type("y")
    assert "was retired" in table.says()


def test_what_the_room_leaves_open_is_asked() -> None:
    room = replace(
        ROOM,
        meters=(KnownMeter("desk", "pH"), KnownMeter("field", None)),
        bottles=(*ROOM.bottles, KnownBottle("acid 3", "4.01")),
        probes=("stick", "wand"),
    )
    table = Table(room)
    table.through({"cases": "", "each": ""}, until="meter")
    assert "desk, field" in table.ask.text
    table.type("field mV")
    assert kept(table, "meter") == {"name": "field", "shows": "mV"}
    table.type("7.00, 4.01")
    assert "stands on several bottles; name one of them: acid 2, acid 3." in table.says()
    table.type("acid 3, neutral 2")
    assert kept(table, "bottles") == ["neutral 2", "acid 3"]
    table.type("5.7")
    assert table.ask.key == "probe"
    table.type("wand")
    assert kept(table, "probe") == "wand"


def test_cups_count_on_where_the_table_has_some_already() -> None:
    room = replace(ROOM, taken=(("window", "A1"), ("window", "A2"), ("atlas", "C1")))
    table = Table(room)
    table.type("atlas, stairs")
    table.type("1")
    assert "atlas C2, stairs B1" in table.says()


def test_small_beds_give_less_each_by_its_own_name() -> None:
    room = replace(ROOM, cases=(KnownCase("window", 5000.0), KnownCase("stairs")))
    table = Table(room)
    table.through(ALL | {"cases": "", "each": ""}, until="stirred A1")
    assert "2 of 5  Mix: one part of substrate, two of distilled water" in table.says()
    assert "window: 3 tbsp of substrate, 1/4 cup + 2 tbsp of water." in table.says()


def test_a_jar_that_was_mixed_anew_has_a_new_clock() -> None:
    table = at("read B1")
    table.type("stir B1")
    assert table.ask.key == "read B2"
    assert "B1 in 30:00" in table.says()
    assert table.type("stir b1 31 min ago").key == "read B1"
    for line in ("stir", "stir Z1", "stir B1 soon"):
        before = list(table.kept)
        assert table.type(line).key == "read B1"
        assert table.says()
        assert table.kept == before


def test_a_jar_that_was_left_unmixed_can_be_stirred_after_all() -> None:
    table = at("stirred A1")
    table.type("s")
    table.through(ALL, until="read A2")
    table.type("stir A1 40 min ago")
    assert table.ask.key == "read A1"
    table.through(ALL)
    assert table.day == straight().day


def test_no_probe_goes_into_a_steady_jar() -> None:
    table = Table(replace(ROOM, cases=(KnownCase("window"), KnownCase("jar of 2023", steady=True))))
    table.through(ALL | {"cases": "", "each": ""}, until="stirred A1")
    assert [key for key in asked(table) if key.startswith("probe ")] == ["probe A1", "probe A2"]


def test_the_jars_of_fresh_mix_are_offered_for_pairs_of_the_probe() -> None:
    table = Table(replace(ROOM, cases=(KnownCase("window"), KnownCase("leaf mix", fresh=True))))
    table.through(ALL | {"cases": "", "each": ""}, until="probe A1")
    assert "In the fresh mix too: only pairs far apart in pH" in table.says()
    table.through(ALL, until="probe B1")
    table.type("?")
    assert "Half of its pairs in fresh mix show whether it follows at all." in table.says()
    table.through(ALL | {"cases": "", "each": ""}, until="stirred A1")
    probed = [key for key in asked(table) if key.startswith("probe ")]
    assert probed == ["probe A1", "probe A2", "probe B1", "probe B2"]


def asked(table: Table) -> list[str]:
    """Give the keys of what was answered."""
    return [answer.key for answer in table.answers()]


def test_a_note_is_asked_for_and_a_command_in_its_place_is_none() -> None:
    table = at("read A1")
    assert table.type("n").text == "Note on A1:"
    assert table.type("a crumb of charcoal").key == "read A1"
    assert kept(table, "note 1") == {"about": "A1", "text": "a crumb of charcoal"}
    table.type("n")
    table.type("")
    table.type("n")
    table.type("q")
    assert table.end is not None
    assert kept(table, "note 2") is None


def test_help_says_what_is_wanted_and_asks_again() -> None:
    table = at("read A1")
    assert table.type("?").key == "read A1"
    assert "like 7.02" in table.says()
    assert "swap B2 C1" in table.says()


def test_what_to_mind_comes_before_the_hands_move_and_again_after_a_stop() -> None:
    table = at("probe A1")
    minded = [said.text for said in table.ask.says if said.tone == "mind"]
    assert minded[0].startswith("Unplug")
    table.type("5.7")
    assert not [said for said in table.ask.says if said.tone == "mind"]
    table.sit_down()
    table.type("stick")
    table.sit_down()
    assert [said.text for said in table.ask.says if said.tone == "mind"] == minded


def test_a_day_that_cannot_stand_stays_open() -> None:
    table = at("done")
    table.refuse = Refusal("no jar has a reading that stands.")
    assert table.type("").key == "done"
    assert "no jar has a reading that stands." in table.says()
    table.type("")
    assert table.end is not None
    assert table.end.how == "done"


def test_a_day_of_another_date_asks_whether_to_go_on() -> None:
    table = at("read B1")
    table.now += datetime.timedelta(hours=20)
    table.sit_down()
    assert "13 May is not finished" in table.says()
    assert "B1, B2, C1, C2 stood since then: mix them anew (stir B1 starts its clock)" in table.says()
    assert table.type("x").key == "go on"
    assert table.type("g").key == "read B1"
    table.sit_down()
    table.type("e")
    assert table.end is not None
    assert table.end.how == "done"
    assert table.day.date == BEGUN.date()
    assert [jar.label for jar in table.day.jars if jar.shows is not None] == ["A1", "A2"]


def test_a_day_of_another_date_is_dropped_only_after_a_yes() -> None:
    table = at("read B1")
    table.now += datetime.timedelta(days=3)
    table.sit_down()
    table.type("d")
    assert table.type("").key == "go on"
    table.type("d")
    table.type("y")
    assert table.end is not None
    assert table.end.how == "dropped"


def test_a_clock_that_is_set_back_makes_no_jar_wait_longer_than_a_fresh_one() -> None:
    table = at("wait", ALL | dict.fromkeys(STIRRED, ""))
    table.now -= datetime.timedelta(hours=5)
    table.sit_down()
    table.type("?")
    assert table.ask.key in ("wait", "go on")
    if table.ask.key == "wait":
        assert table.ask.wake - table.now <= datetime.timedelta(minutes=30)


ASKED_AGAIN = [
    ("stirred A1", "5.41", "`5.41` may be a reading, and this asks for a time: write 5:41 for that."),
    ("stirred A1", "10,40", "`10,40` may be a reading, and this asks for a time: write 10:40 for that."),
    (
        "stirred A1",
        "84.3 mV",
        "`84.3 mV` is no time: Enter says now; or write 10:40, 40 min ago, or 1 h ago.",
    ),
    ("stirred A1", "40 min", "`40 min` is no time: Enter says now; or write 10:40, 40 min ago, or 1 h ago."),
    (
        "stirred A1",
        "30 h ago",
        "`30 h ago` is no time: Enter says now; or write 10:40, 40 min ago, or 1 h ago.",
    ),
    ("probe A1", "10:40", "`10:40` is a time, and this asks what the probe shows: write like 5.9."),
    ("point 1 0", "7:02", "`7:02` is a time, and this asks what the meter shows: write like 5.41."),
    ("read A1", "1 h ago", "`1 h ago` is a time, and this asks what the meter shows: write like 5.41."),
    ("read A1", "now", "`now` is a time, and this asks what the meter shows: write like 5.41."),
    ("buffers at", "10:40", "`10:40` is a time, and this asks how warm they are: write like 21."),
    ("close", "12:05", "`12:05` is a time, and this asks what the meter shows: write like 5.41."),
]


@pytest.mark.parametrize(("key", "line", "sentence"), ASKED_AGAIN)
def test_a_time_is_no_reading_and_a_reading_no_time_and_it_is_asked_again(key, line, sentence) -> None:
    table = at(key)
    table.type(line)
    assert table.ask.key == key
    assert [said.text for said in table.ask.says if said.tone == "wrong"] == [sentence]
    assert kept(table, key) is None


@pytest.mark.parametrize(
    ("line", "minutes"),
    [
        ("1 h ago", 60),
        ("40 min ago", 40),
        ("1 h 20 min ago", 80),
        ("half an hour ago", 30),
        ("1.5 h ago", 90),
    ],
)
def test_a_time_before_now_is_read_as_people_say_it(line: str, minutes: int) -> None:
    table = at("stirred A1")
    table.type(line)
    then = datetime.datetime.fromisoformat(str(kept(table, "stirred A1")))
    assert table.now - then == datetime.timedelta(minutes=minutes)


def test_each_jar_is_said_to_be_which_of_how_many() -> None:
    table = at("probe A1")
    asked = []
    while table.end is None:
        if table.ask.key.startswith(("probe ", "stirred ", "read ")):
            asked.append(table.ask.text)
        table.type("y" if table.ask.key == "sure" else ALL[table.ask.key])
    assert asked[0] == "A1 window, spot 1, jar 1 of 6. Probe shows?"
    assert asked[8] == "B1 stairs, jar 3 of 6. Stirred? Enter starts its clock."
    assert asked[14] == "B1 stairs, jar 3 of 6, shows?"
    assert all(f"jar {n % 6 + 1} of 6" in text for n, text in enumerate(asked))


def test_a_jar_that_is_left_out_counts_no_more() -> None:
    table = at("stirred A1")
    table.type("s")
    table.through(ALL, "read A2")
    assert table.ask.text == "A2 window, jar 1 of 5, shows?"
    table.type("C2 5.97")
    assert table.ask.text == "A2 window, jar 2 of 5, shows?"
