"""What an indication adds to what the record knows: one update of the bed's pH, or of the spot's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.data.assumed import PROBE_DISAGREES, PROBE_REASSURES, PROBE_WANDER
from slurrycalc.measuring.probe.before import Before, Measurand, is_fresh
from slurrycalc.measuring.probe.pairs import checked_ph, outside_pairs
from slurrycalc.measuring.probe.response import Follows, ProbeResponse
from slurrycalc.measuring.wording import count, typed
from slurrycalc.metrology.annotate import PH, NumberValue, PHValue
from slurrycalc.metrology.coverage import half_width, interval, probability
from slurrycalc.metrology.figures import number, plus_minus
from slurrycalc.metrology.listed import listed
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.uncertain import covariance, linear, nameless

SLURRY_FIRST, DISAGREES = "slurry-first", "disagrees-with-record"
"""Kinds of remarks on an update after which a slurry comes first."""

@dataclass(frozen=True)
class Update(Valued, value="ph", words="pH {}", says=("text",)):
    """The pH of a spot, or of the bed's mean, by the record and the probe together."""

    indication: PHValue
    """Mean of today's indications."""
    n: int
    """How many they are."""
    before: PH
    """As known without them."""
    ph: PH
    """As known with them."""
    measurand: Measurand
    expected: PH
    """What the probe was to show by the record, and its scatter."""
    weight: NumberValue
    """What the pH moves by for each unit of the indication."""
    state: Follows
    agreement: NumberValue
    """Chance of an indication that strays from the expected as far, or farther."""
    needs_slurry: bool
    """Whether a slurry comes first: the indication disagrees with the record, or the record is old."""
    may_reassure: bool
    """Whether the probe may say "above the floor" at all: it follows, and slurries are recent."""
    p: NumberValue
    text: str
    remarks: tuple[Remark, ...]

    @property
    def narrows(self) -> float:
        """The part of the half-width that the indication takes away, from 0 to 1."""
        return max(0.0, 1.0 - half_width(self.ph, self.p) / half_width(self.before, self.p))

    def says_above(self, limit: float) -> bool:
        """Say whether the pH may be called above a limit, such as the floor. [pH]."""
        return self.may_reassure and probability(self.ph, above=limit) >= self.p

    def warns_of(self, limit: float) -> bool:
        """Say whether the pH is surely below a limit, which a probe may say on any day. [pH]."""
        return probability(self.ph, below=limit) >= self.p


def update(
    before: Before,
    response: ProbeResponse,
    indications: float | str | Sequence[float | str],
    months: float = 0.0,
    p: float = 0.95,
) -> Update:
    """Say what indications of today add to what is known of a spot or of the bed.

    A gate holds what the probe has not earned. One that does not follow moves nothing. One not yet shown to
    follow may lower the pH, and neither raises nor narrows it. Long after the last bench day no probe
    reassures. So, its pairs fixed, the answer never falls as the indication rises.

    Parameters
    ----------
    before : Before
        What is known without the probe, from `bed_before`, or `without_record`.
    response : ProbeResponse
        Of the probe, from `response`.
    indications : float, str or sequence
        What it shows today: at the one spot, or at as many spots as there are indications where it is asked
        of the bed. [pH]
    months : float
        From the mean date of its pairs to today; what lies before counts as 0. [month]
    p : float
        Coverage probability of what is said. [1]

    Returns
    -------
    Update
        pH with its doubt; whether it may reassure; whether it asks for a slurry.

    Raises
    ------
    Refusal
        If there is no indication, or one is no pH.

    References
    ----------
    .. [1] M. Goldstein, D. Wooff, Bayes Linear Statistics, Wiley 2007, 3.1 (from memory): the update of mean
       and variance.

    Examples
    --------
    >>> from slurrycalc.measuring.probe.before import bed_before
    >>> from slurrycalc.measuring.probe.response import response
    >>> pairs = response([5.4, 5.6, 5.5, 6.9, 7.1, 7.0], [5.0, 5.1, 5.0, 6.5, 6.6, 6.5])
    >>> update(bed_before(5.2, 0.2, rate=-0.1, months=2, spot_variance=0.01), pairs, 5.2).text
    'This spot: your slurries say 5.20 ± 0.59 today. With the probe: 4.86 ± 0.36.'
    """
    given = listed(indications) if not isinstance(indications, float | int | str) else [indications]
    if not given:
        raise Refusal("no indication was given; write what the probe shows, such as 6.0.")
    shown = [checked_ph(one, "the probe's indication") for one in given]
    indication, k = sum(shown) / len(shown), len(shown)
    expected = _expected(before, response, k, max(months, 0.0))
    away = indication - expected.n
    agreement = min(1.0, 2.0 * probability(expected, above=expected.n + abs(away)))
    weight = max(0.0, covariance(before.ph, expected) / expected.s**2)
    if response.state == "does not follow" or response.gain.n <= 0.0:
        weight = 0.0
    fresh = is_fresh(before, months)
    after = before.ph + min(0.0, weight * away)
    if response.state == "follows":
        after = before.ph + weight * (indication - expected)
    elif weight * away >= 0.0:
        weight = 0.0
    strays = agreement < PROBE_DISAGREES.value
    ph = linear(after.n, after.derivatives)
    return Update(
        indication=indication,
        n=k,
        before=before.ph,
        ph=ph,
        measurand=before.measurand,
        expected=expected,
        weight=weight,
        state=response.state,
        agreement=agreement,
        needs_slurry=strays or not fresh,
        may_reassure=fresh and response.state == "follows",
        p=p,
        text=_text(before, ph, response.state, p),
        remarks=_remarks(before, response, indication, expected, strays=strays, fresh=fresh),
    )


def _expected(before: Before, response: ProbeResponse, k: int, months: float) -> UFloat:
    """Say what the mean of k indications is to be, by what is known of the bed. [pH].

    What the bed's slurries and the pairs' share is in both, and cancels as far as it is the same.
    """
    source, gain = response._scatter, max(response.gain.n, 0.0)
    own_gain = sqrt(sum(part**2 for v, part in response.gain.error_components().items() if v.tag is source))
    scatter = sqrt(1.0 / k + 1.0 / response.n) * response.sd
    # Of the product of gain and distance, what neither has alone.
    both = own_gain * before.ph.s
    follows = response.gain if response.gain.n > 0.0 else response.gain - response.gain.n
    expected = response.indication + follows * (before.ph - response.slurry)
    expected += Variable(0.0, sqrt(scatter**2 + both**2), tag=source)
    expected += nameless(PROBE_WANDER.value * sqrt(months), "the probe's offset since its pairs", "our own")
    if before.measurand == "bed":
        expected += nameless(gain * before.spot_sd / sqrt(k), "the spots in their bed", "measured")
    return linear(expected.n, expected.derivatives)


def _text(before: Before, ph: UFloat, state: Follows, p: float) -> str:
    """Say first whose pH it is, then what the record knows, then what the probe adds."""
    what = "This spot" if before.measurand == "spot" else "The bed's mean"
    was, now = (plus_minus(one.n, half_width(one, p)) for one in (before.ph, ph))
    known = f"your slurries say {was} today" if before.recorded else f"without slurries of its bed {was}"
    if state == "follows":
        adds = f"With the probe: {now}."
    elif ph.n < before.ph.n:
        adds = f"The probe warns of {now}."
    else:
        adds = "The probe adds nothing."
    return f"{what}: {known}. {adds}"


def _remarks(
    before: Before, response: ProbeResponse, shows: float, expected: UFloat, *, strays: bool, fresh: bool
) -> tuple[Remark, ...]:
    """Say what the gate holds, and what asks for a slurry."""
    said = []
    if response.state == "not shown yet":
        said.append(Remark("not-yet-shown", " ".join(response.text)))
    elif response.state == "does not follow":
        said.append(Remark("does-not-follow", " ".join(response.text)))
    said.extend(response.remarks)
    if strays:
        half = half_width(expected)
        low, high = (number(end, half) for end in interval(expected))
        said.append(
            Remark(
                DISAGREES,
                f"The probe shows {typed(round(shows, 2))} where {low} to {high} was to be expected: mix a "
                "slurry here before you rely on either.",
            )
        )
    if not fresh:
        since = _since(before)
        said.append(Remark(SLURRY_FIRST, f"It may warn, not reassure: {since}. Mix a slurry first."))
    outside = outside_pairs(shows, *response.reach, n=response.n)
    return (*said, outside) if outside is not None else tuple(said)


def _since(before: Before) -> str:
    if before.overdue:
        return "the day to read this bed again is past"
    day = "the last bench day" if before.recorded else "the pairs of this probe"
    return f"more than {count(int(PROBE_REASSURES.value))} months went by since {day}"
