"""A calibration in doubt comforts nobody: no road says "act" or "nothing now" of what was read under it."""

from __future__ import annotations

import json

import pytest

from tests.reading import flat

GOOD = ("4.01=178.2mV@22C", "7.00=1.8mV@22C")
TIRED = ("4.01=140mV@22C", "7.00=1.8mV@22C")
"""An efficiency of 78 %."""
STEEP = ("4.01=200mV@22C", "7.00=1.8mV@22C")
"""One of 112 %, which no electrode has."""
BENT = (*GOOD, "10.01=-160mV@22C")
"""Buffers on no line."""
FLAT_DISPLAY = ("4.01=4.50@21C", "7.00=7.04@21C")
"""A display that gives 85 % for each unit of pH."""
DOUBTED = {
    "tired": (TIRED, "mV"),
    "steep": (STEEP, "mV"),
    "bent": (BENT, "mV"),
    "display": (FLAT_DISPLAY, "pH"),
}
SHOWS = {
    "mV": {"inside": "60mV@21C", "below": "112mV@21C"},
    "pH": {"inside": "6.10@21C", "below": "4.90@21C"},
}
FORBIDDEN = ("nothing now", "Do: exchange", "slurrycalc exchange", "ready to be acted on", "act on it now")
FORBIDDEN += ("Good, by",)


def buffers(points) -> list[str]:
    return [word for point in points for word in ("--buffer", point)]


def kinds(remarks) -> set[str]:
    return {remark["kind"] for remark in remarks}


@pytest.mark.parametrize("where", ["inside", "below"])
@pytest.mark.parametrize("doubted", DOUBTED)
def test_read_says_see_to_the_meter_first(run, doubted, where) -> None:
    points, unit = DOUBTED[doubted]
    words = ("read", *[SHOWS[unit][where]] * 4, *buffers(points))
    ran = run(*words)
    assert "In doubt, until the meter is seen to." in ran.out
    assert "Do: see to the meter before you act on this:" in ran.out
    assert not any(word in ran.out for word in FORBIDDEN)
    assert run(*words, "--strict").status == 1
    whole = json.loads(run(*words, "--json").out)
    standing = flat(whole["result"])["judgement"]
    assert "meter-in-doubt" in kinds(whole["warnings"])
    assert kinds(standing["doubts"]) == {"meter-in-doubt"}
    assert standing["sentences"][0] == "In doubt, until the meter is seen to."
    assert (standing["ready"], standing["advice"]) == (False, [])


@pytest.mark.parametrize("points", [TIRED, STEEP, BENT, FLAT_DISPLAY])
def test_calibrate_calls_no_such_meter_good(run, points) -> None:
    ran = run("calibrate", *points, "--strict")
    assert ran.status == 1
    assert "Good, by" not in ran.out
    assert "Do: go on" not in ran.out


def test_disputed_buffers_are_in_the_verdict(run) -> None:
    whole = json.loads(run("calibrate", *BENT, "--json").out)
    verdict = whole["result"]["calibration"]["verdict"]
    assert verdict["state"] == "disputed"
    assert verdict["reasons"][0].startswith("Its buffers do not lie on one line (p = ")


@pytest.fixture
def desk(run):
    """Put a meter and an enclosure on record, with a calibration in doubt."""
    assert run("calibrate", "--meter", "desk", *TIRED, "--new", "--on", "2024-05-04").status == 0
    assert run("enclosure", "atlas", "--new").status == 0
    return ("--meter", "desk", "--enclosure", "atlas", "--on", "2024-05-04")


def test_alone_says_it_of_the_record(run, desk) -> None:
    run("read", *[SHOWS["mV"]["below"]] * 4, *desk[:-2], "--on", "2024-05-04", "--spots", "a,b,c,d")
    alone = run().out
    assert "meter first" in alone
    assert "Do: see to the meter, then read " in alone
    assert "2024-05-04: Read under a calibration that is in doubt." in alone
    assert not any(word in alone for word in FORBIDDEN)


def test_read_again_under_a_good_calibration_it_counts_alone(run, desk) -> None:
    run("read", "112mV@21C", "113mV@21C", *desk)
    run("calibrate", "--meter", "desk", *GOOD, "--on", "2024-05-04")
    # The same jar shows the same mV: that is no reading entered twice.
    again = flat(json.loads(run("read", "112mV@21C", "113mV@21C", *desk, "--json").out)["result"])
    assert len(again["slurry"]["jars"]) == 2
    assert again["judgement"]["doubts"] == []
    assert "left-out" in kinds(again["slurry"]["remarks"])
    alone = run().out
    assert "meter first" not in alone
    assert f"{again['slurry']['ph']['value']:.2f} ±" in alone


def test_a_jar_in_doubt_does_not_count_beside_one_that_is_not(run, desk) -> None:
    run("calibrate", "--meter", "desk", *GOOD, "--on", "2024-05-04")
    first = flat(json.loads(run("read", "60mV@21C", *desk, "--json").out)["result"])
    run("calibrate", "--meter", "desk", *TIRED, "--on", "2024-05-04")
    ran = run("read", "112mV@21C", *desk, "--json", "--strict")
    second = json.loads(ran.out)
    assert ran.status == 1
    assert flat(second["result"])["slurry"]["ph"]["value"] == first["slurry"]["ph"]["value"]
    assert "left-out" in kinds(second["warnings"])


@pytest.mark.parametrize("cases", [2, 8])
def test_a_worksheet_and_a_table_say_it_of_each_enclosure(run, tmp_path, cases) -> None:
    names = [f"case{n}" for n in range(cases)]
    rows = [f"{name}-{n},{name},{112 if n else 60 + i} mV,21" for i, name in enumerate(names) for n in (1, 2)]
    table = tmp_path / "day.csv"
    table.write_text("\n".join(["jar,enclosure,reading,temperature", *rows]), encoding="utf-8")
    sheet = tmp_path / "day.toml"
    lines = ["[meter]", 'shows = "mV"']
    for label, shows in (("7.00", 1.8), ("4.01", 140.0)):
        lines += ["[[point]]", f'buffer = "{label}"', f"shows = {shows}", "temperature = 22.0"]
    lines += [line for name in names for line in ("[[enclosure]]", f'name = "{name}"')]
    for name in names:
        for n in (1, 2):
            lines += ["[[jar]]", f'label = "{name}-{n}"', f'enclosure = "{name}"', "shows = 112.0"]
    sheet.write_text("\n".join(lines), encoding="utf-8")
    for words in (("run", str(table), *buffers(TIRED)), ("run", str(sheet), "--try")):
        ran = run(*words, "--strict")
        assert ran.status == 1
        assert "see to the meter before you act on this" in " ".join(ran.out.split())
        assert not any(word in ran.out for word in FORBIDDEN)
        whole = json.loads(run(*words, "--json").out)
        assert "meter-in-doubt" in kinds(whole["warnings"])
        for one in whole["result"]["day"]["enclosures"]:
            assert kinds(one["judgement"]["doubts"]) == {"meter-in-doubt"}
            assert "meter-in-doubt" in kinds(one["remarks"])


def test_an_expired_bottle_is_in_the_verdict(run, desk) -> None:
    assert run("kit", "bottle", "4.01", "--expires", "2024-05-03").status == 0
    words = ("calibrate", "--meter", "desk", *GOOD, "--on", "2024-05-04", "--try")
    ran, whole = run(*words), json.loads(run(*words, "--json").out)
    assert run(*words, "--strict").status == 1
    assert "Usable, but a bottle's date is against it." in ran.out
    assert " ".join(ran.out.split()).count("Bottle 4.01 expired on 2024-05-03: open a fresh one.") == 1
    assert whole["result"]["calibration"]["verdict"]["state"] == "fresh buffers"
    assert "expired" in kinds(whole["warnings"])
    read = run("read", "60mV@21C", *desk[:2], "--on", "2024-05-04", *buffers(GOOD), "--try")
    assert "Bottle 4.01 expired on 2024-05-03" in " ".join(read.out.split())


def test_a_bottle_that_was_used_before_it_was_opened_is_in_the_verdict(run, desk) -> None:
    assert run("kit", "bottle", "7.00", "--opened", "2024-05-06").status == 0
    whole = json.loads(run("calibrate", "--meter", "desk", *GOOD, "--on", "2024-05-04", "--json").out)
    verdict = whole["result"]["calibration"]["verdict"]
    assert verdict["state"] == "fresh buffers"
    assert verdict["reasons"][-1] == (
        "Bottle 7.00 was opened on 2024-05-06 by the record, and read here before that: see which day is "
        "wrong."
    )
    assert "not-yet-opened" in kinds(whole["warnings"])
