"""What a command line says of the bench: meter, buffers, expected scatter, what is wanted."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Literal

from slurrycalc.cli.notation import PointWords, bottle_words, point_words
from slurrycalc.cli.words import number, option
from slurrycalc.data.assumed import FLOOR, TARGET_HIGH, TARGET_LOW
from slurrycalc.measuring.electrode import Calibration, Meter, calibrate
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.checks import BufferCheck
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.units import Kind, magnitude


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


def scatter_words(text: str | None, seen: int, what: str) -> Expected:
    """Read ``--scatter``.

    Parameters
    ----------
    text : str or None
        ``own``, a standard deviation [pH], or None where the option was not given.
    seen : int
        How many slurries or pairs there are.
    what : str
        Which of the two they are: ``slurry`` or ``pair``.

    Returns
    -------
    Scatter, DEFAULT or None
        None for ``own``: today's slurries alone. A stated one has infinite degrees of freedom.

    Raises
    ------
    Refusal
        If it is neither, or a single slurry or pair shall show its own scatter.

    Examples
    --------
    >>> scatter_words("own", 2, "slurry") is None, scatter_words("0.05", 1, "slurry").sd
    (True, 0.05)
    """
    if text is None:
        return DEFAULT
    if text.strip().casefold() == "own":
        if seen < 2:
            raise Refusal(
                f"--scatter: `own` cannot be seen in one {what}; give a second, or leave the option away"
            )
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


def limits_words(target: str | None, floor: str | None) -> tuple[tuple[float, float], float]:
    """Read ``--target`` and ``--floor``.

    Parameters
    ----------
    target, floor : str or None
        The options; None takes common practice. [pH]

    Returns
    -------
    target : pair of float
        The range wanted. [pH]
    floor : float
        The floor. [pH]

    Examples
    --------
    >>> limits_words(None, "4.8")
    ((5.4, 6.5), 4.8)
    """
    wanted = (TARGET_LOW.value, TARGET_HIGH.value) if target is None else range_words(target)
    if floor is None:
        return wanted, FLOOR.value
    with option("--floor"):
        return wanted, magnitude(floor, "ph")


def meter_words(
    readings: Sequence[str],
    shows: str | None,
    resolution: str | None,
    repeatability: str | None,
    compensates: str,
) -> Meter:
    """Make the meter that a command line speaks of.

    Parameters
    ----------
    readings : sequence of str
        Every reading of the command line.
    shows, resolution, repeatability : str or None
        The options of these names. [mV or pH, as the meter shows]
    compensates : str
        ``yes`` or ``no``.

    Returns
    -------
    Meter
        The meter.

    Raises
    ------
    Refusal
        If an option cannot be meant.

    Examples
    --------
    >>> meter_words(["178.2mV"], None, "1", None, "yes").resolution
    1.0
    """
    kind = what_meter_shows(shows, readings)
    answer = {"yes": True, "no": False}.get(compensates.strip().casefold())
    if answer is None:
        raise Refusal(f"--compensates: {quoted(compensates)} is no answer; write yes or no")
    unit: Kind = "potential" if kind == "mV" else "ph"
    figures = []
    for name, text in (("--resolution", resolution), ("--repeatability", repeatability)):
        with option(name):
            figures.append(None if text is None else magnitude(text, unit, bare=kind))
    return Meter(kind, resolution=figures[0], repeatability=figures[1], compensates=answer)


class Bench:
    """What a command line says of the buffers: points, bottles, a check and a closing reading.

    Parameters
    ----------
    points : sequence of str
        ``BUFFER=READING@TEMPERATURE``, BUFFER a label or the name of one of the bottles.
    bottles : sequence of str
        ``NAME=LABEL``.
    check, close : str or None
        Points.

    Raises
    ------
    Refusal
        If one of them cannot be taken apart, or a bottle is named twice.

    Examples
    --------
    >>> bench = Bench(["4.01=178.2mV@22C", "blue=1.8mV@22C"], ["blue=7.00"], None, None)
    >>> cal, _ = bench.calibrated(Meter("mV"), None, "line")
    >>> [point.buffer for point in cal.points]
    ['4.01', '7.00 (blue)']
    """

    def __init__(
        self, points: Sequence[str], bottles: Sequence[str], check: str | None, close: str | None
    ) -> None:
        self._bottles: dict[str, Bottle] = {}
        for text in bottles:
            with option("--bottle"):
                bottle = bottle_words(text)
                if bottle.name in self._bottles:
                    raise Refusal(f"{quoted(text)} names a second bottle so; give each its own name")
                self._bottles[str(bottle.name)] = bottle
        self.points = [point_words(point) for point in points]
        with option("--check"):
            self.check = None if check is None else point_words(check)
        with option("--close"):
            self.close = None if close is None else point_words(close)

    @property
    def shown(self) -> list[str]:
        """Every reading of a buffer, as typed."""
        again = [point for point in (self.check, self.close) if point is not None]
        return [point.reading for point in (*self.points, *again)]

    def calibrated(
        self, meter: Meter, thermometer: str | None, fit: str
    ) -> tuple[Calibration, BufferCheck | None]:
        """Calibrate the meter.

        Parameters
        ----------
        meter : Meter
            The meter.
        thermometer : str or None
            Half-width of its error. [degC]
        fit : str
            ``line`` or ``bracket``.

        Returns
        -------
        calibration : Calibration
            With the drift, where there is a closing reading.
        check : BufferCheck or None
            How the check bottle came out.

        Raises
        ------
        Refusal
            If the calibration cannot stand.
        """
        if fit not in ("line", "bracket"):
            raise Refusal(f"--fit: {quoted(fit)} is no way to fit; write line or bracket")
        off = None if thermometer is None else number(thermometer, "--thermometer")
        calibration = calibrate(
            [(self._bottle(one.buffer), one.reading, one.temperature) for one in self.points],
            meter,
            fit="bracket" if fit == "bracket" else "line",
            thermometer=off,
        )
        with option("--check"):
            checked = None if self.check is None else calibration.check(*self._given(self.check))
        with option("--close"):
            closed = calibration if self.close is None else calibration.close(*self._given(self.close))
        return closed, checked

    def _given(self, point: PointWords) -> tuple[str | Bottle, str, str | None]:
        return self._bottle(point.buffer), point.reading, point.temperature

    def _bottle(self, buffer: str) -> str | Bottle:
        return self._bottles.get(buffer, buffer)
