"""One enclosure's slurries, read under a calibration: its pH and where it stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from slurrycalc.day.again import ReadAgain
from slurrycalc.day.limits import Limits, chosen_limits
from slurrycalc.day.shares import Shares
from slurrycalc.deciding.doubt import in_doubt
from slurrycalc.deciding.judgement import Judgement, judge
from slurrycalc.deciding.steady import SteadyDay
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.electrode.indication import shown
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.slurry import SlurryResult, slurry_ph
from slurrycalc.measuring.slurry.counted import counted
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark

if TYPE_CHECKING:
    from slurrycalc.day.keeping.keeper import Keeper
    from slurrycalc.logbook.refs import Ref


@dataclass(frozen=True)
class EnclosureRead:
    """One enclosure's pH, and where it stands."""

    slurry: SlurryResult
    standing: Judgement | None
    """None for a steady jar and for a tub of fresh mix, which have no range and no floor."""
    enclosure: str | None
    earlier: int
    """Jars of that day that were on record already, and count as well."""
    shares: Shares | None
    """How much of its scatter rests on what, where the record was asked."""
    steady: SteadyDay | None = None
    """What it says of the bench, where it is a steady jar."""
    again: ReadAgain | None = None
    """By when it is to be read again; None without limits, off the record, or where that is never asked."""

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """What it says of itself."""
        said = [each.remarks for each in (self.standing, self.steady) if each is not None]
        return (*(remark for each in said for remark in each), *self.slurry.remarks)

    @property
    def settled(self) -> bool:
        """Whether there is nothing to do."""
        return (self.standing is None or self.standing.settled) and not in_doubt(self.remarks)


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
        If a reading cannot stand, no enclosure is called so, or one without limits is held against some.

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
    from slurrycalc.day.keeping.doubted import say_doubted, say_not_counted  # noqa: PLC0415
    from slurrycalc.day.keeping.shown import (  # noqa: PLC0415  only a recorded step needs them
        keep_fresh,
        keep_ph,
        keep_steady,
    )
    from slurrycalc.day.keeping.slurries import (  # noqa: PLC0415
        expectation_of,
        jars_of_day,
        limits_of,
        read_jar,
        shares,
    )
    from slurrycalc.day.planning.bench_state import BenchState, is_steady  # noqa: PLC0415
    from slurrycalc.day.planning.reading_again import read_again  # noqa: PLC0415

    if spots is not None and len(spots) != len(readings):
        raise Refusal(f"{len(spots)} marks of spots and {len(readings)} readings: give one mark a reading.")
    thing = None if enclosure is None else keeper.thing("enclosure", enclosure)
    fresh = thing is not None and bool(thing.get("fresh"))
    if asked != (None, None) and (fresh or is_steady(thing)):
        what = "a tub of fresh mix, which" if fresh else "the steady jar, which shows how the bench is and"
        raise Refusal(f"{quoted(enclosure)} is {what} has no range or floor: leave --target and --floor out.")
    # Read again after an alarm, under fresh buffers, a steady jar must be seen to agree or not.
    earlier = jars_of_day(keeper, thing, under if is_steady(thing) else None)
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
    every = [*((jar.ph, jar.spot) for jar in earlier), *zip((one.ph for one in read), marks, strict=True)]
    places, told = counted([*(jar.doubt for jar in earlier), *(calibration.doubt for _ in read)])
    news = places[-1] >= len(earlier)
    slurry = slurry_ph(
        calibration if news else None,
        [every[place][0] for place in places],
        spots=[every[place][1] for place in places],
        expected=known.scatter if expected is DEFAULT else expected,
    )
    said = [remark for one in read for remark in one.remarks] if news else []
    slurry = replace(slurry, remarks=tuple(dict.fromkeys((*told, *slurry.remarks, *said))))
    name = None if thing is None else thing.name
    rests = shares(slurry, known) if expected is DEFAULT else None
    bench = BenchState(keeper.recall)
    if thing is not None and is_steady(thing):
        day = bench.on(keeper.day, {thing.uid: slurry})[thing.uid]
        say_doubted(keeper, [day])
        say_not_counted(keeper, thing, under)
        keep_steady(keeper, thing.name, slurry.ph, day, slurries=slurry.n, p=p)
        return EnclosureRead(slurry, None, name, len(earlier), rests, day)
    slurry = replace(slurry, remarks=(*bench.remarks(keeper.day), *slurry.remarks))
    if thing is not None and fresh:
        keep_fresh(keeper, thing.name, slurry.ph, slurries=slurry.n, p=p)
        return EnclosureRead(slurry, None, name, len(earlier), rests)
    standing = judge(slurry, *chosen_limits(asked, limits_of(thing)), p, on_record=thing is not None)
    keep_ph(keeper, name, slurry.ph, standing, slurries=slurry.n)
    again = None
    if thing is not None:
        again = read_again(keeper.recall, keeper.day, {"it": (thing, slurry)}, {"it": asked}).get("it")
    return EnclosureRead(slurry, standing, name, len(earlier), rests, again=again)
