"""From kept readings to their pH: the usual ones all at once, the others one by one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import hypot, nan

import numpy as np
from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.logbook.calibrations import KeptCalibration, Place, indications
from slurrycalc.logbook.readings import KeptReading, Readings, handed_down, unrecorded_calibration
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.electrode.coefficients import Coefficients, read_many
from slurrycalc.metrology.batch import NO_LOADINGS, Batch, Indices, Loadings
from slurrycalc.metrology.uncertain import Inputs, source_of


class Shelf:
    """Calibrations that were computed already.

    Parameters
    ----------
    kept : mapping
        Place to calibration, as on record.
    inputs : Inputs
        Where their errors are kept.
    """

    def __init__(self, kept: Mapping[Place, KeptCalibration], inputs: Inputs) -> None:
        self.kept = kept
        self.inputs = inputs
        self._whole: dict[Place, Calibration] = {}
        self._plain: dict[Place, Coefficients | None] = {}

    def whole(self, place: Place) -> Calibration:
        """Give a calibration with everything that can be said of it."""
        if place not in self._whole:
            self._whole[place] = self.kept[place].whole(self.inputs)
        return self._whole[place]

    def plain(self, place: Place) -> Coefficients | None:
        """Give a calibration as plain numbers, None where something about it is unusual."""
        if place not in self._plain:
            self._plain[place] = self.kept[place].plain(self.inputs)
        return self._plain[place]


def computed(rows: Sequence[KeptReading], shelf: Shelf) -> Readings:
    """Compute the pH of readings.

    Parameters
    ----------
    rows : sequence of KeptReading
        In the order in which they are wanted.
    shelf : Shelf
        With the calibrations that they were read under.

    Returns
    -------
    Readings
        With their pH.

    Raises
    ------
    Refusal
        If a calibration's points cannot stand.
    """
    usual, order, plain = _sorted_out(rows, shelf)
    columns: dict[Variable, int] = {}
    values, own_u = np.empty(len(rows)), np.empty(len(rows))
    loadings = NO_LOADINGS
    if len(usual):
        batch = read_many(
            plain,
            np.array(order, np.intp),
            np.array([rows[i].shows for i in usual]),
            np.array(
                [nan if rows[i].temperature is None else rows[i].temperature for i in usual], np.float64
            ),
        )
        values[usual], own_u[usual] = batch.values, batch.own_u
        columns = {variable: j for j, variable in enumerate(batch.inputs)}
        loadings = batch.loadings._replace(row=usual[batch.loadings.row])
    others = np.setdiff1d(np.arange(len(rows)), usual).tolist()
    more: list[tuple[int, int, float]] = []
    ready: dict[int, UFloat] = {}
    for i in others:
        if rows[i].calibration is None:
            values[i], own_u[i], shared = _handed_down(rows[i], shelf.inputs)
        else:
            ready[i] = _by_itself(rows[i], shelf)
            values[i], own_u[i], shared = _taken_apart(ready[i], rows[i].key)
        more += [
            (i, columns.setdefault(variable, len(columns)), weight) for variable, weight in shared.items()
        ]
    meters = tuple(None if row.calibration is None else shelf.kept[row.calibration].meter for row in rows)
    batch = Batch(values, own_u, _joined(loadings, more), tuple(columns))
    return Readings(tuple(rows), batch, meters, ready, shelf.inputs)


def _sorted_out(rows: Sequence[KeptReading], shelf: Shelf) -> tuple[Indices, list[int], list[Coefficients]]:
    """Find the usual readings, and the calibration of each among those that are needed."""
    numbers: dict[Place, int] = {}
    plain: list[Coefficients] = []
    usual, order = [], []
    for i, row in enumerate(rows):
        place = row.calibration
        if place is None or row.again is not None:
            continue
        if place not in numbers:
            found = shelf.plain(place)
            if found is None:
                continue
            numbers[place] = len(plain)
            plain.append(found)
        usual.append(i)
        order.append(numbers[place])
    return np.array(usual, np.intp), order, plain


def _handed_down(row: KeptReading, inputs: Inputs) -> tuple[float, float, dict[Variable, float]]:
    """Give a pH that came without a calibration, its own u, and what it shares."""
    own = hypot(*(error.std_dev for error in handed_down(row, inputs)))
    together = unrecorded_calibration(row, inputs)
    return row.shows, own, {} if together is None else {together: 1.0}


def _by_itself(row: KeptReading, shelf: Shelf) -> UFloat:
    """Compute a reading that is repeated, or stands under an unusual calibration."""
    assert row.calibration is not None
    shows = indications(row.shows, row.again)
    return shelf.whole(row.calibration).ph(shows, row.temperature, key=row.key, called=row.called)


def _taken_apart(number: UFloat, key: str) -> tuple[float, float, dict[Variable, float]]:
    """Give a reading's pH, its own u, and its sensitivity to what it shares."""
    mine, shared = [], {}
    for variable, sensitivity in number.derivatives.items():
        if source_of(variable).key.startswith(f"{key}:"):
            mine.append(sensitivity * variable.std_dev)
        else:
            shared[variable] = sensitivity
    return number.n, hypot(*mine), shared


def _joined(loadings: Loadings, more: Sequence[tuple[int, int, float]]) -> Loadings:
    """Add loadings, and bring all into the order of their rows."""
    if not more:
        return loadings
    row, col, weight = zip(*more, strict=True)
    rows = np.concatenate((loadings.row, np.array(row, np.intp)))
    by_row = np.argsort(rows, kind="stable")
    return Loadings(
        rows[by_row],
        np.concatenate((loadings.col, np.array(col, np.intp)))[by_row],
        np.concatenate((loadings.weight, np.array(weight)))[by_row],
    )
