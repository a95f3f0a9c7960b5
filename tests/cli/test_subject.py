"""A name on record stands where numbers may, and means what its option means."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from slurrycalc.cli.subject import NUMBER
from tests.cli.conftest import Run

EXAMPLE = Path(__file__).parents[2] / "examples" / "eighteen-months"


@pytest.fixture
def months(run: Run, tmp_path: Path) -> tuple[str, str]:
    """Eighteen invented months on record."""
    path = str(tmp_path / "months.sqlite")
    assert run("import", str(EXAMPLE), "--logbook", path).status == 0
    return "--logbook", path


@pytest.mark.parametrize(
    ("alone", "options"),
    [
        (("trend", "atlas"), ("trend", "--enclosure", "atlas")),
        (("trend", "ATLAS"), ("trend", "--enclosure", "ATLAS")),
        (("exchange", "atlas"), ("exchange", "--enclosure", "atlas")),
        (("upkeep", "atlas"), ("upkeep", "--enclosure", "atlas")),
        (("salts", "atlas"), ("salts", "--enclosure", "atlas")),
        (("trial", "atlas"), ("trial", "--enclosure", "atlas")),
        (("agree", "atlas"), ("agree", "--enclosure", "atlas")),
        (("compare", "stick"), ("compare", "--probe", "stick")),
        (
            ("probe", "stick", "6.0", "--enclosure", "atlas", "--try"),
            ("probe", "6.0", "--probe", "stick", "--enclosure", "atlas", "--try"),
        ),
        (
            ("probe", "stick", "6.0", "atlas", "--try"),
            ("probe", "6.0", "--probe", "stick", "--enclosure", "atlas", "--try"),
        ),
        (
            ("calibrate", "desk", "4.01=4.06@21C", "7.00=7.04@21C", "--try"),
            ("calibrate", "4.01=4.06@21C", "7.00=7.04@21C", "--meter", "desk", "--try"),
        ),
    ],
)
def test_a_name_alone_gives_the_very_page_of_its_option(
    run: Run, months: tuple[str, str], alone: tuple[str, ...], options: tuple[str, ...]
) -> None:
    assert run(*alone, *months) == run(*options, *months)


@pytest.mark.parametrize(
    "text",
    ["5.58", "5.58@21C", "84.3mV@21C", "0.85mS/cm@21C", "10%", "5.6+-0.2", "-0.08", "1/2", ".5", "2 g/L"],
)
def test_what_reads_as_a_number_is_a_number(text: str) -> None:
    assert NUMBER.match(text)


@pytest.mark.parametrize("text", ["atlas", "2nd case", "case 2", "12 north", "5.4 a"])
def test_what_reads_as_no_number_may_be_a_name(text: str) -> None:
    assert not NUMBER.match(text)


def test_a_number_is_a_number_though_an_enclosure_is_called_so(run: Run) -> None:
    assert run("enclosure", "5.6", "--new").status == 0
    assert "5.6" in run("trend", "5.6").err
    assert "no 1:2 slurry of `5.6`" in run("trend", "--enclosure", "5.6").err


BUFFERS = ("--buffer", "7.00=7.04@21C", "--buffer", "4.01=4.06@21C")


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (("trend", "atlsa"), "did you mean `atlas`?"),
        (("trend", "desk"), "`desk` is a meter; name an enclosure here."),
        (("trend", "atlas", "stairs"), "`stairs` and `atlas` are two names of enclosures; give one of them."),
        (("trend", "atlas", "--enclosure", "stairs"), "`atlas` and `stairs` are two names"),
        (("trend", "atlas", "2024-05-04=5.60"), "are two questions"),
        (
            ("trend", "rubbish"),
            "Nothing on record is called `rubbish`. Add it with slurrycalc enclosure rubbish --new.",
        ),
        (("read", "rubbish", "6.38@21C", "6.45@21C"), "Nothing on record is called `rubbish`."),
        (("compare", "rubbish", "6.2=5.6"), "slurrycalc kit probe rubbish"),
        (("read", "atlas", "5.6o@21C", *BUFFERS), "`5.6o` is no number; did you mean 5.60?"),
        (("read", "atlas", "5.4l@21C", *BUFFERS), "`5.4l` is no number; did you mean 5.41?"),
        (("exchange", "5.1"), "`5.1` reads as a number, and numbers have options: slurrycalc exchange --now"),
        (("exchange", "rubbish"), "Nothing on record is called `rubbish`."),
        (("probe", "stick"), "what does the probe show?"),
        (("read", "atlas"), "READING"),
    ],
)
def test_a_word_that_can_be_neither_is_refused_in_a_sentence(
    run: Run, months: tuple[str, str], line: tuple[str, ...], says: str
) -> None:
    before = Path(months[1]).read_bytes()
    ran = run(*line, *months)
    assert (ran.status, ran.out) == (2, "")
    assert says in ran.err
    assert Path(months[1]).read_bytes() == before


def test_of_a_probe_and_an_enclosure_of_one_name_the_option_says_which(run: Run) -> None:
    assert run("enclosure", "stick", "--new").status == 0
    assert run("kit", "probe", "stick").status == 0
    assert "say by --enclosure or --probe which is meant" in run("probe", "stick", "6.0").err


def test_numbers_alone_never_look_at_the_logbook(run: Run, logbook: Path) -> None:
    logbook.write_text("no logbook at all")
    assert run("trend", "2024-01-02=5.82", "2024-02-01=5.71", "2024-03-03=5.69").status == 0


def test_the_only_meter_and_the_only_probe_need_no_name(run: Run) -> None:
    for line in (("enclosure", "atlas", "--new"), ("kit", "meter", "desk"), ("kit", "probe", "stick")):
        assert run(*line).status == 0
    assert run("calibrate", "desk", "4.01=4.06@21C", "7.00=7.04@21C").status == 0
    read = json.loads(run("read", "atlas", "5.58@21C", "5.66@21C", "--json").out)["result"]
    assert read["meter"] == "desk"
    assert read["enclosure"]["name"] == "atlas"
    compared = json.loads(run("compare", "atlas", "5.9=5.60+-0.20", "--json").out)["result"]
    assert compared["probe"] == "stick"
    assert json.loads(run("probe", "atlas", "6.0", "--json").out)["result"]["probe"] == "stick"


def test_of_two_meters_the_one_that_was_calibrated_that_day_is_meant(run: Run) -> None:
    for line in (("enclosure", "atlas", "--new"), ("kit", "meter", "desk"), ("kit", "meter", "spare")):
        assert run(*line).status == 0
    points = ("4.01=4.06@21C", "7.00=7.04@21C")
    assert "the meter needs two buffers" in run("read", "atlas", "5.58@21C").err
    assert run("calibrate", "spare", *points).status == 0
    assert json.loads(run("read", "atlas", "5.58@21C", "--json").out)["result"]["meter"] == "spare"
    assert run("calibrate", "desk", *points).status == 0
    assert "several meters were calibrated" in run("read", "atlas", "5.58@21C").err
    assert run("read", "atlas", "5.60@21C", "--meter", "desk").status == 0


def test_buffers_in_what_the_only_meter_does_not_show_belong_to_another(run: Run) -> None:
    assert run("enclosure", "atlas", "--new").status == 0
    assert run("kit", "meter", "desk", "--shows", "pH").status == 0
    buffers = ("--buffer", "4.01=178.2mV@22C", "--buffer", "7.00=1.8mV@22C")
    read = json.loads(run("read", "atlas", "84.3mV@21C", *buffers, "--json").out)["result"]
    assert read["meter"] is None
    own = ("--buffer", "4.01=4.06@21C", "--buffer", "7.00=7.04@21C")
    read = json.loads(run("read", "atlas", "5.58@21C", *own, "--json").out)["result"]
    assert read["meter"] == "desk"


def test_nothing_is_recorded_of_a_line_that_names_nothing(run: Run) -> None:
    assert run("kit", "meter", "desk", "--shows", "pH").status == 0
    read = run("read", "5.58@21C", "--buffer", "4.01=4.06@21C", "--buffer", "7.00=7.04@21C", "--json")
    result = json.loads(read.out)["result"]
    assert (result["meter"], result["saved"]) == (None, None)


@pytest.mark.parametrize(
    ("bare", "spelled"),
    [
        (("due", "--ahead", "3"), ("due", "--ahead", "3 months")),
        (("upkeep", "atlas", "--every", "2"), ("upkeep", "atlas", "--every", "2 months")),
        (("exchange", "atlas", "--every", "1"), ("exchange", "atlas", "--every", "1 month")),
        (
            ("trial", "0%=5.10", "20%=5.43", "40%=5.66", "--target", "5.4", "--weeks", "4"),
            ("trial", "0%=5.10", "20%=5.43", "40%=5.66", "--target", "5.4", "--weeks", "28 d"),
        ),
    ],
)
def test_a_bare_number_is_months_and_in_weeks_weeks(
    run: Run, months: tuple[str, str], bare: tuple[str, ...], spelled: tuple[str, ...]
) -> None:
    on = () if "trial" in bare else ("--on", "2025-10-20")
    assert run(*bare, *on, *months) == run(*spelled, *on, *months)
    assert run(*bare, *on, *months).status == 0


@pytest.mark.parametrize(
    "line",
    [
        ("enclosure", "atlas", "--read-every", "30"),
        ("enclosure", "atlas", "--upkeep-every", "30"),
        ("kit", "probe", "stick", "--check-every", "30"),
        ("due", "--ahead", "30"),
        ("upkeep", "atlas", "--every", "30", "--on", "2025-10-20"),
        ("exchange", "atlas", "--every", "30", "--on", "2025-10-20"),
    ],
)
def test_a_bare_number_that_could_be_days_or_months_is_asked_back(
    run: Run, months: tuple[str, str], line: tuple[str, ...]
) -> None:
    ran = run(*line, *months)
    assert ran.status == 2
    said = " ".join(ran.err.split())
    assert "`30` could be 30 days or 30 months: write `30 d` or `30 months`." in said
