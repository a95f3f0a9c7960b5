"""Where an enclosure stands: inside its target range or not, above its floor or not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import inf, isfinite
from typing import Any, Final, Literal, NamedTuple, TypeAlias

import pint
from uncertainties import UFloat

from slurrycalc.data.assumed import (
    ADVICE_DAY_GAIN,
    ADVICE_LIKELY,
    FLOOR,
    FLOOR_CHANCE,
    MOST_SLURRIES,
    TARGET_HIGH,
    TARGET_LOW,
)
from slurrycalc.deciding.doubt import doubts, see_to
from slurrycalc.measuring.probe import Update
from slurrycalc.measuring.slurry import SlurryResult
from slurrycalc.measuring.slurry.advice import Action, Advice, Question, describe, future
from slurrycalc.measuring.slurry.prospect import Footing
from slurrycalc.measuring.wording import in_hundred, typed
from slurrycalc.metrology.annotate import PH, NumberValue, PHValue
from slurrycalc.metrology.coverage import half_width, probability
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Result, Valued
from slurrycalc.metrology.units import magnitude

TARGET: Final = (TARGET_LOW.value, TARGET_HIGH.value)
"""The usual target range. [pH]"""

State = Literal["yes", "no", "not settled"]
Judged: TypeAlias = SlurryResult | Update | UFloat | float | str | pint.Quantity[Any]

MEANWHILE: Final[dict[Question, str]] = {
    "in range": "Read it again on the next bench day.",
    "above floor": "Until it is settled, treat it as below.",
}



@dataclass(frozen=True, slots=True)
class Answer(Result, of="state"):
    """The answer to one question."""

    state: State
    probability: NumberValue
    """That the answer is yes."""

    def _body(self) -> str:
        return in_hundred(self.probability)



@dataclass(frozen=True)
class Judgement(Valued, value="ph", words="pH {}", says=("sentences",), later=("advice",)):
    """Where a pH stands against its target range and its floor."""

    ph: PH
    target: tuple[PHValue, PHValue]
    floor: PHValue
    p: NumberValue
    """An answer is yes from this probability on, and no up to 1 minus it."""
    in_range: Answer
    above_floor: Answer
    below_range: NumberValue
    """Probability of lying below the target range."""
    above_range: NumberValue
    """Probability of lying above the target range."""
    ready: bool
    """Whether it is sure enough to be out of range that something can be done about it now."""
    sentences: tuple[str, ...]
    """The answers in words: the doubt, where there is one; range; floor."""
    remarks: tuple[Remark, ...]
    doubts: tuple[Remark, ...] = ()
    """Why the reading itself is in doubt: nothing is then ready or settled, whatever the answers are."""
    _result: SlurryResult | None = field(default=None, repr=False)
    """How the pH came about, where that is known."""
    _on_record: bool = field(default=False, repr=False)
    """Whether another day will know what its slurries showed of their scatter."""

    @cached_property
    def advice(self) -> tuple[Advice, ...]:
        """What would settle an open question, one for each that is open."""
        # It takes ten times as long as the answers, and of a large day few ask for it.
        if self._result is None or see_to(self.doubts) is not None:
            return ()
        (low, high), p = self.target, self.p
        asked = (
            (_Asked("in range", "inside its range", low, high, p), self.in_range),
            (_Asked("above floor", "above its floor", self.floor, inf, p), self.above_floor),
        )
        return tuple(
            _settling(self._result, question, self._on_record)
            for question, answer in asked
            if answer.state == "not settled"
        )

    @property
    def settled(self) -> bool:
        """Whether both answers are yes and not in doubt, so that there is nothing to do."""
        return not self.doubts and self.in_range.state == self.above_floor.state == "yes"


def checked_limits(target: tuple[float, float], floor: float) -> tuple[tuple[float, float], float]:
    """Take in a target range and a floor.

    Parameters
    ----------
    target : (float, float)
        Lower and upper edge of the wanted range. [pH]
    floor : float
        Limit that must not be passed downward. [pH]

    Returns
    -------
    target, floor
        The same, as floats.

    Raises
    ------
    Refusal
        If they are no pH values, or not in the order floor, lower edge, upper edge.

    Examples
    --------
    >>> checked_limits((5.4, 6.5), 5)
    ((5.4, 6.5), 5.0)
    """
    try:
        low, high = (float(edge) for edge in target)
        floor = float(floor)
    except (TypeError, ValueError):
        raise Refusal(
            f"`{target}` and `{floor}` are no range and floor; give them as (5.4, 6.5) and 5.0."
        ) from None
    for value in (low, high, floor):
        if not (isfinite(value) and 0.0 <= value <= 14.0):
            raise Refusal(f"`{value:g}` is no pH between 0 and 14 for a limit; give one such as 5.4.")
    if low >= high:
        raise Refusal(
            f"a range from `{low:g}` to `{high:g}` is empty; give the lower edge first, such as 5.4:6.5."
        )
    if floor > low:
        raise Refusal(
            f"a floor of `{floor:g}` lies above the range's lower edge, {low:g}; give a floor at or below "
            "it, such as 5.0."
        )
    return (low, high), floor


def judge(
    result: Judged,
    target: tuple[float, float] = TARGET,
    floor: float = FLOOR.value,
    p: float = 0.95,
    *,
    on_record: bool = False,
    doubted: Iterable[Remark] = (),
) -> Judgement:
    """Say whether a pH lies inside its target range, and whether above its floor.

    Parameters
    ----------
    result : SlurryResult, Update, UFloat, float, str or pint.Quantity
        One enclosure's pH. A `SlurryResult` knows how it came about, and so what would settle an open
        question; the others give the answers alone. Of an `Update` by a probe that may not reassure no answer
        is yes, and it is in doubt until a slurry is read. [pH]
    target : (float, float)
        Wanted range; the default is common practice. [pH]
    floor : float
        Limit that must not be passed downward; the default is common practice. [pH]
    p : float
        Probability that an answer needs, above 0.5.
    on_record : bool
        Whether the slurries are on record by their enclosure's name: another day will then know what they
        showed of its scatter.
    doubted : iterable of Remark
        What else is said of the reading: what puts it in doubt counts, beside a `SlurryResult`'s own remarks.

    Returns
    -------
    Judgement
        Each question answered yes (probability at least p), no (at most 1 - p) or not settled, with advice.

    Raises
    ------
    Refusal
        If the limits are not in order, p is no such probability, or the pH is none.

    References
    ----------
    .. [1] JCGM 106:2012, 8.3 (decision rules with guard bands).

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> standing = judge(ufloat(5.2, 0.1))
    >>> standing.in_range.state, standing.above_floor.state, standing.ready
    ('no', 'yes', True)
    """
    (low, high), floor = checked_limits(target, floor)
    if not 0.5 < p < 1.0:
        raise Refusal(f"`{p:g}` is no probability for an answer to need; give one above 0.5, such as 0.95.")
    ph = result.ph if isinstance(result, SlurryResult | Update) else result
    ph = ph if isinstance(ph, UFloat) else magnitude(ph, "ph")
    chances = _Chances(
        inside=probability(ph, above=low, below=high),
        below=probability(ph, below=low),
        above=probability(ph, above=high),
        over_floor=probability(ph, above=floor),
    )
    reassures = not isinstance(result, Update) or result.may_reassure
    in_range, above_floor = (_answer(chance, p, reassures) for chance in (chances.inside, chances.over_floor))
    doubt = doubts([*doubted, *(result.remarks if isinstance(result, SlurryResult | Update) else ())])
    first = see_to(doubt)
    return Judgement(
        ph=ph,
        target=(low, high),
        floor=floor,
        p=p,
        in_range=in_range,
        above_floor=above_floor,
        below_range=chances.below,
        above_range=chances.above,
        ready=first is None and "no" in (in_range.state, above_floor.state),
        sentences=(
            *((first.answer,) if first else ()),
            _of_range(in_range, chances, (low, high), p),
            _of_floor(above_floor, floor),
        ),
        remarks=tuple(_remarks(in_range, above_floor, chances, floor, p, surely=first is None)),
        doubts=doubt,
        _result=result if isinstance(result, SlurryResult) else None,
        _on_record=on_record,
    )


class _Chances(NamedTuple):
    """The probabilities of lying somewhere."""

    inside: float
    below: float
    above: float
    over_floor: float


class _Asked(NamedTuple):
    """A question: whether the pH lies between two limits, at the probability that an answer needs."""

    question: Question
    words: str
    low: float
    high: float
    p: float


def _answer(chance: float, p: float, reassures: bool) -> Answer:
    # A hair's breadth below a round limit is rounding, not doubt.
    if chance >= p - 1e-12 and reassures:
        return Answer("yes", chance)
    return Answer("no" if chance <= 1 - p + 1e-12 else "not settled", chance)


def _of_range(answer: Answer, chances: _Chances, target: tuple[float, float], p: float) -> str:
    limits = f"your range, {typed(target[0])} to {typed(target[1])}"
    if answer.state == "yes":
        return f"Inside {limits}: {in_hundred(chances.inside)}."
    side, chance = ("Below", chances.below) if chances.below >= chances.above else ("Above", chances.above)
    if answer.state == "no":
        if chance >= p:
            return f"{side} {limits}: {in_hundred(chance)}."
        return f"Outside {limits}: {in_hundred(1 - chances.inside)}."
    return (
        f"Not settled whether inside {limits}: {in_hundred(chances.inside)} for it, {in_hundred(chance)} for "
        f"{side.lower()} it."
    )


def _of_floor(answer: Answer, floor: float) -> str:
    if answer.state == "yes":
        return f"Above the floor, {typed(floor)}: {in_hundred(answer.probability)}."
    if answer.state == "no":
        return f"Below the floor, {typed(floor)}: {in_hundred(1 - answer.probability)}."
    return f"Not settled whether above the floor, {typed(floor)}: {in_hundred(answer.probability)} for it."


def _remarks(
    in_range: Answer, above_floor: Answer, chances: _Chances, floor: float, p: float, *, surely: bool
) -> Iterator[Remark]:
    under = 1 - above_floor.probability
    if not surely:
        if under > FLOOR_CHANCE.value:
            text = f"Perhaps below the floor, {typed(floor)}: {in_hundred(under)}, by a reading in doubt."
            yield Remark("perhaps-below-floor", f"{text} Read it again today.")
        return
    if chances.below >= p:
        yield Remark("below-range", "Surely below its range: ready to be acted on.")
    if chances.above >= p:
        yield Remark("above-range", "Surely above its range: ready to be acted on.")
    if above_floor.state == "no":
        yield Remark("below-floor", f"Surely below the floor, {typed(floor)}: act on it now.")
    elif under > FLOOR_CHANCE.value:
        though = ", although it reads inside its range" if in_range.state == "yes" else ""
        text = f"Perhaps below the floor, {typed(floor)}: {in_hundred(under)}{though}."
        yield Remark("perhaps-below-floor", text)


def _settling(result: SlurryResult, asked: _Asked, on_record: bool) -> Advice:
    """Find the cheapest action that can be expected to answer a question.

    Cheapest first: a bottle takes minutes, a slurry most of an hour, another day a day. The most of each kind
    is tried before the least, for where that is not enough, nothing of its kind is. Another day is what its
    own slurries will show: seldom more than as many more today would, unless it is today's drift that leaves
    the question open.
    """
    most = int(MOST_SLURRIES.value)
    kinds: list[tuple[Action, int]] = [("slurries", most), ("day", most)]
    if result.footing.third_buffer is not None:
        kinds.insert(0, ("buffer", 0))
    tried: list[Advice] = []
    for action, n in kinds:
        at_most = _try(result, asked, action, n, on_record)
        if at_most.likely and (action != "day" or _worth_a_day(at_most.advice, tried)):
            # A single slurry of a day shows no scatter, and needs something that was expected of it.
            least = 2 if action == "day" and result.footing.expected_dof < 1.0 else 1
            fewer = (_try(result, asked, action, few, on_record) for few in range(least, n))
            return next((trial.advice for trial in fewer if trial.likely), at_most.advice)
        tried.append(at_most.advice)
    *today, day = tried
    best = day if _worth_a_day(day, today) else max(today, key=_chance)
    return _nothing(best, result.footing, asked)


def _chance(advice: Advice) -> float:
    return advice.p_settles or 0.0


def _worth_a_day(day: Advice, today: list[Advice]) -> bool:
    """Say whether another day brings something that today could not."""
    return _chance(day) >= max(map(_chance, today)) + ADVICE_DAY_GAIN.value


class _Trial(NamedTuple):
    advice: Advice
    likely: bool


def _try(result: SlurryResult, asked: _Asked, action: Action, n: int, on_record: bool) -> _Trial:
    """Evaluate one action on one question."""
    footing, question = result.footing, (result.ph.n, asked.low, asked.high, asked.p)
    ahead = future(footing, action, n, on_record=on_record)
    settles, then = ahead.settles(*question), ahead.half_width(asked.p)
    likely = settles >= ADVICE_LIKELY.value or ahead.expected().settles(*question) > ADVICE_LIKELY.value
    now = half_width(result.ph, asked.p)
    brings = (
        f"by itself give about ±{two_figures(then)}"
        if action == "day"
        else f"bring ±{two_figures(now)} to about ±{two_figures(then)}"
    )
    text = (
        f"{describe(action, n, footing)} would {brings}; the chance that it settles whether the pH lies "
        f"{asked.words} is about {in_hundred(settles)}."
    )
    return _Trial(Advice(action, n, then, settles, text, asked.question), likely)


def _nothing(most: Advice, footing: Footing, asked: _Asked) -> Advice:
    """Say that the bench cannot be expected to settle it, with the most that it could do."""
    doing = describe(most.action, most.n, footing)
    text = (
        f"Nothing that you can do at the bench is likely to settle whether the pH lies {asked.words}: even "
        f"{doing[0].lower()}{doing[1:]} would leave about ±{two_figures(most.expected_half_width)}, with a "
        f"chance of about {in_hundred(most.p_settles or 0.0)}. {MEANWHILE[asked.question]}"
    )
    return replace(most, action="nothing", n=0, text=text)
