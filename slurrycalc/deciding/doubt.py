"""What puts a reading in doubt, and what is to be seen to before anybody acts on it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from slurrycalc.measuring.electrode.verdict import METER_IN_DOUBT
from slurrycalc.measuring.probe.update import DISAGREES, SLURRY_FIRST
from slurrycalc.measuring.slurry.odd import ODD
from slurrycalc.metrology.remark import Remark

BENCH_IN_DOUBT = "steady-jar-alarm"
"""Kind of the remark on the results of a day on which the steady jar alarms."""


class SeeTo(NamedTuple):
    """What comes first."""

    word: str
    """For a cell of a table."""
    answer: str
    """The sentence that stands before the answers."""
    do: str
    """What to do, to be said after ``Do:``."""


_SLURRY = SeeTo(
    "slurry first",
    "By a probe alone, and a slurry comes first.",
    "mix a slurry at this spot and read it before you act on this.",
)

FIRST = {
    METER_IN_DOUBT: SeeTo(
        "meter first",
        "In doubt, until the meter is seen to.",
        "see to the meter before you act on this: clean the electrode, open fresh buffers, calibrate again "
        "and read the jars once more.",
    ),
    BENCH_IN_DOUBT: SeeTo(
        "bench first",
        "In doubt, until the bench is seen to.",
        "see to the bench before you act on this: until the steady jar agrees again, it is in doubt.",
    ),
    ODD: SeeTo(
        "jar first",
        "One jar lies by itself: in doubt, until that jar is seen to.",
        "read the jar that lies by itself again, and mix another, before you act on this; strike it out if "
        "it was a slip.",
    ),
    **dict.fromkeys((SLURRY_FIRST, DISAGREES), _SLURRY),
}
"""By the kind of the remark; what comes first stands first, since a bench is only as good as its meter."""


def doubts(remarks: Iterable[Remark]) -> tuple[Remark, ...]:
    """Give those of a result's remarks that put it in doubt, each once."""
    return tuple(dict.fromkeys(remark for remark in remarks if remark.kind in FIRST))


def in_doubt(remarks: Iterable[Remark]) -> bool:
    """Tell whether a result must not be acted on.

    Examples
    --------
    >>> in_doubt([Remark("steady-jar-alarm", "The steady jar reads +0.39 pH from the mean.")])
    True
    """
    return bool(doubts(remarks))


def see_to(remarks: Iterable[Remark]) -> SeeTo | None:
    """Say what to see to first; None where nothing is in doubt.

    Examples
    --------
    >>> see_to([Remark("meter-in-doubt", "Read under a calibration that is in doubt.")]).word
    'meter first'
    """
    kinds = {remark.kind for remark in remarks}
    return next((first for kind, first in FIRST.items() if kind in kinds), None)
