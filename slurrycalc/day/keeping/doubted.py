"""Which results of a day an alarm of the steady jar puts in doubt that are on record already."""

from __future__ import annotations

from collections.abc import Iterable

from slurrycalc.day.keeping.keeper import Keeper
from slurrycalc.day.keeping.slurries import jars_of_day
from slurrycalc.day.planning.bench_state import is_steady
from slurrycalc.deciding.steady import SteadyDay
from slurrycalc.logbook.refs import Ref
from slurrycalc.logbook.things import Thing


def say_doubted(keeper: Keeper, said: Iterable[SteadyDay], read: Iterable[str] = ()) -> None:
    """Name the enclosures that were read before their bench was found to be off.

    Parameters
    ----------
    keeper : Keeper
        Of the step that reads the steady jar.
    said : iterable of SteadyDay
        What the steady jars say of its day.
    read : iterable of str
        Enclosures that this step reads, whose results say so themselves.
    """
    if not any(each.state == "alarm" for each in said):
        return
    rows = keeper.recall.readings(since=keeper.day, until=keeper.day).rows
    things = (keeper.recall.things.by_id.get(row.enclosure or 0) for row in rows)
    names = dict.fromkeys(each.name for each in things if each is not None and not is_steady(each))
    before = [name for name in names if name not in set(read)]
    if before:
        named = ", ".join(before)
        keeper.say("read-before-the-alarm", f"Read earlier that day, and in doubt as well: {named}.")


def say_not_counted(keeper: Keeper, jar: Thing, under: Ref) -> None:
    """Say what becomes of a steady jar's slurries of the same day that were read under another calibration.

    Parameters
    ----------
    keeper : Keeper
        Of the step that reads the steady jar.
    jar : Thing
        The steady jar.
    under : Ref
        The calibration that it is read under now.
    """
    if len(jars_of_day(keeper, jar)) > len(jars_of_day(keeper, jar, under)):
        keeper.say(
            "under-another-calibration",
            f"What {jar.name} read earlier that day, under another calibration, does not count here. If that "
            "calibration was off, strike it out with slurrycalc undo and its number in slurrycalc history: "
            "what was read under it falls with it, and its doubt.",
        )
