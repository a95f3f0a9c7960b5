"""How much of a drifting bed to exchange, and how often, so that it keeps its limits."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Final

import pint

from slurrycalc.data.assumed import MOST_AT_ONCE, UPKEEP_EVERY, Known
from slurrycalc.data.cautions import cautions
from slurrycalc.deciding.days import Unsaid, months_of
from slurrycalc.deciding.exchange.stages import part_at_once
from slurrycalc.deciding.given import Given, taken
from slurrycalc.deciding.mixing import buffering as known_buffering
from slurrycalc.deciding.upkeep.demands import MOST_MONTHS, SaltRise, demands
from slurrycalc.deciding.upkeep.plan import (
    Choice,
    Passed,
    Plan,
    Rhythm,
    UpkeepAsked,
    choice,
    longest_interval,
    plan_for,
)
from slurrycalc.deciding.upkeep.words import EXCHANGE_FIRST, Found, meaning, past, remarks, to_do
from slurrycalc.metrology.annotate import MonthValue, Number, NumberValue
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Result
from slurrycalc.metrology.uncertain import Uncertain
from slurrycalc.metrology.units.kinds import Kind
from slurrycalc.metrology.units.sizes import bed_volume

if TYPE_CHECKING:
    from slurrycalc.deciding.bed.ahead import Ahead

YOUNG_RECORD: Final = "young-record"
"""Kind of the remark that more bench days come first."""
INTERVALS: Final = (1.0, 2.0, 3.0, 4.0, 6.0, 12.0)
"""Of the table of choices. [month]"""


@dataclass(frozen=True)
class Upkeep(Result, says=("text",)):
    """A plan for holding a bed by exchanging a part of it again and again."""

    every: MonthValue
    passed: tuple[Passed, ...]
    """Limits that the bed lies past now, or may: it is exchanged first, and nothing is promised before."""
    even: Plan | None
    """What does if all is as measured; None where the whole bed each time is not enough, or a limit is
    passed."""
    assured: Plan | None
    """What does with assurance; None where nothing does, or a limit is passed."""
    p: NumberValue
    """Probability with which a limit is held; that of a pH by the record of its bed is in `text`."""
    by_record: bool
    """Whether the record of the bed answers for its pH."""
    table: tuple[Choice, ...]
    """Empty where a limit is passed."""
    longest: MonthValue | None
    """Longest interval at which what is exchanged at a time at most is assured to do; None where none is."""
    buffering: Number
    """How well a volume of fresh mix holds its pH over how well the bed does now."""
    buffering_known: Known
    text: tuple[str, str]
    """What it means, and what to do."""
    cautions: tuple[str, ...]
    remarks: tuple[Remark, ...]
    rhythm: Rhythm | None = field(default=None, metadata={"json": False})
    """What is exchanged each time, and how often; None where nothing is, or not yet."""

    @property
    def fraction(self) -> float | None:
        """Part to exchange each time if all is as measured."""
        return None if self.even is None else self.even.fraction

    @property
    def assured_fraction(self) -> float | None:
        """Part to exchange each time for the assurance."""
        return None if self.assured is None else self.assured.fraction

    @property
    def low(self) -> float | None:
        """Lowest pH of the steady bed under the even plan."""
        return None if self.even is None else self.even.low

    @property
    def high(self) -> float | None:
        """Highest pH of the steady bed under the even plan."""
        return None if self.even is None else self.even.high


def upkeep(
    drift: Given | None,
    fresh: Given | None,
    floor: float | str | None = None,
    every: float | str = UPKEEP_EVERY.value,
    buffering: Given | None = None,
    *,
    ceiling: float | str | None = None,
    now: Given | None = None,
    salts: SaltRise | None = None,
    volume: float | str | pint.Quantity[Any] | None = None,
    depth: float | str | pint.Quantity[Any] | None = None,
    at_once: float | str = MOST_AT_ONCE.value,
    p: float = 0.95,
    cup: str = "us",
    ahead: Ahead | None = None,
) -> Upkeep:
    """Say how much of a bed to exchange again and again, so that it keeps its limits.

    Parameters
    ----------
    drift : float, str, UFloat or None
        Of the bed's pH per month as `trend` gives it, negative where it turns acid; None where only salts are
        asked about. [pH/month]
    fresh : float, str, UFloat, SlurryResult or None
        pH of the fresh mix, measured after it has stood moist for a week. [pH]
    floor : float or str, optional
        Limit that must not be passed downward. [pH]
    every : float or str
        From one exchange to the next: a bare number, or a text such as ``90 d``. [month]
    buffering : float, str or UFloat, optional
        Buffering capacity of a volume of fresh mix over one of the bed as it is now; without it, 1 within a
        factor of two (from memory). [1]
    ceiling : float or str, optional
        Limit that must not be passed upward. [pH]
    now : float, str, UFloat or SlurryResult, optional
        pH of the bed just before the first exchange; without it, at the limit. Where that does not surely
        keep the limit, with probability `p`, the bed is exchanged first, and nothing is promised. [pH]
    salts : SaltRise, optional
        How salts gather, and their limit. The limit that asks for more wins.
    volume, depth : float, str or pint.Quantity, optional
        Of the bed, as for `exchange`. [mL], [cm]
    at_once : float or str
        Largest part exchanged at a time, by default a third (from memory). [1]
    p : float
        Probability of the assured plan: over the doubt of the drift, of the fresh mix and of its buffering.
    cup : str
        Whose cups are meant, as in :func:`slurrycalc.metrology.units.parse`.
    ahead : Ahead, optional
        The bed as its record taught it: parts and chances of its pH are then those of its model, for the next
        low (0.99) and the one after (0.98), read before each; drift and buffering only tell where the bed
        goes in the long run.

    Returns
    -------
    Upkeep
        The even and the assured plan, the first cycles, a table of how often and how much.

    Raises
    ------
    Refusal
        If nothing is asked, something cannot stand, or the fresh mix itself lies beyond a limit.

    Notes
    -----
    A steady bed lies at fresh + change/(f·r) just before an exchange if fresh substrate keeps its capacity,
    and at fresh + change/φ if it ages to the bed's within a cycle; the worse of the two counts. Salts come to
    fresh + rise/f.

    Examples
    --------
    >>> plan = upkeep(-0.08, 6.6, 5.4, every=3, buffering=1.0)
    >>> print(f"{plan.fraction:.2f}, then from {plan.low:.2f} to {plan.high:.2f}")
    0.20, then from 5.40 to 5.64
    """
    if not 0.5 < p < 1.0:
        raise Refusal(f"`{p:g}` is no probability to be assured of; give one above 0.5, such as 0.95.")
    months = _months(every)
    if volume is None and depth is not None:
        raise Refusal(f"{quoted(depth)} is a depth without a footprint: add one, for instance `60x45 cm`.")
    most = part_at_once(at_once)
    asked = UpkeepAsked(
        demands=demands(drift, fresh, floor, ceiling, salts, ahead=ahead),
        known=known_buffering(buffering),
        now=_start(now, "ph", "pH now"),
        salts_now=_start(None if salts is None else salts.now, "conductivity", "salts now"),
        p=p,
        bed=None if volume is None else bed_volume(volume, depth),
        cup=cup,
    )
    passed = asked.passed()
    if passed:
        return Upkeep(
            every=months,
            passed=passed,
            even=None,
            assured=None,
            p=p,
            by_record=asked.by_record,
            table=(),
            longest=None,
            buffering=asked.known.number,
            buffering_known=asked.known.known,
            text=(past(asked, passed), EXCHANGE_FIRST),
            cautions=cautions("upkeep"),
            remarks=(),
        )
    chosen = choice(asked, months)
    found = Found(
        asked=asked,
        every=months,
        even=plan_for(asked, months, chosen.fraction),
        sure=plan_for(asked, months, chosen.assured_fraction),
        by=chosen.decided_by,
        longest=longest_interval(asked, most),
        at_once=most,
    )
    return Upkeep(
        every=months,
        passed=(),
        even=found.even,
        assured=found.sure,
        p=p,
        by_record=asked.by_record,
        table=tuple(choice(asked, each) for each in sorted({*INTERVALS, months})),
        longest=found.longest,
        buffering=asked.known.number,
        buffering_known=asked.known.known,
        text=(meaning(found), to_do(found)),
        cautions=cautions("upkeep"),
        remarks=tuple(remarks(found)),
        rhythm=found.rhythm,
    )


def wait_for_days(plan: Upkeep, days: int, enough: int) -> Upkeep:
    """Say of a plan for a young record that shows no drift that more bench days come first.

    Parameters
    ----------
    plan : Upkeep
        What it would take.
    days, enough : int
        Bench days that there are, and that there should be.

    Returns
    -------
    Upkeep
        The same where it asks for no exchange, or for one before any upkeep.
    """
    part = plan.assured_fraction
    if plan.passed or part == 0.0:
        return plan
    said = (
        f"Wait for {enough} bench days, a month apart: {days} show no drift, and what this asks for is "
        "mostly the doubt of a young record."
    )
    remarked = (*plan.remarks, Remark(YOUNG_RECORD, said))
    return replace(plan, text=(plan.text[0], said), remarks=remarked, rhythm=None)


def _start(given: Given | None, kind: Kind, what: str) -> Uncertain | None:
    return None if given is None else taken(given, kind, what)


def _months(every: float | str) -> float:
    try:
        months = months_of(every)
    except Unsaid:
        raise
    except Refusal:
        months = 0.0
    if not 0.0 < months <= MOST_MONTHS:
        raise Refusal(
            f"{quoted(every)} is no interval between two exchanges, in months above 0 and up to "
            f"{MOST_MONTHS:g}: give for instance 3."
        )
    return months
