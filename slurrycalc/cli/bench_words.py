"""Words of the bench taken apart: readings, points, pairs, bottles, what is wanted.

Only the signs between amounts are read here, ``=`` and ``@``; the amounts themselves go on as texts to the
doors of the floors below.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Literal, NamedTuple

from slurrycalc.cli.words import option
from slurrycalc.measuring.buffers import Bottle
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.units import magnitude, stated


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
    probe, sign, slurry = text.partition("=")
    if not sign or not probe.strip() or not slurry.strip() or "=" in slurry:
        raise Refusal(f"{quoted(text)} is no pair: write PROBE=SLURRY, like 5.9=5.41")
    return probe.strip(), slurry.strip()


def bottle_words(text: str) -> Bottle:
    """Make a bottle from what stands on it.

    Parameters
    ----------
    text : str
        ``NAME=LABEL`` or ``NAME=LABEL+-TOLERANCE``.

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
    """
    name, sign, label = text.partition("=")
    if not sign or not name.strip() or not label.strip():
        raise Refusal(f"{quoted(text)} is no bottle: write NAME=LABEL, like blue=4.01, or blue=4.01+-0.01")
    label = label.strip()
    tolerance = stated(label, "ph")[1]
    for sign in ("±", "+-", "+/-"):
        label = label.partition(sign)[0].strip()
    return Bottle(label, name.strip(), tolerance)


def what_meter_shows(given: str | None, readings: Sequence[str]) -> Literal["mV", "pH"]:
    """Tell from ``--shows``, or else from the units of the readings, what the meter shows.

    Parameters
    ----------
    given : str or None
        The value of ``--shows``.
    readings : sequence of str
        Every reading of the command line, in buffers and slurries.

    Returns
    -------
    {"mV", "pH"}
        What the meter shows: pH where no reading bears a unit.

    Raises
    ------
    Refusal
        If the option is neither, or some readings are in mV and others without a unit.

    Examples
    --------
    >>> what_meter_shows(None, ["178.2mV", "1.8 mV"]), what_meter_shows(None, ["4.03", "7.01"])
    ('mV', 'pH')
    """
    if given is not None:
        shows = {"mv": "mV", "ph": "pH"}.get(given.strip().casefold())
        if shows is None:
            raise Refusal(f"--shows: {quoted(given)} is nothing that a pH meter shows here; write mV or pH")
        return "mV" if shows == "mV" else "pH"
    in_volts = [reading for reading in readings if "v" in reading.casefold()]
    others = [reading for reading in readings if "v" not in reading.casefold()]
    if in_volts and others:
        raise Refusal(
            f"{quoted(others[0])} bears no mV while {quoted(in_volts[0])} does; a meter shows one of them: "
            "write all readings like 84.3mV, or all like 5.41"
        )
    return "mV" if in_volts else "pH"


def scatter_words(text: str | None) -> Expected:
    """Read ``--scatter``.

    Parameters
    ----------
    text : str or None
        ``own``, a standard deviation [pH], or None where the option was not given.

    Returns
    -------
    Scatter, DEFAULT or None
        None for ``own``: today's slurries alone. A stated one has infinite degrees of freedom.

    Raises
    ------
    Refusal
        If it is neither.

    Examples
    --------
    >>> scatter_words("own") is None, scatter_words("0.05").sd
    (True, 0.05)
    """
    if text is None:
        return DEFAULT
    if text.strip().casefold() == "own":
        return None
    with option("--scatter"):
        sd = magnitude(text, "number")
        if not 0 < sd < 7:
            raise Refusal(f"{quoted(text)} cannot be a scatter of pH: write own, or a number such as 0.10")
        return Scatter(sd, inf, "given", "stated with --scatter")


def range_words(text: str) -> tuple[float, float]:
    """Read ``--target``.

    Parameters
    ----------
    text : str
        ``LOW:HIGH``. [pH]

    Returns
    -------
    pair of float
        Both ends. [pH]

    Raises
    ------
    Refusal
        If it is no such range.

    Examples
    --------
    >>> range_words("5.4:6.5")
    (5.4, 6.5)
    """
    low, sign, high = text.partition(":")
    with option("--target"):
        if not sign:
            raise Refusal(f"{quoted(text)} is no range: write LOW:HIGH, like 5.4:6.5")
        ends = magnitude(low, "ph"), magnitude(high, "ph")
        if not ends[0] < ends[1]:
            raise Refusal(f"{quoted(text)} has no room between its ends: write the lower first, like 5.4:6.5")
        return ends
