"""A damaged record: the way back to a copy of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from slurrycalc.cli import options
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import Recording
from slurrycalc.metrology.quote import quoted
from slurrycalc.report.page import Block, Do, Say


@dataclass(frozen=True)
class WentBack:
    """What a record was brought back to."""

    logbook: str
    day: str
    """Before whose first step the copy was made."""
    entries: str
    """How many it has."""
    kept: str | None
    """Where the damaged file lies now."""


def restore(*, logbook: options.Logbook = None) -> Outcome[WentBack]:
    """Go back to the newest good copy of a damaged record.

    slurrycalc restore
    slurrycalc restore --logbook bench.sqlite

    Before the first step of a day a copy is put beside the record: the newest five are kept, and the first of
    every month, in a folder named after it, such as bench.sqlite.copies. A record that is whole is left as it
    is, and the damaged file is kept.
    """
    from slurrycalc.logbook.restore import restore as go_back

    path = Recording(logbook=logbook).path
    done = go_back(path)
    result = WentBack(str(path), done.day, done.entries, None if done.kept is None else str(done.kept))

    def page() -> Iterator[Block]:
        at = quoted(result.logbook, 200)
        yield Say(f"{at} is as it was before the first step of {result.day}, with {result.entries}.")
        if result.kept:
            yield Say(f"The damaged file is kept: {quoted(result.kept, 200)}.")
        yield Do(
            "look at slurrycalc history, and enter anew what was recorded since. Put a copy on another disk "
            "too, slurrycalc export: this one may be failing."
        )

    return Outcome(result, tuple(page()))
