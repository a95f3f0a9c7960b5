"""The keeper's own kit at the table: what is one's own is not asked for, and that is said."""

from __future__ import annotations

from dataclasses import replace

from slurrycalc.day.bench.guided.room import KnownMeter
from tests.day.test_guided import ROOM, SETUP, Table

TWO = replace(ROOM, meters=(KnownMeter("lab", "pH"), KnownMeter("desk", "pH")), probes=("wand", "stick"))


def test_of_two_meters_and_probes_ones_own_are_taken_and_said() -> None:
    table = Table(replace(TWO, own_meter="desk", own_probe="stick"))
    assert "Taken from your kit: meter desk, probe stick." in table.says()
    table.through(SETUP, "probe A1")
    kept = {reply.key: reply.value for reply in table.answers()}
    assert kept["meter"]["name"] == "desk"
    assert kept["probe"] == "stick"


def test_of_two_meters_and_probes_none_is_taken_that_is_not_ones_own() -> None:
    table = Table(TWO)
    assert "from your kit" not in table.says()
    table.type("all")
    table.type("2")
    assert table.ask.key == "meter"
