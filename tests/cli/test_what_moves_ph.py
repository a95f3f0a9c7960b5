"""What moves pH besides acid is said where it can mislead, and not where it is known."""

from __future__ import annotations

import json

import pytest

from slurrycalc.day.bench.guided.room import Room
from slurrycalc.day.bench.guided.state import Progress
from slurrycalc.day.bench.guided.words import READING, heading
from slurrycalc.logbook.store import open_logbook
from tests import example_record as example

BUFFERS = ("--buffer", "4.01=4.03", "--buffer", "7.00=7.02")


@pytest.fixture
def room(logbook):
    with open_logbook(logbook) as book:
        example.build(book)
    return logbook


def result(run, *words):
    ran = run(*words, "--json")
    assert ran.status == 0, ran.err
    return json.loads(ran.out)["result"]


def warned(run, *words):
    """Give the kinds of what is said with a result, each with its sentence."""
    ran = run(*words, "--json")
    assert ran.status == 0, ran.err
    return {each["kind"]: each["text"] for each in json.loads(ran.out)["warnings"]}


def plain(text):
    return " ".join(text.split())


class TestTheBufferingOfAMix:
    """Coir and limed mixes leave the prior of ln r."""

    ASKED = ("exchange", "stairs", "--want", "5.9", "--on", "2025-10-20")

    def test_that_nothing_taught_is_said_with_what_leaves_it_and_what_teaches_it(self, run, room):
        (said,) = [text for kind, text in warned(run, *self.ASKED).items() if kind == "buffering-assumed"]
        assert "within a factor of 2.3 (our own)" in said
        assert "coir" in said
        assert "limed" in said
        assert "A trial in jars teaches it, and so does an exchange" in said
        assert said in plain(run(*self.ASKED).out)

    def test_is_no_prior_once_a_trial_or_an_exchange_that_was_read_shows_it(self, run, room):
        assert "buffering-assumed" not in warned(run, "exchange", "atlas", "--on", "2025-10-20")
        known = result(run, "exchange", "window", "--want", "6.2", "--on", "2025-10-20")["basis"]
        assert any("by three exchanges on record" in each for each in known)
        assert "buffering-assumed" not in warned(run, "upkeep", "window", "--on", "2025-10-20")

    def test_is_still_the_prior_after_an_exchange_that_nobody_read(self, run, room):
        noted = (
            "event",
            "stairs",
            "exchange",
            "--amount",
            "1/3",
            "--fresh",
            "leaf mix",
            "--on",
            "2025-10-19",
        )
        assert run(*noted).status == 0
        asked = ("exchange", "stairs", "--now", "5.6+-0.1", "--want", "5.9", "--on", "2025-10-20")
        assert "buffering-assumed" in warned(run, *asked)
        assert not any("Buffering" in each for each in result(run, *asked)["basis"])


class TestLimeThatIsNotSpent:
    """The pH of a fresh mix shows no reserve; a trial does."""

    READ = ("read", "6.6", "6.7", *BUFFERS, "--on", "2025-10-28", "--enclosure")

    def test_is_said_once_where_the_mix_is_read_unless_a_trial_was_made_with_it(self, run, room):
        assert "unspent-lime" not in warned(run, *self.READ, "leaf mix", "--try")
        run("enclosure", "bark mix", "--new", "--fresh", "yes")
        out = plain(run(*self.READ, "bark mix", "--try").out)
        assert out.count("lime or ash that is not spent yet") == 1
        assert "a trial in jars, weeks moist, shows it (from memory)" in out
        jars = ("0%=5.6", "50%=6.1", "100%=6.6")
        assert run("trial", "stairs", *jars, "--of", "Bark Mix", "--on", "2025-10-27").status == 0
        assert "unspent-lime" not in warned(run, *self.READ, "bark mix", "--try")
        assert run("undo").status == 0
        assert "unspent-lime" in warned(run, *self.READ, "bark mix", "--try")

    @pytest.mark.parametrize(
        ("bed", "fresh", "said"),
        [
            ("stairs", "leaf mix", False),  # tried with another bed: its lime shows there too
            ("atlas", "6.6+-0.2", False),  # the bed's own trial
            ("stairs", "6.6+-0.2", True),
        ],
    )
    def test_is_said_where_the_mix_goes_in(self, run, room, bed, fresh, said):
        noted = ("event", bed, "exchange", "--amount", "1/3", "--fresh", fresh, "--on", "2025-10-20", "--try")
        assert ("unspent-lime" in warned(run, *noted)) == said
        asked = ("exchange", bed, "--fresh", fresh, "--want", "5.9", "--on", "2025-10-20")
        assert ("unspent-lime" in warned(run, *asked)) == said
        assert plain(run(*asked).out).count("that is not spent yet") == said


def read_salts(run, conducts, on, name="atlas"):
    """Read a meter that is checked by its standard in two slurries."""
    jars = (f"{conducts - 20}uS/cm@25C", f"{conducts + 20}uS/cm@25C")
    standard = ("--standard", "1413uS/cm=1413uS/cm@25C")
    ran = run("salts", *jars, *standard, "--enclosure", name, "--on", on)
    assert ran.status == 0, ran.err


def read_ph(run, ph, on, name="atlas"):
    words = ("--meter", "desk", "--enclosure", name, "--on", on, "--new")
    bottles = ("--buffer", "4.01=4.03", "--buffer", "7.00=7.02")
    ran = run("read", f"{ph - 0.03:.2f}", f"{ph + 0.03:.2f}", *words, *bottles)
    assert ran.status == 0, ran.err


MONTHS = ("2024-01-06", "2024-02-03", "2024-03-02", "2024-04-06", "2024-05-04", "2024-06-01")
ASKED = ("--on", "2024-06-08")


class TestSaltsBesideAcid:
    """The pH of a water slurry falls by tenths as salts rise."""

    def months(self, run, fall, rise, days=MONTHS):
        for i, day in enumerate(days):
            read_ph(run, 6.1 - fall * i, day)
            read_salts(run, 600 + rise * i, day)

    @pytest.mark.parametrize("words", [("trend", "atlas"), ("show", "atlas")])
    def test_both_stand_side_by_side_and_the_drift_has_two_explanations(self, run, words):
        self.months(run, 0.06, 150)
        said = result(run, *words, *ASKED)
        beside = (said["drifts"][0] if "drifts" in said else said["cards"][0])["salts"]
        assert [round(each["ec"]["value"]) for each in beside["days"]] == [600, 750, 900, 1050, 1200, 1350]
        (remark,) = beside["remarks"]
        assert remark["kind"] == "salts-beside-drift"
        text = remark["text"]
        # by the line through all of them, which counts months of unlike length
        assert "Salts rose from 0.61 mS/cm to 1.34 mS/cm between 6 January 2024 and 1 June 2024." in text
        # log10(1.34 / 0.61) = 0.342, times 0.5 for ten times the salt
        assert "lowers the pH of a water slurry: here by 0.17, between 0.0" in text
        assert "(0.2 to 0.8 for ten times the salt, from memory)" in text
        assert "So acid is not the only explanation of this drift; nothing was taken off for it." in text
        assert "0.01 mol/L calcium chloride (ISO 10390" in text
        out = plain(run(*words, *ASKED).out)
        assert text in out
        assert "1.35 mS/cm" in out.replace(text, "")

    def test_no_number_of_the_trend_moves_by_it(self, run):
        for i, day in enumerate(MONTHS):
            read_ph(run, 6.1 - 0.06 * i, day)
        before = result(run, "trend", "atlas", *ASKED)["drifts"][0]
        for i, day in enumerate(MONTHS):
            read_salts(run, 600 + 150 * i, day)
        after = result(run, "trend", "atlas", *ASKED)["drifts"][0]
        assert before["salts"] is None
        assert after["salts"]["remarks"]
        assert {**before, "salts": 0} == {**after, "salts": 0}

    def test_salts_that_fall_with_the_ph_hide_a_part_of_the_drift(self, run):
        self.months(run, 0.06, -80)
        said = warned(run, "trend", "atlas", *ASKED)["salts-beside-drift"]
        assert "Less salt by itself raises the pH" in said
        assert "So what else moved the pH did more than this drift shows" in said

    @pytest.mark.parametrize(("fall", "rise"), [(0.06, 1), (0.0, 150)])
    def test_is_not_said_where_either_is_not_shown_to_change(self, run, fall, rise):
        self.months(run, fall, rise)
        beside = result(run, "trend", "atlas", *ASKED)["drifts"][0]["salts"]
        assert len(beside["days"]) == len(MONTHS)
        assert beside["remarks"] == []

    def test_an_exchange_that_washed_salts_out_is_not_all_of_its_step(self, run):
        self.months(run, 0.0, 0)
        noted = ("event", "atlas", "exchange", "--amount", "1/3", "--fresh", "6.7+-0.1", "--on", "2024-06-02")
        assert run(*noted).status == 0
        for i, day in enumerate(("2024-06-10", "2024-07-06", "2024-08-03")):
            read_ph(run, 6.35, day)
            read_salts(run, 250 - i, day)
        said = warned(run, "trend", "atlas", "--on", "2024-08-10")["salts-beside-step"]
        assert "Salts fell from 0.60 mS/cm to 0.25 mS/cm between 1 June 2024 and 10 June 2024." in said
        assert "acid is not the only explanation of this step" in said

    def test_a_reading_that_surprises_is_held_beside_the_newest_salts(self, run):
        self.months(run, 0.0, 0)
        read_ph(run, 5.4, "2024-06-29")
        read_salts(run, 3000, "2024-06-29")
        said = warned(run, "trend", "atlas", "--on", "2024-06-30")
        assert "reading-surprises" in said
        assert "So acid is not the only explanation of this last reading" in said["salts-beside-last-reading"]


class TestABottleLabelledAt20:
    """A label speaks of 25 degC, unless it says 20."""

    READ = ("read", "5.58@20C", "5.66@20C", "--buffer", "4.01=4.03@20C")

    def test_is_one_bottle_by_the_line_the_kit_the_worksheet_and_python(self, run, tmp_path):
        line = (*self.READ, "--buffer", "blue=7.02@20C", "--bottle", "blue=7.00@20C")
        by_line = result(run, *line)["enclosure"]["slurry"]["ph"]["value"]
        usual = result(run, *self.READ, "--buffer", "7.00=7.02@20C")["enclosure"]["slurry"]["ph"]["value"]
        assert by_line < usual - 0.003
        assert run("kit", "bottle", "blue", "--label", "7.00@20C").status == 0
        assert "6.984" in run("kit", "bottle", "blue").out
        named = (*self.READ, "--buffer", "blue=7.02@20C", "--meter", "desk", "--try", "--new")
        assert result(run, *named)["enclosure"]["slurry"]["ph"]["value"] == pytest.approx(by_line, abs=1e-12)
        sheet = tmp_path / "day.toml"
        sheet.write_text(
            '[meter]\nshows = "pH"\n[[bottle]]\nname = "blue"\nlabel = "7.00@20C"\n'
            '[[point]]\nbuffer = "4.01"\nshows = 4.03\ntemperature = 20\n'
            '[[point]]\nbuffer = "blue"\nshows = 7.02\ntemperature = 20\n'
            '[[jar]]\nenclosure = "atlas"\nlabel = "A1"\nshows = 5.58\ntemperature = 20\n'
            '[[jar]]\nenclosure = "atlas"\nlabel = "A2"\nshows = 5.66\ntemperature = 20\n'
        )
        (day,) = result(run, "run", str(sheet), "--try", "--new")["day"]["enclosures"]
        assert day["slurry"]["ph"]["value"] == pytest.approx(by_line, abs=1e-12)

    def test_is_told_apart_where_a_point_names_it_by_its_label_alone(self, run):
        ran = run(*self.READ, "--buffer", "7.00@20C=7.02@20C")
        assert ran.status == 2
        assert "--bottle blue=7.00@20C" in ran.err

    def test_is_said_with_its_size_beside_the_buffers(self, run):
        out = plain(run("buffers", "21C").out)
        assert "At 20 degC these buffers lie -0.005 (4.01)," in out
        assert "+0.045 (9.18), +0.050 (10.01) from there" in out


class TestCarbonDioxide:
    """An indication creeps while a jar stands, and that is no fault of the electrode."""

    def test_is_said_in_the_steps_of_a_slurry_where_the_jar_stands_and_once(self, run):
        steps = result(run, "mix", "--slurries", "2")["steps"]
        (at,) = [i for i, step in enumerate(steps) if "carbon dioxide" in step]
        assert "let it stand" in steps[at]
        assert "in a closed jar the pH falls" in steps[at]
        assert "the pH rises (from memory)" in steps[at]
        assert "Leave every jar open, and read each as long after its last stir." in steps[at]
        assert "distilled water alone wanders about pH 5.6 in air and is no check" in " ".join(steps[:at])

    def test_is_said_in_the_guided_day_before_the_first_jar_is_read(self):
        said = heading(READING, Progress(()), Room(), minded=False)
        assert said[0].text.endswith("Read")
        assert sum("carbon dioxide" in one.text for one in said) == 1
