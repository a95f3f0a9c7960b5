"""How a meter's electrode ages, by the calibrations on record."""

from __future__ import annotations

import datetime
import shlex
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from slurrycalc.data.assumed import (
    EFFICIENCY_GOOD_LOW,
    ELECTRODE_CALIBRATIONS,
    ELECTRODE_DAYS,
    ELECTRODE_ENDS,
)
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.deciding.days import DAYS_PER_MONTH, spoken
from slurrycalc.deciding.electrode_life import ElectrodeLife, electrode_life
from slurrycalc.logbook.calibrations import KeptCalibration
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import Id
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.metrology.annotate import Percent
from slurrycalc.metrology.remark import Refusal, Remark

MOST = round(ELECTRODE_CALIBRATIONS.value)
"""Newest calibrations that the line rests on."""
TOLD = 12
"""Newest calibrations that are told one by one."""


@dataclass(frozen=True)
class Calibrated:
    """One calibration of a meter."""

    id: str
    """Of its entry; `today` for one that this step makes."""
    day: datetime.date
    efficiency: Percent
    offset: float
    """[`unit`]"""
    unit: str
    """Of the offset: what the meter shows."""


@dataclass(frozen=True)
class MeterLife:
    """What the calibrations of one meter say of its electrode."""

    newest: tuple[Calibrated, ...]
    """Twelve at most, the oldest first."""
    calibrations: int
    """On which the line rests, thirty-six at most."""
    earlier: int
    """Older ones of this electrode, which it does not rest on."""
    since: datetime.date | None
    """The day on which the electrode was put in, where it is said."""
    life: ElectrodeLife | None
    """None where there is no line yet."""
    text: str
    """What it means."""
    task: str
    """What to do."""
    ends_soon: bool
    """Whether efficiency may fall to what is not to be used within three months of the last calibration."""
    remarks: tuple[Remark, ...]


def meter_life(
    recall: Recall,
    meter: Thing,
    *,
    newest: tuple[datetime.date, Calibration] | None = None,
    until: datetime.date | None = None,
) -> MeterLife | None:
    """Follow a meter's electrode through its calibrations that stand.

    Parameters
    ----------
    recall : Recall
        The record.
    meter : Thing
        Which one, with what is said of it now.
    newest : (date, Calibration), optional
        One that this step makes.
    until : date, optional
        The last day that counts.

    Returns
    -------
    MeterLife or None
        None where it was not calibrated yet. Those before the day that `electrode` says do not count, nor
        those with another display than the newest, nor those whose points do not stand.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> recall = Recall(in_memory())
    >>> meter_life(recall, Thing("a1b2", 1, "meter", "desk", {}, ())) is None
    True
    """
    since = meter.get("electrode")
    places = _places(recall, meter, since, until)
    kept = recall.kept(places[-MOST:])
    found: list[tuple[str, datetime.date, Calibration]] = []
    for place in places[-MOST:]:
        whole = _whole(recall, kept[place])
        if whole is not None:
            found.append((str(Id(place[0])), kept[place].when.day, whole))
    if newest is not None:
        found = [each for each in found if each[1] <= newest[0]] + [("today", *newest)]
    if not found:
        return None
    shows = found[-1][2].meter.shows
    alike = [each for each in found if each[2].meter.shows == shows]
    return _told(
        alike,
        max(0, len(places) - MOST),
        None if since is None else datetime.date.fromisoformat(since),
        meter,
        len(found) - len(alike),
    )


def life_as_said(
    recall: Recall, name: str, said: Mapping[str, Any], until: datetime.date | None = None
) -> MeterLife | None:
    """Follow a meter's electrode, by what a step says of the meter.

    Parameters
    ----------
    recall : Recall
        The record before the step.
    name : str
        Of the meter.
    said : mapping
        What the step says of it.
    until : date, optional
        The last day that counts.

    Returns
    -------
    MeterLife or None
        As `meter_life`; None for a meter that is not on record yet.
    """
    known = recall.things.seek("meter", name)
    if known is None:
        return None
    return meter_life(recall, replace(known, settings={**known.settings, **said}), until=until)


def say_if_ending(keeper: Keeper, calibration: Calibration) -> None:
    """Say with a calibration that its electrode may soon be worn out, where that can be dated.

    Parameters
    ----------
    keeper : Keeper
        Of the step that calibrates.
    calibration : Calibration
        The new one, of a meter with a name.
    """
    meter = keeper.recall.things.seek("meter", calibration.meter.name or "")
    if meter is None:
        return
    ages = meter_life(keeper.recall, meter, newest=(keeper.day, calibration))
    if ages is not None and ages.ends_soon and ages.life is not None:
        keeper.say(
            "electrode-ends",
            f"Efficiency{ages.life.end.text.removeprefix('It')} See slurrycalc kit meter "
            f"{shlex.quote(meter.name)}",
        )


def _places(
    recall: Recall, meter: Thing, since: str | None, until: datetime.date | None
) -> list[tuple[int, int]]:
    """Give where a meter's calibrations stand, in the order of time."""
    rows = recall.book.rows(
        "SELECT c.entry, c.n FROM calibration c JOIN entry e ON e.id = c.entry "
        "WHERE c.meter = ? AND e.day BETWEEN ? AND ? ORDER BY e.at, e.id, c.n",
        (meter.id, since or "", "9999" if until is None else until.isoformat()),
    )
    return [(entry, n) for entry, n in rows if recall.stands.has(entry)]


def _whole(recall: Recall, kept: KeptCalibration) -> Calibration | None:
    """Compute a calibration; None where too much of it was struck out."""
    try:
        return recall.calibration(kept.place)
    except Refusal:
        return None


def _told(
    found: list[tuple[str, datetime.date, Calibration]],
    earlier: int,
    since: datetime.date | None,
    meter: Thing,
    others: int,
) -> MeterLife:
    days = [day for _, day, _ in found]
    life = None
    if len(set(days)) > 1:
        life = electrode_life(days, [whole for _, _, whole in found])
    remarks = list(life.remarks) if life is not None else []
    if earlier:
        remarks.append(
            Remark(
                "earlier-calibrations",
                f"The line rests on the newest {MOST} calibrations; {earlier} older ones do not count.",
            )
        )
    if others:
        shows = found[-1][2].meter.shows
        remarks.append(
            Remark(
                "another-display",
                f"Calibrations in another unit than {shows} do not count: {others} of them.",
            )
        )
    soon = life is not None and len(life.days) >= ELECTRODE_DAYS.value and _soon(life)
    return MeterLife(
        tuple(
            Calibrated(id_, day, whole.efficiency, float(whole.offset.n), whole.meter.unit)
            for id_, day, whole in found[-TOLD:]
        ),
        len(found),
        earlier,
        since,
        life,
        _text(life),
        _task(life, meter, soon),
        soon,
        tuple(remarks),
    )


def _soon(life: ElectrodeLife) -> bool:
    """Tell whether an end that can be dated may come within three months of the last calibration."""
    end = life.end
    if end.state != "dated" or end.earliest is None:
        return False
    return (end.earliest - life.days[-1]).days <= ELECTRODE_ENDS.value * DAYS_PER_MONTH


def _text(life: ElectrodeLife | None) -> str:
    if life is None:
        return "One day of calibration shows no change with time; from the second on there is a line."
    efficiency, offset, end = life.text
    return " ".join((efficiency, end, offset))


def _task(life: ElectrodeLife | None, meter: Thing, soon: bool) -> str:
    if life is None:
        return "calibrate on the next bench day, as always."
    if soon and life.end.earliest is not None:
        when = f"by {spoken(life.end.earliest)}" if life.end.earliest > life.days[-1] else "now"
        said = f"slurrycalc kit meter {shlex.quote(meter.name)} --electrode DATE"
        return f"have a fresh electrode ready {when}. Once it is in, say so: {said}"
    if life.efficiency_now.n < EFFICIENCY_GOOD_LOW.value:
        least = f"{EFFICIENCY_GOOD_LOW.value:g} %, {EFFICIENCY_GOOD_LOW.known}"
        return f"clean the electrode and calibrate again; a good one keeps {least}."
    return "nothing now. Each further calibration says more."
