"""Enclosures, meters, probes, bottles and the cup: added, shown, changed, and never lost."""

from __future__ import annotations

import json

import pytest
from jsonschema import Draft202012Validator


@pytest.fixture
def things(run):
    """Run a line that must do well, and give the things of its JSON object, held to its schema."""

    def once(*words: str):
        ran = run(*words, "--json")
        assert (ran.status, ran.err) == (0, "")
        whole = json.loads(ran.out)
        Draft202012Validator(json.loads(run(words[0], "--schema").out)).validate(whole)
        return whole["result"]

    return once


def settings(result) -> dict[str, tuple[str, list[float]]]:
    (thing,) = result["things"]
    return {one["key"]: (one["text"], one["numbers"]) for one in thing["settings"]}


def test_an_enclosure_is_added_with_what_is_said_of_it(things, run):
    words = (
        "--size",
        "60x45 cm",
        "--bed-depth",
        "4 in",
        "--target",
        "5.2:6.4",
        "--floor",
        "4,9",
        "--steady",
        "yes",
    )
    added = things("enclosure", "atlas", *words)
    assert added["saved"] == {"id": "1", "values": [], "logbook": added["logbook"], "clock": None}
    again = things("enclosure", "ATLAS")
    assert again["saved"] is None
    assert settings(again) == {
        "size": ("60 x 45 cm", [60.0, 45.0]),
        "bed_depth": ("4 in", [pytest.approx(10.16)]),
        "target": ("pH 5.2 to 6.4", [5.2, 6.4]),
        "floor": ("pH 4.9", [4.9]),
        "steady": ("yes", []),
    }
    assert run("enclosure", "atlas").out.rstrip().endswith("Nothing changed.")


@pytest.mark.parametrize(
    "size", ["60x45 cm", "60 cm x 45 cm", "60 × 45cm", "0.6x0.45 m", "23.622 in x 17.7165 in"]
)
def test_a_footprint_may_be_written_in_any_way(things, size):
    assert settings(things("enclosure", "atlas", "--size", size))["size"][1] == pytest.approx(
        [60, 45], abs=0.01
    )


@pytest.mark.parametrize(
    ("size", "depth", "shown"),
    [
        ("24x18 in", "4 in", ("24 x 18 in", "4 in")),
        ('24" x 18"', '4"', ("24 x 18 in", "4 in")),
        ("2 ft x 18 in", "10 cm", ("24 x 18 in", "10 cm")),
        ("60x45 cm", "100 mm", ("60 x 45 cm", "100 mm")),
        ("25 in x 63.5 cm", "4", ("63.5 x 63.5 cm", "4 cm")),
    ],
)
def test_lengths_stay_in_the_unit_in_which_they_are_typed(things, run, size, depth, shown):
    things("enclosure", "atlas", "--size", size, "--bed-depth", depth)
    for page in (run("enclosure", "atlas").out, run("show", "atlas").out, run("history", "atlas").out):
        assert all(words in page for words in shown), page
    bed = run("exchange", "atlas", "--now", "5.1+-0.1", "--fresh", "6.6+-0.1", "--want", "5.9", "--why").out
    assert f"{shown[0]}, {shown[1]} deep" in bed


def test_a_size_comes_through_an_export_in_the_unit_in_which_it_was_typed(things, run, tmp_path):
    things("enclosure", "atlas", "--size", "24x18 in", "--bed-depth", "4 in")
    assert run("export", str(tmp_path / "out")).status == 0
    other = ("--logbook", str(tmp_path / "other.sqlite"))
    assert run("import", str(tmp_path / "out"), *other).status == 0
    assert "24 x 18 in" in run("enclosure", "atlas", *other).out


def test_the_volume_of_a_bed_is_said_as_it_was_typed(things, run):
    things("enclosure", "atlas", "--new")
    numbers = ("--now", "5.1+-0.1", "--fresh", "6.6+-0.1", "--want", "5.9")
    for line in (("exchange", "atlas", *numbers), ("upkeep", "atlas", "--drift", "-0.08", "--fresh", "6.6")):
        for volume in ("12 L", "10 gal"):
            ran = run(*line, "--volume", volume, "--why")
            assert f"Bed: {volume}, as given" in ran.out, ran.out + ran.err


def test_what_was_said_before_stays(things):
    things("enclosure", "atlas", "--target", "5.4:6.5")
    things("enclosure", "atlas", "--target", "5.2:6.4")
    things("enclosure", "atlas", "--target", "none")
    assert settings(things("enclosure", "atlas")) == {}
    things("enclosure", "atlas", "--target", "5:6")
    (thing,) = things("enclosure", "atlas")["things"]
    (target,) = thing["settings"]
    assert (target["numbers"], target["since"]) == ([5.0, 6.0], "4")
    assert target["before"] == ["pH 5.2 to 6.4", "pH 5.4 to 6.5"]


@pytest.mark.parametrize("blank", ["", "  ", "none"])
def test_a_blank_note_takes_the_note_back_and_can_be_handed_on(things, run, tmp_path, blank):
    things("enclosure", "atlas", "--note", "by the door")
    things("kit", "bottle", "blue", "--label", "7.00", "--lot", "A1")
    assert settings(things("enclosure", "atlas", "--note", blank)) == {}
    assert "lot" not in settings(things("kit", "bottle", "blue", "--lot", blank))
    assert run("enclosure", "stairs", "--note", blank).status == 0
    assert run("export", str(tmp_path / "out")).status == 0
    other = str(tmp_path / "other.sqlite")
    assert run("import", str(tmp_path / "out"), "--logbook", other).err == ""


def test_saying_the_same_again_records_nothing(things, logbook):
    things("enclosure", "atlas", "--target", "5.4:6.5")
    before = logbook.read_bytes()
    assert things("enclosure", "atlas", "--target", "5.4:6.5")["saved"] is None
    assert logbook.read_bytes() == before


def test_a_rename_keeps_the_thing(things, run):
    things("enclosure", "atlas", "--floor", "4.8")
    (renamed,) = things("enclosure", "atlas", "--rename", "annex")["things"]
    assert (renamed["name"], renamed["former_names"]) == ("annex", ["atlas"])
    assert settings(things("enclosure", "annex")) == {"floor": ("pH 4.8", [4.8])}
    refused = run("read", "5.6", "--buffer", "4.01=4.06", "--buffer", "7.00=7.04", "--enclosure", "atlas")
    assert refused.status == 2
    assert "no enclosure `atlas`: it is called `annex` now" in refused.err
    assert "it is called `annex` now" in run("enclosure", "atlas").err
    assert run("enclosure", "atlas", "--new").status == 0


def test_a_retired_one_takes_no_reading_until_it_is_in_use_again(things, run):
    things("enclosure", "atlas", "--new")
    (retired,) = things("enclosure", "atlas", "--retired", "2024-05-01")["things"]
    assert retired["retired"] == "2024-05-01"
    line = ("event", "atlas", "water", "--amount", "1 L")
    assert "was retired on 2024-05-01" in run(*line, "--on", "2024-05-02").err
    assert run(*line, "--on", "2024-04-30").status == 0
    assert run("enclosure", "atlas", "--retired", "none").status == 0
    assert run(*line, "--on", "2024-05-02").status == 0


def test_the_kit_holds_meters_probes_bottles_and_the_cup(things, run, logbook):
    things(
        "kit",
        "meter",
        "desk",
        "--shows",
        "pH",
        "--resolution",
        "0.1",
        "--junction",
        "0.03",
        "--thermometer",
        "0.5",
    )
    things("kit", "probe", "stick", "--resolution", "0.1")
    things(
        "kit",
        "bottle",
        "acid 2",
        "--label",
        "4,01",
        "--tolerance",
        "0.01",
        "--lot",
        "B [7]",
        "--expires",
        "2030-01-31",
    )
    things("kit", "bottle", "7.00")
    things("kit", "cup", "240", "mL")
    every = things("kit")["things"]
    assert [(one["kind"], one["name"]) for one in every] == [
        ("meter", "desk"),
        ("probe", "stick"),
        ("bottle", "acid 2"),
        ("bottle", "7.00"),
        ("cup", "cup"),
    ]
    assert settings(things("kit", "bottle", "7.00"))["label"] == ("7.00", [])
    assert settings(things("kit", "meter", "desk"))["resolution_pH"] == ("pH 0.1", [0.1])
    ran = run("kit")
    assert str(logbook) in ran.out
    assert "lot B [7]" in ran.out
    assert [one["name"] for one in things("kit", "bottles")["things"]] == ["acid 2", "7.00"]
    things("kit", "cup", "metric")
    assert settings(things("kit", "cup", "250 mL"))["volume"] == ("250 mL", [250.0])


def test_intervals_are_said_in_any_unit_and_never_is_one_of_them(things, run):
    things("enclosure", "atlas", "--read-every", "6 weeks", "--litter-every", "1 year")
    things("enclosure", "atlas", "--charcoal-every", "never")
    assert settings(things("enclosure", "atlas")) == {
        "read_every": ("42 d", [42.0]),
        "litter_every": ("365 d", [365.0]),
        "charcoal_every": ("never", []),
    }
    things("enclosure", "atlas", "--charcoal-every", "30 d", "--read-every", "none")
    (atlas,) = things("enclosure", "atlas")["things"]
    charcoal = next(one for one in atlas["settings"] if one["key"] == "charcoal_every")
    assert (charcoal["text"], charcoal["before"]) == ("30 d", ["never"])
    assert "charcoal interval" in run("enclosure", "atlas").out
    assert "read_every" not in [one["key"] for one in atlas["settings"]]
    assert settings(things("kit", "probe", "stick", "--check-every", "2 weeks")) == {
        "check_every": ("14 d", [14.0])
    }


def test_alone_they_list_and_say_where_the_logbook_will_lie(run, logbook):
    for words in (("enclosure",), ("kit",), ("kit", "meter")):
        ran = run(*words)
        assert (ran.status, ran.err) == (0, "")
        assert "None is on record yet" in ran.out
        assert str(logbook) in ran.out
    assert not logbook.exists()


def test_a_meters_figure_belongs_to_the_display_whose_unit_it_has(things):
    things("kit", "meter", "lab", "--resolution", "1mV")
    things("kit", "meter", "lab", "--resolution", "0.01 pH")
    assert settings(things("kit", "meter", "lab")) == {
        "resolution_mV": ("1 mV", [1.0]),
        "resolution_pH": ("pH 0.01", [0.01]),
    }


@pytest.mark.parametrize("width", [40, 80])
@pytest.mark.parametrize("encoding", ["utf-8", "ascii"])
def test_the_pages_fit_any_terminal(run, width, encoding):
    run("enclosure", "map [2] <b>", "--note", "a note that is rather long, as notes go, and has [red] in it")
    run("kit", "bottle", "acid 2", "--label", "4.01", "--lot", "x" * 60)
    run("event", "map [2] <b>", "water", "--note", "½ cup")
    for words in (("enclosure", "map [2] <b>"), ("kit", "bottle"), ("history",)):
        ran = run(*words, width=width, encoding=encoding)
        assert ran.status == 0
        lines = [line for line in ran.out.splitlines() if "sqlite" not in line]
        assert max(map(len, lines)) <= width
    assert "map [2] <b>" in run("history", "map [2] <b>").out


def test_another_logbook_is_another_record(run, tmp_path):
    other = tmp_path / "folder" / "other.sqlite"
    assert run("enclosure", "atlas", "--new", "--logbook", str(other)).status == 0
    assert "None is on record" in run("enclosure").out
    assert "atlas" in run("enclosure", "--logbook", str(other)).out


def test_a_bare_new_name_is_asked_about_and_refused_where_nobody_answers(run, logbook):
    refused = run("enclosure", "atlas")
    assert (refused.status, refused.out) == (2, "")
    assert refused.err == "no enclosure `atlas`; add it with `slurrycalc enclosure atlas --new`.\n"
    assert not logbook.exists()
    assert run("enclosure", "atlas", "--new").status == 0
    assert "did you mean `atlas`? Add --new" in run("enclosure", "atals").err
    assert run("enclosure", "stairs", "--floor", "4.8").status == 0
