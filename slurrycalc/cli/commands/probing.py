"""The soil probe: what its pairs with slurries say, and what its next indication means."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from typer import Argument, Option

from slurrycalc.cli import options
from slurrycalc.cli.bench_words import limits_words, scatter_words
from slurrycalc.cli.file_kind import refuse_other, refuse_package
from slurrycalc.cli.files import read_file
from slurrycalc.cli.notation import pair_words
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import Recording, SavedAs, asked_again, first_task, keeping, last_line, save
from slurrycalc.cli.subject import subject
from slurrycalc.cli.words import coverage, number
from slurrycalc.day.bench.probe import compare_pairs, read_probe
from slurrycalc.day.bench.sole import sole
from slurrycalc.day.bench.standing import JudgedBy
from slurrycalc.day.bench.table import read_table
from slurrycalc.deciding.judgement import Judgement
from slurrycalc.deciding.worth import Worth
from slurrycalc.measuring.probe import Comparison, ProbeResponse, Update
from slurrycalc.metrology.annotate import PHValue
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import magnitude
from slurrycalc.report.page import Block, Heading, noted, points
from slurrycalc.report.pages.case import heading
from slurrycalc.report.pages.probe import (
    comparison_blocks,
    meaningless_blocks,
    probe_task,
    update_blocks,
)

PairWords = Annotated[
    list[str] | None,
    Argument(
        metavar="PROBE=SLURRY",
        help="What the probe showed, and the slurry of that spot: 5.9=5.41; or names on record.",
    ),
]
PairsFile = Annotated[
    str | None, Option("--pairs", metavar="FILE.csv", help="Pairs from a file with the columns probe,slurry.")
]
Step = Annotated[
    str, Option("--step", metavar="NUMBER", help="Smallest step of the display [pH], if it is coarse.")
]


@dataclass(frozen=True)
class Compared:
    """A probe against slurries, whether it follows them, and what it adds to them."""

    comparison: Comparison
    response: ProbeResponse
    worth: Worth
    bed: str | None
    """The bed whose record it is held against; null where none is on record."""
    probe: str | None
    earlier: int
    """Pairs that were on record already, and count as well."""
    saved: SavedAs | None


@dataclass(frozen=True)
class ProbeReading:
    """What one indication of a probe means; nothing, without pairs."""

    indication: PHValue
    """The mean, where there are several."""
    update: Update | None
    judgement: Judgement | None
    do: str | None
    comparison: Comparison | None
    response: ProbeResponse | None
    probe: str | None
    enclosure: str | None
    on: str | None
    """The day, where the step named something on record: year, month, day."""
    saved: SavedAs | None


def compare(
    pairs: PairWords = None,
    *,
    file: PairsFile = None,
    probe: options.Probe = None,
    enclosure: options.Enclosure = None,
    step: Step = "0",
    scatter: options.ProbeScatter = None,
    target: options.Target = None,
    floor: options.Floor = None,
    p: options.Coverage = "0.95",
    strict: options.Strict = False,
    on: options.On = None,
    at: options.At = None,
    by: options.By = None,
    try_: options.Try = False,
    new: options.New = False,
    logbook: options.Logbook = None,
) -> Outcome[Compared]:
    """Compare a soil probe with slurries of the same spots.

    slurrycalc compare 5.9=5.41 6.1=5.70 6.4=5.95
    slurrycalc compare --pairs pairs.csv
    slurrycalc compare stick 5.9=5.60+-0.20 --enclosure atlas
    slurrycalc compare stick

    Push the probe in before the spoon goes in at the same spot. A slurry with a stated uncertainty is written
    5.60+-0.20, a 95 % half-width. With a probe's name the pairs are recorded, and those on record count as
    well, each once, however often it is typed; a slurry that is on record is best named by its reading,
    5.9=#41.2. Pairs of one bed hardly show whether a probe follows: six to ten, half of them in fresh mix,
    find nearly every dead one.
    """
    chance, limits = coverage(p), limits_words(target, floor)
    recording = Recording(on, at, by, try_, new, logbook)
    pairs, named = subject(pairs or (), logbook, probe=probe, enclosure=enclosure)
    probe, enclosure = named["probe"], named["enclosure"]
    texts = _typed(pairs, file)
    if not texts and probe is None:
        raise Refusal("no pair was given: write slurrycalc compare 5.9=5.41 6.1=5.70, or --pairs FILE.csv")
    with keeping("compare", recording, probe, enclosure) as keeper:
        probe = probe or sole(keeper, "probe")
        expected = scatter_words(scatter, 2 if keeper.kept else len(texts), "pair")
        paired = compare_pairs(
            texts,
            keeper=keeper,
            asked=JudgedBy(limits, expected, chance),
            resolution=_step(step),
            probe=probe,
            enclosure=enclosure,
        )
    saved = save(keeper, recording) if paired.added else None
    comparison = paired.comparison
    said = keeper.remarks

    def page() -> Iterator[Block]:
        if keeper.kept:
            yield Heading(heading(f"Probe {paired.probe}" if paired.probe else enclosure, keeper))
        yield from comparison_blocks(paired, chance)
        if paired.earlier and paired.added == len(texts):
            yield points([f"{paired.earlier} of these pairs {_were(paired.earlier)} on record already."])
        yield noted(said)

    result = Compared(
        comparison, paired.response, paired.worth, paired.bed, paired.probe, paired.earlier, saved
    )
    last = last_line(saved, recording, "--probe NAME" if texts else "a pair, such as 5.9=5.41")
    if texts and not paired.added:
        last = ""
    return Outcome(
        result,
        tuple(page()),
        (*comparison.remarks, *paired.response.remarks, *said),
        needs_action=paired.worth.state != "fit",
        p=chance,
        last=last,
        again=asked_again("compare", saved, paired.probe),
    )


def probe(
    reading: Annotated[
        str, Argument(metavar="READING", help="What the probe shows now, like 6.0; its name may come first.")
    ],
    pairs: PairWords = None,
    *,
    file: PairsFile = None,
    probe: options.Probe = None,
    enclosure: options.Enclosure = None,
    step: Step = "0",
    scatter: options.ProbeScatter = None,
    target: options.Target = None,
    floor: options.Floor = None,
    p: options.Coverage = "0.95",
    strict: options.Strict = False,
    on: options.On = None,
    at: options.At = None,
    by: options.By = None,
    try_: options.Try = False,
    new: options.New = False,
    logbook: options.Logbook = None,
) -> Outcome[ProbeReading]:
    """Say what a probe's indication adds to what your slurries say.

    slurrycalc probe 6.0 --pairs pairs.csv
    slurrycalc probe 6.0 5.9=5.41 6.1=5.70
    slurrycalc probe stick 6.0 --enclosure atlas
    slurrycalc probe stick 6.0 6.2 5.9 --enclosure atlas

    The pairs give the indication its meaning; without any it has none yet. With the name of a probe or an
    enclosure, alone or after --probe or --enclosure, it is recorded, and the probe's pairs on record count;
    the only probe need not be named. With an enclosure's name its slurries count as well. One indication is
    about the spot where the probe stands, several, each at a spot of its own, about the bed's mean.
    """
    chance, limits = coverage(p), limits_words(target, floor)
    recording = Recording(on, at, by, try_, new, logbook)
    words, named = subject((reading, *(pairs or ())), logbook, probe=probe, enclosure=enclosure)
    probe, enclosure = named["probe"], named["enclosure"]
    if not words:
        raise Refusal(f"what does the probe show? Write it too: slurrycalc probe {shlex.quote(reading)} 6.0")
    several = next((i for i, word in enumerate(words[1:], 1) if "=" in word), len(words))
    indications = [magnitude(word, "ph") for word in words[:several]]
    if len(indications) > 1 and enclosure is None:
        raise Refusal(
            f"{quoted(words[1])} is no pair, such as 5.9=5.41; several indications are about a bed's mean, "
            "so name it: --enclosure NAME"
        )
    texts = _typed(words[several:], file)
    if texts and (probe is not None or enclosure is not None):
        raise Refusal(
            "pairs go on record by themselves: write first slurrycalc compare 5.9=5.41 --probe NAME, then "
            "slurrycalc probe 6.0 --probe NAME"
        )
    with keeping("probe", recording, probe, enclosure) as keeper:
        probe = probe or sole(keeper, "probe")
        expected = scatter_words(scatter, 2 if keeper.kept else len(texts), "pair")
        found = read_probe(
            indications,
            texts,
            keeper=keeper,
            asked=JudgedBy(limits, expected, chance),
            resolution=_step(step),
            probe=probe,
            enclosure=enclosure,
        )
        first = None if found.enclosure is None else first_task(keeper, found.enclosure)
        task = probe_task(found.do, first)
    saved = save(keeper, recording)
    update, standing, known, said = found.update, found.judgement, found.known, keeper.remarks

    def page() -> Iterator[Block]:
        head = heading(found.enclosure, keeper) if keeper.kept else ""
        if update is None or standing is None or known is None:
            if head:
                yield Heading(head)
            yield from meaningless_blocks(found.indication, found.probe)
        else:
            pairs, stick = known.comparison, found.probe
            yield from update_blocks(update, standing, task, head=head, probe=stick, comparison=pairs)
        yield noted(said)

    settled = standing is not None and standing.settled
    remarks = (*standing.remarks, *update.remarks) if standing and update else ()
    result = ProbeReading(
        found.indication,
        update,
        standing,
        found.do,
        None if known is None else known.comparison,
        None if known is None else known.response,
        found.probe,
        found.enclosure,
        keeper.day.isoformat() if keeper.kept else None,
        saved,
    )
    last = last_line(saved, recording, "--probe NAME")
    return Outcome(result, tuple(page()), (*remarks, *said), needs_action=not settled, p=chance, last=last)


def _were(n: int) -> str:
    return "was" if n == 1 else "were"


def _typed(pairs: Sequence[str] | None, file: str | None) -> list[tuple[str, str]]:
    return [*(pair_words(pair) for pair in pairs or ()), *(_pairs_in(file) if file is not None else ())]


def _pairs_in(file: str) -> list[tuple[str, str]]:
    name, columns = Path(file).name, ("probe", "slurry")
    refuse_package(file)
    data = read_file(file, "pairs.csv")
    refuse_other(file, data, "pairs")
    table = read_table(data, name, columns, columns)
    if table.held_back:
        raise Refusal(table.held_back[0].text, f"{name}, row {table.held_back[0].row}")
    pairs = []
    for row in table.rows:
        probe, slurry = row.cells["probe"], row.cells["slurry"]
        if probe is None or slurry is None:
            raise Refusal("a pair has both, like 5.9,5.41", f"{name}, row {row.number}")
        pairs.append((probe, slurry))
    return pairs


def _step(text: str) -> float:
    step = number(text, "--step")
    if not 0 <= step <= 1:
        raise Refusal(f"--step: {quoted(text)} is no step of a display, 0 to 1 pH; write for instance 0.1")
    return step

