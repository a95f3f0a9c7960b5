"""Where an enclosure stands and what it asks for, in the words of a cell of a table."""

from __future__ import annotations

from slurrycalc.day.bench.result import EnclosureResult
from slurrycalc.deciding.doubt import see_to
from slurrycalc.deciding.judgement import Judgement


def task_word(one: EnclosureResult) -> str:
    """Say in a word or three what to do next: as the agenda has it, else by the reading alone."""
    standing = one.judgement
    if (first := see_to(standing.doubts)) is not None:
        return first.word
    if one.first is not None:
        return one.first.in_short
    if standing.ready:
        return "exchange a part"
    if not standing.advice:
        return "nothing now"
    most = max(standing.advice, key=lambda advice: (advice.action in ("day", "nothing"), advice.n))
    if most.action == "slurries":
        return f"mix {most.n} more"
    return "third buffer" if most.action == "buffer" else "another day"


def is_urgent(one: EnclosureResult) -> bool:
    """Tell whether something is to be done now."""
    return bool(one.judgement.doubts) or one.asks_exchange or (one.first is not None and one.first.days <= 0)


def stands_word(standing: Judgement) -> str:
    """Say in a word or two where a pH stands: by its floor where that is not surely kept, else by its range.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> from slurrycalc.deciding.judgement import judge
    >>> [stands_word(judge(ufloat(ph, 0.1))) for ph in (4.7, 5.05, 5.2, 5.4, 5.9, 6.9)]
    ['below floor', 'near floor', 'below range', 'perhaps below', 'inside', 'above range']
    """
    if standing.doubts:
        return "in doubt"
    if standing.above_floor.state != "yes":
        return "below floor" if standing.above_floor.state == "no" else "near floor"
    if standing.in_range.state == "yes":
        return "inside"
    side = "below" if standing.below_range >= standing.above_range else "above"
    return f"{side} range" if standing.in_range.state == "no" else f"perhaps {side}"
