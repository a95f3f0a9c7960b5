"""Names on record, for the Tab key: read only, silent where they cannot be read."""

from __future__ import annotations

from contextlib import suppress

from slurrycalc.cli.whereabouts import logbook_path


def enclosures(incomplete: str) -> list[str]:
    """Give the names of enclosures that begin so."""
    return _starting("enclosure", incomplete)


def meters(incomplete: str) -> list[str]:
    """Give the names of meters that begin so."""
    return _starting("meter", incomplete)


def probes(incomplete: str) -> list[str]:
    """Give the names of probes that begin so."""
    return _starting("probe", incomplete)


def events(incomplete: str) -> list[str]:
    """Give the kinds of events that begin so."""
    from slurrycalc.data.events import EVENTS

    return [kind for kind in EVENTS if kind.startswith(incomplete.casefold())]


def _starting(kind: str, incomplete: str) -> list[str]:
    """Give the names of a kind that begin so, none where the logbook cannot be read."""
    # The Tab key must never write over the line that somebody is typing.
    with suppress(Exception):
        from slurrycalc.logbook.store import open_logbook
        from slurrycalc.logbook.things import things_of

        with open_logbook(logbook_path(), writes=False, wait=0.2) as book:
            names = [thing.name for thing in things_of(book).of(kind)]
        return [name for name in names if name.casefold().startswith(incomplete.casefold())]
    return []
