"""Recording a step: one entry, one transaction, all of it or nothing."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import msgspec

from slurrycalc.data.method import METHOD
from slurrycalc.logbook.forms import BY_NAME, TABLES, VALUES
from slurrycalc.logbook.refs import UTC, Id
from slurrycalc.logbook.settings import DAYS
from slurrycalc.logbook.standing import StandingEntries, standing
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store
from slurrycalc.logbook.things import free_name, things_of
from slurrycalc.logbook.uids import Here
from slurrycalc.metrology.calendar import misdated
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

RESTS_ON = (
    ("point", "calibration"),
    ("reading", "calibration"),
    ("reading", "slurry"),
    ("probing", "slurry"),
)
"""Which rows rest on which others."""
A_MINUTE = datetime.timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Saved:
    """What a step is called now that it is on record."""

    id: Id
    uid: str
    values: tuple[Id, ...]
    """Of its values, in order; the entry's own where there is but one."""
    clock: str | None = None
    """What must be said of the clock that it was recorded by."""


def record(book: Store, step: Step, now: datetime.datetime, *, new: bool = False) -> Saved:
    """Put a step on record.

    Parameters
    ----------
    book : Store
        Open for writing.
    step : Step
        What was done.
    now : datetime
        The present, with its offset from UTC.
    new : bool
        Whether new names may be close to those that are there.

    Returns
    -------
    Saved
        What it is called.

    Raises
    ------
    Refusal
        If its day cannot be meant, it points to something that is gone or was struck out, or a name is taken.
    LogbookFault
        If the file cannot be written.

    Examples
    --------
    >>> from slurrycalc.logbook.refs import When
    >>> from slurrycalc.logbook.store import in_memory
    >>> now = datetime.datetime(2024, 5, 11, 9, tzinfo=UTC)
    >>> step = Step("probe", When(now))
    >>> ref = step.probing(5.9, probe=step.thing("probe", "stick"))
    >>> str(record(in_memory(), step, now).id)
    '1'
    """
    refuse_misdated(step, now)
    with book.transaction():
        return record_within(book, [step], now, new=new)[0]


def record_within(
    book: Store, steps: Sequence[Step], now: datetime.datetime, *, new: bool = False
) -> list[Saved]:
    """Put steps on record within a transaction that the caller holds.

    Parameters
    ----------
    book : Store
        Open for writing.
    steps : sequence of Step
        In order: one may rest on those before it.
    now, new
        As for `record`.

    Returns
    -------
    list of Saved
        What each is called.

    Raises
    ------
    Refusal
        As for `record`.
    """
    stands = standing(book)
    here = Here(book)
    clock = clock_behind(book, now)
    for step in steps:
        refuse_misdated(step, now)
        _check_targets(step, here, stands)
        here.entries[step.uid] = here.next_entry()
        here.things.update((row[1], here.next_thing()) for row in step.rows["thing"])
    _check_names(book, steps, new)
    book.add(BY_NAME["entry"].insertion, [_head(step, here, now) for step in steps])
    for table in TABLES[1:]:
        rows = [row for step in steps for row in step.rows[table.name]]
        if rows:
            book.add(table.insertion, here.inside(table, rows))
    return [_saved(step, here, clock) for step in steps]


def clock_behind(book: Store, now: datetime.datetime) -> str | None:
    """Say whether the clock is before the moment at which the last entry was written down.

    Parameters
    ----------
    book : Store
        The record.
    now : datetime
        The present, with its offset from UTC.

    Returns
    -------
    str or None
        A sentence; None where the clock went on.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> clock_behind(in_memory(), datetime.datetime(2024, 5, 4, 9, tzinfo=UTC))
    """
    last = book.rows("SELECT id, recorded FROM entry ORDER BY id DESC LIMIT 1")
    # As text, which sorts as the moments do: an older slip of the clock may be on no calendar.
    if not last or last[0][1] <= stamp_of(now + A_MINUTE):
        return None
    ((entry, written),) = last
    return (
        f"The clock of this computer says {stamp_of(now)[:16].replace('T', ' ')} UTC, which is before entry "
        f"{entry} was written down on {written[:16].replace('T', ' ')} UTC: one of them is wrong, so look at "
        "the clock, and set it if need be."
    )


def _head(step: Step, here: Here, now: datetime.datetime) -> tuple[Any, ...]:
    """Give the row of the entry itself."""
    when = step.when
    return (
        here.entries[step.uid],
        step.uid,
        when.stamp,
        when.offset,
        int(when.day_only),
        when.day.isoformat(),
        stamp_of(now),
        step.kind,
        step.keeper,
        step.note,
        METHOD,
        None if step.part_of is None else here.entry(step.part_of),
    )


def _saved(step: Step, here: Here, clock: str | None) -> Saved:
    entry = here.entries[step.uid]
    values = sorted(row[1] for name in VALUES for row in step.rows[name])
    ids = [Id(entry, n) if len(values) > 1 else Id(entry) for n in values]
    return Saved(Id(entry), step.uid, tuple(ids), clock)


def stamp_of(now: datetime.datetime) -> str:
    """Write the moment of recording, in UTC to the millisecond.

    Parameters
    ----------
    now : datetime
        With its offset from UTC.

    Returns
    -------
    str
        Sorts as the moments do.

    Examples
    --------
    >>> stamp_of(datetime.datetime(2024, 5, 4, 9, 0, 0, 1500, tzinfo=UTC))
    '2024-05-04T09:00:00.001Z'
    """
    return now.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def refuse_misdated(step: Step, now: datetime.datetime) -> None:
    """Refuse what cannot have happened on its day.

    Parameters
    ----------
    step : Step
        What is to be recorded.
    now : datetime
        The present, with its offset from UTC.

    Raises
    ------
    Refusal
        If it lies in the future or before 1950, or a day of what is said of a thing cannot be meant.
    """
    when = step.when
    ahead = when.day > now.date() if when.day_only else when.at > now + A_MINUTE
    if why := "lies in the future" if ahead else misdated(when.day):
        said = when.day.isoformat() if when.day_only else when.at.isoformat(" ", "minutes")
        raise Refusal(f"`{said}` {why}; write when it happened, such as --on yesterday.")
    for *_, key, value in step.rows["setting"]:
        if key in DAYS:
            _check_days(key, msgspec.json.decode(value), now.date())


def _check_days(key: str, value: Any, today: datetime.date) -> None:
    """See that the days of a setting can be meant."""
    for said in [] if value is None else [one[0] for one in value] if isinstance(value, list) else [value]:
        try:
            why = misdated(datetime.date.fromisoformat(said), None if DAYS[key] == "ahead" else today)
        except (TypeError, ValueError):
            why = "is no day"
        if why:
            raise Refusal(f"{key}: {quoted(said)} {why}; write the day such as 2024-05-04.")


def _check_targets(step: Step, here: Here, stands: StandingEntries) -> None:
    """See that everything a step rests on is there and stands."""
    if step.part_of is not None and not stands.has(here.entry(step.part_of)):
        raise Refusal(f"entry {here.entry(step.part_of)} was struck out, so nothing can be added to it.")
    for name, column in RESTS_ON:
        place = BY_NAME[name].names.index(f"{column}_entry")
        for row in step.rows[name]:
            target = row[place]
            if target is not None and target != step.uid and not stands.has(here.entry(target)):
                raise Refusal(
                    f"the {column} of entry {here.entry(target)} was struck out, so nothing can rest on it; "
                    "make a new one."
                )


def _check_names(book: Store, steps: Sequence[Step], new: bool) -> None:
    """See that the names that steps give are free."""
    given = [(row[2], row[4]) for step in steps for row in step.rows["setting"] if row[3] == "name"]
    if not given:
        return
    kinds = {row[1]: row[2] for step in steps for row in step.rows["thing"]}
    there = things_of(book)
    taken: dict[tuple[str, str], str] = {}
    for uid, value in given:
        kind, name = kinds.get(uid) or there.by_uid[uid].kind, str(msgspec.json.decode(value))
        free_name(there, kind, name, new=new, but=uid)
        if taken.setdefault((kind, name.casefold()), uid) != uid:
            raise Refusal(f"{kind} `{name}` is there twice; give each a name of its own.")
