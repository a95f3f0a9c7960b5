"""The pH meter: what it shows, how finely, and the slope that an ideal electrode would give it."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import isfinite, log
from typing import Any, Literal, NamedTuple, TypeAlias

import pint

from slurrycalc.data.assumed import (
    JUNCTION,
    REPEATABILITY_MV,
    REPEATABILITY_PH,
    RESOLUTION_MV,
    RESOLUTION_PH,
    Assumed,
    Known,
)
from slurrycalc.metrology.annotate import PHValue
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs, Source, Uncertain
from slurrycalc.metrology.units import Kind, magnitude

GAS_CONSTANT = 8.31446261815324
"""Molar gas constant R = N_A·k. [J/(mol·K)] CODATA 2018, exact."""
FARADAY_CONSTANT = 96485.3321233100184
"""Faraday constant F = N_A·e. [C/mol] CODATA 2018, exact."""
ZERO_CELSIUS = 273.15
"""0 degC on the kelvin scale, exact by definition. [K]"""
MV_PER_KELVIN = 1000.0 * log(10.0) * GAS_CONSTANT / FARADAY_CONSTANT
"""Growth of the ideal slope with thermodynamic temperature. [mV/K]"""
NEUTRAL = 7.0
"""Where offsets are stated: the pH at which an ideal glass electrode gives 0 mV. [pH]"""

Shows = Literal["mV", "pH"]
Given: TypeAlias = float | str | pint.Quantity[Any]
"""An amount as it may be handed in: a number in the stated unit, a text, or a quantity of a pint registry."""


def nernst_slope(temperature: float) -> float:
    """Ideal glass-electrode slope at a temperature, k(T) = ln10·R·T/F.

    Parameters
    ----------
    temperature : float
        Solution temperature. [degC]

    Returns
    -------
    float
        Size of the potential change per unit of pH. [mV]

    Raises
    ------
    Refusal
        If the temperature is below absolute zero or not a number.

    References
    ----------
    .. [1] R. P. Buck et al., "Measurement of pH. Definition, standards, and procedures (IUPAC Recommendations
       2002)", Pure Appl. Chem. 74 (2002) 2169; R and F from CODATA 2018.

    Examples
    --------
    >>> round(nernst_slope(25.0), 2)
    59.16
    """
    if not (isfinite(temperature) and temperature >= -ZERO_CELSIUS):
        raise Refusal(f"`{temperature:g}` degC lies below absolute zero; write a temperature such as 25.0.")
    return MV_PER_KELVIN * (temperature + ZERO_CELSIUS)


def number_of(given: Given | None, kind: Kind, bare: str | None = None) -> float | None:
    """Take in a figure of a meter or a bottle.

    Parameters
    ----------
    given : float, str, pint.Quantity or None
        As handed in; a number passes, whatever it is.
    kind : Kind
        What it is.
    bare : str, optional
        The unit of a text's number that has none, where that is plain.

    Returns
    -------
    float or None
        In the canonical unit of its kind.

    Raises
    ------
    Refusal
        If a text or a quantity is no such amount.

    Examples
    --------
    >>> number_of("0.1 mV", "potential"), number_of(0.1, "potential"), number_of(None, "ph")
    (0.1, 0.1, None)
    """
    return magnitude(given, kind, bare=bare) if isinstance(given, (str, pint.Quantity)) else given


class StatedFigure(NamedTuple):
    """A figure of a meter, and how it is known."""

    value: float
    known: Known
    ground: str


def _stated(given: float | None, assumed: Assumed) -> StatedFigure:
    if given is None:
        return StatedFigure(assumed.value, assumed.known, assumed.ground)
    return StatedFigure(float(given), "given", "stated for this meter")


@dataclass(frozen=True)
class Meter:
    """A pH meter with its electrode.

    Parameters
    ----------
    shows : {"mV", "pH"}
        What its display shows. A meter with both is better read in mV: its own calibration is then out of the
        way.
    resolution : float, str or pint.Quantity, optional
        Smallest step of the display, in what it shows; by default 0.1 mV or 0.01 pH.
    repeatability : float, str or pint.Quantity, optional
        Standard deviation of one indication at rest, in what it shows. Without it, repeated indications speak
        for themselves, and a single one has 0.3 mV or 0.01 pH (from memory).
    junction : float, str or pint.Quantity, optional
        Standard uncertainty of the residual liquid-junction potential between buffers and dilute slurries, by
        default 0.02 (from memory). [pH]
    compensates : bool
        For a meter that shows pH: whether it allows for temperature itself. It is then never corrected twice.
    name : str, optional
        Keys the junction potential and the thermometer, the same errors whenever this meter is used with the
        same electrode.
    key : str, optional
        Keys them whatever the meter is called by then.
    electrode : str, optional
        Which electrode is in it, such as the day it was put in: another one has another junction potential.

    Raises
    ------
    Refusal
        If a figure is negative, not finite, or too coarse to be meant.

    Examples
    --------
    >>> Meter("pH", name="desk").unit
    'pH'
    >>> Meter("mV").least_step.value
    0.1
    """

    shows: Shows = "mV"
    resolution: float | None = None
    repeatability: float | None = None
    junction: PHValue | None = None
    compensates: bool = True
    name: str | None = None
    key: str | None = field(default=None, metadata={"json": False})
    electrode: str | None = field(default=None, metadata={"json": False})

    def __post_init__(self) -> None:
        if self.shows not in ("mV", "pH"):
            raise Refusal(f"{quoted(self.shows)} is nothing that a pH meter shows here; write mV or pH.")
        kind: Kind = "potential" if self.shows == "mV" else "ph"
        for what in ("resolution", "repeatability"):
            object.__setattr__(self, what, number_of(getattr(self, what), kind, self.shows))
        object.__setattr__(self, "junction", number_of(self.junction, "ph"))
        coarsest = 10.0 if self.shows == "mV" else 0.5
        for what, value in (
            ("resolution", self.resolution),
            ("repeatability", self.repeatability),
            ("junction", self.junction),
        ):
            limit, unit = (0.5, "pH") if what == "junction" else (coarsest, self.shows)
            if value is not None and not (isfinite(value) and 0.0 <= value <= limit):
                raise Refusal(
                    f"`{value:g}` {unit} cannot be the {what} of a meter (0 to {limit:g} {unit}); "
                    f"leave it away or write one such as {_example(what, self.shows):g}."
                )
        if self.resolution == 0.0:
            raise Refusal(
                "`0` cannot be the resolution of a display; write its smallest step, such as "
                f"{_example('resolution', self.shows):g}."
            )

    @property
    def own_key(self) -> str | None:
        """Key of its errors; None for a nameless meter."""
        return self.key if self.key is not None or self.name is None else f"meter:{self.name}"

    @property
    def unit(self) -> str:
        """Unit of what the display shows."""
        return self.shows

    @property
    def least_step(self) -> StatedFigure:
        """Resolution, stated or assumed, in what the display shows."""
        return _stated(self.resolution, RESOLUTION_MV if self.shows == "mV" else RESOLUTION_PH)

    @property
    def own_repeatability(self) -> StatedFigure:
        """Standard deviation of one indication, stated or assumed, in what the display shows."""
        return _stated(self.repeatability, REPEATABILITY_MV if self.shows == "mV" else REPEATABILITY_PH)

    @property
    def residual_junction(self) -> StatedFigure:
        """Standard uncertainty of the residual liquid-junction potential, stated or assumed [pH]."""
        return _stated(self.junction, JUNCTION)


def _example(what: str, shows: Shows) -> float:
    if what == "junction":
        return JUNCTION.value
    in_mv, in_ph = (
        (RESOLUTION_MV, RESOLUTION_PH) if what == "resolution" else (REPEATABILITY_MV, REPEATABILITY_PH)
    )
    return (in_mv if shows == "mV" else in_ph).value


def junction_error(meter: Meter, key: str, inputs: Inputs) -> Uncertain:
    """Give the error of the residual liquid-junction potential of a meter's electrode.

    Parameters
    ----------
    meter : Meter
        The meter.
    key : str
        Of the calibration, for a nameless meter.
    inputs : Inputs
        Where the error is kept.

    Returns
    -------
    Variable or float
        Nominally 0; exactly 0 for a meter without it. [pH]

    Examples
    --------
    >>> junction_error(Meter("mV", name="desk"), "", Inputs()).s
    0.02
    """
    u, known, ground = meter.residual_junction
    if u == 0.0:
        return 0.0
    if meter.own_key is not None:
        key = meter.own_key if meter.electrode is None else f"{meter.own_key}:electrode {meter.electrode}"
    source = Source(f"{key}:junction", "liquid-junction potential", known=known, ground=ground)
    return inputs.variable(u, source)


@dataclass(frozen=True)
class Gain:
    """What an ideal electrode and meter would show more for each unit of pH, at a temperature.

    Parameters
    ----------
    per_kelvin : float or None
        Its growth with thermodynamic temperature, in what the display shows per pH [1/K]; None for a display
        that has allowed for temperature already, and shows one pH for each.

    Examples
    --------
    >>> round(Gain.of(Meter("mV"), 21.0).at(25.0), 2)
    -59.16
    """

    per_kelvin: float | None

    @classmethod
    def of(cls, meter: Meter, calibrated_at: float) -> Gain:
        """Give the gain of a meter.

        Parameters
        ----------
        meter : Meter
            The meter.
        calibrated_at : float
            Temperature at which a meter that shows pH and does not compensate shows one pH for each. [degC]

        Returns
        -------
        Gain
            Of that meter.
        """
        if meter.shows == "mV":
            return cls(-MV_PER_KELVIN)
        return cls(None if meter.compensates else 1.0 / (calibrated_at + ZERO_CELSIUS))

    def at(self, temperature: Uncertain) -> Uncertain:
        """Give the gain at a temperature.

        Parameters
        ----------
        temperature : float or UFloat
            Of the solution. [degC]

        Returns
        -------
        float or UFloat
            What is shown more for each unit of pH. [mV/pH, or pH/pH]
        """
        return 1.0 if self.per_kelvin is None else self.per_kelvin * (temperature + ZERO_CELSIUS)
