"""One enclosure's slurries, read under a calibration: its pH and where it stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from slurrycalc.day.limits import Limits, chosen_limits
from slurrycalc.day.shares import Shares
from slurrycalc.deciding.judgement import Judgement, judge
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.electrode.indication import shown
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.slurry import SlurryResult, slurry_ph
from slurrycalc.metrology.remark import Refusal

if TYPE_CHECKING:
    from slurrycalc.day.keeping.keeper import Keeper
    from slurrycalc.logbook.refs import Ref


@dataclass(frozen=True)
class EnclosureRead:
    """One enclosure's pH, and where it stands."""

    slurry: SlurryResult
    standing: Judgement
    enclosure: str | None
    earlier: int
    """Jars of that day that were on record already, and count as well."""
    shares: Shares | None
    """How much of its scatter rests on what, where the record was asked."""


def read_enclosure(
    calibration: Calibration,
    readings: Sequence[tuple[str, str | None]],
    spots: Sequence[str | None] | None = None,
    *,
    asked: Limits = (None, None),
    expected: Expected = DEFAULT,
    p: float = 0.95,
    keeper: Keeper | None = None,
    under: Ref | None = None,
    enclosure: str | None = None,
) -> EnclosureRead:
    """Turn meter readings of one enclosure's slurries into its pH, and judge it.

    Parameters
    ----------
    calibration : Calibration
        Read under.
    readings : sequence of (reading, temperature)
        One a jar, as typed. [mV or pH, as the meter shows; degC]
    spots : sequence of str or None, optional
        A mark for each; slurries of the same spots count as one.
    asked : Limits
        Target and floor that were asked for. [pH]
    expected : Scatter, DEFAULT or None
        What is known of the scatter; by default what the record knows, and else what is usual. [pH]
    p : float
        Coverage probability. [1]
    keeper : Keeper, optional
        Where the step is recorded.
    under : Ref, optional
        What the record calls the calibration.
    enclosure : str, optional
        Its name on record.

    Returns
    -------
    EnclosureRead
        With everything of that day that is on record.

    Raises
    ------
    Refusal
        If a reading cannot stand, or no enclosure is called so.

    Examples
    --------
    >>> from slurrycalc.measuring.electrode import Meter, calibrate
    >>> cal = calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)], Meter("mV"))
    >>> print(f"{read_enclosure(cal, [('84.3 mV', '21 C'), ('85.1 mV', '21 C')]).slurry.ph.n:.2f}")
    5.59
    """
    if keeper is None or under is None:
        slurry = slurry_ph(calibration, readings, spots=spots, expected=expected)
        return EnclosureRead(slurry, judge(slurry, *chosen_limits(asked), p), None, 0, None)
    from slurrycalc.day.keeping.shown import keep_ph  # noqa: PLC0415  only a recorded step needs them
    from slurrycalc.day.keeping.slurries import (  # noqa: PLC0415
        expectation_of,
        jars_of_day,
        limits_of,
        read_jar,
        shares,
    )

    if spots is not None and len(spots) != len(readings):
        raise Refusal(f"{len(spots)} marks of spots and {len(readings)} readings: give one mark a reading.")
    thing = None if enclosure is None else keeper.thing("enclosure", enclosure)
    earlier = jars_of_day(keeper, thing)
    marks = [None] * len(readings) if spots is None else list(spots)
    read = [
        read_jar(
            keeper,
            calibration,
            under,
            shown(reading, calibration.meter),
            None if temperature is None else bench_temperature(temperature),
            enclosure=thing,
            spot=spot,
        ).read
        for (reading, temperature), spot in zip(readings, marks, strict=True)
    ]
    known = expectation_of(keeper, thing)
    slurry = slurry_ph(
        calibration,
        [*(jar.ph for jar in earlier), *(one.ph for one in read)],
        spots=[*(jar.spot for jar in earlier), *marks],
        expected=known.scatter if expected is DEFAULT else expected,
    )
    said = dict.fromkeys(remark for one in read for remark in one.remarks)
    slurry = replace(slurry, remarks=(*slurry.remarks, *said))
    standing = judge(slurry, *chosen_limits(asked, limits_of(thing)), p)
    keep_ph(keeper, enclosure if thing is None else thing.name, slurry.ph, standing, slurries=slurry.n)
    return EnclosureRead(
        slurry,
        standing,
        None if thing is None else thing.name,
        len(earlier),
        shares(slurry, known) if expected is DEFAULT else None,
    )
