"""What a command line says of the bench: meter, buffers, expected scatter, what is wanted."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from slurrycalc.cli.meter_words import MeterWords
from slurrycalc.cli.notation import PointWords, bottle_words, point_words, reading_words
from slurrycalc.cli.words import option
from slurrycalc.day.bench.worksheet import BottleEntry, Day, JarEntry, PointEntry, ProbeEntry
from slurrycalc.day.record.limits import Limits
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.units import magnitude


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


class BuffersSaid:
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
    """

    def __init__(
        self, points: Sequence[str], bottles: Sequence[str], check: str | None, close: str | None
    ) -> None:
        self._bottles: dict[str | None, Bottle] = {}
        for text in bottles:
            with option("--bottle"):
                bottle = bottle_words(text)
                if bottle.name in self._bottles:
                    raise Refusal(f"{quoted(text)} names a second bottle so; give each its own name")
                self._bottles[bottle.name] = bottle
        self.points = [point_words(point) for point in points]
        with option("--check"):
            self._check = None if check is None else point_words(check)
        with option("--close"):
            self._close = None if close is None else point_words(close)

    def day(
        self,
        meter: MeterWords,
        name: str | None,
        jars: Sequence[JarEntry] = (),
        *,
        tells_unit: bool = True,
        probe: str | None = None,
    ) -> Day:
        """Write the line down as a day would declare it.

        Parameters
        ----------
        meter : MeterWords
            What the line says of the meter.
        name : str or None
            The meter's.
        jars : sequence of JarEntry
            What was read.
        tells_unit : bool
            Whether the readings of the jars tell what the meter shows, as those of the buffers do.
        probe : str, optional
            Name of the probe.

        Returns
        -------
        Day
            Whose parts stand where `line_places` says.

        Raises
        ------
        Refusal
            If an option cannot be meant.

        Examples
        --------
        >>> bench = BuffersSaid(["4.01=178.2mV@22C", "blue=1.8mV@22C"], ["blue=7.00"], None, None)
        >>> day = bench.day(MeterWords(), None)
        >>> day.meter.shows, day.points[1].buffer, day.bottles[0].label
        ('mV', 'blue', '7.00')
        """
        again = [point for point in (self._check, self._close) if point is not None]
        readings = [point.reading for point in (*self.points, *again)] if self.points else []
        if self.points and tells_unit:
            readings += [str(jar.shows) for jar in jars]
        return Day(
            meter=meter.entry(name, readings),
            points=tuple(map(_point, self.points)),
            jars=tuple(jars),
            bottles=tuple(
                BottleEntry(
                    name=str(one.name), label=one.label, tolerance=one.tolerance, measured=one.measured
                )
                for one in self._bottles.values()
            ),
            thermometer=meter.thermometer_entry,
            check=None if self._check is None else _point(self._check),
            close=None if self._close is None else _point(self._close),
            probe=None if probe is None else ProbeEntry(name=probe),
            fit=meter.way,
        )

    @property
    def buffers(self) -> tuple[str, ...]:
        """What each point names, as typed."""
        return tuple(point.buffer for point in self.points)


def _point(words: PointWords) -> PointEntry:
    try:
        temperature = celsius_words(words.temperature)
    except Refusal as refusal:
        raise refusal.at(f"buffer {words.buffer}") from None
    return PointEntry(buffer=words.buffer, shows=words.reading, temperature=temperature)


def celsius_words(text: str | None) -> float | None:
    """Take in a temperature of a line, which bears its unit. [degC]."""
    return None if text is None else bench_temperature(text)


def jar_words(readings: Sequence[str], enclosure: str | None, spots: str | None) -> list[JarEntry]:
    """Take in the slurries of one enclosure.

    Parameters
    ----------
    readings : sequence of str
        ``READING@TEMPERATURE``.
    enclosure : str or None
        Its name.
    spots : str or None
        A mark for each, parted by commas.

    Returns
    -------
    list of JarEntry
        Without labels.

    Raises
    ------
    Refusal
        If one cannot be taken apart, or there are as many marks as readings no more.

    Examples
    --------
    >>> [jar.spot for jar in jar_words(["5.41", "5.43"], None, "a,")]
    ['a', None]
    """
    words = [reading_words(reading) for reading in readings]
    marks = [None] * len(words) if spots is None else [mark.strip() or None for mark in spots.split(",")]
    if spots is not None and len(marks) != len(words):
        raise Refusal(
            f"--spots: {quoted(spots)} has {len(marks)} of the {len(words)} marks that are needed: give each "
            "reading one mark, such as a,a,b"
        )
    return [
        JarEntry(
            enclosure=enclosure, shows=one.reading, temperature=celsius_words(one.temperature), spot=mark
        )
        for one, mark in zip(words, marks, strict=True)
    ]
