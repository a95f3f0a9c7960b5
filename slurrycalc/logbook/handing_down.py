"""Putting past readings on record that were kept elsewhere: each day one entry, all of them parts of one."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Sequence
from itertools import groupby

from slurrycalc.logbook.foreign import Foreign, PastReading
from slurrycalc.logbook.merging import Imported
from slurrycalc.logbook.packages import BadRow, BadRows
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record_within
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Logbook
from slurrycalc.logbook.things import Things, free_name
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs

Mark = tuple[str, int | None, float, float | None, str | None]
"""What tells past readings apart: day, enclosure, pH, u, label."""


def import_foreign(
    book: Logbook,
    foreign: Foreign,
    now: datetime.datetime,
    *,
    enclosure: str | None = None,
    probe: str | None = None,
    adds: bool = False,
    new: bool = False,
    leave_out: bool = False,
    keeper: str | None = None,
) -> Imported:
    """Put past readings on record; those that are there already are passed over.

    Parameters
    ----------
    book : Logbook
        Open for writing.
    foreign : Foreign
        What was read.
    now : datetime
        The present, with its offset from UTC; past times are taken to be local to it.
    enclosure : str, optional
        Where all rows are from that name no enclosure.
    probe : str, optional
        The probe that was read beside.
    adds : bool
        Whether unknown enclosures and the probe are added; otherwise their rows are bad ones.
    new : bool
        Whether their names may be close to others.
    leave_out : bool
        Whether the other rows come in where some are bad; otherwise nothing does.
    keeper : str, optional
        Who brings them in.

    Returns
    -------
    Imported
        What came in.

    Raises
    ------
    BadRows
        If rows cannot be read or cannot stand, unless they are left out.
    Refusal
        If the probe is not known.
    LogbookFault
        If the file cannot be written.
    """
    with book.transaction():
        recall = Recall(book, Inputs())
        step = Step("import", When(now), keeper=keeper, note=foreign.name)
        found = _Found(recall.things, step, adds, new)
        stick = None if probe is None else found.thing("probe", probe)
        bad = list(foreign.bad)
        rows: list[tuple[PastReading, str]] = []
        for reading in foreign.readings:
            try:
                name = reading.enclosure or enclosure
                if name is None:
                    raise Refusal("the row names no enclosure; name one for all by --enclosure.")
                if reading.day > now.date():
                    raise Refusal(f"`{reading.day.isoformat()}` lies in the future.")
                rows.append((reading, found.thing("enclosure", name)))
            except Refusal as refusal:
                bad.append(BadRow(foreign.name, reading.row, refusal.sentence.rstrip(".")))
        bad.sort(key=lambda one: one.row)
        if bad and not leave_out:
            raise BadRows(foreign.name, bad)
        fresh = _without(rows, _there(recall, {uid for _, uid in rows}), recall.things)
        if not fresh:
            return Imported(0, len(rows), 0, left_out=tuple(bad))
        days = _days(fresh, step, stick, now)
        saved = record_within(book, [step, *days], now, new=True)
        count = sum(len(each) for one in (step, *days) for each in one.rows.values()) + len(saved)
        return Imported(len(saved), len(rows) - len(fresh), count, (), saved[0].id, tuple(bad))


class _Found:
    """Names that were met, and the things that they mean."""

    def __init__(self, things: Things, step: Step, adds: bool, new: bool) -> None:
        self.things = things
        self.step = step
        self.adds = adds
        self.new = new
        self.uids: dict[tuple[str, str], str] = {}

    def thing(self, kind: str, name: str) -> str:
        """Give the uid of what a name means, adding it where that is wanted."""
        key = kind, name.strip().casefold()
        if key not in self.uids:
            if self.adds and self.things.seek(kind, name) is None:
                free_name(self.things, kind, name, new=self.new)
                self.uids[key] = self.step.thing("probe" if kind == "probe" else "enclosure", name)
            else:
                self.uids[key] = self.things.find(kind, name).uid
        return self.uids[key]


def _mark(day: str, enclosure: int | None, ph: float, u: float | None, label: str | None) -> Mark:
    return day, enclosure, ph, u, label


def _there(recall: Recall, enclosures: set[str]) -> Counter[Mark]:
    """Count what was handed down before."""
    there: Counter[Mark] = Counter()
    for uid in enclosures & recall.things.by_uid.keys():
        for row in recall.readings(recall.things.by_uid[uid]).rows:
            if row.calibration is None:
                there[_mark(row.day, row.enclosure, row.shows, row.u, row.label)] += 1
    return there


def _without(
    rows: Sequence[tuple[PastReading, str]], there: Counter[Mark], things: Things
) -> list[tuple[PastReading, str]]:
    """Leave away what is there already, as often as it is."""
    fresh = []
    for reading, uid in rows:
        known = things.by_uid.get(uid)
        mark = _mark(
            reading.day.isoformat(), None if known is None else known.id, reading.ph, reading.u, reading.label
        )
        if known is not None and there[mark]:
            there[mark] -= 1
        else:
            fresh.append((reading, uid))
    return fresh


def _days(
    rows: Sequence[tuple[PastReading, str]], whole: Step, probe: str | None, now: datetime.datetime
) -> list[Step]:
    """Make one step of each day, or of each time where times are known."""
    zone = now.tzinfo
    assert zone is not None
    steps = []

    def moment(row: tuple[PastReading, str]) -> tuple[datetime.date, datetime.time]:
        return row[0].day, row[0].time or datetime.time.max

    for _, some in groupby(sorted(rows, key=moment), moment):
        mine = list(some)
        first = mine[0][0]
        if first.time is None:
            when = When.on(first.day, zone)
        else:
            when = When(datetime.datetime.combine(first.day, first.time, zone))
        step = Step("read", when, part_of=whole.uid)
        for reading, enclosure in mine:
            jar = step.slurry(enclosure, label=reading.label, spot=reading.spot, note=reading.note)
            step.reading(jar, None, reading.ph, u=reading.u)
            if reading.probe is not None:
                step.probing(reading.probe, probe=probe, enclosure=enclosure, slurry=jar)
        steps.append(step)
    return steps
