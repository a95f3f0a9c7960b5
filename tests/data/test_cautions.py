"""What to mind: every caution in full, as it was typed here by hand, and the steps that it stands at."""

from __future__ import annotations

import pytest

from slurrycalc.cli.table import names
from slurrycalc.data.cautions import BENCH_STEPS, Caution, all_cautions, all_lines, cautions, of_event
from slurrycalc.data.events import EVENTS

# No hand moves for these: they keep the record, or recompute check values.
WITHOUT = {"verify", "enclosure", "kit", "history", "undo", "fix", "export", "import", "restore"}
# Shown in full once, before the hands move; of `bench`, at its steps; of `event`, what belongs to its kind;
# of `report`, on the page that it writes.
IN_FULL = {"mix", "sheet", "exchange", "trial", "report"}
# Everything else only computes, and shows one line: the one that belongs to the next movement of the hands.
NOT_A_PH = "An unwell animal: ask a licensed veterinarian, not a pH."
ONE_LINE = {
    f"Hands washed? Heat mats and pumps back on? {NOT_A_PH} All to mind: slurrycalc mix.": {
        *("read", "run", "bench", "demo", "event")
    },
    f"Heat mats and pumps off before the probe goes in. {NOT_A_PH} All to mind: slurrycalc mix.": {
        *("compare", "probe")
    },
    "Heat mats and pumps off, gloves on, before a hand goes in. All to mind: slurrycalc mix.": {"spots"},
    (
        "Cups and spoons that have met substrate stay out of the kitchen: mark them. All to mind: slurrycalc "
        "mix."
    ): {"ratio"},
    (
        "Label each cup of buffer; none of it goes back into a bottle, or into an enclosure. All to mind: "
        "slurrycalc mix."
    ): {"buffers", "calibrate"},
    (
        "Label each cup of standard; none of it goes back into its bottle, or into an enclosure. An unwell "
        "animal: ask a licensed veterinarian, not a conductivity. All to mind: slurrycalc mix."
    ): {"salts"},
    (
        "Animals out, heat mats and pumps off, gloves on, before a hand goes in. All to mind: slurrycalc "
        "exchange."
    ): {"upkeep"},
    (
        "Before a hand goes in: heat mats and pumps off, gloves on, and for an exchange the animals out. All "
        "to mind: slurrycalc mix."
    ): {"alone", "trend", "due", "show", "agree"},
}
UNPLUG = (
    "Unplug heat mats, pumps, misters and lights over the enclosure before a hand or a metal probe goes in."
)
UNPLUG_GLOVES = (
    "Unplug heat mats, pumps, misters and lights over the enclosure before a hand goes in, and wear gloves."
)
WASH = (
    "Wear gloves, and wash with soap afterwards: live substrate and animal waste can carry Salmonella and "
    "other germs. No eating or drinking meanwhile, and no kitchen sink."
)
AWAY = "Buffers and used slurries never go into an enclosure: get rid of them as your local rules say."
CHEMICALS = (
    "No chemicals go into an occupied enclosure: never correct its pH with them. Try doses in jars only, "
    "keep lime off the eyes and skin, and never use quicklime."
)
ANIMALS_OUT = (
    "Take the animals out before an exchange, and keep a part of the old substrate for its small fauna. "
    "Local rules on keeping and disposal come first."
)
UNWELL = "If an animal seems unwell, see a licensed veterinarian: a pH says nothing about its health."
SICK_SUBSTRATE = (
    "Old substrate of a sick or a quarantined enclosure goes into no other one, and into no compost: local "
    "rules on keeping and disposal come first."
)
DUST = (
    "Raise no dust: dampen dry peat, bark and charcoal before they are poured, keep them off the face, and "
    "wash afterwards; live substrate carries germs, Salmonella among them."
)

# Typed out, so that a word that is changed in the table must be changed, and read once more, here too.
TYPED: dict[str, set[str]] = {
    UNPLUG: {"mix", "probe", "spots", "sheet", "sampling", "report"},
    UNPLUG_GLOVES: {"exchange", "upkeep", "report"},
    (
        "Take the animals out first, and look for eggs, young and burrows. At most a third of a bed at a "
        "time: what stays keeps its small fauna."
    ): {"exchange", "upkeep", "report"},
    WASH: {"mix", "run", "sheet", "demo", "sampling", "report"},
    (
        "Small children, and people who are pregnant or whose immune system is weak, leave occupied "
        "substrate to somebody else."
    ): {"mix", "spots", "sheet", "sampling", "report"},
    "Raise no dust: dampen dry compost, keep it away from the face, and never sniff at mould.": {
        *("mix", "sheet", "mixing", "report")
    },
    "Cups, spoons and strainers that have met substrate never go back to the kitchen: mark them.": {
        *("mix", "ratio", "sheet", "mixing", "report")
    },
    "Begin with healthy enclosures and end with quarantine, and wash probe and spoon between any two.": {
        *("mix", "compare", "probe", "spots", "sheet", "sampling", "report")
    },
    "Label each cup of buffer, so that nobody drinks it or pours it back into a bottle.": {
        *("mix", "buffers", "calibrate", "read", "sheet", "metering", "report")
    },
    AWAY: {"mix", "buffers", "calibrate", "read", "run", "sheet", "demo", "reading", "report"},
    CHEMICALS: {
        *(
            "mix",
            "read",
            "run",
            "bench",
            "sheet",
            "demo",
            "closing",
            "exchange",
            "upkeep",
            "event calcium",
            "report",
        )
    },
    ANIMALS_OUT: {"run", "bench", "sheet", "closing", "event exchange", "event new-mix", "report"},
    UNWELL: {*("mix", "read", "run", "bench", "compare", "probe", "demo", "sampling", "event illness")},
    (
        "Fresh mix goes in measured, moist for a week, at room temperature and free of fertiliser: never "
        "neutral by assumption."
    ): {"exchange", "upkeep", "report"},
    DUST: {"exchange", "upkeep", "trial", "event charcoal", "report"},
    (
        "Doses go into jars only, never into an occupied bed; keep lime off eyes and skin, and never use "
        "quicklime."
    ): {"trial"},
    (
        "Jars and cups of a trial, standards and used slurries never go into an enclosure or back to the "
        "kitchen: get rid of them as your local rules say."
    ): {"trial", "salts"},
    (
        "Label each cup of standard, so that nobody drinks it or pours it back into its bottle, and rinse "
        "the cell between jars."
    ): {"salts"},
    SICK_SUBSTRATE: {"exchange", "event illness", "report"},
    (
        "If an animal seems unwell, see a licensed veterinarian: neither a pH nor a conductivity says "
        "anything about its health."
    ): {"sheet", "exchange", "upkeep", "salts", "report"},
}


def as_typed(rows: tuple[Caution, ...]) -> bool:
    """Tell whether cautions are those that were typed here, in their order, each at its steps."""
    return [(row.text, set(row.steps)) for row in rows] == list(TYPED.items())


def test_every_caution_is_word_for_word_what_it_should_be_and_where() -> None:
    assert as_typed(all_cautions())


REVERSED = (
    ("before a hand", "after a hand"),
    ("Wear gloves, and wash", "Wear no gloves, and never wash"),
    ("leave occupied", "take occupied"),
    ("Raise no dust", "Raise dust"),
    ("dampen dry", "dry damp"),
    ("never go back to the kitchen", "go back to the kitchen"),
    ("never sniff", "sniff"),
    ("never go into", "go into"),
    ("nobody drinks", "somebody drinks"),
    ("No chemicals go", "Chemicals go"),
    ("only, never into", "and sometimes into"),
    ("never use quicklime", "use quicklime"),
    ("animals out", "animals in"),
    ("see a licensed veterinarian", "see no licensed veterinarian"),
    ("says nothing", "says much"),
    ("neither a pH nor a conductivity", "a pH or a conductivity"),
    ("At most a third", "At least a third"),
    ("goes into no other one", "goes into any other one"),
    ("never neutral", "neutral"),
    ("healthy enclosures and end with quarantine", "quarantine and end with healthy enclosures"),
)


@pytest.mark.parametrize(("right", "wrong"), REVERSED)
def test_a_caution_that_says_the_opposite_is_seen(right: str, wrong: str) -> None:
    turned = [i for i, row in enumerate(all_cautions()) if right in row.text]
    assert turned
    for place in turned:
        rows = list(all_cautions())
        row = rows[place]
        rows[place] = Caution(row.steps, row.when, row.text.replace(right, wrong), row.source)
        assert not as_typed(tuple(rows))


def test_each_command_shows_all_or_one_line_or_moves_no_hand_and_none_is_forgotten() -> None:
    one_line = {step for steps in ONE_LINE.values() for step in steps}
    assert all_lines() == {step: text for text, steps in ONE_LINE.items() for step in steps}
    assert one_line | IN_FULL | WITHOUT == {"alone", *names()}
    assert not one_line & IN_FULL
    assert not (one_line | IN_FULL) & WITHOUT


def test_where_all_is_said_to_be_read_all_is_read() -> None:
    """What a line of a bench day leaves out stands in `mix` or, of an exchange, in `exchange`."""
    for text, steps in ONE_LINE.items():
        more = {word.strip(".,") for word in text.partition("All to mind:")[2].split()} - {"slurrycalc"}
        assert more <= IN_FULL
        for step in steps - {"salts", "upkeep"}:
            assert {one for one in cautions(step) if one != ANIMALS_OUT} <= set(cautions("mix"))
    assert set(cautions("upkeep")) <= set(cautions("exchange"))


def test_each_of_them_is_turned_round_by_one_of_these() -> None:
    for row in all_cautions():
        assert any(right in row.text for right, _ in REVERSED), row.text


def test_steps_are_the_commands_the_steps_of_a_bench_day_and_kinds_of_events() -> None:
    steps = {step for caution in all_cautions() for step in caution.steps}
    events = {step for step in steps if step.startswith("event ")}
    # What these compute from is on record: they have their line alone.
    beside = {"trend", "due", "show", "agree"}
    assert steps - events == set(BENCH_STEPS) | (set(names()) - WITHOUT - beside - {"event"})
    assert events <= {of_event(kind) for kind in EVENTS}


@pytest.mark.parametrize("caution", all_cautions(), ids=lambda caution: caution.text[:20])
def test_each_caution_has_its_moment_its_source_and_plain_sentences(caution: Caution) -> None:
    assert caution.when.strip()
    assert caution.source.strip()
    assert caution.text.endswith(".")
    assert len(caution.text) < 250
    assert len(set(caution.steps)) == len(caution.steps)


def test_what_protects_a_hand_comes_before_the_hand_moves() -> None:
    for step in ("mix", "sampling", "sheet"):
        assert cautions(step)[0].startswith("Unplug")
