"""What comes out of the record is what went in, with everything that it shares."""

from __future__ import annotations

import datetime
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from uncertainties import UFloat

from slurrycalc.logbook.mend import undo
from slurrycalc.logbook.past import expectation, jars, pairs
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import Ref, When
from slurrycalc.logbook.replicates import replicates
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, open_logbook
from slurrycalc.measuring import electrode
from slurrycalc.measuring.electrode import Meter, Point
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.expected import SLURRIES
from slurrycalc.measuring.probe import compare
from slurrycalc.measuring.slurry import slurry_ph
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.uncertain import Inputs, covariance, source_of
from tests.logbook.room import EAST, MAY, Kit, at, calibrate, furnish, read

ROOT = Path(__file__).parents[2]
IN_A_PROCESS = """
import sys
from pathlib import Path
from room import *
from slurrycalc.logbook.store import open_logbook
with open_logbook(Path(sys.argv[1])) as book:
    kit = kit_of(book)
    day = int(sys.argv[2])
    _, calibration = calibrate(book, kit, at(day), tuple(map(float, sys.argv[3].split())), float(sys.argv[4]))
    read(book, kit, at(day), calibration, kit.atlas, tuple(map(float, sys.argv[5].split())))
"""


def in_a_process(path: Path, *words: str) -> None:
    line = [sys.executable, "-c", IN_A_PROCESS, str(path), *words]
    roads = os.pathsep.join((str(ROOT), str(Path(__file__).parent)))
    subprocess.run(line, check=True, cwd=ROOT, env=os.environ | {"PYTHONPATH": roads})


def by_hand(kit: Kit) -> list[UFloat]:
    """The same two days in one process, without any record."""
    inputs = Inputs()
    desk = Meter("pH", name="desk", key=f"meter:{kit.desk}")
    acid = Bottle("4.01", "acid 2", 0.02, key=f"bottle:{kit.acid}")
    neutral = Bottle("7.00", "neutral 2", key=f"bottle:{kit.neutral}")
    results = []
    for (seven, four), close, shown in (
        ((7.04, 4.06), 7.06, (5.97, 6.02)),
        ((6.98, 4.00), 7.00, (5.80, 5.91)),
    ):
        cal = electrode.calibrate(
            [Point(neutral, seven, 21.0), Point(acid, four, 21.0)], desk, inputs=inputs
        ).close(neutral, close, 21.5)
        results.append(slurry_ph(cal, shown, temperature=21.5).ph)
    return results


def test_two_results_recorded_in_two_processes_have_the_covariance_of_one(path: Path) -> None:
    with open_logbook(path) as book:
        kit = furnish(book)
    in_a_process(path, "0", "7.04 4.06", "7.06", "5.97 6.02")
    in_a_process(path, "28", "6.98 4.00", "7.00", "5.80 5.91")
    march, april = by_hand(kit)
    with open_logbook(path, writes=False) as book:
        recall = Recall(book, Inputs())
        atlas = recall.things.find("enclosure", "atlas")
        found = [
            slurry_ph(None, [jar.ph for jar in jars(recall.readings(atlas, since=day, until=day))]).ph
            for day in (at(0).date(), at(28).date())
        ]
    assert [each.n for each in found] == pytest.approx([march.n, april.n], abs=1e-12)
    assert [each.s for each in found] == pytest.approx([march.s, april.s], rel=1e-9)
    expected = covariance(march, april)
    assert covariance(*found) == pytest.approx(expected, rel=1e-9)
    # Bottles, junction and thermometer are the same; it must be no small part.
    assert expected > 0.0004
    assert (found[1] - found[0]).s == pytest.approx((april - march).s, rel=1e-9)


def test_two_sessions_share_no_input(book: Store) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0))
    read(book, kit, at(0), calibration, kit.atlas)
    one, other = (Recall(book, Inputs()).readings().number(0) for _ in range(2))
    assert covariance(one, other) == 0.0


def repeated(step: Step, calibration: Ref, kit: Kit) -> None:
    step.reading(step.slurry(kit.atlas), calibration, (5.97, 5.99, 5.98), 21.5)


def without_temperature(step: Step, calibration: Ref, kit: Kit) -> None:
    step.reading(step.slurry(kit.atlas), calibration, 5.97)


def plain(step: Step, calibration: Ref, kit: Kit) -> None:
    step.reading(step.slurry(kit.atlas), calibration, 5.97, 21.5)


def handed_down(step: Step, calibration: Ref, kit: Kit) -> None:
    step.reading(step.slurry(kit.atlas), None, 5.9)


def stated(step: Step, calibration: Ref, kit: Kit) -> None:
    step.reading(step.slurry(kit.atlas), None, 5.9, u=0.1)


READ = (plain, repeated, without_temperature, handed_down, stated)


@pytest.mark.parametrize("kind", READ, ids=lambda each: each.__name__)
def test_a_reading_by_itself_and_among_many_is_the_same(
    book: Store, kind: Callable[[Step, Ref, Kit], None]
) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0), close=7.05)
    step = Step("read", When(at(0)))
    for each in (plain, kind, kind):
        each(step, calibration, kit)
    record(book, step, at(0))
    found = Recall(book, Inputs()).readings()
    numbers = [found.number(i) for i in range(3)]
    many = [found.batch.number(i) for i in range(3)]
    assert [each.n for each in many] == pytest.approx([each.n for each in numbers], abs=1e-12)
    assert [each.s for each in many] == pytest.approx([each.s for each in numbers], rel=1e-9)
    assert found.u == pytest.approx([each.s for each in numbers], rel=1e-9)
    for i in range(3):
        for j in range(i):
            assert covariance(many[i], many[j]) == pytest.approx(
                covariance(numbers[i], numbers[j]), rel=1e-9, abs=1e-15
            )


def test_a_plain_reading_has_the_inputs_of_the_whole_road(book: Store) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0), close=7.05)
    read(book, kit, at(0), calibration, kit.atlas, (5.97,))
    recall = Recall(book, Inputs())
    found = recall.readings()
    whole = recall.calibration(calibration).ph(5.97, 21.5, key=found.key(0))
    difference = whole - found.number(0)
    assert difference.n == pytest.approx(0.0, abs=1e-12)
    assert difference.s == pytest.approx(0.0, abs=1e-12)


def test_values_that_were_handed_down_together_share_an_unrecorded_calibration(book: Store) -> None:
    kit = furnish(book)
    for day in (0, 1):
        step = Step("import", When(at(day)))
        handed_down(step, Ref("", 0), kit)
        handed_down(step, Ref("", 0), kit)
        record(book, step, at(day))
    found = Recall(book, Inputs()).readings()
    assert covariance(found.number(0), found.number(1)) == pytest.approx(0.05**2)
    assert covariance(found.number(1), found.number(2)) == 0.0


def test_a_rename_and_a_new_tolerance_leave_a_bottle_the_same_error(book: Store) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0))
    read(book, kit, at(0), calibration, kit.atlas, (5.97,))
    step = Step("kit", When(at(1)))
    step.setting(kit.acid, "name", "acid, opened in May")
    step.setting(kit.acid, "tolerance", 0.05)
    record(book, step, at(1))
    number = Recall(book, Inputs()).readings().number(0)
    (acid,) = (each for each in number.derivatives if source_of(each).key == f"bottle:{kit.acid}")
    assert source_of(acid).name == "buffer 4.01 (acid, opened in May)"
    assert acid.std_dev == pytest.approx(0.05 / 3**0.5)


def test_settings_keep_their_old_values(book: Store) -> None:
    kit = furnish(book)
    for floor in (5.1, 5.2, None):
        step = Step("enclosure", When(at(1)))
        step.setting(kit.window, "floor", floor)
        record(book, step, at(1))
    window = Recall(book).things.by_uid[kit.window]
    assert window.get("floor") is None
    assert [said.value for said in window.said if said.key == "floor"] == [5.0, 5.1, 5.2, None]


def test_the_last_calibration_of_the_day_before_the_reading_counts(book: Store) -> None:
    kit = furnish(book)
    first, second = (calibrate(book, kit, at(0, hour))[1] for hour in (9, 14))
    recall = Recall(book, Inputs())
    desk = recall.things.find("meter", "desk")

    def used(when: When) -> Ref:
        return recall.last_calibration(desk, when).ref

    assert used(When(at(0, 10))) == first
    assert used(When(at(0, 15))) == second
    assert used(When.on(at(0).date(), EAST)) == second
    with pytest.raises(Refusal, match="only at 09:30, after this reading at 08:30"):
        used(When(at(0, 8)))
    with pytest.raises(Refusal, match="no calibration of 2024-05-05"):
        used(When(at(1)))


def test_own_past_counts_in_full_and_all_else_for_four(book: Store) -> None:
    kit = furnish(book)
    for day in range(3):
        _, calibration = calibrate(book, kit, at(7 * day))
        for name, spread in (("window", 0.04), ("stairs", 0.3), ("atlas", 0.2)):
            read(book, kit, at(7 * day), calibration, getattr(kit, name), (5.9, 5.9 + spread, 5.9))
    recall = Recall(book, Inputs())
    window = recall.things.find("enclosure", "window")
    now = expectation(recall, window, at(21).date())
    assert (now.own_days, now.other_days) == (3, 6)
    assert now.own is not None
    assert now.own.dof == 6
    assert now.rest.dof == 4.0
    assert now.scatter == now.own + now.rest
    assert now.scatter.dof == 10
    # Earlier days only, and a steady jar teaches nothing about others.
    assert expectation(recall, window, at(0).date()).scatter == SLURRIES
    assert expectation(recall, window, at(7).date()).own_days == 1
    step = Step("enclosure", When(at(21)))
    step.setting(kit.stairs, "steady", True)
    record(book, step, at(21))
    assert expectation(Recall(book, Inputs()), window, at(21).date()).other_days == 3


def test_an_enclosure_that_is_alone_pools_with_the_usual_expectation(book: Store) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0))
    read(book, kit, at(0), calibration, kit.atlas, (5.9, 6.1))
    recall = Recall(book, Inputs())
    found = expectation(recall, recall.things.by_uid[kit.atlas], at(1).date())
    (day,) = replicates(recall.readings())
    own = Scatter(np.sqrt(day.rss - day.own_variance), 1)
    assert found.scatter == own + SLURRIES
    assert "1 earlier day of its own" in found.scatter.ground


def test_replicates_of_one_spot_and_repeated_readings_of_one_jar_count_once(book: Store) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0))
    step = Step("read", When(at(0)))
    for spot, shows in (("left", (5.8,)), ("Left", (5.9,)), (None, (6.0, 6.2))):
        jar = step.slurry(kit.atlas, spot=spot)
        for each in shows:
            step.reading(jar, calibration, each, 21.5)
    record(book, step, at(0))
    found = Recall(book, Inputs()).readings()
    (day,) = replicates(found)
    values = found.batch.values
    slurries = [values[:2].mean(), values[2:].mean()]
    assert day.n == 2
    assert day.mean == pytest.approx(np.mean(slurries))
    assert day.rss == pytest.approx(np.sum((slurries - np.mean(slurries)) ** 2))
    by_hand = [(found.number(0) + found.number(1)) / 2, (found.number(2) + found.number(3)) / 2]
    own = [
        sum(
            (s * v.std_dev) ** 2
            for v, s in each.derivatives.items()
            if source_of(v).key.startswith("reading:")
        )
        for each in by_hand
    ]
    assert day.own_variance == pytest.approx(np.mean(own))


def test_recorded_pairs_correct_the_probe_as_pairs_by_hand_would(book: Store) -> None:
    kit = furnish(book)
    for day in (0, 28):
        _, calibration = calibrate(book, kit, at(day))
        read(book, kit, at(day), calibration, kit.atlas, (5.97, 6.02), (6.6, 6.5))
        read(book, kit, at(day), calibration, kit.window, (5.14,), (5.7,))
    weekly = Step("probe", When(at(35)))
    weekly.probing(6.4, probe=kit.stick, enclosure=kit.atlas)
    record(book, weekly, at(35))
    recall = Recall(book, Inputs())
    found = pairs(recall, recall.things.by_uid[kit.stick])
    assert [pair.shows for pair in found] == [6.6, 6.5, 5.7] * 2
    assert {pair.enclosure.name for pair in found if pair.enclosure} == {"atlas", "window"}
    comparison = compare([pair.shows for pair in found], [pair.slurry for pair in found])
    # What six slurries share by their bottles stays in the offset.
    assert comparison.offset.s > compare([6.6, 6.5, 5.7] * 2, [pair.slurry.n for pair in found]).offset.s
    assert len(pairs(recall, recall.things.by_uid[kit.stick], before=at(28).date())) == 3


def test_the_day_of_an_entry_is_the_local_one(book: Store) -> None:
    kit = furnish(book)
    late = MAY.replace(hour=0, minute=30)
    _, calibration = calibrate(book, kit, late)
    read(book, kit, late, calibration, kit.atlas)
    recall = Recall(book, Inputs())
    assert len(recall.readings(since=datetime.date(2024, 5, 4))) == 2
    assert len(recall.readings(until=datetime.date(2024, 5, 3))) == 0
    assert book.rows("SELECT at FROM entry ORDER BY at LIMIT 1") == [("2024-05-03T22:30:00Z",)]


@pytest.mark.parametrize("newest", [1, 2, 3, 9])
def test_what_was_struck_out_is_none_of_the_newest(book: Store, newest: int) -> None:
    kit = furnish(book)
    for day in range(2, 8):
        _, under = calibrate(book, kit, at(day), (7.04, 4.06))
        read(book, kit, at(day), under, kit.atlas, (5.9,))
    last = [row.entry for row in Recall(book, Inputs()).readings().rows][-4:]
    for entry in last:
        undo(book, at(9), str(entry))
    recall = Recall(book, Inputs())
    every = [row.place for row in recall.readings().rows]
    assert len(every) == 2
    assert [row.place for row in recall.readings(newest=newest).rows] == every[-newest:]
