"""A trial in jars, on a page."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING

from slurrycalc.cli.show_change import base, head, ph_words
from slurrycalc.day.months.trying import Tried
from slurrycalc.deciding.exchange.words import percent
from slurrycalc.deciding.trial import Trial
from slurrycalc.metrology.coverage import interval
from slurrycalc.metrology.remark import Remark

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page


def show_trial(page: Page, tried: Tried, remarks: Iterable[Remark]) -> None:
    """Write a trial: the dose, what it means, what to do, and what each jar read.

    Parameters
    ----------
    page : Page
        Where to.
    tried : Tried
        The trial.
    remarks : iterable of Remark
        What to know of it.
    """
    found = tried.trial
    head(page, tried.enclosure, None if tried.on is None else date.fromisoformat(tried.on))
    meaning, task = found.text
    page.say(meaning)
    page.do(task)
    page.mind()
    page.title("Jars" if tried.amendment is None else f"Jars with {tried.amendment}")
    page.table(
        ("dose", "pH read", f"pH by the {found.way}"),
        [
            (f"{dose:g} {found.unit}".strip(), ph_words(ph), ph_words(found.level(dose)))
            for dose, ph in zip(found.doses, found.ph, strict=True)
        ],
    )
    page.gap()
    _rests(page, found)
    base(page, tried.basis, remarks)


def _rests(page: Page, found: Trial) -> None:
    if found.buffering is not None:
        page.headline(
            "Buffering, fresh over old", found.buffering.n, interval(found.buffering, found.p), found.p
        )
    jars, sd = f"Rests on {len(found.doses)} jars", f"{found.scatter_sd:.2f} pH"
    if found.own_share:
        share = f"their own scatter counts {percent(found.own_share)}, what is expected of jars the rest"
        page.say(f"{jars}, which scatter by {sd}; {share}.")
    else:
        page.say(f"{jars}, which show no scatter of their own: {sd} is expected.")
