"""An exchange with its part and its mix on record: noted, told, mended, handed on, and learnt from."""

from __future__ import annotations

import json

import pytest

from slurrycalc.logbook.store import open_logbook
from tests import example_record as example

ASKED = ("--on", "2025-11-01")


@pytest.fixture
def room(logbook):
    with open_logbook(logbook) as book:
        example.build(book)
    return logbook


def result(run, *words):
    ran = run(*words, "--json")
    assert ran.status == 0, ran.err
    return json.loads(ran.out)["result"]


def plain(text):
    return " ".join(text.split())


BUFFERS = ("--buffer", "4.01=4.03", "--buffer", "7.00=7.02")


def read(run, *words, name="atlas", on="2025-10-28"):
    ran = run("read", *words, *BUFFERS, "--enclosure", name, "--on", on)
    assert ran.status == 0, ran.err


def noted(run, *words, on="2025-10-20"):
    return run("event", "atlas", "exchange", *words, "--on", on)


def told(run):
    return plain(run("history", "atlas").out)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--amount", "1/3", "--fresh", "leaf mix"), "atlas: exchange, 33 1/3 % for leaf mix"),
        (("--amount", "30 %", "--fresh", "6.6+-0.2"), "atlas: exchange, 30 % for a mix of pH 6.60 ± 0.20"),
        (("--amount", "12 L", "--fresh", "LEAF MIX"), "atlas: exchange, 12 L for leaf mix"),
    ],
)
def test_it_is_recorded_told_handed_on_and_learnt_from(run, room, tmp_path, words, said):
    ran = noted(run, *words)
    assert ran.status == 0, ran.err
    assert "Not on record" not in ran.out
    assert said in told(run)
    assert run("export", str(tmp_path / "out")).status == 0
    other = ("--logbook", str(tmp_path / "other.sqlite"))
    assert run("import", str(tmp_path / "out"), *other).err == ""
    assert said in plain(run("history", "atlas", *other).out)
    before = result(run, "trend", "atlas", *ASKED, "--without", "exchange")["drifts"][0]
    assert before["exchanges"] == []
    read(run, "5.9", "5.95")
    (done,) = result(run, "trend", "atlas", *ASKED)["drifts"][0]["exchanges"]
    assert (done["on"], done["read"]) == ("2025-10-20", "2025-10-28")
    assert 0.2 < done["expected"]["value"] < 0.7
    assert f"Exchange of 20 October 2025: +{done['expected']['value']:.2f}" in plain(
        run("trend", "atlas", *ASKED, "--why").out
    )


def test_what_went_in_goes_with_the_exchange_that_is_mended_or_moved_and_falls_with_it(run, room):
    noted(run, "--amount", "30 %", "--fresh", "leaf mix")
    entry = result(run, "history", "--all")["entries"][-1]["id"]
    assert run("fix", entry, "20 %").status == 0
    assert "atlas: exchange, 20 % for leaf mix" in told(run)
    moved = result(run, "history", "--all")["entries"][-1]["id"]
    assert run("fix", moved, "--enclosure", "stairs").status == 0
    assert "stairs: exchange, 20 % for leaf mix" in plain(run("history", "stairs").out)
    assert run("undo").status == 0
    assert "atlas: exchange, 20 % for leaf mix" in told(run)


@pytest.mark.parametrize(
    ("words", "lacks"),
    [
        ((), "how much (--amount 1/3) and of which mix"),
        (("--amount", "1/3"), "of which mix (--fresh NAME or --fresh 6.6+-0.2)"),
        (("--fresh", "leaf mix"), "how much (--amount 1/3)"),
        (("--amount", "900 g", "--fresh", "leaf mix"), "how much by volume, or as a part of the bed"),
    ],
)
def test_what_is_missing_to_learn_from_it_is_said_and_it_is_recorded(run, room, words, lacks):
    ran = noted(run, *words)
    assert ran.status == 0
    assert f"Not on record: {lacks}" in plain(ran.out)
    read(run, "5.9", "5.95")
    assert result(run, "trend", "atlas", *ASKED)["drifts"][0]["exchanges"] == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--amount", "100 L"), "`100 L` is more than the bed of `atlas` holds, 48.6 L"),
        (("--amount", "0"), "`0` is no part of a bed"),
        (("--amount", "1/3", "--fresh", "peat"), "no tub of fresh mix is called `peat`"),
        (("--amount", "1/3", "--fresh", "stairs"), "`stairs` is no tub of fresh mix"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_recorded(run, room, words, said):
    before = room.read_bytes()
    ran = noted(run, *words)
    assert (ran.status, ran.out) == (2, "")
    assert said in ran.err
    assert room.read_bytes() == before


def test_a_mix_that_was_read_after_it_was_used_teaches_nothing(run, room):
    run("enclosure", "bark mix", "--new", "--fresh", "yes")
    noted(run, "--amount", "1/3", "--fresh", "bark mix")
    read(run, "6.6", "6.7", name="bark mix", on="2025-10-22")
    read(run, "5.9", "5.95")
    found = result(run, "trend", "atlas", *ASKED)["drifts"][0]["exchanges"]
    assert found == []


def test_a_tub_without_a_reading_by_that_day_is_said_at_the_exchange_and_by_its_trend(run, room):
    run("enclosure", "bark mix", "--new", "--fresh", "yes")
    ran = noted(run, "--amount", "1/3", "--fresh", "bark mix")
    assert (
        "bark mix has no reading by 20 October 2025, so what this exchange does stays unknown: strike it out "
        "and note it again with what the mix read, such as --fresh 6.4+-0.2."
    ) in plain(ran.out)
    why = (
        "What the exchange of 20 October 2025 was to bring is not known: bark mix has no reading by that "
        "day. Strike it out and note it again, with --fresh 6.4+-0.2 (what the mix read)."
    )
    assert why in plain(run("trend", "atlas", *ASKED).out)
    read(run, "6.6", "6.7", name="bark mix", on="2025-10-22")
    read(run, "5.9", "5.95")
    told = plain(run("trend", "atlas", *ASKED).out)
    assert why in told
    assert "The exchange of 20 October 2025 was almost surely enough. By all its days it stands at" in told
    assert run("undo", "54").status == 0
    assert "no reading by" not in noted(run, "--amount", "1/3", "--fresh", "6.4+-0.2").out
    assert "is not known" not in plain(run("trend", "atlas", *ASKED).out)


@pytest.mark.parametrize(
    ("part", "jars", "said"),
    [
        ("1/3", ("5.6", "5.65"), "was almost surely enough: pH rose by {found}; {expected} was expected."),
        ("5 %", ("5.4", "5.45"), "enough is too close to tell ("),
        ("5 %", ("5.2", "5.25"), "not enough yet"),
    ],
)
def test_trend_and_show_say_at_once_whether_an_exchange_was_enough(run, room, part, jars, said):
    noted(run, "--amount", part, "--fresh", "leaf mix")
    read(run, *jars)
    drift = result(run, "trend", "atlas", *ASKED)["drifts"][0]
    (done,) = drift["exchanges"]
    found, expected = (f"{done[what]['value']:.2f}" for what in ("found", "expected"))
    bed = drift["outlook"]["level"]["value"]
    inside = "5.4 to 6.5." if float(jars[0]) > 5.3 else "your range begins at 5.4."
    for command in ("trend", "show"):
        first = plain("\n".join(run(command, "atlas", *ASKED).out.splitlines()[:12]))
        assert "exchange of 20 October 2025 was" in first
        assert said.format(found=found, expected=expected) in first
        assert f"By all its days it stands at {bed:.2f}" in first
        assert inside in first


def test_once_it_was_read_again_an_exchange_is_told_but_no_longer_as_the_answer(run, room):
    noted(run, "--amount", "1/3", "--fresh", "leaf mix")
    read(run, "5.6", "5.65")
    read(run, "5.6", "5.65", on="2025-10-31")
    told = plain(run("trend", "atlas", *ASKED).out)
    assert "The exchange of 20 October 2025: pH rose by" in told
    assert "was almost surely enough" not in told


def test_two_exchanges_of_a_day_go_in_the_order_of_the_record(run, room):
    def level(*mixes):
        for mix in mixes:
            noted(run, "--amount", "30 %", "--fresh", mix)
        read(run, "5.9", "5.95")
        value = result(run, "trend", "atlas", *ASKED)["drifts"][0]["outlook"]["level"]["value"]
        for _ in (*mixes, "read"):
            run("undo")
        return value

    assert level("7.4", "6.0") != pytest.approx(level("6.0", "7.4"), abs=1e-4)


def test_a_reading_far_off_is_a_surprise_and_comes_before_any_exchange(run, room):
    read(run, "6.9", "6.95")
    ran = run("trend", "atlas", *ASKED, "--strict")
    assert ran.status == 1
    assert "Do: mix another jar of atlas and read it: its last reading is a surprise" in plain(ran.out)
    assert "(99 in 100). Mix another jar, and look for a cause" in plain(ran.out)
    first = result(run, "due", "atlas", *ASKED)["duties"][0]["due"]
    assert first["task"] == "mix-again"
