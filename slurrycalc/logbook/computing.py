"""From kept readings to their pH: the usual ones all at once, the others one by one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import hypot
from typing import Any

import numpy as np
from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.logbook.calibrations import KeptCalibration, Place, indications
from slurrycalc.logbook.checked import Checked, checked, deciding
from slurrycalc.logbook.readings import KeptReading, Readings, Uids, handed_down, unrecorded_calibration
from slurrycalc.logbook.refs import Ref
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.electrode.coefficients import Coefficients, read_many
from slurrycalc.measuring.electrode.verdict import trusted
from slurrycalc.metrology.batch import NO_LOADINGS, Batch, Indices, Loadings
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.uncertain import Inputs, source_of


class Shelf:
    """Calibrations that were computed already.

    Parameters
    ----------
    kept : mapping
        Place to calibration, as on record.
    uids : Uids
        Of entries.
    inputs : Inputs
        Where their errors are kept.
    """

    def __init__(self, kept: Mapping[Place, KeptCalibration], uids: Uids, inputs: Inputs) -> None:
        self.kept = kept
        self.uids = uids
        self.inputs = inputs
        self._whole: dict[Place, Calibration] = {}
        self._plain: dict[Place, Coefficients | None] = {}
        self._checked: dict[Place, dict[int, list[Checked]]] = {}

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

    def doubt(self, place: Place) -> Remark | None:
        """Say what puts a calibration in doubt, by the plain numbers where those tell that nothing does."""
        plain = self.plain(place)
        if plain is not None and trusted(100.0 * plain.slope):
            return None
        return self.whole(place).doubt

    def doubts(self, places: Iterable[Place]) -> dict[Place, Remark]:
        """Give those of some calibrations that are in doubt, with what is to be said of it."""
        found = {place: self.doubt(place) for place in places}
        return {place: doubt for place, doubt in found.items() if doubt is not None}

    def checked(self, place: Place) -> dict[int, list[Checked]]:
        """Give the check bottles that were read among jars under a calibration, by number of the entry."""
        if place not in self._checked:
            self._checked[place] = checked(self.kept[place], self.inputs)
        return self._checked[place]

    def disputed(self, rows: Iterable[KeptReading], places: Iterable[Place]) -> dict[Place, Remark]:
        """Give those of some readings that a check bottle puts in doubt, with what is to be said of it.

        The places are those of their calibrations.
        """
        checks = {place: found for place in places if (found := self.checked(place))}
        disputed: dict[Place, Remark] = {}
        for row in rows if checks else ():
            check = deciding(checks.get(row.calibration or (0, 0), {}).get(row.entry, ()), row.n)
            doubt = None if check is None else check.doubt(row.label, row.n)
            if doubt is not None:
                disputed[row.place] = doubt
        return disputed


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
    places: list[tuple[Any, Any]] = [row[8:10] for row in rows]
    order, plain = _sorted_out(rows, places, shelf)
    usual = np.flatnonzero(order >= 0)
    columns: dict[Variable, int] = {}
    values, own_u = np.empty(len(rows)), np.empty(len(rows))
    loadings = NO_LOADINGS
    if len(usual):
        shows, temperatures = (
            np.array([row[at] for row in rows], np.float64)[usual] for at in (_SHOWS, _TEMPERATURE)
        )
        batch = read_many(plain, order[usual], shows, temperatures)
        values[usual], own_u[usual] = batch.values, batch.own_u
        columns = {variable: j for j, variable in enumerate(batch.inputs)}
        loadings = batch.loadings._replace(row=usual[batch.loadings.row])
    more: list[tuple[int, int, float]] = []
    ready: dict[int, UFloat] = {}
    for i in np.flatnonzero(order < 0).tolist():
        if rows[i].calibration is None:
            values[i], own_u[i], shared = _handed_down(rows[i], shelf)
        else:
            ready[i] = _by_itself(rows[i], shelf)
            values[i], own_u[i], shared = _taken_apart(ready[i], _ref(rows[i], shelf).key("reading"))
        more += [
            (i, columns.setdefault(variable, len(columns)), weight) for variable, weight in shared.items()
        ]
    meters = {place: shelf.kept[place].meter for place in set(places) if place[0] is not None}
    batch = Batch(values, own_u, _joined(loadings, more), tuple(columns))
    return Readings(
        tuple(rows),
        batch,
        tuple(meters.get(place) for place in places),
        ready,
        shelf.inputs,
        shelf.uids,
        shelf.doubts(meters),
        shelf.disputed(rows, meters),
    )


_SHOWS, _TEMPERATURE, _AGAIN = (KeptReading._fields.index(name) for name in ("shows", "temperature", "again"))


def _sorted_out(
    rows: Sequence[KeptReading], places: Sequence[tuple[Any, Any]], shelf: Shelf
) -> tuple[Indices, list[Coefficients]]:
    """Give the calibrations that can be had as plain numbers, and which of them each reading stands under.

    A reading that is repeated, unusual or without a calibration gets -1.
    """
    numbers: dict[tuple[Any, Any], int] = {}
    plain: list[Coefficients] = []
    for place in dict.fromkeys(places):
        found = None if place[0] is None else shelf.plain(place)
        numbers[place] = -1 if found is None else len(plain)
        if found is not None:
            plain.append(found)
    order = np.array([numbers[place] for place in places], np.intp)
    order[[i for i, row in enumerate(rows) if row[_AGAIN] is not None]] = -1
    return order, plain


def _ref(row: KeptReading, shelf: Shelf) -> Ref:
    return Ref(shelf.uids.of(row.entry), row.n)


def _handed_down(row: KeptReading, shelf: Shelf) -> tuple[float, float, dict[Variable, float]]:
    """Give a pH that came without a calibration, its own u, and what it shares."""
    ref = _ref(row, shelf)
    own = hypot(*(error.std_dev for error in handed_down(ref, row.called, row.u, shelf.inputs)))
    return row.shows, own, dict.fromkeys(unrecorded_calibration(ref.uid, row.u, shelf.inputs), 1.0)


def _by_itself(row: KeptReading, shelf: Shelf) -> UFloat:
    """Compute a reading that is repeated, or stands under an unusual calibration."""
    assert row.calibration is not None
    shows = indications(row.shows, row.again)
    key = _ref(row, shelf).key("reading")
    return shelf.whole(row.calibration).ph(shows, row.temperature, key=key, called=row.called)


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
