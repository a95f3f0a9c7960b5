"""Every screen answers first, in twelve lines at most; --why has the evidence, and never a warning."""

from __future__ import annotations

import re
import shlex
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from slurrycalc.cli.group import group
from slurrycalc.cli.outcome import Outcome
from slurrycalc.day.bench.card import card
from slurrycalc.day.months.drifting import DriftAsked
from slurrycalc.day.months.drifts import of_record
from slurrycalc.day.months.duties import duties
from slurrycalc.logbook.recall import Recall
from slurrycalc.metrology.uncertain import Inputs
from slurrycalc.report.page import (
    Cautions,
    Do,
    Evidence,
    Gap,
    Heading,
    Headline,
    Page,
    Plot,
    Points,
    Steps,
    Table,
)
from slurrycalc.report.pages.card import card_blocks
from slurrycalc.report.pages.case import SAID
from slurrycalc.report.pages.due import command_of, said
from slurrycalc.report.pages.remarks import EVIDENCE
from slurrycalc.report.pages.trend import drift_blocks
from slurrycalc.report.terminal import draw, shown
from tests.cli.screens import ALONE, BOTTLES, MONTHS, words
from tests.cli.test_one_voice import NAMES, RECORD, RECORDS, record

ANSWERS = tuple(
    "read run probe compare calibrate trend exchange upkeep trial agree salts due show".split()  # noqa: SIM905
)
"""Commands that answer a question; the others list what there is, or say what was done."""
VALUE_BY, TASK_BY, MOST = 3, 6, 12
"""Lines: of the first number, of what to do or the first row, before cautions, steps and tables."""
TABLE_HEAD = 2
"""Lines of a table before its first row."""


def answering(lines: tuple[str, ...]) -> list[str]:
    return [line for line in lines if line.split(maxsplit=1)[:1] and line.split(maxsplit=1)[0] in ANSWERS]


def asked(line: str) -> Outcome[object]:
    outcome = group().main(args=words(line), prog_name="slurrycalc", standalone_mode=False)
    assert isinstance(outcome, Outcome)
    return outcome


def lines_before(page: Page, *kinds: type, heads: bool = True) -> int:
    """Count the lines of a page that come before the first of some kinds, with its heading or without."""
    blocks = list(shown(page, why=False))
    first = next((i for i, block in enumerate(blocks) if isinstance(block, kinds)), len(blocks))
    # A heading belongs to what it stands over.
    while not heads and first > 1 and isinstance(blocks[first - 1], Heading | Gap):
        first -= 1
    return len(draw(blocks[:first], 80, "utf-8", bold=False).strip("\n").splitlines()) if first else 0


def see_that_it_answers_first(outcome: Outcome[object], *warnings: type) -> None:
    page = outcome.page
    assert lines_before(page, Cautions, Steps, Table, Plot, *warnings, heads=False) <= MOST
    assert any(isinstance(block, Do | Table) for block in page)
    first = min(lines_before(page, Do) + 1, lines_before(page, Table) + 1 + TABLE_HEAD)
    assert first <= TASK_BY
    if any(isinstance(block, Headline) for block in shown(page, why=False)):
        assert min(lines_before(page, Headline) + 1, lines_before(page, Table) + 1 + TABLE_HEAD) <= TASK_BY
        numbered = lines_before(page, Headline) + 1 <= VALUE_BY
        assert numbered or first <= TASK_BY


def see_that_no_warning_is_behind(outcome: Outcome[object]) -> None:
    short, whole = (
        " ".join(draw(shown(outcome.page, why=why), 10_000, "utf-8", bold=False).split())
        for why in (False, True)
    )
    for remark in outcome.remarks:
        text = " ".join(remark.text.split())
        assert text in whole or remark.kind in ("held-back", *SAID), remark
        assert text in short or remark.kind in (*EVIDENCE, *SAID, "held-back", "two-buffers"), remark


@pytest.fixture
def months(begin, run) -> Path:
    """The example logbook."""
    return begin(lambda: run("import", str(Path(__file__).parents[2] / "examples" / "eighteen-months")))


@pytest.mark.parametrize("line", answering(ALONE))
def test_a_line_by_itself_answers_first(line: str) -> None:
    see_that_it_answers_first(asked(line))


@pytest.mark.parametrize("line", answering(MONTHS))
def test_a_line_about_the_record_answers_first(months: Path, line: str) -> None:
    see_that_it_answers_first(asked(line))


def test_alone_has_its_first_row_by_line_six_and_one_next_command(months: Path, run) -> None:
    lines = run().out.splitlines()
    assert "need you" in lines[0]
    assert any("atlas" in line for line in lines[:TASK_BY])
    assert sum(line.startswith(("  slurrycalc ", "  Do: ")) for line in lines) in (1, 2)


@pytest.mark.parametrize("line", answering(ALONE))
def test_no_warning_of_a_line_by_itself_stands_behind(line: str) -> None:
    see_that_no_warning_is_behind(asked(line))


@pytest.mark.parametrize("line", answering(MONTHS))
def test_no_warning_about_the_record_stands_behind(months: Path, line: str) -> None:
    see_that_no_warning_is_behind(asked(line))


SHOWN = st.floats(4.3, 7.2).map(lambda ph: f"{ph:.2f}@21C")


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(SHOWN, min_size=1, max_size=5), st.sampled_from((4.06, 4.01, 4.35)))
def test_any_reading_answers_first_and_hides_no_warning(shows: list[str], acid: float) -> None:
    outcome = asked(shlex.join(["read", *shows, "--buffer", f"4.01={acid}@21C", "--buffer", "7.00=7.04@21C"]))
    # A reading may have more than one thing said against it: the answer stands before them.
    see_that_it_answers_first(outcome, Points)
    see_that_no_warning_is_behind(outcome)


@settings(max_examples=max(4, RECORDS // 10), deadline=None, suppress_health_check=list(HealthCheck))
@given(RECORD)
def test_the_pages_of_a_drawn_record_begin_with_its_first_task(drawn: dict[str, Any]) -> None:
    book, today = record(drawn)
    with book:
        recall = Recall(book, Inputs())
        for name in NAMES:
            first = duties(recall, today).first_of(name)
            assert first is not None
            shown_card = card(recall, recall.things.find("enclosure", name), today)
            (drift,), _ = of_record(recall, name, DriftAsked(today))
            for page in (tuple(card_blocks(shown_card)), tuple(drift_blocks(drift, today, 0.95))):
                see_that_it_answers_first(Outcome(None, page), Points)
            task = next(block for block in card_blocks(shown_card) if isinstance(block, Do))
            assert task.text == said(first)
            assert task.command == (command_of(first) if first.days <= 0 else "")


@pytest.mark.parametrize("line", answering(ALONE))
def test_what_is_shown_is_all_there_with_why(run, line: str) -> None:
    short, whole = (run(*words(line), *why).out.splitlines() for why in ((), ("--why",)))
    rest = iter(whole)
    missing = [text for text in short if text and not any(text == other for other in rest)]
    assert all("--why" in text or text in whole for text in missing)


def test_evidence_is_never_nested_where_it_would_be_lost() -> None:
    outcome = asked(f"run {Path(__file__).parents[2] / 'examples' / 'reading-room.toml'} --try")
    (behind,) = (block for block in outcome.page if isinstance(block, Evidence) and len(block.blocks) > 20)
    whole = draw(shown([behind], why=True), 80, "utf-8", bold=False)
    assert whole.count("Rests on 2 slurries") == 3


def test_the_evidence_of_a_step_on_record_is_shown_again_by_its_number(run, logbook) -> None:
    day = str(Path(__file__).parents[2] / "examples" / "reading-room.toml")
    ran = run("run", day)
    assert "Behind it: slurrycalc history 1 --why." in ran.out
    again = run("history", "1", "--why").out
    for row in (
        "exchange a part   window      5.12 ± 0.20   near floor",
        "read by 3 Jun     stairs      5.58 ± 0.20",
    ):
        assert row in ran.out
        assert row in again
    assert again.count("Rests on 2 slurries") == 3
    assert "Rests on" not in run("history", "1").out


RECORDED = (
    f"read atlas 5.33@21C 5.41@21C {BOTTLES}",
    "calibrate desk 4.01=4.06@21C 7.00=7.04@21C --check 6.86=6.90@21C",
    "probe stick 5.9 --enclosure atlas",
    "compare stick 5.9=5.41 6.0=5.50",
    "salts atlas 1.1mS/cm@21C 1.2mS/cm@21C",
    "trial atlas 0%=5.10 25%=5.50 50%=5.85 75%=6.30 --weeks 4",
    "agree --enclosure stairs --theirs 5.71+-0.15",
    "exchange atlas --plan",
)


@pytest.mark.parametrize("line", RECORDED)
def test_the_line_that_shows_the_evidence_of_a_step_records_nothing(months: Path, run, line: str) -> None:
    ran = run(*words(f"{line} --on 2025-10-25"), width=400)
    assert (ran.status, ran.err) == (0, "")
    assert "Saved as " in ran.out
    before = months.read_bytes()
    said = re.search(r"(?:Behind it: |\()((?:slurrycalc|the same line with) [^()]*--why)\)?\.", ran.out)
    assert said is not None, ran.out
    shows = said.group(1).replace("the same line with", f"{line} --on 2025-10-25")
    again = run(*words(shows.removeprefix("slurrycalc ")), width=400)
    assert (again.status, again.err) == (0, "")
    assert months.read_bytes() == before
    assert len(again.out.splitlines()) > 10


def test_a_strip_is_drawn_on_one_scale_and_has_a_plain_spelling(run) -> None:
    day = str(Path(__file__).parents[2] / "examples" / "reading-room.toml")
    rows = [line for line in run("run", day, "--try").out.splitlines() if "┃" in line]
    assert len({row.index("┃") for row in rows}) == 1
    assert len(rows) == 3
    plain = run("run", day, "--try", encoding="ascii").out
    assert plain.isascii()
    assert "|" in plain
    narrow = [line for line in run("run", day, "--try", width=40).out.splitlines() if "┃" in line]
    assert len({row.index("┃") for row in narrow}) == 1
    assert len(narrow) == 3


def test_the_months_are_drawn_small(months: Path, run) -> None:
    for line in (("trend", "atlas"), ("show", "atlas")):
        for width in (40, 80):
            ran = run(*line, "--on", "2025-10-20", width=width)
            lines = ran.out.splitlines()
            drawn = [text for text in lines if re.match(r"^ {4}\d\.\d", text) and set(text) & set("░●═")]
            assert 4 <= len(drawn) <= 9
            assert sum(text.count("●") for text in drawn) >= 10
