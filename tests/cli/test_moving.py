"""What was written down of the wrong enclosure moves to the right one, and the slip stays visible."""

from __future__ import annotations

import json

import pytest

POINTS = ("4.01=4.06@21C", "7.00=7.04@21C")


@pytest.fixture
def room(run, logbook):
    """Two cases, a meter, a probe; two jars and a pair that were read in one of the cases."""
    for line in (
        ("enclosure", "atlas", "--new"),
        ("enclosure", "stairs", "--new"),
        ("kit", "probe", "stick"),
        ("calibrate", *POINTS, "--meter", "desk", "--new"),
        ("read", "atlas", "5.58@21C", "5.66@21C"),
        ("compare", "atlas", "5.9=#5.1"),
        ("event", "atlas", "leaf-litter", "--amount", "1 L"),
    ):
        assert run(*line).status == 0, line
    return logbook


def read(run, name):
    return [one for one in entries(run, name) if one["struck"] is None]


def entries(run, name):
    told = json.loads(run("history", name, "--json").out)["result"]["entries"]
    return [item for entry in told for item in entry["items"] if item["of"] == name]


def stands(run, name):
    return {item["id"]: item["text"] for item in read(run, name) if item["id"] and not item["struck"]}


def test_an_entry_moves_with_all_that_was_read_in_it(run, room):
    before = json.loads(run("show", "atlas", "--json").out)["result"]["cards"][0]["standing"]["enclosures"]
    ran = run("fix", "5", "--enclosure", "stairs", "--because", "wrong case")
    assert ran.status == 0
    assert "Moved to stairs: wrong case" in ran.out
    assert "brings it back to where it was" in ran.out
    after = json.loads(run("show", "stairs", "--json").out)["result"]["cards"][0]["standing"]["enclosures"]
    assert after[0]["slurry"]["ph"] == before[0]["slurry"]["ph"]
    assert "atlas was not read yet" in run("show", "atlas").out
    old = [item for item in entries(run, "atlas") if item["id"] in ("5.1", "5.2")]
    assert [item["struck"] for item in old] == ["struck out by 8: wrong case"] * 2


def test_a_jar_moves_with_its_probe_pair_and_leaves_the_others(run, room):
    assert run("fix", "5.1", "--enclosure", "stairs").status == 0
    assert next(iter(stands(run, "atlas").values())).startswith("atlas shows 5.66")
    assert any("5.58" in text for text in stands(run, "stairs").values())
    assert any("probe stick in stairs shows 5.9" in text for text in _probed(run))
    compared = json.loads(run("compare", "stick", "--json").out)["result"]
    assert compared["comparison"]["n"] == 1


def _probed(run):
    told = json.loads(run("history", "stick", "--json").out)["result"]["entries"]
    return [item["text"] for entry in told for item in entry["items"] if item["struck"] is None]


def test_undo_brings_it_back_to_where_it_was(run, room):
    was = stands(run, "atlas")
    assert run("fix", "5", "--enclosure", "stairs").status == 0
    assert run("undo").status == 0
    assert stands(run, "atlas") == was
    assert not [text for text in stands(run, "stairs").values() if "shows" in text]


def test_an_event_moves(run, room):
    assert run("fix", "7", "--enclosure", "stairs").status == 0
    assert any("leaf-litter" in text for text in stands(run, "stairs").values())


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (("fix", "5", "--enclosure", "atlas"), "`5` is of `atlas` already"),
        (("fix", "5", "--enclosure", "stiars"), "did you mean `stairs`?"),
        (("fix", "4", "--enclosure", "stairs"), "nothing that was read in an enclosure"),
        (("fix", "4.1", "--enclosure", "stairs"), "it cannot be moved"),
        (("fix", "99", "--enclosure", "stairs"), "there is no entry"),
        (("fix", "5"), "lacks VALUE, or --enclosure NAME"),
        (("fix", "5.1", "5.6", "--enclosure", "stairs"), "one of them"),
        # The reason is --because; --why shows the evidence.
        (("fix", "5.1", "5.6", "--why", "misread"), "`5.6 misread` has a unit that is not known here"),
    ],
)
def test_what_cannot_be_moved_is_refused_and_nothing_is_recorded(run, room, line, says):
    before = room.read_bytes()
    ran = run(*line)
    assert (ran.status, ran.out) == (2, "")
    assert says in ran.err
    assert room.read_bytes() == before


def test_an_entry_of_several_enclosures_is_named_value_by_value(run, room, tmp_path):
    table = tmp_path / "day.csv"
    table.write_text("jar,enclosure,reading,temperature\nA1,atlas,5.41,21\nB1,stairs,5.62,21\n")
    assert (
        run(
            "run",
            str(table),
            "--meter",
            "desk",
            "--on",
            "yesterday",
            "--buffer",
            POINTS[0],
            "--buffer",
            POINTS[1],
        ).status
        == 0
    )
    refused = run("fix", "8", "--enclosure", "stairs")
    assert "is of several enclosures, atlas, stairs; name one of its values" in refused.err
