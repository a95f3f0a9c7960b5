"""The only meter and the only probe: what a recorded step means where it names none."""

from __future__ import annotations

from msgspec.structs import replace

from slurrycalc.day.bench.worksheet import Day
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.logbook.settings import ThingKind
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal


def sole(keeper: Keeper, kind: ThingKind) -> str | None:
    """Give the name of the only thing of a kind that is in use on the day of a step.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    kind : str
        What is meant.

    Returns
    -------
    str or None
        None where there is none or more than one, and where the step is not recorded.
    """
    live = keeper.recall.things.of(kind, keeper.day) if keeper.kept else ()
    return live[0].name if len(live) == 1 else None


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
        With its own meter, or the only one that was calibrated on that day, or the only one in use. Buffers
        that were read in the other quantity than the only meter shows belong to one without a name.

    Raises
    ------
    Refusal
        If there are no buffers, and several meters were calibrated on that day.
    """
    if day.meter.name is not None or not keeper.kept:
        return day
    name = sole(keeper, "meter")
    if not day.points:
        name = _calibrated(keeper) or name
    elif name is not None:
        on_record = keeper.recall.things.find("meter", name).get("shows")
        name = name if on_record in (None, day.meter.shows or "pH") else None
    return day if name is None else replace(day, meter=replace(day.meter, name=name))


def _calibrated(keeper: Keeper) -> str | None:
    """Give the only meter that was calibrated on the day of a step."""
    rows = keeper.recall.book.rows(
        "SELECT c.meter, c.entry, c.n FROM calibration c JOIN entry e ON e.id = c.entry "
        "WHERE c.meter IS NOT NULL AND e.day = ?",
        (keeper.day.isoformat(),),
    )
    kept = keeper.recall.kept((entry, n) for _, entry, n in rows)
    things = keeper.recall.things
    names = tuple(dict.fromkeys(things.by_id[meter].name for meter, *place in rows if tuple(place) in kept))
    if len(names) > 1:
        listed = ", ".join(map(quoted, names))
        raise Refusal(f"several meters were calibrated on {keeper.day}: {listed}; name one of them.")
    return names[0] if names else None
