"""A probe against slurries, on a page."""

from __future__ import annotations

import shlex
from typing import TYPE_CHECKING

from slurrycalc.deciding.doubt import see_to
from slurrycalc.deciding.fitness import Fitness
from slurrycalc.deciding.judgement import Judgement
from slurrycalc.measuring.probe import Comparison, CorrectedReading
from slurrycalc.measuring.wording import typed
from slurrycalc.metrology.coverage import half_width, interval
from slurrycalc.metrology.figures import coverage, number, plus_minus, signed
from slurrycalc.metrology.uncertain import Uncertain

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page


def show_pairs(page: Page, comparison: Comparison) -> None:
    """Echo the pairs, so that a swapped one is seen."""
    said = [
        f"probe {typed(shown)}, slurry {_slurry(slurry)}"
        for shown, slurry in zip(comparison.probe, comparison.slurry, strict=True)
    ]
    page.say("Pairs: " + "; ".join(said) + ".")


def _slurry(ph: Uncertain) -> str:
    half, value = half_width(ph), float(getattr(ph, "n", ph))
    return plus_minus(value, half) if half else f"{value:.2f}"


def show_comparison(page: Page, comparison: Comparison, fitness: Fitness, p: float) -> None:
    """Write what the pairs say about the probe.

    Parameters
    ----------
    page : Page
        Where to.
    comparison : Comparison
        The probe against the slurries.
    fitness : Fitness
        What the probe is good for alone.
    p : float
        Coverage probability. [1]
    """
    low, high = interval(comparison.offset, p)
    half = (high - low) / 2
    page.headline("Probe minus slurry", comparison.offset.n, (low, high), p, unit="pH", sign=True)
    way = "more" if comparison.offset.n >= 0 else "less"
    lower, upper = (signed(limit, half) for limit in comparison.limits)
    page.say(
        f"On average the probe shows {number(abs(comparison.offset.n), half)} {way} than the slurry of the "
        f"same spot. The next pair will differ by {lower} to {upper} (95 in 100)."
    )
    page.say(comparison.why)
    page.answer(fitness.text)
    page.gap()
    show_pairs(page, comparison)
    if comparison.spread is not None:
        page.say(
            f"Rests on {comparison.n} pairs, whose differences scatter by {comparison.spread:.2f} pH; "
            f"their own scatter counts {comparison.own_share:.0%}, what is expected of probes the rest."
        )
    else:
        page.say("Rests on one pair; how a probe scatters is expected from others.")
    if comparison.classic is not None:
        page.say(
            f"Classic limits of agreement (mean ± {comparison.classic.factor:.2f} sd), as papers give them: "
            f"{comparison.classic.lower:+.2f} to {comparison.classic.upper:+.2f}."
        )
    page.gap()
    page.remarks(comparison.remarks)


def show_corrected(
    page: Page, corrected: CorrectedReading, standing: Judgement, comparison: Comparison | None = None
) -> None:
    """Write which slurry pH one indication means, and where that stands.

    Parameters
    ----------
    page : Page
        Where to.
    corrected : CorrectedReading
        What the indication means.
    standing : Judgement
        Where that stands against range and floor.
    comparison : Comparison, optional
        The pairs, to be echoed.
    """
    page.title(f"The probe shows {typed(corrected.indication)}. A slurry of that spot would have")
    page.headline("pH", corrected.ph.n, corrected.coverage_interval, corrected.p)
    page.say(" ".join(standing.sentences))
    page.do(_what_to_do(standing))
    page.gap()
    how = "an offset" if corrected.way == "offset" else "a line"
    page.say(f"Corrected by {how}; {coverage(corrected.p)} such slurries lie in the interval.")
    if comparison is not None:
        show_pairs(page, comparison)
    page.gap()
    page.remarks((*standing.remarks, *corrected.remarks))


def _what_to_do(standing: Judgement) -> str:
    if (first := see_to(standing.doubts)) is not None:
        return first.do
    if standing.ready:
        return "confirm it with two slurries, each from its own spots, then act."
    if standing.advice:
        return " ".join(advice.text for advice in standing.advice)
    return "nothing now; read it again next week."


def show_meaningless(page: Page, indication: float, probe: str | None = None) -> None:
    """Say that an indication without pairs means nothing yet, and how to give it a meaning."""
    page.title(f"The probe shows {typed(indication)}, and that means nothing yet")
    page.say(
        "A soil probe's own scale says little about slurry pH: other probes were off by up to a whole unit, "
        "each by its own amount."
    )
    line = f"slurrycalc probe {typed(indication)} 5.9=5.41"
    if probe is not None:
        line = f"slurrycalc compare 5.9=5.41 --probe {shlex.quote(probe)}"
    page.do(
        "push the probe in where a slurry's spoon will go, note what it shows, read the slurry, and give "
        f"both, like {line}; one pair is enough to begin with."
    )
