"""A probe against slurries, on a page."""

from __future__ import annotations

import shlex
from collections.abc import Iterator

from slurrycalc.day.bench.probe import Paired
from slurrycalc.day.bench.result import ProbeResult
from slurrycalc.deciding.due import DueItem
from slurrycalc.deciding.judgement import Judgement
from slurrycalc.measuring.probe import Comparison, Update
from slurrycalc.measuring.wording import lowered, typed
from slurrycalc.metrology.coverage import half_width, interval
from slurrycalc.metrology.figures import number, plus_minus, signed
from slurrycalc.metrology.uncertain import Uncertain
from slurrycalc.report.drawings import pairs_figure
from slurrycalc.report.page import GAP, Block, Do, Heading, Headline, Say, Strip, evidence
from slurrycalc.report.pages.case import SAID, stands
from slurrycalc.report.pages.due import command_of, said
from slurrycalc.report.pages.remarks import remarks_blocks
from slurrycalc.report.strip import Span


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
    """Tell what the pairs say about the probe: how far it is off, whether it follows, what it is worth.

    Parameters
    ----------
    found : Paired or ProbeResult
        The probe against the slurries, whether it follows them, what it adds to them.
    p : float
        Coverage probability. [1]
    """
    comparison, response = found.comparison, found.response
    offset = comparison.offset
    yield Headline("Probe minus slurry", offset.n, interval(offset, p), p, unit="pH", sign=True)
    (meaning, task), (worth, use) = response.text, _worth(found)
    yield Do(lowered(task or use))
    yield GAP
    yield Say(f"{meaning} {worth}" if response.state == "follows" else meaning)
    yield Say(f"By {_pairs(comparison)}.")
    yield from remarks_blocks((*comparison.remarks, *response.remarks))
    yield pairs_figure(comparison, response, p)
    yield evidence([GAP, *_comparison_evidence(found, p)])


def _worth(found: Paired | ProbeResult) -> tuple[str, str]:
    """Say what the probe is worth, in which bed, and what to do with it."""
    meaning, task = found.worth.text
    return (meaning if found.bed is None else f"In {found.bed} {lowered(meaning)}"), task


def _pairs(comparison: Comparison) -> str:
    """Say by how many pairs, and over what."""
    values = [float(getattr(ph, "n", ph)) for ph in comparison.slurry]
    least, most = (f"{end:.1f}" for end in (min(values), max(values)))
    if comparison.n == 1:
        return f"1 pair, at pH {least}"
    return f"{comparison.n} pairs at pH {least}{'' if least == most else f' to {most}'}"


def _comparison_evidence(found: Paired | ProbeResult, p: float) -> Iterator[Block]:
    comparison = found.comparison
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


def probe_lines(probe: ProbeResult, p: float) -> Iterator[Block]:
    """Tell in a few lines of a day how the probe compares, and what its next indication means."""
    more = probe.comparison.offset.n >= 0.0
    offset = probe.comparison.offset if more else -probe.comparison.offset
    ends = interval(offset, p)
    off, *between = (number(one, ends.half_width) for one in (offset.n, *ends))
    name = f"Probe {probe.name or ''}".rstrip()
    text = " ".join(each for each in probe.response.text if each)
    if probe.response.state == "follows":
        text = " ".join([text, *_worth(probe)])
    than = f"{'more' if more else 'less'} than the slurries ({' to '.join(between)})"
    yield Say(f"{name} shows {off} {than}. {text}")
    if probe.next is not None and probe.judgement is not None and probe.do is not None:
        shown = typed(round(probe.next.indication, 2))
        ph, ends = probe.next.ph, interval(probe.next.ph, probe.next.p)
        value, low, high = (number(one, ends.half_width) for one in (ph.n, *ends))
        where = f"Where it shows {shown}: pH {value} ({low} to {high})."
        yield Say(f"{where} {stands(probe.judgement)} {_capital(probe.do)}")
    told = (*probe.comparison.remarks, *probe.response.remarks)
    yield from remarks_blocks(remark for remark in told if remark.text not in text)


def probe_evidence(probe: ProbeResult, p: float) -> Iterator[Block]:
    """Tell in full how the probe compares with the slurries of a day."""
    name = f"Probe {probe.name or ''}".rstrip()
    earlier = f", {probe.earlier} of its pairs on record before" if probe.earlier else ""
    yield Heading(f"{name}, against slurries{earlier}")
    yield from _comparison_evidence(probe, p)
    if probe.next is not None and probe.judgement is not None:
        yield Say(probe.next.text)
        yield Say(" ".join(probe.judgement.sentences))


def probe_task(do: str | None, first: DueItem | None) -> Do:
    """Say what to do: what the agenda asks of the bed now, else what the indication asks for."""
    if first is not None and first.days <= 0:
        return Do(said(first), command_of(first))
    return Do(do or "")


def _adds(update: Update) -> str:
    """Say whose pH it is, and whether the probe counts in it."""
    whose = "At this spot" if update.measurand == "spot" else "Of the bed's mean"
    if update.state == "follows":
        return f"{whose}, by its slurries and the probe together."
    if update.ph.n < update.before.n:
        without = plus_minus(update.before.n, half_width(update.before))
        return f"{whose}. The probe warns: without it {without}."
    return f"{whose}, without the probe, which adds nothing."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def update_blocks(
    update: Update,
    standing: Judgement,
    task: Do,
    *,
    head: str = "",
    probe: str | None = None,
    comparison: Comparison | None = None,
) -> Iterator[Block]:
    """Tell what an indication adds to the record, what to do, and where that stands.

    Parameters
    ----------
    update : Update
        What the indication means.
    standing : Judgement
        Where that stands against range and floor.
    task : Do
        What to do.
    head : str
        What stands before what the probe shows: whose, and when.
    probe : str, optional
        Its name.
    comparison : Comparison, optional
        The pairs, to be echoed.
    """
    shown = typed(round(update.indication, 2))
    shows = f"{probe or 'the probe'} shows {shown}" + ("" if update.n == 1 else f" on average of {update.n}")
    yield Heading(f"{head}: {shows}" if head else _capital(shows))
    ends = interval(update.ph, update.p)
    yield Headline("pH", update.ph.n, ends, update.p)
    yield task
    yield Strip(Span(ends.low, update.ph.n, ends.high, standing.target, standing.floor))
    yield GAP
    yield Say(stands(standing))
    yield Say(_adds(update))
    yield from remarks_blocks((*standing.remarks, *update.remarks), () if standing.doubts else SAID)
    yield evidence([GAP, Say(update.text), Say(" ".join(standing.sentences[-2:]))])
    if comparison is not None:
        yield evidence([*pairs_blocks(comparison), GAP])


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
