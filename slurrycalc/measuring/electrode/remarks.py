"""What must be said of a calibration and of a reading under it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from uncertainties import UFloat

from slurrycalc.data.assumed import BOTTLE_TOLERANCE, UNREAD_TEMPERATURE
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.meter import Meter
from slurrycalc.measuring.electrode.straightness import Disputed
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.remark import Remark


def on_calibration(
    buffers: int, unread: Sequence[str], temperature: float, doubt: Disputed | None, meter: Meter
) -> tuple[Remark, ...]:
    """Say what a calibration leaves open.

    Parameters
    ----------
    buffers : int
        How many bottles it rests on.
    unread : sequence of str
        Buffers whose temperature was not read.
    temperature : float
        What was taken instead. [degC]
    doubt : Disputed or None
        Whether the buffers lie on one line.
    meter : Meter
        The meter.

    Returns
    -------
    tuple of Remark
        Kinds ``two-buffers``, ``temperature-not-read``, ``disputed-buffer``, ``display-judged``.
    """
    remarks = []
    if buffers == 2:
        remarks.append(Remark("two-buffers", "Nothing checks these two buffers; a third would."))
    if doubt is not None:
        remarks.append(Remark("disputed-buffer", doubt.text))
    if unread:
        remarks.append(
            _not_read(f"The temperature of buffer {', '.join(dict.fromkeys(unread))}", temperature)
        )
    if meter.shows == "pH":
        remarks.append(
            Remark(
                "display-judged",
                "This meter shows only pH: what is judged is its display after its own calibration, "
                "which hides the electrode's efficiency.",
            )
        )
    return tuple(remarks)


def bottles_on(day: date, buffers: Iterable[object]) -> tuple[Remark, ...]:
    """Say which bottles were past their date on the day of a calibration, or not yet opened.

    Parameters
    ----------
    day : date
        Of the calibration.
    buffers : iterable
        What it rests on; only bottles bear dates.

    Returns
    -------
    tuple of Remark
        Kinds ``expired`` and ``not-yet-opened``.

    Examples
    --------
    >>> from slurrycalc.measuring.electrode.buffers import Bottle
    >>> [said.text for said in bottles_on(date(2024, 5, 4), [Bottle("4.01", expires=date(2024, 4, 30))])]
    ['Bottle 4.01 expired on 2024-04-30: open a fresh one.']
    """
    said = []
    for one in buffers:
        if not isinstance(one, Bottle):
            continue
        name = one.name or one.label
        if one.expires is not None and day > one.expires:
            said.append(Remark("expired", f"Bottle {name} expired on {one.expires}: open a fresh one."))
        if one.opened is not None and day < one.opened:
            text = f"Bottle {name} was opened on {one.opened} by the record, and read here before that"
            said.append(Remark("not-yet-opened", f"{text}: see which day is wrong."))
    return tuple(said)


def on_reading(ph: UFloat, span: tuple[float, float], taken_instead: float | None) -> tuple[Remark, ...]:
    """Say what must be said of one reading.

    Parameters
    ----------
    ph : UFloat
        Its pH. [pH]
    span : tuple of float
        Lowest and highest buffer. [pH]
    taken_instead : float or None
        Temperature that was taken where it matters and was not read; None otherwise. [degC]

    Returns
    -------
    tuple of Remark
        Kinds ``outside-buffers`` and ``temperature-not-read``.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> print(on_reading(ufloat(3.42, 0.05), (4.0, 7.0), None)[0].text)
    pH 3.42 lies 0.58 outside the buffers, 4.00 to 7.00; the line is drawn on, and its interval, ±0.10,
    grows with the distance.
    """
    remarks = []
    beyond = max(span[0] - ph.n, ph.n - span[1])
    # The lowest and the highest buffer themselves are no extrapolation, whatever their bottles are off by.
    if beyond > BOTTLE_TOLERANCE.value:
        remarks.append(
            Remark(
                "outside-buffers",
                f"pH {ph.n:.2f} lies {beyond:.2f} outside the buffers, {span[0]:.2f} to {span[1]:.2f}; the "
                f"line is drawn on, and its interval, ±{half_width(ph):.2f}, grows with the distance.",
            )
        )
    if taken_instead is not None:
        remarks.append(_not_read("The slurry's temperature", taken_instead))
    return tuple(remarks)


def _not_read(what: str, temperature: float) -> Remark:
    return Remark(
        "temperature-not-read",
        f"{what} was not read: {temperature:.0f} degC was taken, give or take {UNREAD_TEMPERATURE.value:g}.",
    )
