"""The keeper's own meter and probe, or the only ones: what a recorded step means where it names none."""

from __future__ import annotations

from msgspec.structs import replace

from slurrycalc.day.bench.worksheet import Day
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.logbook.own import only, own
from slurrycalc.logbook.settings import ThingKind
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal


def sole(keeper: Keeper, kind: ThingKind) -> str | None:
    """Give the name of the keeper's own thing of a kind, or of the only one in use on the day of a step.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    kind : str
        What is meant.

    Returns
    -------
    str or None
        None where there is none, or more than one and none of them the keeper's own, and where the step is
        not recorded.
    """
    if not keeper.kept:
        return None
    things = keeper.recall.things
    mine = own(things, kind, keeper.day)
    if mine is not None:
        keeper.from_kit[kind] = mine.name
    thing = mine or only(things, kind, keeper.day)
    return None if thing is None else thing.name


def with_meter(day: Day, keeper: Keeper) -> Day:
    """Give a day the meter that it means where it names none.

    Parameters
    ----------
    day : Day
        What a line says.
    keeper : Keeper
        Of the step.

    Returns
    -------
    Day
        With its own meter; or the only one that was calibrated on that day, else the keeper's own, or the
        only one in use. Buffers that were read in the other quantity than that meter shows belong to one
        without a name.

    Raises
    ------
    Refusal
        If there are no buffers, and several meters were calibrated that day, none of them the keeper's own.
    """
    if day.meter.name is not None or not keeper.kept:
        return day
    name = sole(keeper, "meter")
    if not day.points:
        there = _calibrated(keeper)
        if len(there) > 1 and name not in there:
            listed = ", ".join(map(quoted, there))
            raise Refusal(f"several meters were calibrated on {keeper.day}: {listed}; name one of them.")
        name = there[0] if len(there) == 1 else name
    elif name is not None:
        on_record = keeper.recall.things.find("meter", name).get("shows")
        name = name if on_record in (None, day.meter.shows or "pH") else None
    if name != keeper.from_kit.get("meter"):
        keeper.from_kit.pop("meter", None)
    return day if name is None else replace(day, meter=replace(day.meter, name=name))


def _calibrated(keeper: Keeper) -> tuple[str, ...]:
    """Give the names of the meters that were calibrated on the day of a step."""
    rows = keeper.recall.book.rows(
        "SELECT c.meter, c.entry, c.n FROM calibration c JOIN entry e ON e.id = c.entry "
        "WHERE c.meter IS NOT NULL AND e.day = ?",
        (keeper.day.isoformat(),),
    )
    kept = keeper.recall.kept((entry, n) for _, entry, n in rows)
    things = keeper.recall.things
    return tuple(dict.fromkeys(things.by_id[meter].name for meter, *place in rows if tuple(place) in kept))
