"""A slip is answered with what was meant where that is near, and with no guess where it is not."""

from __future__ import annotations

import pytest

from slurrycalc.metrology.names import near

KNOWN = ["atlas", "window", "map-chest", "bed-depth", "by", "Stairs"]


@pytest.mark.parametrize(
    ("slip", "meant"),
    [
        *(("windw", "window"), ("widnow", "window"), ("atals", "atlas"), ("stairz", "Stairs")),
        *(("bed", "bed-depth"), ("depth", "bed-depth"), ("mapchest", "map-chest"), ("win", "window")),
    ],
)
def test_a_near_word_is_guessed(slip, meant):
    assert near(slip, KNOWN) == meant


@pytest.mark.parametrize("far", ["porch", "be", "desk", "salt", "wi", "winter", "b", ""])
def test_a_far_word_is_not_guessed(far):
    assert near(far, KNOWN) is None


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        ("clibrate", "slurrycalc calibrate"),
        ("hist", "slurrycalc history"),
        ("exchnage atlas", "slurrycalc exchange"),
        ("exchange --bed 3", "--bed-depth"),
        ("mix --slurry 3", "--slurries"),
        ("enclosure atlas --depth 3", "--bed-depth"),
        ("kit mter desk", "meter"),
        ("kit botle", "bottle"),
    ],
)
def test_a_command_an_option_and_a_part_of_the_kit_are_guessed_where_near(run, line, meant):
    ran = run(*line.split())
    assert (ran.status, ran.out) == (2, "")
    assert f"did you mean {meant}?" in ran.err


@pytest.mark.parametrize(
    "line", ["serve", "compost", "zebra", "mix --colour red", "exchange --roof 3", "kit zebra desk"]
)
def test_nothing_is_guessed_where_nothing_is_near(run, line):
    ran = run(*line.split())
    assert (ran.status, ran.out) == (2, "")
    assert "did you mean" not in ran.err


@pytest.mark.parametrize(
    ("name", "meant"),
    [("atlsa", "atlas"), ("atlass", "atlas"), ("stik", "stick"), ("porch", None)],
)
def test_a_name_on_record_is_guessed_where_near(run, name, meant):
    for line in (("enclosure", "atlas"), ("enclosure", "case 2"), ("kit", "probe", "stick")):
        assert run(*line, "--new").status == 0
    ran = run("probe", "6.0", "--probe", name) if name == "stik" else run("trend", "--enclosure", name)
    assert ran.status == 2
    assert ("did you mean" in ran.err) == (meant is not None), ran.err
    assert meant is None or f"did you mean `{meant}`?" in ran.err
