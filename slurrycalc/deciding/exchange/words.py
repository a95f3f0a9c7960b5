"""What a keeper reads of an exchange: what it means, what to do, in which steps, and what to know of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import ceil, inf

from uncertainties import UFloat

from slurrycalc.data.assumed import FRESH_REST, MOST_AT_ONCE, MOST_STAGES
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.exchange.case import BedParts, Case, Direction
from slurrycalc.deciding.exchange.stages import Stage
from slurrycalc.deciding.given import nominal
from slurrycalc.deciding.mixing import BUFFERING_ASSUMED, BUFFERING_UNTAUGHT
from slurrycalc.measuring.wording import count, in_hundred, typed
from slurrycalc.metrology.coverage import interval
from slurrycalc.metrology.figures import coverage
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.uncertain import Uncertain


def percent(part: float, *, up: bool = False) -> str:
    """Write a part in whole percent.

    Parameters
    ----------
    part : float
        0 to 1. [1]
    up : bool
        Upward, for what is to be enough.

    Returns
    -------
    str

    Examples
    --------
    >>> percent(0.533), percent(0.681, up=True)
    ('53 %', '69 %')
    """
    return f"{ceil(100.0 * part - 1e-6) if up else round(100.0 * part)} %"


def in_cases(p: float) -> str:
    """Write a probability as cases.

    Parameters
    ----------
    p : float

    Returns
    -------
    str

    Examples
    --------
    >>> in_cases(0.95)
    '95 cases of 100'
    """
    return coverage(p).replace(" in ", " cases of ")


def exact_ones(numbers: Mapping[str, Uncertain]) -> Iterator[Remark]:
    """Say which pH values were taken as exact.

    Parameters
    ----------
    numbers : mapping of str to float or UFloat
        By what they are called. [pH]

    Yields
    ------
    Remark
        None where each has its doubt.

    Examples
    --------
    >>> [remark.kind for remark in exact_ones({"the bed": 5.1})]
    ['taken-as-exact']
    """
    exact = [words for words, number in numbers.items() if not isinstance(number, UFloat)]
    if exact:
        yield Remark(
            "taken-as-exact",
            f"The pH of {' and of '.join(exact)} was taken as exact: give it with its half-width, for "
            "instance 6.6+-0.2, since mostly a little more is needed than is said here.",
        )


def exchange_steps(each: str | None, stages: int) -> tuple[str, ...]:
    """Write the steps of one stage of an exchange.

    Parameters
    ----------
    each : str or None
        What is taken out and put in, in words.
    stages : int
        How many stages there are; 0 where they were not planned.

    Returns
    -------
    tuple of str
        One step each, without its number.

    Examples
    --------
    >>> exchange_steps("8.5 L", 1)[1]
    'Put leaf litter, wood and moss aside in the shade: they go back on top, with all that lives in them.'
    """
    amount = "the planned part of the bed" if each is None else each
    last = (
        "Wait a week, read two slurries, and compute the rest anew from what they read."
        if stages > 1
        else "Wait a week, and read two slurries: what they read counts, and not what was predicted."
    )
    return (
        "Take the animals out, and unplug what is electric.",
        "Put leaf litter, wood and moss aside in the shade: they go back on top, with all that lives in "
        "them.",
        f"Take out {amount}, a little everywhere and down to the bottom, away from the roots. The small "
        "fauna comes back from what stays: never empty a corner.",
        "Keep what comes out moist, dark and open to the air for some weeks (from memory): put back what "
        "crawls out of it, and if the bed goes wrong, it is your way back.",
        f"Fill up with as much of the fresh mix, moist for {FRESH_REST.value:g} days (from memory), to the "
        "same height as before, and mix it in to the full depth.",
        last,
    )


def enough_already(case: Case, chance: float) -> tuple[str, str]:
    """Say that a bed lies where it is wanted already, and what to do.

    Parameters
    ----------
    case : Case
        What is asked.
    chance : float
        That it does.

    Returns
    -------
    tuple of str
        What it means, and what to do.
    """
    there = at_or_beyond(case.wanted, case.direction)
    said = f"Enough: the bed lies at {there} already ({in_hundred(chance)})."
    return said, "Exchange nothing; go on reading it."


def at_or_beyond(wanted: float, direction: Direction) -> str:
    """Write a pH and all that lies beyond it.

    Examples
    --------
    >>> at_or_beyond(5.9, "up")
    '5.9 or higher'
    """
    return f"{typed(wanted)} or {'higher' if direction == 'up' else 'lower'}"


def meaning(case: Case, parts: BedParts) -> str:
    """Say what an exchange brings.

    Parameters
    ----------
    case : Case
        What is asked.
    parts : BedParts
        What comes of it.

    Returns
    -------
    str
        One sentence.
    """
    goal = at_or_beyond(case.wanted, case.direction)
    even = f"{percent(parts.even)} does in one case of two" if parts.even else ""
    if parts.sure is not None:
        sure = percent(parts.sure, up=True)
        return (
            f"Exchanging {sure} of the bed brings it to {goal} in {in_cases(case.p)}"
            f"{'; ' if even else ''}{even}."
        )
    reads = f"the fresh mix itself reads {nominal(case.fresh):.2f}"
    if parts.even is None:
        return f"No exchange brings the bed to {goal}: {reads}."
    low, high = interval(case.fresh)
    return (
        f"No exchange is sure to bring the bed to {goal}: {reads}, between {low:.2f} and {high:.2f}"
        f"{'; ' if even else ''}{even}."
    )


def to_do(parts: BedParts, stages: tuple[Stage, ...]) -> str:
    """Say what to do.

    Parameters
    ----------
    parts : BedParts
        What comes of it.
    stages : tuple of Stage
        What is planned.

    Returns
    -------
    str
        One sentence.
    """
    if parts.even is None:
        return "Mix a fresh one that lies beyond the pH wanted, let it stand moist, and measure it."
    if parts.sure is None:
        return "Read more slurries of the fresh mix, or take one that lies further beyond the pH wanted."
    if not stages:
        return (
            "That is a new bed rather than an exchange: take a fresh mix that lies further beyond the pH "
            "wanted, of which less does."
        )
    stage = stages[0]
    amount = "" if stage.amount is None else f", {stage.amount.words}"
    part = f"{percent(stage.fraction, up=True)} of the bed{amount}"
    days = [spoken(each.on) for each in stages if each.on is not None]
    if len(stages) == 1:
        return f"Exchange {part}{f', on {days[0]}' if days else ''}; read it a week later."
    when = f", on {', '.join(days[:-1])} and {days[-1]}" if days else ""
    return (
        f"Exchange in {count(len(stages))} stages of {part} each{when}; read it a week after each, and "
        "compute the rest anew."
    )


def remarks(case: Case, parts: BedParts, *, by_record: bool = False) -> Iterator[Remark]:
    """Say what to know of a plan.

    Parameters
    ----------
    case : Case
        What is asked.
    parts : BedParts
        What comes of it.
    by_record : bool
        Whether the bed is the one that its record taught.

    Yields
    ------
    Remark
    """
    if parts.even is None:
        yield Remark("none-can", "Even the whole bed exchanged ends where the fresh mix is.")
    elif parts.sure is None:
        at_best = in_hundred(float(case.line.above_zero(1.0)))
        yield Remark(
            "none-assured",
            f"Even the whole bed exchanged reaches it in {at_best} only: the doubt of the fresh mix stands "
            "in the way, not the amount.",
        )
    yield from exact_ones({"the bed": case.now, "the fresh mix": case.fresh})
    if case.known.uniform:
        yield Remark("buffering-assumed", BUFFERING_UNTAUGHT if by_record else BUFFERING_ASSUMED)
    if parts.planned is None:
        return
    whole = percent(parts.planned, up=True)
    if 1 < parts.needed <= MOST_STAGES.value:
        ground = "from memory" if parts.at_once == MOST_AT_ONCE.value else "as given"
        yield Remark(
            "in-stages",
            f"{whole} at once is more than the roots and the small fauna of a bed bear: "
            f"{percent(parts.at_once)} at a time at most ({ground}). Each stage takes some of the fresh mix "
            f"out again, so the parts add to more than {whole}; and meanwhile the bed drifts on, so each "
            "reading in between counts.",
        )
    elif parts.needed > MOST_STAGES.value:
        often = f"{whole} of the bed would take {parts.needed:.0f} stages"
        if parts.needed == inf:
            often = f"No number of stages changes {whole} of the bed"
        yield Remark(
            "new-bed",
            f"{often}: that is a new bed, into which animals and small fauna "
            "move with a part of the old.",
        )
