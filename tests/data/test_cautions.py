"""What to mind stands at the steps that there are, and says something of its own at each."""

from __future__ import annotations

import pytest

from slurrycalc.cli.table import names
from slurrycalc.data.cautions import BENCH_STEPS, all_cautions, cautions

# No hand moves for these.
WITHOUT = {"verify", "trend", "agree", "due"} | {
    *("enclosure", "kit", "history", "undo", "fix", "export", "import"),
}
# Their cautions stand before their commands do: take each out when it has become one.
COMING: set[str] = set()


def test_steps_are_the_commands_and_the_steps_of_a_bench_day() -> None:
    steps = {step for caution in all_cautions() for step in caution.steps}
    assert steps == set(BENCH_STEPS) | (set(names()) - WITHOUT) | COMING


@pytest.mark.parametrize("caution", all_cautions(), ids=lambda caution: caution.text[:20])
def test_each_caution_has_its_moment_its_source_and_plain_sentences(caution: object) -> None:
    row = next(one for one in all_cautions() if one is caution)
    assert row.when.strip()
    assert row.source.strip()
    assert row.text.endswith(".")
    assert len(row.text) < 250
    assert len(set(row.steps)) == len(row.steps)


# One word for each danger that a bench day holds.
@pytest.mark.parametrize(
    "danger",
    [
        "Unplug",
        "Salmonella",
        "soap",
        "kitchen",
        "dust",
        "sniff",
        "pregnant",
        "quarantine",
        "Label each cup of buffer",
        "never go into an enclosure",
        "quicklime",
        "animals out",
        "Local rules",
        "veterinarian",
    ],
)
def test_no_danger_of_a_bench_day_is_left_out(danger: str) -> None:
    shown = " ".join(text for step in BENCH_STEPS for text in cautions(step))
    assert danger in shown


def test_what_protects_a_hand_comes_before_the_hand_moves() -> None:
    for step in ("mix", "sampling", "sheet"):
        assert cautions(step)[0].startswith("Unplug")
