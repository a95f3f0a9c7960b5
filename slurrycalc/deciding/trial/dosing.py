"""Which dose brings a pH, from jars that were given doses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import inf
from typing import Literal

from uncertainties import UFloat

from slurrycalc.data.cautions import cautions
from slurrycalc.deciding.given import Given, nominal, taken, uncertain
from slurrycalc.deciding.trial.capacity import capacity_ratio
from slurrycalc.deciding.trial.curve import Curve, fit_curve
from slurrycalc.deciding.trial.doses import PERCENT, doses_of
from slurrycalc.deciding.trial.words import Told, meaning, remarks, to_do
from slurrycalc.measuring.expected import DEFAULT, SLURRIES, Expected, resolve
from slurrycalc.metrology.annotate import PH, Number, NumberValue, PHValue
from slurrycalc.metrology.coverage import Interval
from slurrycalc.metrology.listed import listed
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Result

WayName = Literal["line", "curve"]


@dataclass(frozen=True)
class Trial(Result, says=("text",)):
    """What doses did to jars, and which dose brings the pH wanted."""

    doses: tuple[float, ...]
    """One a jar, in `unit`; so are all doses below."""
    unit: str
    """As it was said; ``%`` is percent of fresh substrate by volume."""
    ph: tuple[PH, ...]
    target: PHValue
    way: WayName
    """A straight line of dose, or a curve of the second degree."""
    dose: float | None
    """That brings the target; None where it lies outside the doses tried: nothing is said beyond them."""
    low: float | None
    """Lower end of the doses that may bring it, with probability `p`; None where it lies below those
    tried."""
    high: float | None
    """Upper end; None where it lies above those tried."""
    assured_dose: float | None
    """The smallest dose tried from which on the target is reached, with probability `p` one-sided; None where
    none of those tried is."""
    p: NumberValue
    scatter_sd: PHValue
    """Standard deviation of one jar, as the interval uses it."""
    scatter_dof: NumberValue
    own_share: NumberValue
    """How much of it rests on these jars, 0 to 1."""
    buffering: Number | None
    """Capacity of a volume of fresh substrate over one of old, for `exchange`; None where doses are no
    percent of fresh substrate, or the jars do not show it."""
    text: tuple[str, str]
    """What it means, and what to do."""
    cautions: tuple[str, ...]
    remarks: tuple[Remark, ...]
    _curve: Curve = field(repr=False)

    def level(self, dose: float) -> UFloat:
        """Give the pH that a dose brings.

        Parameters
        ----------
        dose : float
            In the unit of the trial.

        Returns
        -------
        UFloat
            Without the scatter of a new jar. [pH]

        Raises
        ------
        Refusal
            If it lies outside the doses tried.

        Examples
        --------
        >>> print(f"{trial([0, 10, 20], [5.1, 5.3, 5.5], 5.4).level(10):.2f}")
        5.30+/-0.05
        """
        low, high = min(self.doses), max(self.doses)
        if not low <= dose <= high:
            raise Refusal(
                f"`{dose:g}` lies outside the doses tried, {low:g} to {high:g}, and what happens there has "
                "not been seen: try a jar of it."
            )
        return self._curve.level(dose)

    def interval(self, p: float = 0.95) -> Interval:
        """Give the interval of the doses that may bring the pH wanted.

        Parameters
        ----------
        p : float
            Coverage probability, above 0.5. [1]

        Returns
        -------
        Interval
            In the unit of the trial; an end beyond the doses tried is infinite.

        Raises
        ------
        Refusal
            If no dose that was tried brings it, or p is no probability.

        Examples
        --------
        >>> low, high = trial([0, 10, 20, 30, 40], [5.10, 5.27, 5.43, 5.52, 5.66], 5.4).interval()
        >>> print(f"{low:.0f} to {high:.0f}")
        11 to 29
        """
        _check(p)
        found = self._curve.inverse(self.target, p)
        if found.dose is None:
            raise Refusal(f"this trial has no dose for pH {self.target:g}; it says: {' '.join(self.text)}")
        return Interval(
            -inf if found.low is None else found.low, inf if found.high is None else found.high
        )


def trial(
    doses: Sequence[float | str],
    ph: Sequence[Given],
    target: float | str,
    *,
    unit: str = "",
    expected: Expected = DEFAULT,
    p: float = 0.95,
) -> Trial:
    """Find the dose that brings a pH, from jars.

    Parameters
    ----------
    doses : sequence of float or str, length n
        One a jar, in rising order, jars of one dose beside each other: percent of fresh substrate by volume
        (with the bed alone as 0 %, the fresh mix alone as 100 %), grams of limestone a litre, or any other.
    ph : sequence of float, str, UFloat or SlurryResult, length n
        Slurry pH of each, after weeks moist. [pH]
    target : float or str
        pH wanted. [pH]
    unit : str
        Of bare numbers among the doses.
    expected : Scatter, DEFAULT or None
        What is known of the scatter of jars beforehand; by default Scatter(0.10, 2). None: these jars alone.
        [pH]
    p : float
        Coverage probability of the interval, and one-sided of the assured dose.

    Returns
    -------
    Trial
        The dose with its interval, never outside the doses tried; and what fresh substrate's buffering is.

    Raises
    ------
    Refusal
        If doses go up and down, are fewer than two, do not fit the pH values, or something cannot stand.

    References
    ----------
    .. [1] E. C. Fieller, "Some problems in interval estimation", J. R. Stat. Soc. B 16 (1954) 175-185 (from
       memory): the interval is made of the doses whose pH, with its interval, may be the target.
    .. [2] JCGM 100:2008 (GUM), H.3.

    Examples
    --------
    >>> jars = trial([0, 10, 20, 30, 40], [5.10, 5.27, 5.43, 5.52, 5.66], 5.4, unit="%")
    >>> print(f"{jars.dose:.0f} %, between {jars.low:.0f} and {jars.high:.0f}; {jars.way}")
    19 %, between 11 and 29; curve
    """
    _check(p)
    given = doses_of(doses, unit)
    each_ph = listed(ph)
    if each_ph is None or len(each_ph) != len(given.values):
        many = 1 if each_ph is None else len(each_ph)
        raise Refusal(
            f"{len(given.values)} doses and {many} pH values do not go together: give one pH for each dose."
        )
    values = [
        taken(each, "ph", f"pH of the jar with {dose:g}{given.words}")
        for dose, each in zip(given.values, each_ph, strict=True)
    ]
    goal = nominal(taken(target, "ph", "pH wanted"))
    scatter = resolve(expected, SLURRIES)
    if scatter is None and len(values) < 3:
        raise Refusal(
            "two jars just give a line and show no scatter of their own; add a jar, or state the scatter to "
            "be expected."
        )
    curve = fit_curve(given.values, values, scatter)
    found = curve.inverse(goal, p)
    ratio = None
    if given.unit == PERCENT:
        ratio = capacity_ratio([each / 100.0 for each in given.values], values, scatter)
    fit = curve.fit
    told = Told(given, goal, curve, found, ratio, p)
    return Trial(
        doses=given.values,
        unit=given.unit,
        ph=tuple(uncertain(each) for each in values),
        target=goal,
        way="line" if fit.p == 2 else "curve",
        dose=found.dose,
        low=found.low,
        high=found.high,
        assured_dose=found.assured,
        p=p,
        scatter_sd=fit.sd,
        scatter_dof=fit.dof,
        own_share=1.0 - fit.expected_share,
        buffering=ratio,
        text=(meaning(told), to_do(told)),
        cautions=cautions("trial"),
        remarks=tuple(remarks(told)),
        _curve=curve,
    )


def _check(p: float) -> None:
    if not 0.5 < p < 1.0:
        raise Refusal(f"`{p:g}` is no probability for an interval here; give one above 0.5, such as 0.95.")
