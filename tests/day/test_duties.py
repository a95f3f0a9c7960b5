"""What the record says is due, of every enclosure, bottle and probe in use."""

from __future__ import annotations

import datetime

import pytest

from slurrycalc.day.months.duties import Duties, duties
from slurrycalc.day.months.retest import bounds_of, retest_of
from slurrycalc.day.months.series import series_of
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.deciding.bed import read_by
from slurrycalc.logbook.mend import undo
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs

TODAY = datetime.date(2024, 6, 1)
NOW = datetime.datetime(2024, 6, 1, 12, tzinfo=datetime.UTC)


def day(ago: int) -> datetime.date:
    return TODAY - datetime.timedelta(days=ago)


def keeper(book: Store, ago: int = 0, kind: str = "read") -> Keeper:
    return Keeper(book, Step(kind, When.on(day(ago), datetime.UTC)), now=NOW, new=True, inputs=Inputs())


def said(book: Store, kind: str, name: str, /, **settings: object) -> None:
    """Say something of a thing, which is added where it is not there."""
    one = keeper(book, kind="kit")
    known = one.recall.things.seek(kind, name)
    uid = one.step.thing(kind, name) if known is None else known.uid
    for key, value in settings.items():
        one.step.setting(uid, key, value)
    one.record(book)


def read(book: Store, ago: int, name: str, *shows: float) -> int:
    """Read slurries of an enclosure, whose pH is stated."""
    one = keeper(book, ago)
    uid = one.thing("enclosure", name).uid
    for each in shows:
        one.step.reading(one.step.slurry(uid), None, each, u=0.02)
    return one.record(book).id.entry


def event(book: Store, ago: int, name: str, kind: str) -> int:
    one = keeper(book, ago, "event")
    one.step.event(one.thing("enclosure", name).uid, kind)
    return one.record(book).id.entry


def probed(book: Store, ago: int, name: str) -> int:
    one = keeper(book, ago, "probe")
    one.step.probing(6.0, probe=one.thing("probe", name).uid)
    return one.record(book).id.entry


def asked(book: Store, *names: tuple[str, str], ahead: int | None = None) -> Duties:
    recall = Recall(book, Inputs())
    of = [recall.things.find(kind, name) for kind, name in names] or None
    return duties(recall, TODAY, of=of, ahead=ahead)


def on(found: Duties) -> dict[tuple[str, str], int]:
    """Give in how many days each thing is due."""
    return {(duty.due.task, duty.thing.name): duty.due.days for duty in found.every}


@pytest.fixture
def book() -> Store:
    return in_memory()


class TestReadings:
    def test_one_bench_day_is_good_for_a_month(self, book: Store) -> None:
        read(book, 10, "atlas", 5.8, 5.9)
        assert on(asked(book)) == {("retest", "atlas"): 20}

    def test_a_falling_one_is_due_by_its_own_floor(self, book: Store) -> None:
        for i, ph in enumerate([6.4, 6.3, 6.2, 6.1, 6.0, 5.9]):
            read(book, 150 - 30 * i, "atlas", ph)
        said(book, "enclosure", "atlas", floor=5.5)
        near = on(asked(book))["retest", "atlas"]
        said(book, "enclosure", "atlas", floor=5.0)
        far = on(asked(book))["retest", "atlas"]
        assert 30 < near < far
        recall = Recall(book, Inputs())
        series = series_of(recall, recall.things.find("enclosure", "atlas"))
        assert series is not None
        by_hand = read_by(series.taught.bed, [("floor", 5.0)], u_shared=series.taught.u_shared)
        assert far == (by_hand.by - TODAY).days

    def test_a_rising_one_is_due_by_the_upper_end_of_its_range_and_a_level_one_is_not(
        self, book: Store
    ) -> None:
        for i, ph in enumerate([5.9, 6.0, 6.1, 6.2, 6.3, 6.4]):
            read(book, 150 - 30 * i, "rising", ph)
            read(book, 150 - 30 * i, "level", 6.4 + 0.01 * (-1) ** i)
        found = on(asked(book))
        assert found["retest", "rising"] <= 30
        assert found["retest", "level"] == 122  # four months

    def test_what_was_done_after_the_last_reading_asks_for_one(self, book: Store) -> None:
        read(book, 60, "atlas", 5.2)
        event(book, 40, "atlas", "exchange")
        assert on(asked(book)) == {("retest", "atlas"): -33}  # a week after it, as its plan says
        read(book, 20, "atlas", 5.9)
        assert 0 < on(asked(book))["retest", "atlas"] < 100

    def test_struck_out_readings_do_not_count(self, book: Store) -> None:
        read(book, 25, "atlas", 5.8)
        entry = read(book, 5, "atlas", 5.8)
        undo(book, NOW, str(entry))
        assert on(asked(book)) == {("retest", "atlas"): 5}

    def test_one_that_was_read_in_another_mixture_only_wants_the_usual_one(self, book: Store) -> None:
        one = keeper(book, 10)
        one.step.reading(one.step.slurry(one.thing("enclosure", "atlas").uid, ratio=5.0), None, 6.1, u=0.1)
        one.record(book)
        (duty,) = asked(book).every
        assert (duty.due.days, duty.due.why) == (0, "no 1:2 slurry of it was read yet")

    def test_an_interval_of_its_own_and_never(self, book: Store) -> None:
        read(book, 10, "atlas", 5.8)
        said(book, "enclosure", "atlas", read_every=14)
        assert on(asked(book)) == {("retest", "atlas"): 4}
        said(book, "enclosure", "atlas", read_every="never")
        assert on(asked(book)) == {}
        said(book, "enclosure", "atlas", read_every=None)
        assert on(asked(book)) == {("retest", "atlas"): 20}

    def test_a_steady_jar_is_slurried_once_a_month(self, book: Store) -> None:
        said(book, "enclosure", "jar", steady=True)
        read(book, 10, "jar", 5.8)
        read(book, 40, "jar", 5.7)
        assert on(asked(book)) == {("steady-jar", "jar"): 20}


class TestTending:
    def test_it_counts_from_the_last_that_stands(self, book: Store) -> None:
        said(book, "enclosure", "atlas", read_every="never", litter_every=60)
        event(book, 100, "atlas", "leaf-litter")
        last = event(book, 50, "atlas", "leaf-litter")
        event(book, 300, "atlas", "charcoal")
        assert on(asked(book)) == {("leaf-litter", "atlas"): 10, ("charcoal", "atlas"): 65}
        undo(book, NOW, str(last))
        assert on(asked(book))["leaf-litter", "atlas"] == -40
        said(book, "enclosure", "atlas", charcoal_every="never")
        assert on(asked(book)) == {("leaf-litter", "atlas"): -40}

    def test_one_value_that_was_struck_out_of_an_entry_does_not_count(self, book: Store) -> None:
        said(book, "enclosure", "atlas", read_every="never")
        one = keeper(book, 20, "run")
        uid = one.thing("enclosure", "atlas").uid
        one.step.event(uid, "water")
        one.step.event(uid, "leaf-litter")
        entry = one.record(book).id.entry
        event(book, 50, "atlas", "leaf-litter")
        assert on(asked(book)) == {("leaf-litter", "atlas"): 71}
        undo(book, NOW, f"{entry}.2")
        assert on(asked(book)) == {("leaf-litter", "atlas"): 41}

    def test_open_stages_are_due_and_keep_their_uid_when_one_before_is_done(self, book: Store) -> None:
        plan = [[day(30).isoformat(), 0.3], [day(2).isoformat(), 0.3], [day(-26).isoformat(), 0.3]]
        said(book, "enclosure", "atlas", stages=plan, read_every="never")
        before = {duty.due.on: duty.uid for duty in asked(book).every}
        event(book, 30, "atlas", "exchange")
        after = {duty.due.on: duty.uid for duty in asked(book).every}
        assert list(before) == [day(30), day(2), day(-26)]
        assert after == {on: uid for on, uid in before.items() if on != day(30)}
        assert len(set(before.values())) == 3


class TestWhatIsInUse:
    def test_retired_things_and_tubs_of_fresh_mix_are_left_out(self, book: Store) -> None:
        for name in ("atlas", "old"):
            read(book, 10, name, 5.8)
        said(book, "enclosure", "old", retired=day(5).isoformat())
        said(book, "enclosure", "leaf mix", fresh=True)
        said(book, "bottle", "acid 1", label="4.01", opened=day(300).isoformat(), retired=day(9).isoformat())
        said(book, "bottle", "acid 2", label="4.01", opened=day(100).isoformat())
        said(book, "bottle", "neutral", label="7.00", expires=day(-7).isoformat())
        said(book, "bottle", "no date", label="10.01")
        assert on(asked(book)) == {
            ("buffer-bottle", "neutral"): 7,
            ("retest", "atlas"): 20,
            ("buffer-bottle", "acid 2"): 83,
        }

    def test_a_probe_counts_from_its_last_indication_that_stands(self, book: Store) -> None:
        probed(book, 6, "stick")
        last = probed(book, 1, "stick")
        assert on(asked(book)) == {("probe-check", "stick"): 6}
        undo(book, NOW, str(last))
        assert on(asked(book)) == {("probe-check", "stick"): 1}
        said(book, "probe", "stick", check_every=30)
        assert on(asked(book)) == {("probe-check", "stick"): 24}
        said(book, "probe", "stick", check_every="never")
        assert on(asked(book)) == {}

    def test_named_ones_alone_and_only_so_far_ahead(self, book: Store) -> None:
        for name, ago in (("atlas", 10), ("window", 20), ("stairs", 40)):
            read(book, ago, name, 5.8)
        named = asked(book, ("enclosure", "window"), ("enclosure", "stairs"))
        assert on(named) == {("retest", "stairs"): -10, ("retest", "window"): 10}
        assert [duty.thing.name for duty in named.overdue] == ["stairs"]
        assert on(asked(book, ahead=10)) == {("retest", "stairs"): -10, ("retest", "window"): 10}

    def test_an_enclosure_and_a_probe_of_one_name_are_two(self, book: Store) -> None:
        read(book, 10, "stick", 5.8)
        probed(book, 1, "stick")
        found = asked(book)
        assert [duty.thing.kind for duty in found.every] == ["probe", "enclosure"]
        assert len({duty.thing.uid for duty in found.every}) == 2

    def test_of_a_meter_or_a_retired_enclosure_nothing_comes_due(self, book: Store) -> None:
        said(book, "meter", "desk", shows="pH")
        said(book, "enclosure", "old", retired=day(5).isoformat())
        with pytest.raises(Refusal, match="`desk` is a meter"):
            asked(book, ("meter", "desk"))
        with pytest.raises(Refusal, match="was retired on 2024-05-27"):
            asked(book, ("enclosure", "old"))


def test_a_uid_stays_when_the_thing_is_renamed_and_when_its_day_moves(book: Store) -> None:
    read(book, 10, "atlas", 5.8)
    (before,) = asked(book).every
    said(book, "enclosure", "atlas", name="annex")
    read(book, 5, "annex", 5.8)
    (after,) = asked(book).every
    assert (before.uid, before.due.subject) == (after.uid, "atlas")
    assert (after.due.subject, after.due.on != before.due.on) == ("annex", True)


def test_asked_of_an_earlier_day_it_answers_as_on_that_day(book: Store) -> None:
    read(book, 60, "atlas", 5.8)
    event(book, 60, "atlas", "leaf-litter")
    probed(book, 50, "stick")
    said(book, "bottle", "acid 2", label="4.01", opened=day(20).isoformat(), expires=day(-9).isoformat())
    before = duties(Recall(book, Inputs()), day(40))
    read(book, 20, "atlas", 5.7)
    event(book, 30, "atlas", "leaf-litter")
    probed(book, 20, "stick")
    event(book, 20, "atlas", "exchange")
    said(book, "enclosure", "atlas", retired=day(10).isoformat())
    after = duties(Recall(book, Inputs()), day(40))
    assert [(duty.uid, duty.due) for duty in before.every] == [(duty.uid, duty.due) for duty in after.every]
    assert on(after) == {
        ("probe-check", "stick"): -3,
        ("retest", "atlas"): 10,
        ("buffer-bottle", "acid 2"): 49,
        ("leaf-litter", "atlas"): 71,
    }
    assert on(asked(book)).keys() == {("probe-check", "stick"), ("buffer-bottle", "acid 2")}


def test_the_upper_end_of_the_range_counts_only_where_a_rise_is_shown(book: Store) -> None:
    for i, steady in enumerate([6.3, 6.32, 6.29, 6.33, 6.3, 6.32]):
        read(book, 30 * (6 - i), "atlas", steady)
        read(book, 30 * (6 - i), "annex", 5.8 + 0.1 * i)
    recall = Recall(book, Inputs())
    found = {name: series_of(recall, recall.things.find("enclosure", name)) for name in ("atlas", "annex")}
    assert bounds_of(found["atlas"].taught) == [("floor", 5.0)]
    assert retest_of(found["atlas"]).reason == "longest"
    assert bounds_of(found["annex"].taught) == [("floor", 5.0), ("ceiling", 6.5)]
    assert retest_of(found["annex"]).reason in ("limit", "at once")
    assert retest_of(found["annex"], ((5.0, 8.0), None)).by > retest_of(found["annex"]).by
