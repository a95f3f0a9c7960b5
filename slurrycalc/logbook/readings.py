"""Readings as they are on record, and the pH that they mean."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from functools import cached_property
from math import hypot
from typing import NamedTuple

import numpy as np
from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.data.assumed import UNRECORDED_CALIBRATION
from slurrycalc.logbook.calibrations import Place
from slurrycalc.logbook.refs import Ref
from slurrycalc.logbook.store import Store
from slurrycalc.measuring.electrode.indication import reading_errors
from slurrycalc.measuring.electrode.meter import Meter
from slurrycalc.metrology.batch import Batch, Floats, Indices
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.uncertain import Inputs, Source, linear


class KeptReading(NamedTuple):
    """The meter in a jar, as it is on record."""

    entry: int
    n: int
    day: str
    """The local day, such as ``"2024-05-04"``."""
    slurry_entry: int
    slurry_n: int
    enclosure: int | None
    """Number of the thing."""
    label: str | None
    spot: str | None
    calibration_entry: int | None
    calibration_n: int | None
    shows: float
    again: str | None
    temperature: float | None
    u: float | None
    ratio: float | None
    basis: str
    solution: str

    @property
    def mixed(self) -> tuple[float | None, str, str]:
        """How the slurry was made; pH values of other mixtures are other quantities."""
        return self.ratio, self.basis, self.solution

    @property
    def bench_day(self) -> Hashable:
        """What its jar counts with: its enclosure's of that day, or the nameless ones of its step."""
        mine = ("of step", self.entry) if self.enclosure is None else (self.enclosure, self.day)
        return *mine, self.mixed

    @property
    def place(self) -> Place:
        """Its own."""
        return self.entry, self.n

    @property
    def slurry(self) -> Place:
        """The jar."""
        return self.slurry_entry, self.slurry_n

    @property
    def calibration(self) -> Place | None:
        """What it was read under, None where only a pH was handed down."""
        if self.calibration_entry is None or self.calibration_n is None:
            return None
        return self.calibration_entry, self.calibration_n

    @property
    def called(self) -> str:
        """What a budget calls it."""
        return f"jar {self.label} on {self.day}" if self.label else f"reading on {self.day}"


SELECT = (
    "SELECT r.entry, r.n, e.day, r.slurry_entry, r.slurry_n, s.enclosure, s.label, s.spot, "
    "r.calibration_entry, r.calibration_n, r.shows, r.again, r.temperature, r.u, "
    "s.ratio, s.basis, s.solution "
)
"""The columns of a `KeptReading`."""
FROM_JARS = (
    "FROM slurry s JOIN reading r ON r.slurry_entry = s.entry AND r.slurry_n = s.n "
    "JOIN entry e ON e.id = r.entry "
)
FROM_ENTRIES = (
    "FROM entry e CROSS JOIN reading r ON r.entry = e.id "
    "JOIN slurry s ON s.entry = r.slurry_entry AND s.n = r.slurry_n "
)
"""The same, walked through by time: ``CROSS`` holds SQLite to that order."""
FROM_WINDOWS = (
    "FROM json_each(?) w CROSS JOIN slurry s "
    "ON s.enclosure = json_extract(w.value, '$[0]') AND s.entry >= json_extract(w.value, '$[2]') "
    "JOIN reading r ON r.slurry_entry = s.entry AND r.slurry_n = s.n "
    "JOIN entry e ON e.id = r.entry AND e.day >= json_extract(w.value, '$[1]') "
)
"""The same of some enclosures only, each from its own day on."""


def handed_down(ref: Ref, called: str, u: float | None, inputs: Inputs) -> list[Variable]:
    """Give the errors of its own that a pH has which was handed down without a calibration.

    Parameters
    ----------
    ref : Ref
        The reading.
    called : str
        What a budget calls it.
    u : float or None
        Its stated standard uncertainty. [pH]
    inputs : Inputs
        Where they are kept.

    Returns
    -------
    list of Variable
        The uncertainty stated for it, or else resolution and repeatability of a usual display.
    """
    key = ref.key("reading")
    if u is None:
        return reading_errors(key, Meter("pH"), called, inputs)
    return [inputs.variable(u, Source(f"{key}:stated", f"stated uncertainty, {called}"))] if u else []


def unrecorded_calibration(entry: str, u: float | None, inputs: Inputs) -> list[Variable]:
    """Give the error that all pH values share which were handed down together.

    Parameters
    ----------
    entry : str
        Uid of their entry.
    u : float or None
        The stated standard uncertainty of the one in question. [pH]
    inputs : Inputs
        Where it is kept.

    Returns
    -------
    list of Variable
        Empty where an uncertainty was stated, which includes it.
    """
    if u is not None:
        return []
    value, known, ground = (
        UNRECORDED_CALIBRATION.value,
        UNRECORDED_CALIBRATION.known,
        UNRECORDED_CALIBRATION.ground,
    )
    source = Source(f"entry:{entry}:calibration", "calibration, not on record", known=known, ground=ground)
    return [inputs.variable(value, source)]


def handed_down_ph(ph: float, u: float | None, ref: Ref, called: str, inputs: Inputs) -> UFloat:
    """Give a pH that was handed down, as the record will give it.

    Parameters
    ----------
    ph : float
        As it was told. [pH]
    u : float or None
        Its stated standard uncertainty. [pH]
    ref : Ref
        Of its reading.
    called : str
        What a budget calls it.
    inputs : Inputs
        Where its errors are kept.

    Returns
    -------
    UFloat
        Correlated with what was handed down together with it. [pH]

    Examples
    --------
    >>> ref = Ref("00112233445566778899", 1)
    >>> print(handed_down_ph(5.9, None, ref, "reading on 2024-05-04", Inputs()))
    5.90+/-0.05
    """
    errors = handed_down(ref, called, u, inputs) + unrecorded_calibration(ref.uid, u, inputs)
    return linear(ph, dict.fromkeys(errors, 1.0))


class Uids:
    """The uids of entries, fetched when the first one is asked for.

    Parameters
    ----------
    book : Store
    """

    def __init__(self, book: Store) -> None:
        self._book = book
        self._known: dict[int, str] = {}

    def of(self, entry: int) -> str:
        """Give an entry's uid."""
        if entry not in self._known:
            # Whoever asks for one asks for its neighbours next.
            first = entry - entry % NEIGHBOURS
            rows = self._book.rows(
                "SELECT id, uid FROM entry WHERE id BETWEEN ? AND ?", (first, first + NEIGHBOURS - 1)
            )
            self._known.update(rows)
        return self._known[entry]


NEIGHBOURS = 256
"""Entries whose uids are fetched at once."""


@dataclass(frozen=True, eq=False)
class Readings:
    """Many readings of one logbook, in the order of time."""

    rows: tuple[KeptReading, ...]
    batch: Batch
    """Their pH. [pH]"""
    meters: tuple[Meter | None, ...]
    """The meter of each; None where only a pH was handed down."""
    ready: dict[int, UFloat]
    """Those that took the whole road."""
    inputs: Inputs
    uids: Uids
    doubts: Mapping[Place, Remark]
    """Of the calibrations that are in doubt, what is said of readings under them."""
    disputed: Mapping[Place, Remark]
    """Of the readings that a check bottle among the jars puts in doubt, what is said of each."""
    out: tuple[KeptReading, ...] = ()
    """Those that were left out, since others of their enclosure and day are not in doubt."""

    def doubt(self, i: int) -> Remark | None:
        """Say what puts a reading in doubt: the calibration that it was made under, or a check bottle."""
        place = self.rows[i].calibration
        under = None if place is None else self.doubts.get(place)
        return under or self.disputed.get(self.rows[i].place)

    @property
    def doubted(self) -> bool:
        """Whether any of them is in doubt."""
        return bool(self.doubts or self.disputed)

    def left_out(self, i: int) -> int:
        """Count the jars that were left out since this reading, and others, are not in doubt."""
        return len({row.slurry for row in self.out if row.bench_day == self.rows[i].bench_day})

    def __len__(self) -> int:
        return len(self.rows)

    def ref(self, i: int) -> Ref:
        """Give what every logbook calls a reading."""
        return Ref(self.uids.of(self.rows[i].entry), self.rows[i].n)

    def key(self, i: int) -> str:
        """Give the key under which a reading's errors are found again."""
        return self.ref(i).key("reading")

    @cached_property
    def u(self) -> Floats:
        """Standard uncertainty of each, from all that is known of it, scatter of slurries left out [pH]."""
        row, col, weight = self.batch.loadings
        u = np.array([each.std_dev for each in self.batch.inputs])
        shared = np.bincount(row, (weight * u[col]) ** 2, len(self.rows)) if len(row) else 0.0
        return np.sqrt(self.batch.own_u**2 + shared)

    @cached_property
    def _bounds(self) -> Indices:
        return np.searchsorted(self.batch.loadings.row, np.arange(len(self.rows) + 1))

    def number(self, i: int) -> UFloat:
        """Give one reading's pH, with the same inputs whenever it is asked for.

        Parameters
        ----------
        i : int
            Which, from 0.

        Returns
        -------
        UFloat
            Correlated with everything that shares a bottle, meter or point with it. [pH]
        """
        if i in self.ready:
            return self.ready[i]
        first, last = self._bounds[i], self._bounds[i + 1]
        col, weight = self.batch.loadings.col[first:last], self.batch.loadings.weight[first:last]
        parts = {self.batch.inputs[j]: w for j, w in zip(col.tolist(), weight.tolist(), strict=True)}
        row, meter = self.rows[i], self.meters[i]
        if meter is None:
            errors, factor = handed_down(self.ref(i), row.called, row.u, self.inputs), 1.0
        else:
            errors = reading_errors(self.key(i), meter, row.called, self.inputs)
            size = float(self.batch.own_u[i]) / hypot(*(error.std_dev for error in errors))
            factor = -size if meter.shows == "mV" else size
        return linear(float(self.batch.values[i]), parts | dict.fromkeys(errors, factor))
