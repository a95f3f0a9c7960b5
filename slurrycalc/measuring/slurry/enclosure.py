"""One enclosure's pH from its slurries, with what it rests on and what would make it better."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from math import gcd, isfinite
from numbers import Real
from typing import Any, TypeAlias

import numpy as np
import pint
from uncertainties import UFloat

from slurrycalc.data.assumed import SLURRY_SCATTER_DOF
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.expected import DEFAULT, SLURRIES, Expected, resolve
from slurrycalc.measuring.slurry.advice import Advice, narrowing
from slurrycalc.measuring.slurry.duplicates import duplicate_remark
from slurrycalc.measuring.slurry.footing import footing_of
from slurrycalc.measuring.slurry.odd import is_odd, lonely, odd_remark
from slurrycalc.measuring.slurry.prospect import Footing
from slurrycalc.measuring.wording import seldom
from slurrycalc.metrology.annotate import PH, NumberValue, PHValue
from slurrycalc.metrology.budget import Budget, budget
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.listed import absent, listed
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.scatter import Scatter, ScatterFit, scatter_fit

Reading: TypeAlias = Any
"""A number, text or quantity as the meter shows it, a list of repeated indications, a pair (reading,
temperature), or an uncertain pH that `Calibration.ph` has made already."""

SCATTER = "scatter of slurries"


@dataclass(frozen=True)
class SlurryResult(Valued, value="ph", words="pH {}", says=("rests_on",), later=("advice",)):
    """The pH of one enclosure."""

    ph: PH
    jars: tuple[PH, ...]
    """Each jar by itself, in the order given."""
    slurries: tuple[PH, ...]
    """Independent slurries: jars from the same spots averaged."""
    n: int
    """Independent slurries."""
    scatter_sd: PHValue
    """Standard deviation of one slurry that the interval uses."""
    scatter_dof: NumberValue
    own_sd: PHValue | None
    """Standard deviation of these slurries alone; None from a single one."""
    own_share: NumberValue
    """How much of the scatter rests on these slurries, 0 to 1."""
    footing: Footing
    remarks: tuple[Remark, ...]
    odd: int | None = None
    """Place among `slurries`, from 0, of the one that lies by itself; None where none does."""
    _scatter_key: str = field(default="", repr=False)
    """Of the source that is the slurries' scatter."""

    @cached_property
    def advice(self) -> Advice:
        """What would narrow its interval most."""
        return narrowing(self.ph, self._scatter_key, self.footing)

    @cached_property
    def budget(self) -> Budget:
        """Where the uncertainty comes from, largest first."""
        return budget(self.ph)

    @property
    def rests_on(self) -> str:
        """Say in a few words how much of the scatter rests on these slurries."""
        return _rests_on(self.n, self.own_share)


def slurry_ph(
    cal: Calibration | None,
    readings: Sequence[Reading],
    temperature: float | str | Sequence[float | str | None] | None = None,
    spots: Sequence[Hashable] | None = None,
    expected: Expected = DEFAULT,
) -> SlurryResult:
    """Give one enclosure's pH from the readings of its slurries.

    Parameters
    ----------
    cal : Calibration or None
        The meter's calibration; None where all readings are uncertain pH values already.
    readings : sequence, array or Series, length n
        One a jar: a number or text as the meter shows it, a list of repeated indications, a tuple
        (reading, temperature), or a pH already made by ``cal.ph``. [mV or pH, as the meter shows]
    temperature : float, str or sequence, optional
        Of the slurries: one for all or one each, None in it where nobody read it. [degC]
    spots : sequence, length n, optional
        Where each jar came from. Jars with equal marks come from the same spots: they show only how well the
        bench repeats, so they are averaged and count as one. None or an empty cell in it, or no marks: spots
        of its own.
    expected : Scatter, DEFAULT or None
        What is known of the scatter before today: by default Scatter(0.10, 2). An enclosure's own past may be
        handed in, alone or pooled with +. None: today's slurries alone, at least two. [pH]

    Returns
    -------
    SlurryResult
        The mean with its interval, what it rests on, remarks and advice.

    Raises
    ------
    Refusal
        If there is no reading, lengths differ, or a reading cannot stand.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.2; Cox and Shirono, Metrologia 54 (2017) 642 (from memory), for the
    expectation.

    Examples
    --------
    >>> from slurrycalc.measuring.electrode import Meter, calibrate
    >>> cal = calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)], Meter("mV"))
    >>> result = slurry_ph(cal, [84.3, 85.1], temperature=21.0)
    >>> low, high = result.interval(0.95)
    >>> print(f"{result.ph.n:.2f}, between {low:.2f} and {high:.2f}; {result.rests_on}")
    5.59, between 5.40 and 5.78; your own slurries count 1 part in 3
    """
    jars, said = _jars(cal, readings, temperature)
    if cal is not None and cal.doubt is not None:
        said.insert(0, cal.doubt)
    groups = _groups(len(jars), spots)
    slurries = tuple(_mean([jars[i] for i in group]) for group in groups)
    n = len(slurries)
    usual = resolve(expected, SLURRIES)

    def fitted(usual: Scatter | None) -> ScatterFit:
        return scatter_fit(np.ones((n, 1)), list(slurries), usual, resolution=_step(cal), name=SCATTER)

    fit = fitted(usual)
    far = lonely([slurry.n for slurry in slurries])
    odd = far if is_odd(far, fit.own_u**2, usual) else None
    if odd is not None and usual is not None and isfinite(usual.dof):
        # A past that such a day contradicts must not vouch for its mean.
        fit = fitted(usual.at_most(SLURRY_SCATTER_DOF.value))
    ph = fit.coefficients[0]
    footing = footing_of(ph, fit, cal)
    own_share = 1.0 - fit.expected_share
    return SlurryResult(
        ph=ph,
        jars=tuple(jars),
        slurries=slurries,
        n=n,
        scatter_sd=fit.sd,
        scatter_dof=fit.dof,
        own_sd=fit.own_sd,
        own_share=own_share,
        footing=footing,
        remarks=(
            *([odd_remark(odd)] if odd is not None else []),
            *_same_spots(len(jars), n),
            *(_too_wide(slurries, fit) if odd is None else []),
            *dict.fromkeys(said),
        ),
        odd=None if odd is None else odd.place,
        _scatter_key=fit.source.key,
    )


def _jars(
    cal: Calibration | None, readings: Sequence[Reading], temperature: Any
) -> tuple[list[UFloat], list[Remark]]:
    """Turn each reading into an uncertain pH, with what must be said of it."""
    many = listed(readings)
    if many is None:
        if not isinstance(readings, str | Real | UFloat | pint.Quantity):
            raise Refusal(f"{quoted(readings)} is no list of readings; give one such as [84.3, 85.1].")
        many = (readings,)
    count = len(many)
    if count == 0:
        raise Refusal("no slurry was read; give at least one reading, such as 84.3 mV or 5.41.")
    each = listed(temperature)
    each = (temperature,) * count if each is None else each
    if len(each) != count:
        raise Refusal(
            f"{len(each)} temperatures and {count} readings do not go together: give one temperature for "
            "all, or one for each, such as 84.3mV@21C 85.1mV@21C."
        )
    jars: list[UFloat] = []
    remarks: list[Remark] = []
    for given, beside in zip(many, each, strict=True):
        if isinstance(given, UFloat):
            jars.append(_finite(given))
            continue
        if isinstance(given, tuple) and len(given) != 2:
            raise Refusal(f"`{given}` is no pair of reading and temperature; write one such as (84.3, 21.0).")
        reading, t = given if isinstance(given, tuple) else (given, beside)
        if cal is None:
            raise Refusal(
                f"`{reading}` needs a calibration to become a pH; give one, or an uncertain pH that one has "
                "made."
            )
        read = cal.read(reading, t)
        jars.append(read.ph)
        remarks.extend(read.remarks)
    return jars, remarks


def _finite(ph: UFloat) -> UFloat:
    if isfinite(ph.n) and isfinite(ph.s):
        return ph
    raise Refusal(f"`{ph.n:g}+/-{ph.s:g}` is not finite; give a pH such as ufloat(5.4, 0.02).")


def _step(cal: Calibration | None) -> float:
    """Give the smallest step of the display. [pH]."""
    if cal is None:
        return 0.0
    step = cal.meter.least_step.value
    return step if cal.slope is None else step / cal.slope.n


def _groups(count: int, spots: Sequence[Hashable] | None) -> list[list[int]]:
    """Collect the jars that come from the same spots, in the order of their first."""
    if spots is None:
        return [[i] for i in range(count)]
    marks = listed(spots)
    if marks is None or len(marks) != count:
        many = "no list" if marks is None else f"the spots of {len(marks)} jars"
        raise Refusal(f"{quoted(spots)} marks {many}, and {count} were read; give one mark a jar.")
    groups: dict[Hashable, list[int]] = {}
    for i, spot in enumerate(marks):
        groups.setdefault(("own", i) if absent(spot) else ("marked", spot), []).append(i)
    return list(groups.values())


def _mean(values: Sequence[UFloat]) -> UFloat:
    return values[0] if len(values) == 1 else sum(values[1:], start=values[0]) / len(values)


def _same_spots(jars: int, slurries: int) -> list[Remark]:
    if jars == slurries:
        return []
    sets = "one set of spots" if slurries == 1 else f"{slurries} sets of spots"
    return [
        Remark(
            "same-spots",
            f"{jars} jars came from {sets}: jars from the same spots show only how well the bench repeats, "
            "so they were averaged and count as one.",
        )
    ]


def _too_wide(slurries: Sequence[UFloat], fit: ScatterFit) -> list[Remark]:
    remarks = []
    apart = duplicate_remark([slurry.n for slurry in slurries])
    if apart is not None:
        remarks.append(apart)
    if fit.surprising and fit.own_sd is not None and fit.expected is not None:
        remarks.append(
            Remark(
                "scatters-more",
                f"Today's slurries scatter by {two_figures(fit.own_sd)} pH, more than the "
                f"{two_figures(fit.expected.sd)} expected (by chance {seldom(fit.flag_level)}): look for a "
                "mix-up of jars, a reading taken too early, or spots that really differ.",
            )
        )
    return remarks


def _rests_on(n: int, own_share: float) -> str:
    if n == 1:
        return "one slurry shows no scatter: its interval rests on what was expected of it"
    if own_share == 0.0:
        return "the scatter is a stated one: your own slurries don't count for it"
    if own_share == 1.0:
        return "your own slurries alone"
    total = (n - 1) / own_share
    if abs(total - round(total)) > 1e-9:
        return f"your own slurries count {own_share:.0%}"
    parts = gcd(n - 1, round(total))
    own = (n - 1) // parts
    return f"your own slurries count {own} part{'s' if own > 1 else ''} in {round(total) // parts}"


