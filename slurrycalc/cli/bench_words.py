"""What a command line says of the bench: meter, buffers, expected scatter, what is wanted."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING

from slurrycalc.cli.meter_words import MeterWords
from slurrycalc.cli.notation import PointWords, bottle_words, point_words
from slurrycalc.cli.words import option
from slurrycalc.day.calibrating import calibrated
from slurrycalc.day.limits import Limits
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.checks import BufferCheck
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.units import magnitude

if TYPE_CHECKING:
    from slurrycalc.day.keeping.keeper import Keeper
    from slurrycalc.logbook.refs import Ref


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


def limits_words(target: str | None, floor: str | None) -> Limits:
    """Read ``--target`` and ``--floor``.

    Parameters
    ----------
    target, floor : str or None
        The options. [pH]

    Returns
    -------
    Limits
        What was asked for. [pH]

    Examples
    --------
    >>> limits_words(None, "4.8")
    (None, 4.8)
    """
    wanted = None if target is None else range_words(target)
    with option("--floor"):
        return wanted, None if floor is None else magnitude(floor, "ph")


@dataclass(frozen=True)
class Metered:
    """The calibration that a line speaks of."""

    calibration: Calibration
    check: BufferCheck | None
    under: Ref | None = None
    """What the record calls it."""
    entry: int | None = None
    """The entry that holds it, if it was made before."""


def _option(part: str) -> AbstractContextManager[None]:
    return nullcontext() if part == "point" else option(f"--{part}")


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
    >>> cal = bench.metered(MeterWords()).calibration
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

    def metered(
        self,
        meter: MeterWords,
        readings: Sequence[str] = (),
        keeper: Keeper | None = None,
        name: str | None = None,
    ) -> Metered:
        """Calibrate the meter; without any point, take the day's last calibration of the meter of that name.

        Parameters
        ----------
        meter : MeterWords
            What the line says of the meter.
        readings : sequence of str
            What it showed in slurries.
        keeper : Keeper, optional
            Where the step is recorded.
        name : str, optional
            The meter's.

        Returns
        -------
        Metered
            The calibration.

        Raises
        ------
        Refusal
            If the calibration cannot stand, or there is none.
        """
        again = (None if point is None else self._given(point) for point in (self.check, self.close))
        check, close = again
        if not self.points:
            if keeper is None or name is None:
                raise Refusal(
                    "the meter needs two buffers, or a name under which it was calibrated that day: write "
                    "--buffer 4.01=4.06@21C --buffer 7.00=7.04@21C, or --meter desk"
                )
            meter.refuse_any()
            from slurrycalc.day.keeping.metering import last_calibration, read_again

            recalled = read_again(keeper, last_calibration(keeper, name), check, close, _option)
            return Metered(recalled.calibration, recalled.check, recalled.ref, recalled.entry)
        known = None if keeper is None or name is None else keeper.known("meter", name)
        declared = meter.declared([*self.shown, *readings], None if known is None else known.get("shows"))
        kept = None
        if keeper is not None:
            from slurrycalc.day.keeping.metering import begin_calibration

            kept = begin_calibration(
                keeper, name, declared, fit=meter.way, thermometer=meter.half_width
            )
        calibration, checked = calibrated(
            [self._given(one) for one in self.points],
            declared.meter(),
            fit=meter.way,
            thermometer=meter.half_width,
            check=check,
            close=close,
            kept=kept,
            around=_option,
        )
        return Metered(calibration, checked, None if kept is None else kept.ref)

    def _given(self, point: PointWords) -> tuple[str | Bottle, str, str | None]:
        return self._bottle(point.buffer), point.reading, point.temperature

    def _bottle(self, buffer: str) -> str | Bottle:
        return self._bottles.get(buffer, buffer)
