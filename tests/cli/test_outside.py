"""`agree`: two numbers, an outside result that is recorded, what is on record, and what is refused."""

from __future__ import annotations

import json

import pytest

from slurrycalc.deciding.agree import agree

ATLAS = ("--enclosure", "atlas")
LAB = ("--laboratory", "county soil laboratory")
METHOD = ("--method", "1:2 water by volume")
THEIRS = ("--theirs", "5.85+-0.15")


@pytest.fixture
def room(run, logbook):
    """A record with a case that was read on two bench days, and exchanged in part after the second."""
    lines = (
        ("enclosure", "atlas", "--new"),
        ("enclosure", "stairs", "--new"),
        ("calibrate", "7.00=7.04@21C", "4.01=4.06@21C", "--meter", "desk", "--on", "2024-04-06", "--new"),
        ("read", "5.97", "6.02", "--meter", "desk", *ATLAS, "--on", "2024-04-06"),
        ("calibrate", "7.00=7.03@21C", "4.01=4.05@21C", "--meter", "desk", "--on", "2024-05-04"),
        ("read", "5.88", "5.94", "--meter", "desk", *ATLAS, "--on", "2024-05-04"),
        ("event", "atlas", "exchange", "--on", "2024-05-20"),
    )
    for line in lines:
        assert run(*line).status == 0, line
    return logbook


def newest(ran):
    assert ran.status == 0, ran.err
    return json.loads(ran.out)["result"]["newest"]


def test_the_line_gives_what_python_gives(run):
    mine = agree("5.60+-0.20", (5.85, 0.15), "1:2 water")
    said = newest(run("agree", "5.60+-0.20", "5.85+-0.15", "--method", "1:2 water", "--json"))["agreement"]
    assert said["e_n"]["value"] == pytest.approx(mine.e_n)
    assert said["interval"]["low"] == pytest.approx(mine.coverage_interval.low)
    assert said["interval"]["high"] == pytest.approx(mine.coverage_interval.high, abs=1e-12)
    assert said["agrees"] is mine.agrees
    assert said["difference"]["unit"] == "pH"


def test_the_number_comes_first_then_what_to_do_then_its_meaning(run):
    for width in (40, 80):
        out = run("agree", "5.60+-0.20", "5.95+-0.15", *METHOD, width=width).out
        parts = ("Ours minus theirs -0.35 pH", "Do: ask how", "do not", "Ours: pH 5.60")
        places = [out.index(part) for part in parts]
        assert places == sorted(places)
        assert max(map(len, out.splitlines())) <= width
    assert run("agree", "5.60+-0.20", "5.95+-0.15", "--strict").status == 1
    assert run("agree", "5.60+-0.20", "5.65+-0.15", "--strict").status == 0


def test_what_was_not_said_of_theirs_is_said_to_be_assumed(run):
    ran = run("agree", "5.60+-0.20", "5.85", "--json")
    kinds = [warning["kind"] for warning in json.loads(ran.out)["warnings"]]
    assert kinds == ["method-assumed", "outside-uncertainty-assumed", "basis-assumed"]
    assert json.loads(run("agree", "5.60+-0.20", "5.85+-0.1", *METHOD, "--json").out)["warnings"] == []


def test_a_result_is_recorded_and_held_against_the_bench_day_nearest_to_it(run, room):
    ran = run("agree", *ATLAS, *THEIRS, *LAB, *METHOD, "--on", "2024-04-30", "--json")
    found = newest(ran)
    assert (found["sampled"], found["read"]) == ("2024-04-30", "2024-05-04")
    shown = json.loads(run("read", "5.88", "5.94", "--meter", "desk", "--on", "2024-05-04", "--json").out)
    ph = shown["result"]["enclosure"]["slurry"]["ph"]["value"]
    assert found["agreement"]["ours"]["value"] == pytest.approx(ph)
    assert "lies 4 days after their sample" in json.loads(ran.out)["warnings"][0]["text"]
    # Asked again, the record says the same.
    again = newest(run("agree", *ATLAS, "--json"))
    assert again["agreement"]["e_n"] == pytest.approx(found["agreement"]["e_n"])
    assert again["laboratory"] == "county soil laboratory"
    assert "county soil laboratory says pH 5.85 ± 0.15, 1:2 water by volume" in run("history", "atlas").out


def test_only_what_was_known_on_the_day_of_asking_counts(run, room):
    run("agree", *ATLAS, *THEIRS, *METHOD, "--on", "2024-04-10")
    run("agree", *ATLAS, "--theirs", "5.80+-0.15", *METHOD, "--on", "2024-05-04")
    whole = json.loads(run("agree", *ATLAS, "--json").out)["result"]
    assert [whole["newest"]["sampled"], whole["earlier"][0]["sampled"]] == ["2024-05-04", "2024-04-10"]
    then = json.loads(run("agree", *ATLAS, "--on", "2024-05-01", "--json").out)["result"]
    assert (then["newest"]["sampled"], then["earlier"]) == ("2024-04-10", [])
    assert "Earlier:" in run("agree", *ATLAS).out
    before = run("agree", *ATLAS, "--on", "2024-04-01")
    assert before.status == 2
    assert "no outside result of `atlas` is on record up to 2024-04-01" in " ".join(before.err.split())


def test_a_sample_from_after_an_exchange_is_not_held_against_a_day_before_it(run, room):
    refused = run("agree", *ATLAS, *THEIRS, *METHOD, "--on", "2024-05-25")
    assert refused.status == 2
    assert "the exchange of 2024-05-20" in refused.err
    # A bench day on their side of it is taken, though the other one is nearer.
    run("calibrate", "7.00=7.03@21C", "4.01=4.05@21C", "--meter", "desk", "--on", "2024-06-30")
    run("read", "6.2", "6.25", "--meter", "desk", *ATLAS, "--on", "2024-06-30")
    found = newest(run("agree", *ATLAS, *THEIRS, *METHOD, "--on", "2024-05-25", "--json"))
    assert found["read"] == "2024-06-30"
    assert "A bed may drift meanwhile" in " ".join(run("agree", *ATLAS).out.split())


def test_a_sample_of_the_day_of_the_exchange_was_taken_before_it(run, room):
    assert newest(run("agree", *ATLAS, *THEIRS, "--on", "2024-05-20", "--json"))["read"] == "2024-05-04"


def test_a_result_that_nothing_can_be_held_against_any_more_is_left_out_and_that_is_said(run, room):
    run("agree", *ATLAS, *THEIRS, *METHOD, "--on", "2024-04-10")
    run("agree", *ATLAS, *THEIRS, *METHOD, "--on", "2024-05-10")
    assert run("event", "atlas", "exchange", "--on", "2024-05-06").status == 0
    said = " ".join(run("agree", *ATLAS).out.split())
    assert "sample of 10 April 2024" in said
    assert "One result is not compared: between our nearest bench day, 2024-05-04" in said
    assert run("undo", "--day", "2024-04-10").status == 0
    assert "lies the exchange of 2024-05-06" in " ".join(run("agree", *ATLAS).err.split())


def test_a_result_entered_anew_counts_as_it_is_now(run, room):
    saved = json.loads(run("agree", *ATLAS, *THEIRS, "--on", "2024-05-04", "--json").out)["result"]["saved"]
    assert run("fix", saved["id"], "5.75").status == 0
    found = newest(run("agree", *ATLAS, "--json"))
    assert found["agreement"]["theirs"]["value"] == 5.75
    assert found["agreement"]["theirs"]["interval"] == pytest.approx([5.60, 5.90])
    assert run("undo", saved["id"]).status == 0
    assert run("agree", *ATLAS).status == 2


def test_a_bench_day_later_than_the_day_of_asking_is_not_held_against_it(run, room):
    assert run("agree", *ATLAS, *THEIRS, *METHOD, "--on", "2024-04-25").status == 0
    assert newest(run("agree", *ATLAS, "--on", "2024-05-10", "--json"))["read"] == "2024-05-04"
    assert newest(run("agree", *ATLAS, "--on", "2024-04-26", "--json"))["read"] == "2024-04-06"


def test_of_two_bench_days_as_near_the_earlier_is_taken(run, room):
    ran = run("agree", *ATLAS, *THEIRS, *METHOD, "--on", "2024-04-20", "--json")
    assert newest(ran)["read"] == "2024-04-06"


def test_a_bench_day_on_which_the_bed_was_exchanged_was_read_before_that(run, room):
    run("event", "atlas", "exchange", "--on", "2024-05-04")
    ran = run("agree", *ATLAS, *THEIRS, *METHOD, "--on", "2024-05-10")
    assert ran.status == 2
    assert "lies the exchange of 2024-05-04" in ran.err


def test_looking_and_trying_record_nothing(run, room):
    run("agree", *ATLAS, *THEIRS, "--on", "2024-05-04")
    before = room.read_bytes()
    assert run("agree", *ATLAS).status == 0
    assert "nothing is saved" in run("agree", *ATLAS, *THEIRS, "--on", "2024-05-04", "--try").out
    assert "Not saved; add --enclosure NAME" in run("agree", "5.6+-0.2", "5.7").out
    assert room.read_bytes() == before


BAD = [
    (("agree",), "two results are wanted"),
    (("agree", "5.60+-0.20"), "two results are wanted"),
    (("agree", "5.60", "5.85"), "our `5.60` has no uncertainty"),
    (("agree", "5.60+-0.20", "58.5"), "`58.5`"),
    (("agree", "5.60+-0.20", "abc"), "their result: `abc`"),
    (("agree", "5.60+-0.20", "5.85+-0"), "has no width after its +-"),
    (("agree", "5.60+-0.20", "5.85", "--method", "1:5 CaCl2"), "a salt solution gives a lower pH"),
    (("agree", "5.60+-0.20", "5.85", "--method", "vinegar"), "`vinegar`"),
    (("agree", "5.60+-0.20", "5.85", "--ours-method", "1:2 vinegar"), "--ours-method: `vinegar`"),
    (("agree", "5.60+-0.20", "5.85", *LAB), "--laboratory goes on record"),
    (("agree", "5.60+-0.20", *THEIRS), "--theirs goes on record"),
    (("agree", "5.60+-0.20", *ATLAS, *THEIRS), "`5.60+-0.20`: with --enclosure"),
    (("agree", *ATLAS, *LAB), "--laboratory belongs to a result"),
    (("agree", *ATLAS, *METHOD), "--method belongs to a result"),
    (("agree", *ATLAS, *THEIRS, "--ours-method", "paste"), "--ours-method"),
    (("agree", *ATLAS, *THEIRS, "--method", "1:5 water", "--on", "2024-05-04"), "pH rises with the water"),
    (("agree", *ATLAS, *THEIRS, "--method", "paste", "--on", "2024-05-04"), "above a saturated paste"),
    (("agree", *ATLAS, *THEIRS, "--on", "2099-01-01"), "lies in the future"),
    (("agree", *ATLAS, *THEIRS), "`atlas` was not read in the year up to"),
    (("agree", *ATLAS, *THEIRS, "--on", "2021-01-01"), "was not read within a year of 2021-01-01"),
    (("agree", "--enclosure", "stairs", *THEIRS, "--on", "2024-05-04"), "`stairs` was not read"),
    (("agree", "--enclosure", "atals", *THEIRS), "did you mean `atlas`?"),
    (("agree", "--enclosure", "atals"), "did you mean `atlas`?"),
    (("agree", *ATLAS), "no outside result of `atlas` is on record"),
]


@pytest.mark.parametrize(("words", "says"), BAD, ids=[" ".join(words) for words, _ in BAD])
def test_what_cannot_be_meant_gets_one_sentence_and_nothing_is_recorded(run, room, words, says):
    before = room.read_bytes()
    ran = run(*words)
    assert ran.status == 2
    assert ran.out == ""
    assert says in " ".join(ran.err.split())
    assert room.read_bytes() == before
