"""Kinds of buffer: the pH that each has at a temperature, and which of them a label means."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, NamedTuple

from slurrycalc.data import table
from slurrycalc.data.assumed import LABEL_TEMPERATURE, Known
from slurrycalc.metrology.annotate import DegCValue, PHValue
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import magnitude

NEAR_MISS = 0.3
"""A number within this of a label was probably meant for it (our own figure). [pH]"""
LABEL_OFF = 0.1
"""A label farther than this from a buffer at its temperature is another one's (our own figure). [pH]"""
_ROOM = (20.0, 25.0)
"""Labels state the pH at one of these (common practice). [degC]"""
_AS_PRINTED = 0.0051
"""A label is rounded to two decimals. [pH]"""


class BufferRow(NamedTuple):
    """One row of a buffer's table."""

    temperature: DegCValue
    ph: PHValue


@dataclass(frozen=True)
class BufferTable:
    """What is known of a kind of buffer bottle: pH against temperature, and where that comes from."""

    label: str
    substance: str
    source: str
    known: Known
    rows: tuple[BufferRow, ...]

    @property
    def span(self) -> tuple[float, float]:
        """Lowest and highest temperature of the table [degC]."""
        return self.rows[0].temperature, self.rows[-1].temperature

    def covers(self, temperature: float) -> bool:
        """Tell whether the table reaches to a temperature [degC]."""
        return self.span[0] <= temperature <= self.span[1]

    def at(self, temperature: float) -> tuple[float, float]:
        """PH and its slope against temperature, linear between rows.

        Parameters
        ----------
        temperature : float
            Of the buffer. [degC]

        Returns
        -------
        ph : float
            PH of the nominal bottle. [pH]
        slope : float
            Its change with temperature; at a row, the mean of the two sides. [pH/degC]

        Raises
        ------
        Refusal
            If the temperature lies off the table.

        Examples
        --------
        >>> ph, slope = tables()["4.01"].at(22.5)
        >>> round(ph, 4), round(slope, 4)
        (4.0025, 0.001)
        """
        low, high = self.span
        if not low <= temperature <= high:
            raise Refusal(
                f"`{temperature:g}` degC lies off the table of the {self.label} buffer, which runs from "
                f"{low:g} to {high:g} degC; let the bottle come to room temperature, for instance 21 degC."
            )
        slopes = []
        ph = self.rows[0].ph
        for before, after in zip(self.rows, self.rows[1:], strict=False):
            if before.temperature <= temperature <= after.temperature:
                slopes.append((after.ph - before.ph) / (after.temperature - before.temperature))
                # From the nearer row, so that a row itself comes back with all its digits.
                first = temperature - before.temperature <= after.temperature - temperature
                near = before if first else after
                ph = near.ph + slopes[-1] * (temperature - near.temperature)
        return ph, sum(slopes) / len(slopes)


@cache
def tables() -> dict[str, BufferTable]:
    """Give every kind of buffer bottle that is known, in order of pH.

    Returns
    -------
    dict
        Label to table. It is cached and shared: do not change it.

    Examples
    --------
    >>> tables()["7.00"].known
    'common practice'
    """
    rows: list[dict[str, Any]] = sorted(table("buffers")["buffer"], key=lambda row: float(row["label"]))
    return {
        row["label"]: BufferTable(
            *(row["label"], row["substance"], row["source"], row["known"]),
            tuple(BufferRow(float(t), float(ph)) for t, ph in row["rows"]),
        )
        for row in rows
    }


def labels() -> tuple[str, ...]:
    """Give the labels of the known buffer bottles, in order of pH.

    Examples
    --------
    >>> labels()
    ('4.01', '6.86', '7.00', '9.18', '10.01')
    """
    return tuple(tables())


def known_label(label: str | float) -> str:
    """Find the buffer that a label means.

    Parameters
    ----------
    label : str or float
        As printed on the bottle; trailing zeros and a decimal comma make no difference. [pH]

    Returns
    -------
    str
        The label as `labels` writes it.

    Raises
    ------
    Refusal
        If no such buffer is known; with the nearest one, where one is near.

    Examples
    --------
    >>> known_label("7"), known_label("4,01")
    ('7.00', '4.01')
    >>> known_label("4.0")
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: `4.0` is no buffer that is known here (4.01, 6.86, 7.00, 9.18,
    10.01): a bottle labelled so is mostly the 4.01 buffer, which is pH 4.00 at 20 degC (common
    practice); write 4.01.
    """
    text = str(label).strip()
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        number = float("nan")
    for candidate in labels():
        if number == float(candidate):
            return candidate
    near = [candidate for candidate in labels() if abs(number - float(candidate)) <= NEAR_MISS]
    if near:
        guess = _taken_for(number, min(near, key=lambda one: abs(number - float(one))))
    else:
        guess = "; write the label of the bottle, such as 4.01."
    if "@" in text:
        guess = f": name the bottle, and say there what its label says, --bottle blue={text}."
    raise Refusal(f"{quoted(label)} is no buffer that is known here ({', '.join(labels())}){guess}")


class LabelRead(NamedTuple):
    """What a label says that speaks of another temperature than 25 degC."""

    label: str
    """Which buffer it is, one of `labels`."""
    measured: PHValue | None
    """The same pH at 25 degC, by the course of that buffer's table; None where the label is the buffer's own
    pH, rounded."""


def label_at(text: str) -> LabelRead:
    """Read a label with the temperature that it speaks of.

    Parameters
    ----------
    text : str
        ``PH@TEMPERATURE``, such as ``9.22@20C``. [pH], [degC]

    Returns
    -------
    LabelRead
        The buffer whose table lies nearest to it there.

    Raises
    ------
    Refusal
        If a part is missing, or no buffer lies near.

    Examples
    --------
    >>> label_at("9.22@20C"), label_at("7.00@20C").measured
    (LabelRead(label='9.18', measured=None), 6.984)
    """
    number, _, at = (part.strip() for part in text.partition("@"))
    if not number or not at or "@" in at:
        raise Refusal(
            f"{quoted(text)} is no label with the temperature that it speaks of: write such as 9.22@20C."
        )
    ph, warm = magnitude(number, "ph"), magnitude(at, "temperature")
    there = {label: kind.at(warm)[0] for label, kind in tables().items() if kind.covers(warm)}
    if not there:
        tables()["7.00"].at(warm)  # refuses it
    label = min(there, key=lambda each: abs(there[each] - ph))
    if abs(there[label] - ph) > LABEL_OFF:
        shown = ", ".join(f"{value:.2f}" for value in there.values())
        raise Refusal(
            f"{quoted(text)} is no buffer that is known here, which are {shown} at {warm:g} degC: write what "
            "the label says, such as 9.22@20C."
        )
    off = ph - there[label]
    if abs(off) <= _AS_PRINTED:
        return LabelRead(label, None)
    return LabelRead(label, round(off + tables()[label].at(LABEL_TEMPERATURE.value)[0], 6))


def _taken_for(number: float, label: str) -> str:
    """Say which buffer a label means that no table has: often its pH at room temperature."""
    for temperature in _ROOM:
        if abs(tables()[label].at(temperature)[0] - number) <= _AS_PRINTED:
            shows = f"which is pH {number:.2f} at {temperature:g} degC (common practice)"
            return f": a bottle labelled so is mostly the {label} buffer, {shows}; write {label}."
    return f": did you mean {label}?"
