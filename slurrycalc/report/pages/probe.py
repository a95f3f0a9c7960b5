"""A probe against slurries, on a page."""

from __future__ import annotations

import shlex
from collections.abc import Collection, Iterator

from slurrycalc.day.bench.probe import Paired
from slurrycalc.day.bench.result import ProbeResult
from slurrycalc.deciding.judgement import Judgement
from slurrycalc.measuring.probe import Comparison, Update
from slurrycalc.measuring.wording import typed
from slurrycalc.metrology.coverage import half_width, interval
from slurrycalc.metrology.figures import plus_minus, signed
from slurrycalc.metrology.uncertain import Uncertain
from slurrycalc.report.page import GAP, Block, Do, Heading, Headline, Say, answer, noted


def pairs_blocks(comparison: Comparison) -> Iterator[Block]:
    """Echo the pairs, so that a swapped one is seen."""
    said = [
        f"probe {typed(shown)}, slurry {_slurry(slurry)}"
        for shown, slurry in zip(comparison.probe, comparison.slurry, strict=True)
    ]
    yield Say("Pairs: " + "; ".join(said) + ".")


def _slurry(ph: Uncertain) -> str:
    half, value = half_width(ph), float(getattr(ph, "n", ph))
    return plus_minus(value, half) if half else f"{value:.2f}"


def comparison_blocks(found: Paired | ProbeResult, p: float) -> Iterator[Block]:
    """Write what the pairs say about the probe.

    Parameters
    ----------
    found : Paired or ProbeResult
        The probe against the slurries, whether it follows them, what it adds to them.
    p : float
        Coverage probability. [1]
    """
    comparison = found.comparison
    yield from answer_blocks(found, p)
    yield GAP
    yield from pairs_blocks(comparison)
    low, high = interval(comparison.offset, p)
    lower, upper = (signed(limit, (high - low) / 2) for limit in comparison.limits)
    yield Say(f"{comparison.meaning} The next pair will differ by {lower} to {upper} (95 in 100).")
    if comparison.spread is not None:
        yield Say(
            f"Rests on {comparison.n} pairs, whose differences scatter by {comparison.spread:.2f} pH; "
            f"their own scatter counts {comparison.own_share:.0%}, what is expected of probes the rest."
        )
    else:
        yield Say("Rests on one pair; how a probe scatters is expected from others.")
    if comparison.classic is not None:
        yield Say(
            f"Classic limits of agreement (mean ± {comparison.classic.factor:.2f} sd), as papers give them: "
            f"{comparison.classic.lower:+.2f} to {comparison.classic.upper:+.2f}."
        )
    yield GAP
    yield noted((*comparison.remarks, *found.response.remarks))


def answer_blocks(found: Paired | ProbeResult, p: float) -> Iterator[Block]:
    """Write the mean difference, whether the probe follows, and what it is worth."""
    offset, response, worth = found.comparison.offset, found.response, found.worth
    yield Headline("Probe minus slurry", offset.n, interval(offset, p), p, unit="pH", sign=True)
    yield from answer(response.text)
    if response.state == "follows":
        text = worth.text
        yield Say(text if found.bed is None else f"In {found.bed} {text[0].lower()}{text[1:]}")


def update_blocks(
    update: Update,
    standing: Judgement,
    do: str,
    *,
    comparison: Comparison | None = None,
    told: Collection[str] = (),
) -> Iterator[Block]:
    """Write what an indication adds to the record, and where that stands.

    Parameters
    ----------
    update : Update
        What the indication means.
    standing : Judgement
        Where that stands against range and floor.
    do : str
        What to do.
    comparison : Comparison, optional
        The pairs, to be echoed.
    told : collection of str
        Sentences that stand on the page already.
    """
    shown = typed(round(update.indication, 2))
    yield Heading(f"The probe shows {shown}" + ("" if update.n == 1 else f" on average of {update.n}"))
    yield Headline("pH", update.ph.n, interval(update.ph, update.p), update.p)
    yield from answer(update.text)
    yield Say(" ".join(standing.sentences))
    yield Do(do)
    yield GAP
    if comparison is not None:
        yield from pairs_blocks(comparison)
        yield GAP
    yield noted(tuple(one for one in (*standing.remarks, *update.remarks) if one.text not in told))


def meaningless_blocks(indication: float, probe: str | None = None) -> Iterator[Block]:
    """Say that an indication without pairs means nothing yet, and how to give it a meaning."""
    yield Heading(f"The probe shows {typed(indication)}, and that means nothing yet")
    yield Say(
        "A soil probe's own scale says little about slurry pH: other probes were off by up to a whole unit, "
        "each by its own amount."
    )
    line = f"slurrycalc probe {typed(indication)} 5.9=5.41"
    if probe is not None:
        line = f"slurrycalc compare 5.9=5.41 --probe {shlex.quote(probe)}"
    yield Do(
        "push the probe in where a slurry's spoon will go, note what it shows, read the slurry, and give "
        f"both, like {line}; one pair is enough to begin with."
    )
