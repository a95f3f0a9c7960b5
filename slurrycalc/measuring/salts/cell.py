"""A conductivity meter checked by a standard of potassium chloride: the factor on what it shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from uncertainties import UFloat

from slurrycalc.data.assumed import (
    CELL_FACTOR_OFF,
    CONDUCTIVITY_REPEATABILITY,
    STANDARD_TOLERANCE,
    THERMOMETER,
    UNCHECKED_CELL,
)
from slurrycalc.data.standards import kcl
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.measuring.salts.conductivity import REFERENCE, STANDARD_RANGE, Given, conductivity
from slurrycalc.metrology.annotate import MicroSiemensPerCm, Number
from slurrycalc.metrology.listed import listed
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.uncertain import Uncertain, linear, nameless, rectangular
from slurrycalc.metrology.units import magnitude

# A cell that is off by more wants cleaning or another meter (our own limits).
_FACTORS = (0.7, 1.4)
_ALMOST = 0.1


@dataclass(frozen=True)
class Cell(Valued, value="factor", words="factor {}"):
    """What a standard says of a conductivity meter."""

    factor: Number
    """True conductivity over the one shown: the cell constant over the one that the meter reckons with."""
    standard: MicroSiemensPerCm | None
    """Of the standard at the temperature at which it was read; None for a meter that no standard checked."""
    compensates: bool
    """Whether the meter itself shows what it reads at 25 degC."""
    remarks: tuple[Remark, ...]
    _thermometer: Uncertain = field(repr=False)
    """Error of the one thermometer, nominally 0. [degC]"""

    @property
    def thermometer(self) -> Uncertain:
        """Error [degC], nominally 0, of the thermometer by which the standard was read."""
        return self._thermometer


def standard_conductivity(label: Given = 1413.0, temperature: Uncertain = REFERENCE) -> Uncertain:
    """Give the conductivity of a standard of potassium chloride at a temperature.

    Parameters
    ----------
    label : float, str or pint.Quantity
        Its conductivity at 25 degC, as the bottle says. [uS/cm]
    temperature : float or UFloat
        [degC]

    Returns
    -------
    float or UFloat
        The table of 0.01 mol/L, linear between its rows; other strengths change alike within 0.3 % (from
        memory). [uS/cm]

    Raises
    ------
    Refusal
        If the temperature is outside the table, 15 to 30 degC.

    References
    ----------
    .. [1] ISO 7888:1985: 0.01 mol/L KCl has 1413 uS/cm at 25 degC.

    Examples
    --------
    >>> standard_conductivity(1413.0, 20.0), standard_conductivity("1.413 mS/cm", 22.5)
    (1278.0, 1345.5)
    """
    table = kcl()
    nominal = magnitude(label, "conductivity")
    at = float(getattr(temperature, "n", temperature))
    coldest, hottest = table.values[0][0], table.values[-1][0]
    if not coldest <= at <= hottest:
        raise Refusal(
            f"`{at:g} C` is outside the standard's table, {coldest:g} to {hottest:g} degC: bring it to the "
            "temperature of the room, and read it again."
        )
    (t0, low), (t1, high) = next(rows for rows in pairwise(table.values) if at <= rows[1][0])
    return (low + (high - low) / (t1 - t0) * (temperature - t0)) * (nominal / table.label)


def cell_factor(
    reading: Given | Sequence[Given],
    temperature: Given | None = None,
    standard: Given = 1413.0,
    *,
    compensates: bool = False,
    tolerance: float | str | None = None,
    thermometer: float | None = None,
) -> Cell:
    """Check a conductivity meter by a standard.

    Parameters
    ----------
    reading : float, str, pint.Quantity or a sequence of them
        What it shows in the standard, once or repeatedly. [uS/cm]
    temperature : float, str or pint.Quantity, optional
        Of the standard. Wanted unless the meter compensates for it. [degC]
    standard : float, str or pint.Quantity
        Conductivity of the standard at 25 degC, as its bottle says. [uS/cm]
    compensates : bool
        Whether the meter itself shows what it reads at 25 degC.
    tolerance : float or str, optional
        Half-width of the standard's error over its value; by default 1 % (from memory). [1]
    thermometer : float, optional
        Half-width of the thermometer's error; by default 1 degC (from memory). [degC]

    Returns
    -------
    Cell
        The factor with what it rests on. Readings under it share it, and the thermometer.

    Raises
    ------
    Refusal
        If something given cannot stand, or the meter is off by more than a checked one can be.

    References
    ----------
    .. [1] ISO 7888:1985, determination of the cell constant by a potassium chloride solution.

    Examples
    --------
    >>> print(f"{cell_factor('1.30 mS/cm', '20 C').factor.n:.3f}")
    0.983
    """
    many = listed(reading)
    each_one = (reading,) if many is None else many
    indications = [conductivity(each, STANDARD_RANGE, "a standard") for each in each_one]
    if not indications:
        raise Refusal("a cell needs a reading of the standard: give one, for instance `1.30 mS/cm`.")
    error = thermometer_error(thermometer)
    if compensates:
        at: Uncertain = REFERENCE
    elif temperature is None:
        raise Refusal(
            "a reading of the standard needs its temperature, unless the meter shows it at 25 degC itself: "
            "give for instance `21 C`."
        )
    else:
        at = bench_temperature(temperature) + error
    label = conductivity(standard, STANDARD_RANGE, "a standard")
    true = standard_conductivity(label, at)
    half = _tolerance(tolerance)
    bottle = nameless(
        rectangular(half),
        "conductivity standard",
        STANDARD_TOLERANCE.known if tolerance is None else "given",
        STANDARD_TOLERANCE.ground if tolerance is None else "tolerance given for this standard",
    )
    mean = sum(indications) / len(indications)
    nominal = float(getattr(true, "n", true))
    _plausible(reading, mean, nominal)
    own = repeatability("standard", len(indications))
    factor = linear(0.0, {}) + true * (1.0 + bottle) / (mean * (1.0 + own))
    remarks = []
    if abs(factor.n - 1.0) > CELL_FACTOR_OFF.value:
        remarks.append(
            Remark(
                "cell-off",
                f"The meter shows {100.0 * (1.0 / factor.n - 1.0):+.0f} % in the standard: it is corrected "
                "here; clean the cell, and use fresh standard, to see whether that helps.",
            )
        )
    return Cell(factor, linear(0.0, {}) + true * (1.0 + bottle), compensates, tuple(remarks), error)


def unchecked(compensates: bool = False, thermometer: float | None = None) -> Cell:
    """Give what is assumed of a conductivity meter that no standard has checked.

    Parameters
    ----------
    compensates : bool
        Whether the meter itself shows what it reads at 25 degC.
    thermometer : float, optional
        Half-width of the thermometer's error; by default 1 degC (from memory). [degC]

    Returns
    -------
    Cell
        Factor 1, within 5 % (from memory).

    Examples
    --------
    >>> print(f"{unchecked().factor:.3f}")
    1.000+/-0.029
    """
    error = nameless(
        rectangular(UNCHECKED_CELL.value), "unchecked meter", UNCHECKED_CELL.known, UNCHECKED_CELL.ground
    )
    remark = Remark(
        "unchecked-meter",
        f"No standard has checked this meter: it was taken to be right within {100 * UNCHECKED_CELL.value:g} "
        f"% (from {UNCHECKED_CELL.known}). A bottle of 1413 uS/cm shows it.",
    )
    return Cell(1.0 + error, None, compensates, (remark,), thermometer_error(thermometer))


def thermometer_error(half_width: float | None) -> Uncertain:
    """Make the error of one thermometer.

    Parameters
    ----------
    half_width : float or None
        What it may be off by; None for the assumed 1 degC. [degC]

    Returns
    -------
    float or UFloat
        Nominally 0. [degC]

    Raises
    ------
    Refusal
        If no thermometer is off by so much.

    Examples
    --------
    >>> print(thermometer_error(None))
    0.0+/-0.6
    """
    assumed = half_width is None
    half = THERMOMETER.value if half_width is None else half_width
    if not 0.0 <= half <= 10.0:
        raise Refusal(f"`{half:g}` degC cannot be what a thermometer is off by (0 to 10 degC): give 1.")
    known, ground = (THERMOMETER.known, THERMOMETER.ground) if assumed else ("given", "given for it")
    return nameless(rectangular(half), "thermometer", known, ground) if half else 0.0


def repeatability(what: str, count: int = 1) -> UFloat:
    """Make the relative error of one indication of conductivity, or of the mean of several.

    Parameters
    ----------
    what : str
        What was read, for the budget.
    count : int
        How many indications.

    Returns
    -------
    UFloat
        Nominally 0. [1]

    Examples
    --------
    >>> print(repeatability("standard"))
    0.000+/-0.010
    """
    assumed = CONDUCTIVITY_REPEATABILITY
    return nameless(assumed.value / count**0.5, f"repeatability, {what}", assumed.known, assumed.ground)


def _tolerance(given: float | str | None) -> float:
    half = STANDARD_TOLERANCE.value if given is None else magnitude(given, "number")
    if not 0.0 <= half <= 0.2:
        raise Refusal(f"`{half:g}` cannot be a standard's tolerance over its value: give 0.01 for 1 %.")
    return half


def _plausible(reading: object, mean: float, nominal: float) -> None:
    low, high = _FACTORS
    ratio = nominal / mean if mean else 0.0
    if low <= ratio <= high:
        return
    said = reading if isinstance(reading, str) else f"{mean:g} uS/cm"
    for by, unit, number in ((1000.0, "mS/cm", mean), (0.001, "uS/cm", mean / 1000.0)):
        if low - _ALMOST <= ratio / by <= high + _ALMOST:
            raise Refusal(
                f"{quoted(said)} is a thousandfold off the standard, {nominal:.0f} uS/cm: did you mean "
                f"`{number:g} {unit}`?"
            )
    raise Refusal(
        f"{quoted(said)} is too far from the standard, {nominal:.0f} uS/cm, for a meter that works: clean "
        "the cell, pour fresh standard, and look for its label."
    )
