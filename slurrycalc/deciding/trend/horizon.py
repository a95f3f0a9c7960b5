"""How long what was read tells where a bed stands; and what comes first where it tells so no longer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from slurrycalc.data.assumed import LONGEST_RETEST
from slurrycalc.deciding.days import months_on, spoken
from slurrycalc.deciding.trend.through_time import LevelStep
from slurrycalc.metrology.results import Result


@dataclass(frozen=True)
class ReadFirst(Result, says=("text",)):
    """Where a bed stands is not known: it is read before anything is planned or promised."""

    last: date
    """When it was read last."""
    by: date
    """By when it is to be read again."""
    late: bool
    """Whether that day is past."""
    text: tuple[str, str]
    """What it means, and what to do."""


def horizon(last: date) -> date:
    """Give the last day on which what was read still tells where a bed stands.

    Parameters
    ----------
    last : date
        When it was read last.

    Returns
    -------
    date
        Twelve months on (common practice): for a trend, an exchange and an upkeep alike.

    Examples
    --------
    >>> horizon(date(2024, 5, 31))
    datetime.date(2025, 5, 31)
    """
    return months_on(last, LONGEST_RETEST.value)


def unknown(last: date, steps: Iterable[LevelStep], today: date, *, doubted: bool = False) -> str | None:
    """Say why where a bed stands on a day is not known, if so.

    Parameters
    ----------
    last : date
        When it was read last.
    steps : iterable of LevelStep
        What shifts its level. A bench day of the same date counts as before it.
    today : date
        That day.
    doubted : bool
        Whether it was read last under a calibration in doubt.

    Returns
    -------
    str or None
        A clause about what it calls "it".

    Examples
    --------
    >>> unknown(date(2024, 5, 31), [], date(2025, 6, 10))
    'it was read last on 31 May 2024, more than 12 months back'
    >>> unknown(date(2024, 5, 31), [LevelStep(date(2024, 6, 5))], date(2024, 6, 10))
    'it was not read since the exchange of 5 June 2024'
    """
    unread = [step for step in steps if last <= step.on <= today and not step.foreseen]
    if unread:
        return f"it was not read since the {unread[-1].name} of {spoken(unread[-1].on)}"
    if doubted:
        return f"it was read last on {spoken(last)}, under a calibration in doubt"
    if today > horizon(last):
        return f"it was read last on {spoken(last)}, more than {LONGEST_RETEST.value:g} months back"
    return None


def read_first(name: str, last: date, by: date, why: str, today: date) -> ReadFirst:
    """Put in words that a bed is read before anything else.

    Parameters
    ----------
    name : str
        Of the bed.
    last, by : date
        When it was read last, and by when it is to be read again.
    why : str
        As `unknown` says it.
    today : date
        The present day.

    Returns
    -------
    ReadFirst

    Examples
    --------
    >>> last, today = date(2024, 5, 31), date(2025, 6, 10)
    >>> print(read_first("atlas", last, date(2024, 9, 1), unknown(last, [], today), today).text[1])
    read it again first; that was due by 1 September 2024. Nothing can be promised before.
    """
    when = f"; that was due by {spoken(by)}" if by < today else f", by {spoken(by)}"
    return ReadFirst(
        last,
        by,
        by < today,
        (
            f"Where {name} stands on {spoken(today)} is not known: {why}.",
            f"read it again first{when}. Nothing can be promised before.",
        ),
    )
