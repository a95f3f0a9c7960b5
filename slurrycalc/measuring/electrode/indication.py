"""What a meter showed: taken from a number, a text or repeated indications, with the errors of reading it."""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum, inf, sqrt
from typing import NamedTuple

import numpy as np
import pint
from numpy.typing import ArrayLike, NDArray
from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.measuring.electrode.meter import Given, Meter
from slurrycalc.measuring.electrode.temperatures import HOTTEST
from slurrycalc.metrology.listed import listed
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import SESSION, Inputs, Source, fresh_key, from_resolution, linear
from slurrycalc.metrology.units import magnitude

FARTHEST_MV = 500.0
"""No glass electrode gives more between pH 0 and 14: the ideal one stays within 414 mV at 25 degC. [mV]"""
PLAUSIBLE_MV = 420.0
"""Within this a number with its decimal point moved was probably meant. [mV]"""


class Spread(NamedTuple):
    """Repeatability as repeated indications show it."""

    sd: float
    """Standard deviation of one indication, in what the display shows."""
    dof: float
    """Degrees of freedom that it is worth."""
    group: str
    """Shared by all errors that are evaluated from it."""


def shown(reading: Given | Sequence[Given], meter: Meter) -> tuple[float, ...]:
    """Take in what a meter showed, once or several times.

    Parameters
    ----------
    reading : float, str or pint.Quantity, or a sequence of them
        One indication, or repeated ones. [mV or pH, as the meter shows]
    meter : Meter
        The meter.

    Returns
    -------
    tuple of float
        The indications in order of size: repeated ones have no order that matters.

    Raises
    ------
    Refusal
        If one is no number, has the other quantity's unit, or cannot be: over ±500 mV, or no pH from 0 to 14;
        with what was probably meant, where a slip is likely.

    Examples
    --------
    >>> shown("84.3mV", Meter("mV"))
    (84.3,)
    >>> shown(["5,41", 5.43], Meter("pH"))
    (5.41, 5.43)
    >>> shown(403, Meter("pH"))
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: `403` is no pH, which runs from 0 to 14: did you mean `4.03`?
    """
    many = listed(reading)
    if many is None:
        return (_one(reading, meter),)  # type: ignore[arg-type]
    if len(many) == 0:
        raise Refusal(f"`[]` holds no indication; write what the meter showed, {_right(meter)}.")
    return tuple(sorted(_one(each, meter) for each in many))


def _one(reading: Given, meter: Meter) -> float:
    if meter.shows == "pH":
        try:
            return magnitude(reading, "ph")
        except Refusal as refusal:
            raise _perhaps_mv(reading, refusal) from None
    number = magnitude(reading, "potential", bare="mV")
    if abs(number) <= FARTHEST_MV:
        return number
    meant = next((number / part for part in (10.0, 100.0) if abs(number / part) <= PLAUSIBLE_MV), None)
    guess = "write one such as 178.2 mV." if meant is None else f"did you mean {meant:g} mV?"
    raise Refusal(
        f"{quoted(_said(reading, 'mV'))} is beyond what a pH electrode can give, ±{FARTHEST_MV:g} mV: {guess}"
    )


def _perhaps_mv(reading: Given, refusal: Refusal) -> Refusal:
    """Say that it may be in mV, unless only a lost decimal point explains it."""
    try:
        number = float(reading.replace(",", ".") if isinstance(reading, str) else reading)
    except (TypeError, ValueError, OverflowError, pint.PintError):
        return refusal
    lost_point = number.is_integer() and refusal.sentence.endswith("?")
    if lost_point or "mV" in refusal.sentence or not 14.0 < abs(number) <= FARTHEST_MV:
        return refusal
    return Refusal(f"{refusal.sentence} If it is in mV, say that the meter shows mV.")


def _said(reading: Given, unit: str) -> str:
    return f"{reading:g} {unit}" if isinstance(reading, (int, float)) else str(reading)


def _right(meter: Meter) -> str:
    return "such as 178.2 mV" if meter.shows == "mV" else "such as 4.03"


def pooled(series: Sequence[tuple[float, ...]], group: str) -> Spread | None:
    """Evaluate one repeatability from every series of repeated indications.

    Parameters
    ----------
    series : sequence of tuple of float
        Indications of the same thing in each, in what the display shows.
    group : str
        Key of the estimate.

    Returns
    -------
    Spread or None
        The pooled standard deviation; None where nothing was read twice.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.2.4 and H.3.6, equation (H.6).

    Examples
    --------
    >>> pooled([(1.0, 3.0), (5.0,), (7.0, 9.0)], "repeatability").dof
    2.0
    """
    dof, squares = 0.0, []
    for values in series:
        mean = fsum(values) / len(values)
        squares.append(fsum((value - mean) ** 2 for value in values))
        dof += len(values) - 1
    return Spread(sqrt(fsum(squares) / dof), dof, group) if dof else None


def indication(
    values: tuple[float, ...],
    meter: Meter,
    what: str,
    *,
    spread: Spread | None = None,
    key: str | None = None,
    inputs: Inputs | None = None,
) -> UFloat:
    """Give the mean of what was shown, with the errors of reading it.

    Parameters
    ----------
    values : tuple of float
        One indication or repeated ones, in what the display shows.
    meter : Meter
        The meter.
    what : str
        What was read, for the budget.
    spread : Spread, optional
        Repeatability from repeated indications. It counts where the meter states none of its own.
    key : str, optional
        Under which the same reading is found again: ``key:repeatability`` and ``key:resolution``.
    inputs : Inputs, optional
        Where keyed errors are kept; by default the session's.

    Returns
    -------
    UFloat
        The mean, in what the display shows. The resolution counts in full, since repeated indications of one
        display are rounded alike.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.2.3 and F.2.2.1.

    Examples
    --------
    >>> round(indication((1.8,), Meter("mV"), "buffer 7.00").s, 4)
    0.3014
    """
    store = Inputs() if key is None else SESSION if inputs is None else inputs
    key = fresh_key("reading") if key is None else key
    n = len(values)
    errors = reading_errors(key, meter, what, store, n=n, spread=spread)
    return linear(fsum(values) / n, dict.fromkeys(errors, 1.0))


def reading_errors(
    key: str, meter: Meter, what: str, inputs: Inputs, *, n: int = 1, spread: Spread | None = None
) -> list[Variable]:
    """Give the errors of reading a meter.

    Parameters
    ----------
    key : str
        Of the reading.
    meter : Meter
        The meter.
    what : str
        What was read, for the budget.
    inputs : Inputs
        Where the errors are kept.
    n : int
        Number of indications.
    spread : Spread, optional
        As for `indication`.

    Returns
    -------
    list of Variable
        Resolution and repeatability, nominally 0, in what the display shows.

    Examples
    --------
    >>> [round(each.s, 4) for each in reading_errors("r", Meter("mV"), "jar A1", Inputs())]
    [0.0289, 0.3]
    """
    step, repeatability = meter.least_step, meter.own_repeatability
    resolution = Source(f"{key}:resolution", f"resolution, {what}", known=step.known, ground=step.ground)
    own = f"{key}:repeatability"
    name = f"repeatability, {what}"
    if spread is not None and meter.repeatability is None and n > 1:
        u = spread.sd / sqrt(n)
        source = Source(own, name, "A", spread.dof, spread.group, "measured", f"{n} indications")
    else:
        u = repeatability.value / sqrt(n)
        source = Source(own, name, "B", inf, None, repeatability.known, repeatability.ground)
    errors = [inputs.variable(from_resolution(step.value), resolution)]
    return [*errors, inputs.variable(u, source)] if u else errors


def within(
    given: ArrayLike, unit: str, limits: tuple[float, float], where: str, advice: str
) -> NDArray[np.float64]:
    """Take in many plain numbers of a unit, each within limits, or refuse the worst with its place."""
    low, high = limits
    try:
        if isinstance(given, pint.Quantity):
            # A foreign registry need not know our name for a pH: there it is a number without a dimension.
            given = given.to("" if unit == "pH" else unit).magnitude
        values = np.asarray(given, dtype=np.float64)
    except (TypeError, ValueError, pint.PintError) as error:
        raise Refusal(
            f"{quoted(error)}: a whole file is read as plain numbers only, such as [84.3, 85.1]."
        ) from None
    # A gap (nan) makes both comparisons false.
    if values.size == 0 or (values.min() >= low and values.max() <= high):
        return values
    place = int(np.argmin((values >= low) & (values <= high)))
    raise Refusal(
        f"`{values.flat[place]:g}` {unit} {where} {place + 1} cannot be ({low:g} to {high:g}); {advice}, and "
        f"write numbers such as {21.0 if high == HOTTEST else 5.41 if high == 14.0 else 84.3}."
    )
