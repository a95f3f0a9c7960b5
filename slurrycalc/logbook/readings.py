"""Readings as they are on record, and the pH that they mean."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import hypot
from typing import NamedTuple

import numpy as np
from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.data.assumed import UNRECORDED_CALIBRATION
from slurrycalc.logbook.calibrations import Place
from slurrycalc.logbook.refs import Ref, When
from slurrycalc.logbook.store import Row
from slurrycalc.measuring.electrode.indication import reading_errors
from slurrycalc.measuring.electrode.meter import Meter
from slurrycalc.metrology.batch import Batch, Floats, Indices
from slurrycalc.metrology.uncertain import Inputs, Source, linear


class KeptReading(NamedTuple):
    """The meter in a jar, as it is on record."""

    entry: int
    n: int
    uid: str
    at: str
    utc_offset: int
    day_only: int
    day: str
    slurry: Place
    enclosure: int | None
    """Number of the thing."""
    label: str | None
    spot: str | None
    ratio: float | None
    basis: str
    solution: str
    calibration: Place | None
    shows: float
    again: str | None
    temperature: float | None
    u: float | None
    note: str | None

    @property
    def ref(self) -> Ref:
        """What every logbook calls it."""
        return Ref(self.uid, self.n)

    @property
    def key(self) -> str:
        """Under which its errors are found again."""
        return self.ref.key("reading")

    @property
    def when(self) -> When:
        """When it was read."""
        return When.read(self.at, self.utc_offset, bool(self.day_only))

    @property
    def called(self) -> str:
        """What a budget calls it."""
        return f"jar {self.label} on {self.day}" if self.label else f"reading on {self.day}"


def handed_down(row: KeptReading, inputs: Inputs) -> list[Variable]:
    """Give the errors of its own that a pH has which was handed down without a calibration.

    Parameters
    ----------
    row : KeptReading
        The reading.
    inputs : Inputs
        Where they are kept.

    Returns
    -------
    list of Variable
        The uncertainty stated for it, or else resolution and repeatability of a usual display.
    """
    if row.u is not None:
        source = Source(f"{row.key}:stated", f"stated uncertainty, {row.called}")
        return [inputs.variable(row.u, source)] if row.u else []
    return reading_errors(row.key, Meter("pH"), row.called, inputs)


def unrecorded_calibration(row: KeptReading, inputs: Inputs) -> Variable | None:
    """Give the error that all pH values share which were handed down together.

    Parameters
    ----------
    row : KeptReading
        One of them.
    inputs : Inputs
        Where it is kept.

    Returns
    -------
    Variable or None
        None where an uncertainty was stated, which includes it.
    """
    if row.u is not None:
        return None
    u, known, ground = (
        UNRECORDED_CALIBRATION.value,
        UNRECORDED_CALIBRATION.known,
        UNRECORDED_CALIBRATION.ground,
    )
    source = Source(f"entry:{row.uid}:calibration", "calibration, not on record", known=known, ground=ground)
    return inputs.variable(u, source)


SELECT = (
    "SELECT r.entry, r.n, e.uid, e.at, e.utc_offset, e.day_only, e.day, r.slurry_entry, r.slurry_n, "
    "s.enclosure, s.label, s.spot, s.ratio, s.basis, s.solution, r.calibration_entry, r.calibration_n, "
    "r.shows, r.again, "
    "r.temperature, r.u, r.note "
    "FROM slurry s JOIN reading r ON r.slurry_entry = s.entry AND r.slurry_n = s.n JOIN entry e ON e.id = "
    "r.entry"
)


def kept_reading(row: Row) -> KeptReading:
    """Make a reading of a row that `SELECT` gave."""
    calibration = None if row[15] is None else (row[15], row[16])
    return KeptReading._make((*row[:7], (row[7], row[8]), *row[9:15], calibration, *row[17:]))


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

    def __len__(self) -> int:
        return len(self.rows)

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
            errors, factor = handed_down(row, self.inputs), 1.0
        else:
            errors = reading_errors(row.key, meter, row.called, self.inputs)
            size = float(self.batch.own_u[i]) / hypot(*(error.std_dev for error in errors))
            factor = -size if meter.shows == "mV" else size
        return linear(float(self.batch.values[i]), parts | dict.fromkeys(errors, factor))
