"""Whose cup an amount is meant in: said on the line, on record, or the US one."""

from __future__ import annotations

from slurrycalc.cli.whereabouts import is_there, logbook_path
from slurrycalc.cli.words import option
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.units import cup_size

KNOWN = ("us", "metric", "imperial")


def own_cup(given: str | None, logbook: str | None = None) -> tuple[str, tuple[Remark, ...]]:
    """Say which cup counts.

    Parameters
    ----------
    given : str or None
        The value of ``--cup``.
    logbook : str, optional
        The value of ``--logbook``.

    Returns
    -------
    cup : str
        As `slurrycalc.metrology.units.cup_size` takes it.
    remarks : tuple of Remark
        That it is the keeper's own, or that the record could not be asked.

    Raises
    ------
    Refusal
        If the option names no cup.

    Examples
    --------
    >>> own_cup("metric")
    ('metric', ())
    """
    if given is not None:
        with option("--cup"):
            cup_size(given)
        return given, ()
    path = logbook_path(logbook)
    if not is_there(path):
        return "us", ()
    from slurrycalc.logbook.faults import LogbookFault
    from slurrycalc.logbook.store import open_logbook
    from slurrycalc.logbook.things import things_of

    try:
        with open_logbook(path, writes=False) as book:
            cups = things_of(book).of("cup")
    except LogbookFault as fault:
        # A recipe needs no record: what is wrong with that is said, and the usual cup counts.
        return "us", (Remark("logbook", f"The US cup counts, since your own is not known: {fault}"),)
    volume = next((cup.get("volume") for cup in reversed(cups) if cup.get("volume") is not None), None)
    if volume is None:
        return "us", ()
    named = next((name for name in KNOWN if abs(cup_size(name) - volume) < 1e-6), f"{volume:g} mL")
    return named, (Remark("own-cup", f"By your own cup on record, {volume:g} mL."),)
