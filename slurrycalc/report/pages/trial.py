"""A trial in jars, on a page."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from slurrycalc.day.months.trying import Tried
from slurrycalc.deciding.exchange.words import percent
from slurrycalc.deciding.trial import Trial
from slurrycalc.measuring.wording import lowered
from slurrycalc.metrology.coverage import interval
from slurrycalc.metrology.remark import Remark
from slurrycalc.report.page import GAP, Block, Cautions, Do, Heading, Headline, Say, evidence, table
from slurrycalc.report.pages.change import base, head, ph_words
from slurrycalc.report.pages.remarks import remarks_blocks


def trial_blocks(tried: Tried, remarks: Iterable[Remark]) -> Iterator[Block]:
    """Write a trial: the dose, what it means, what to do, and what each jar read.

    Parameters
    ----------
    tried : Tried
        The trial.
    remarks : iterable of Remark
        What to know of it.
    """
    found = tried.trial
    yield from head(tried.enclosure, None if tried.on is None else date.fromisoformat(tried.on))
    meaning, task = found.text
    yield Do(lowered(task))
    yield GAP
    yield Say(meaning)
    yield from remarks_blocks(remarks)
    yield Cautions()
    yield Heading("Jars" if tried.amendment is None else f"Jars with {tried.amendment}")
    yield table(
        ("dose", "pH read", f"pH by the {found.way}"),
        [
            (f"{dose:g} {found.unit}".strip(), ph_words(ph), ph_words(found.level(dose)))
            for dose, ph in zip(found.doses, found.ph, strict=True)
        ],
    )
    yield evidence([GAP, *_rests(found)])
    yield from base(tried.basis)


def _rests(found: Trial) -> Iterator[Block]:
    if found.buffering is not None:
        yield Headline(
            "Buffering, fresh over old", found.buffering.n, interval(found.buffering, found.p), found.p
        )
    jars, sd = f"Rests on {len(found.doses)} jars", f"{found.scatter_sd:.2f} pH"
    if found.own_share:
        share = f"their own scatter counts {percent(found.own_share)}, what is expected of jars the rest"
        yield Say(f"{jars}, which scatter by {sd}; {share}.")
    else:
        yield Say(f"{jars}, which show no scatter of their own: {sd} is expected.")
