"""A pair of a probe's indication and a slurry counts once, however often it is typed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from slurrycalc.logbook.past import pairs
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.store import open_logbook

PAIRS = ("6.2=#3.3", "6.0=#3.4", "6.1=#3.5")


@pytest.fixture
def stick(run, logbook):
    """A case with three slurries, entry 3, and a probe."""
    assert run("enclosure", "fern", "--new").status == 0
    assert run("kit", "probe", "stick").status == 0
    buffers = ("--buffer", "7.00=7.04@21C", "--buffer", "4.01=4.06@21C")
    assert run("read", "fern", "5.41@21C", "5.52@21C", "5.47@21C", *buffers).status == 0
    return logbook


def compared(run, *words: str):
    ran = run("compare", *words, "--json")
    assert (ran.status, ran.err) == (0, ""), ran.err
    return json.loads(ran.out)["result"]


def test_the_same_pairs_typed_again_are_not_recorded_and_that_is_said(run, stick):
    first = compared(run, "stick", *PAIRS)
    whole = Path(stick).read_bytes()
    again = compared(run, "stick", *PAIRS)
    assert again["saved"] is None
    assert again["comparison"] == first["comparison"]
    assert again["response"]["gain"] == first["response"]["gain"]
    assert Path(stick).read_bytes() == whole
    page = " ".join(run("compare", "stick", *PAIRS).out.split())
    assert "These 3 pairs are on record already; one pair counts once, and nothing is added." in page
    assert "By 3 pairs" in page
    assert "Saved as" not in page


def test_of_pairs_that_are_partly_on_record_the_new_ones_alone_are_recorded(run, stick):
    compared(run, "stick", *PAIRS[:2])
    shown = compared(run, "stick", *PAIRS)
    assert shown["comparison"]["n"] == 3
    assert len(shown["saved"]["values"]) == 1
    assert shown["earlier"] == 2


def test_a_pair_that_is_typed_twice_on_one_line_counts_once(run, stick):
    assert compared(run, "stick", "6.2=#3.3", "6.2=#3.3", "6.0=#3.4")["comparison"]["n"] == 2


def test_another_indication_for_a_slurry_that_has_its_pair_is_refused_with_how_to_mend_it(run, stick):
    saved = compared(run, "stick", *PAIRS)["saved"]["id"]
    ran = run("compare", "stick", "6.4=#3.3")
    assert ran.status == 2
    assert f"slurrycalc fix {saved}.1 6.4" in ran.err


def test_values_typed_again_count_once_though_their_slurries_have_no_number(run, stick, tmp_path):
    table = tmp_path / "pairs.csv"
    table.write_text("probe,slurry\n5.9,5.41\n6.1,5.70\n", encoding="utf-8")
    first = compared(run, "stick", "--pairs", str(table))
    table.write_text("probe,slurry\n5.9,5.41\n6.1,5.70\n6.4,5.95\n", encoding="utf-8")
    shown = compared(run, "stick", "--pairs", str(table))
    assert (first["comparison"]["n"], shown["comparison"]["n"]) == (2, 3)
    assert compared(run, "stick", "--pairs", str(table))["saved"] is None


def test_two_spots_that_show_the_same_are_two_pairs_where_they_are_typed_together(run, stick):
    assert compared(run, "stick", "5.9=5.41", "5.9=5.41", "6.0=5.50")["comparison"]["n"] == 3


def test_pairs_that_an_older_program_recorded_twice_count_once(run, stick):
    from slurrycalc.day.bench import probe as bench

    plain = compared(run, "stick", *PAIRS, "5.9=5.41", "5.9=5.41")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(bench, "new_ones", lambda keeper, stick, wanted: wanted)
        twice = compared(run, "stick", *PAIRS, "5.9=5.41", "5.9=5.41")
    assert len(twice["saved"]["values"]) > len(PAIRS)
    assert twice["comparison"]["offset"] == plain["comparison"]["offset"]
    assert twice["comparison"]["n"] == plain["comparison"]["n"] == 5
    with open_logbook(stick, writes=False) as book:
        recall = Recall(book)
        assert len(pairs(recall, recall.things.find("probe", "stick"))) == 5
