"""One enclosure's salts from the conductivity of its slurries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias, cast

import numpy as np
from uncertainties import UFloat

from slurrycalc.data.assumed import (
    COEFFICIENT_SPREAD,
    CONDUCTIVITY_COEFFICIENT,
    SALT_SCATTER,
    SALT_SCATTER_DOF,
    SOFT_WATER,
)
from slurrycalc.data.bands import band_at
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.salts.cell import Cell, repeatability, unchecked
from slurrycalc.measuring.salts.conductivity import (
    SLURRY_RANGE,
    WATER_RANGE,
    Given,
    conductivity,
    ec25,
    spoken_ec,
)
from slurrycalc.measuring.wording import seldom
from slurrycalc.metrology.annotate import MicroSiemensPerCm, MicroSiemensPerCmValue, NumberValue
from slurrycalc.metrology.listed import Many, listed
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.scatter import Scatter, ScatterFit, scatter_fit
from slurrycalc.metrology.uncertain import Uncertain, linear, nameless, rectangular

Reading: TypeAlias = Any
"""A conductivity as the meter shows it, or a pair (conductivity, temperature)."""



@dataclass(frozen=True)
class Salts(Valued, value="ec", words="{} uS/cm", says=("text",)):
    """The conductivity of one enclosure's slurries, without the water's own."""

    ec: MicroSiemensPerCm
    """At 25 degC, 1:2 by volume."""
    jars: tuple[MicroSiemensPerCm, ...]
    """Each at 25 degC, the water's own included."""
    blank: MicroSiemensPerCm | None
    """The water's own at 25 degC; None where it was not read."""
    n: int
    scatter_sd: MicroSiemensPerCmValue
    """Standard deviation of one slurry that the interval uses."""
    scatter_dof: NumberValue
    own_share: NumberValue
    """How much of the scatter rests on these slurries, 0 to 1."""
    band: str
    """Where the value lies (bands from memory)."""
    text: str
    """What it means."""
    remarks: tuple[Remark, ...]


def salts(
    readings: Sequence[Reading],
    cell: Cell | None = None,
    *,
    temperature: Given | Many | None = None,
    blank: Reading | None = None,
    compensates: bool = False,
    thermometer: float | None = None,
    expected: Expected = DEFAULT,
) -> Salts:
    """Give one enclosure's salts from readings of its slurries.

    Parameters
    ----------
    readings : sequence, array or Series
        One a jar: a conductivity, or a pair (conductivity, temperature). [uS/cm], [degC]
    cell : Cell, optional
        The meter, checked by a standard; without it, it is taken to be right within 5 % (from memory).
    temperature : float, str or pint.Quantity, or a sequence, optional
        Of all slurries that have none of their own; or one each. [degC]
    blank : conductivity or pair, optional
        Of the water that the slurries were made with. Subtracted.
    compensates : bool
        Whether the meter itself shows what it reads at 25 degC, where no cell says so.
    thermometer : float, optional
        Half-width of the thermometer's error, where no cell has one; by default 1 degC (from memory). [degC]
    expected : Scatter, DEFAULT or None
        What is known of the scatter of slurries beforehand [uS/cm]; by default a fifth of their mean, worth
        2. None: these alone, at least two.

    Returns
    -------
    Salts
        The mean at 25 degC without the water's own, with its interval.

    Raises
    ------
    Refusal
        If there is no reading, one cannot stand (wrong by a thousand, without a temperature), or the water
        conducts more than the slurries.

    References
    ----------
    .. [1] ISO 7888:1985, for the temperature and the cell. JCGM 100:2008 (GUM), 4.2, for the mean.

    Examples
    --------
    >>> result = salts([("0.88 mS/cm", "21 C"), ("0.93 mS/cm", "21 C")], blank=("6 uS/cm", "21 C"))
    >>> low, high = result.interval()
    >>> print(f"{result.ec.n:.0f} uS/cm, between {low:.0f} and {high:.0f}; {result.band}")
    973 uS/cm, between 605 and 1341; normal
    """
    many = None if isinstance(readings, tuple) else listed(readings)
    if many is None:
        many = (readings,)
    if len(many) == 0:
        raise Refusal("no slurry was read; give at least one reading, such as (0.94 mS/cm, 21 C).")
    each = listed(temperature)
    if each is not None:
        if len(each) != len(many):
            raise Refusal(
                f"{len(each)} temperatures and {len(many)} readings do not go together: give one temperature "
                "for all, or one for each, such as 0.94mS/cm@21C 0.88mS/cm@21C."
            )
        many = tuple(one if isinstance(one, tuple) else (one, at) for one, at in zip(many, each, strict=True))
    used = unchecked(compensates, thermometer) if cell is None else cell
    chain = _Chain(used, cast("Given | None", temperature if each is None else None))
    jars = [chain.at_25(each, f"jar {i}", SLURRY_RANGE, "a slurry") for i, each in enumerate(many, 1)]
    water = None if blank is None else chain.at_25(blank, "water", WATER_RANGE, "water")
    fit = scatter_fit(np.ones((len(jars), 1)), jars, _expected(expected, jars), name="scatter of slurries")
    ec = fit.coefficients[0]
    if water is not None:
        ec = ec - water
        ec = linear(ec.n, dict(ec.derivatives))
        if ec.n <= 0.0:
            raise Refusal(
                f"the water alone, `{spoken_ec(water.n)}`, conducts no less than the slurries: look whether "
                "they were swapped, or give the readings anew, for instance `0.94 mS/cm` and `6 uS/cm`."
            )
    band = band_at(ec.n)
    return Salts(
        ec=ec,
        jars=tuple(jars),
        blank=water,
        n=len(jars),
        scatter_sd=fit.sd,
        scatter_dof=fit.dof,
        own_share=1.0 - fit.expected_share,
        band=band.name,
        text=f"{spoken_ec(ec.n)} at 25 degC is {band.name} (from {band.known}): {band.means}.",
        remarks=(*used.remarks, *_about(water, fit)),
    )


class _Chain:
    """From what the meter shows to the conductivity at 25 degC, with the errors that readings share."""

    def __init__(self, cell: Cell, temperature: Given | None) -> None:
        self.cell = cell
        self.temperature = None if temperature is None else bench_temperature(temperature)
        spread = nameless(
            rectangular(COEFFICIENT_SPREAD.value),
            "temperature coefficient of the solution",
            COEFFICIENT_SPREAD.known,
            COEFFICIENT_SPREAD.ground,
        )
        self.coefficient = CONDUCTIVITY_COEFFICIENT.value + spread

    def at_25(self, reading: Reading, name: str, allowed: tuple[float, float], what: str) -> UFloat:
        """Bring one reading to 25 degC."""
        pair = isinstance(reading, tuple)
        if pair and len(reading) != 2:
            raise Refusal(f"`{reading}` is no pair of conductivity and temperature: write 0.94mS/cm@21C.")
        shown, own = reading if pair else (reading, None)
        value = conductivity(shown, allowed, what)
        true = value * self.cell.factor * (1.0 + repeatability(name))
        if self.cell.compensates:
            return linear(true.n, dict(true.derivatives))
        at = self.temperature if own is None else bench_temperature(own)
        if at is None:
            raise Refusal(
                f"`{shown}` needs its temperature, unless the meter shows it at 25 degC itself: write for "
                "instance 0.94mS/cm@21C."
            )
        there: Uncertain = at + self.cell.thermometer
        whole = ec25(true, linear(0.0, {}) + there, self.coefficient)
        assert isinstance(whole, UFloat)
        return linear(whole.n, dict(whole.derivatives))


def _expected(given: Expected, jars: Sequence[UFloat]) -> Scatter | None:
    if given is None or isinstance(given, Scatter):
        return given
    mean = sum(jar.n for jar in jars) / len(jars)
    return Scatter(SALT_SCATTER.value * mean, SALT_SCATTER_DOF.value, SALT_SCATTER.known, SALT_SCATTER.ground)


def _about(water: UFloat | None, fit: ScatterFit) -> Sequence[Remark]:
    remarks = []
    if water is None:
        remarks.append(
            Remark(
                "no-blank",
                "The water's own conductivity was not read and is in the result: distilled water has next to "
                "none, tap water much.",
            )
        )
    elif water.n > SOFT_WATER.value:
        remarks.append(
            Remark(
                "not-distilled",
                f"The water conducts {spoken_ec(water.n)}: that is no distilled water, and it biases the pH "
                "of the slurries too.",
            )
        )
    if fit.surprising and fit.own_sd is not None:
        remarks.append(
            Remark(
                "scatters-more",
                f"The slurries scatter by {spoken_ec(fit.own_sd)}, more than expected (by chance "
                f"{seldom(fit.flag_level)}): look for a mix-up of jars, or spots that really differ.",
            )
        )
    return remarks
