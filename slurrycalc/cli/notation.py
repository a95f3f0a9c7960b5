"""Readings, points, pairs and bottles as they are written on a command line, taken apart by their signs.

Only ``=`` and ``@`` are read here; the amounts between them go on as texts to the doors of the floors below.
"""

from __future__ import annotations

from typing import NamedTuple

from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import stated


class ReadingWords(NamedTuple):
    """``84.3mV@21C``."""

    reading: str
    temperature: str | None


class PointWords(NamedTuple):
    """``4.01=178.2mV@22C``."""

    buffer: str
    reading: str
    temperature: str | None


def reading_words(text: str, example: str = "84.3mV@21C") -> ReadingWords:
    """Split a reading from its temperature.

    Parameters
    ----------
    text : str
        ``READING`` or ``READING@TEMPERATURE``.
    example : str
        A right one, for the refusal.

    Returns
    -------
    ReadingWords
        Both as texts.

    Raises
    ------
    Refusal
        If either side of the ``@`` is empty, or there are two.

    Examples
    --------
    >>> reading_words("-84.3mV@21C")
    ReadingWords(reading='-84.3mV', temperature='21C')
    """
    reading, sign, temperature = text.partition("@")
    if not reading.strip() or (sign and not temperature.strip()) or "@" in temperature:
        raise Refusal(f"{quoted(text)} is no reading with its temperature: write for instance {example}")
    return ReadingWords(reading.strip(), temperature.strip() or None)


def point_words(text: str) -> PointWords:
    """Split a point into a buffer, what the meter showed in it, and the temperature.

    Parameters
    ----------
    text : str
        ``BUFFER=READING@TEMPERATURE``.

    Returns
    -------
    PointWords
        All as texts.

    Raises
    ------
    Refusal
        If a part is missing.

    Examples
    --------
    >>> point_words("4.01=178.2mV@22C")
    PointWords(buffer='4.01', reading='178.2mV', temperature='22C')
    """
    buffer, sign, rest = text.partition("=")
    if not sign or not buffer.strip() or not rest.strip() or "=" in rest:
        raise Refusal(f"{quoted(text)} is no point: write BUFFER=READING@TEMPERATURE, like 4.01=178.2mV@22C")
    return PointWords(buffer.strip(), *reading_words(rest, "4.01=178.2mV@22C"))


def pair_words(text: str) -> tuple[str, str]:
    """Split a pair into what the probe showed and the slurry's pH.

    Parameters
    ----------
    text : str
        ``PROBE=SLURRY``.

    Returns
    -------
    tuple of str
        Both as texts.

    Raises
    ------
    Refusal
        If a part is missing.

    Examples
    --------
    >>> pair_words("5.9=5.41")
    ('5.9', '5.41')
    """
    return _halves(text, "is no pair: write PROBE=SLURRY, like 5.9=5.41")


def dose_words(text: str) -> tuple[str, str]:
    """Split a jar of a trial into its dose and its pH.

    Parameters
    ----------
    text : str
        ``DOSE=PH``.

    Returns
    -------
    tuple of str
        Both as texts.

    Raises
    ------
    Refusal
        If a part is missing.

    Examples
    --------
    >>> dose_words("10%=5.27")
    ('10%', '5.27')
    """
    return _halves(text, "is no jar of a trial: write DOSE=PH, like 10%=5.27")


def _halves(text: str, wrong: str) -> tuple[str, str]:
    left, sign, right = text.partition("=")
    if not sign or not left.strip() or not right.strip() or "=" in right:
        raise Refusal(f"{quoted(text)} {wrong}")
    return left.strip(), right.strip()


def bottle_words(text: str) -> Bottle:
    """Make a bottle from what stands on it.

    Parameters
    ----------
    text : str
        ``NAME=LABEL`` or ``NAME=LABEL+-TOLERANCE``, either with the temperature that the label speaks of.

    Returns
    -------
    Bottle
        The named bottle.

    Raises
    ------
    Refusal
        If a part is missing or cannot be meant.

    Examples
    --------
    >>> bottle_words("blue=4.01+-0.01").tolerance
    0.01
    >>> bottle_words("blue=7.00+-0.02@20C").measured
    6.984
    """
    name, sign, label = text.partition("=")
    if not sign or not name.strip() or not label.strip():
        raise Refusal(f"{quoted(text)} is no bottle: write NAME=LABEL, like blue=4.01, or blue=4.01+-0.01")
    label, at, temperature = (part.strip() for part in label.partition("@"))
    tolerance = stated(label, "ph")[1]
    for sign in ("±", "+-", "+/-"):
        label = label.partition(sign)[0].strip()
    return Bottle(f"{label}{at}{temperature}", name.strip(), tolerance)
