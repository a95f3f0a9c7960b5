"""Names: found, close to another, taken, changed, retired, gone."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurrycalc.logbook.mend import undo
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store
from slurrycalc.logbook.things import close_name, things_of
from slurrycalc.metrology.remark import Refusal
from tests.logbook.room import at, calibrate, furnish, read


def add(book: Store, kind: str, name: str, *, new: bool = False) -> str:
    step = Step("kit", When(at(0)))
    uid = step.thing(kind, name)  # type: ignore[arg-type]
    record(book, step, at(0), new=new)
    return uid


def change(book: Store, thing: str, key: str, value: object) -> None:
    step = Step("kit", When(at(0)))
    step.setting(thing, key, value)
    record(book, step, at(0))


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("atals", "no enclosure `atals`; did you mean `atlas`?"),
        ("Windw", "no enclosure `Windw`; did you mean `window`?"),
        ("garden", "no enclosure `garden`; add it with `slurrycalc enclosure garden --new`."),
        ("map [2]", "no enclosure `map [2]`; add it with `slurrycalc enclosure 'map [2]' --new`."),
    ],
)
def test_an_unknown_name_is_answered_with_what_was_meant(book: Store, typed: str, says: str) -> None:
    furnish(book)
    with pytest.raises(Refusal) as refused:
        things_of(book).find("enclosure", typed)
    assert str(refused.value) == says


def test_capitals_and_blanks_make_no_other_name(book: Store) -> None:
    kit = furnish(book)
    assert things_of(book).find("enclosure", " ATLAS ").uid == kit.atlas


def test_a_name_close_to_another_is_refused_unless_it_is_new(book: Store) -> None:
    furnish(book)
    before = book.rows("SELECT count(*) FROM thing")
    with pytest.raises(Refusal, match=r"no enclosure `atals`; did you mean `atlas`\? Add --new"):
        add(book, "enclosure", "atals")
    assert book.rows("SELECT count(*) FROM thing") == before
    add(book, "enclosure", "atals", new=True)
    assert things_of(book).find("enclosure", "atals").name == "atals"
    # A probe may be called like a case.
    add(book, "probe", "atlas")


def test_a_taken_name_is_refused_even_if_it_is_said_to_be_new(book: Store) -> None:
    furnish(book)
    for name in ("atlas", "ATLAS"):
        with pytest.raises(Refusal, match="there is an enclosure `atlas` already"):
            add(book, "enclosure", name, new=True)
    step = Step("kit", When(at(0)))
    step.thing("probe", "twin")
    step.thing("probe", "Twin")
    with pytest.raises(Refusal, match="there twice"):
        record(book, step, at(0))


@given(st.text("0123456789", min_size=1, max_size=3), st.text("0123456789", min_size=1, max_size=3))
def test_names_that_differ_by_their_numbers_are_no_slips(one: str, other: str) -> None:
    assert close_name(f"case {one}", [f"case {other}"]) is None


def test_a_rename_keeps_the_thing_and_remembers_the_old_name(book: Store) -> None:
    kit = furnish(book)
    change(book, kit.window, "name", "sill")
    things = things_of(book)
    assert things.find("enclosure", "sill").uid == kit.window
    assert things.by_uid[kit.window].former_names == ("window",)
    with pytest.raises(Refusal, match="no enclosure `window`: it is called `sill` now"):
        things.find("enclosure", "window")
    with pytest.raises(Refusal, match="there is an enclosure `sill` already"):
        change(book, kit.atlas, "name", "sill")
    # Its old name is free for another one.
    add(book, "enclosure", "window")


def test_a_retired_thing_is_found_before_its_last_day_only(book: Store) -> None:
    kit = furnish(book)
    change(book, kit.window, "retired", "2024-05-03")
    things = things_of(book)
    assert things.find("enclosure", "window", datetime.date(2024, 5, 3)).uid == kit.window
    with pytest.raises(Refusal, match="enclosure `window` was retired on 2024-05-03"):
        things.find("enclosure", "window", datetime.date(2024, 5, 4))
    assert [each.name for each in things.of("enclosure")] == ["stairs", "atlas"]
    change(book, kit.window, "retired", None)
    assert len(things_of(book).of("enclosure")) == 3


def test_a_bottle_is_meant_by_its_name_or_by_the_only_label(book: Store) -> None:
    kit = furnish(book)
    things = things_of(book)
    for typed in ("acid 2", "4.01", "4,01"):
        found = things.bottle(typed)
        assert not isinstance(found, str)
        assert found.uid == kit.acid
    assert things.bottle("9.18") == "9.18"
    with pytest.raises(Refusal, match="no bottle `acid 3`; did you mean `acid 2`"):
        things.bottle("acid 3")
    with pytest.raises(Refusal, match=r"4\.0"):
        things.bottle("4.0")
    step = Step("kit", When(at(0)))
    second = step.thing("bottle", "acid 3", {"label": "4.01"})
    record(book, step, at(0))
    with pytest.raises(
        Refusal, match=r"`4\.01` is the label of several bottles; name one of them: acid 2, acid 3"
    ):
        things_of(book).bottle("4.01")
    change(book, kit.acid, "retired", "2024-05-04")
    found = things_of(book).bottle("4.01")
    assert not isinstance(found, str)
    assert found.uid == second


def test_a_thing_goes_with_the_step_that_made_it_unless_something_rests_on_it(book: Store) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0))
    undo(book, at(1), "1")
    # Its meter and bottles are in use; probe and cases are not.
    things = things_of(book)
    assert {each.name for each in things.every} == {"desk", "acid 2", "neutral 2"}
    read(book, kit, at(1), calibration, kit.atlas)
    assert things_of(book).find("enclosure", "atlas").uid == kit.atlas
    assert len(Recall(book).readings()) == 2
    add(book, "enclosure", "window")


@pytest.mark.parametrize("name", ["", "  ", "-x", "a\nb", "a\x1b[31m", "x" * 61, "\u202eabc"], ids=ascii)
def test_a_name_that_no_line_can_show_is_refused(book: Store, name: str) -> None:
    with pytest.raises(Refusal):
        add(book, "enclosure", name)
    assert book.rows("SELECT count(*) FROM entry") == [(0,)]


@pytest.mark.parametrize(
    "name", ["map [2]", "<b>map</b>", 'the "old" one', "O'Hara", "Übersee", "地図", "%s", "a;b"]
)
def test_a_strange_name_comes_back_as_it_was(book: Store, name: str) -> None:
    add(book, "enclosure", name)
    assert things_of(book).find("enclosure", name).name == name


@given(st.text())
def test_a_note_comes_back_as_it_was_or_is_refused(text: str) -> None:
    from slurrycalc.logbook.store import in_memory

    with in_memory() as book:
        try:
            step = Step("event", When(at(0)), note=text)
        except Refusal:
            return
        record(book, step, at(0))
        (kept,) = book.rows("SELECT note FROM entry")[0]
        assert (kept or "") == text.strip()


def test_an_unknown_setting_is_refused(book: Store) -> None:
    step = Step("kit", When(at(0)))
    with pytest.raises(Refusal, match="nothing is called `colour` of a probe"):
        step.thing("probe", "stick", {"colour": "red"})


@pytest.mark.parametrize("wrong", [float("nan"), float("inf")])
def test_a_number_that_is_none_is_refused(wrong: float) -> None:
    step = Step("probe", When(at(0)))
    with pytest.raises(Refusal, match="is no number that can be recorded"):
        step.probing(wrong)


def test_the_future_is_refused(book: Store) -> None:
    for when in (When(at(0, 12)), When.on(at(1).date(), at(0).tzinfo)):  # type: ignore[arg-type]
        with pytest.raises(Refusal, match="lies in the future"):
            record(book, Step("probe", when), at(0, 11))
    # Noon stands for a day without a time, and is no future in the morning of that day.
    record(book, Step("probe", When.on(at(0).date(), at(0).tzinfo)), at(0, 9))  # type: ignore[arg-type]
