"""Putting past readings on record that were kept elsewhere: each day one entry, all of them parts of one."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain, groupby, islice

from slurrycalc.logbook.faults import translated
from slurrycalc.logbook.foreign import Foreign, PastReading
from slurrycalc.logbook.merging import Imported
from slurrycalc.logbook.packages import BadRow, BadRows
from slurrycalc.logbook.pile import Mark, Pile, Piled
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record_within
from slurrycalc.logbook.refs import Id, When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store
from slurrycalc.logbook.things import Things, free_name
from slurrycalc.measuring.wording import count
from slurrycalc.metrology.calendar import misdated
from slurrycalc.metrology.names import near
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs
from slurrycalc.metrology.watch import Watch, unwatched

MOST_BAD = 100_000
"""Rows that are left out and named; a file with more is not the one that was meant (our own figure)."""
AT_ONCE = 500
"""Days that are held in memory at a time (our own figure)."""


def import_foreign(
    book: Store,
    foreign: Foreign,
    now: datetime.datetime,
    *,
    enclosure: str | None = None,
    probe: str | None = None,
    adds: bool = False,
    new: bool = False,
    leave_out: bool = False,
    keeper: str | None = None,
    watch: Watch = unwatched,
) -> Imported:
    """Put past readings on record; those that are there already are passed over.

    Parameters
    ----------
    book : Store
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
    watch : Watch
        What the readings are handed to on their way.

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
    if enclosure is None and "enclosure" not in foreign.columns:
        raise Refusal(_no_enclosure(foreign), foreign.name)
    with translated(book.path), Pile() as pile:
        bad, places = _piled(pile, foreign, watch(foreign), enclosure, now)
        with book.transaction():
            recall = Recall(book, Inputs())
            step = Step("import", When(now), keeper=keeper, note=foreign.name)
            found = _Found(recall.things, step, adds, new)
            stick = None if probe is None else found.thing("probe", probe)
            if not (adds or leave_out):
                met = {one.strip().casefold(): one for one in reversed(places)}
                unknown = [one for one in reversed(met.values()) if _is_unknown(recall.things, one)]
                if unknown:
                    raise Refusal(_not_on_record(unknown), foreign.name)
            for place in places:
                try:
                    pile.mean(place, found.thing("enclosure", place))
                except Refusal as refusal:
                    why = refusal.sentence.rstrip(".")
                    bad += [BadRow(foreign.name, row, why) for row in pile.rows_of(place)]
                    _not_too_many(bad, foreign)
            pile.there(_there(recall, found.uids.values()))
            twice = [BadRow(foreign.name, row, _twice(*what)) for row, what in pile.twice()]
            bad = sorted([*bad, *twice], key=lambda one: one.row)
            if bad and not leave_out:
                raise BadRows(foreign.name, bad)
            of: set[str] = set()
            entries, rows, came, saved = _recorded(book, step, _noted(watch(pile.fresh()), of), stick, now)
            known = pile.counted() - len(twice) - came
            return Imported(
                entries, known, rows, (), saved, tuple(bad), readings=came, enclosures=len(of)
            )


def _no_enclosure(foreign: Foreign) -> str:
    """Say that no column tells where a reading is from, and what the table has."""
    others = [cell for n, cell in enumerate(foreign.header) if n not in foreign.columns.values()]
    theirs = ", ".join(foreign.header[:12])
    named = f"write --columns enclosure={others[0]}, or " if others else "write "
    return (
        f"No column is called enclosure. Yours are {theirs}: {named}--enclosure NAME where all are of one."
    )


def _is_unknown(things: Things, place: str) -> bool:
    """Say whether nothing on record is called so, nor nearly so."""
    try:
        things.find("enclosure", place)
    except Refusal:
        every = things.of("enclosure", retired=True)
        names = [name for one in every for name in (one.name, *one.former_names)]
        return near(place, names) is None and place.strip().casefold() not in map(str.casefold, names)
    return False


def _not_on_record(unknown: Sequence[str]) -> str:
    many = len(unknown)
    names = ", ".join(map(quoted, unknown[:12])) + (", ..." if many > 12 else "")
    if many == 1:
        return f"One enclosure is not on record: {names}. Add --new."
    return f"{count(many).capitalize()} enclosures are not on record: {names}. Add --new."


def _noted(fresh: Iterable[Piled], of: set[str]) -> Iterator[Piled]:
    """Note which enclosures readings are of."""
    for one in fresh:
        of.add(one.enclosure)
        yield one


def _twice(place: str, day: str, ph: float, label: str | None) -> str:
    """Say that a reading is there already, and how to say that it is another jar's."""
    jar = f" as jar {label}" if label else " without a jar's label"
    return (
        f"pH {ph:g} of {place} on {day} is here already{jar}, and one jar counts once; if it is another jar, "
        "give the row a spot of its own in a column spot"
    )


def _piled(
    pile: Pile,
    foreign: Foreign,
    readings: Iterable[PastReading | BadRow],
    enclosure: str | None,
    now: datetime.datetime,
) -> tuple[list[BadRow], list[str]]:
    """Pile up the readings of a table; give its bad rows, and what its enclosures are called."""
    bad: list[BadRow] = []
    places: dict[str, None] = {}
    for reading in readings:
        if isinstance(reading, BadRow):
            bad.append(reading)
        elif (place := reading.enclosure or enclosure) is None:
            why = "the row names no enclosure; name one for all by --enclosure"
            bad.append(BadRow(foreign.name, reading.row, why))
        elif slip := misdated(reading.day, now.date()):
            bad.append(BadRow(foreign.name, reading.row, f"`{reading.day.isoformat()}` {slip}"))
        else:
            places[place] = None
            pile.put(reading, place)
            continue
        _not_too_many(bad, foreign)
    return bad, list(places)


def _not_too_many(bad: Sequence[BadRow], foreign: Foreign) -> None:
    if len(bad) > MOST_BAD:
        raise Refusal(
            f"more than {MOST_BAD} rows of {quoted(foreign.name)} cannot be read, so nothing was imported: "
            f"is it the right file? The first is row {bad[0].row}: {bad[0].text}."
        )


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


def _there(recall: Recall, enclosures: Iterable[str]) -> Iterator[Mark]:
    """Give what was handed down before and stands."""
    has = recall.stands.has
    for uid in dict.fromkeys(enclosures):
        if uid not in recall.things.by_uid:
            continue
        for entry, n, jar, *mark in recall.book.connection.execute(
            "SELECT r.entry, r.n, s.entry, e.day, r.shows, r.u, s.label FROM slurry s "
            "JOIN reading r ON r.slurry_entry = s.entry AND r.slurry_n = s.n JOIN entry e ON e.id = r.entry "
            "WHERE s.enclosure = ? AND r.calibration_entry IS NULL",
            (recall.things.by_uid[uid].id,),
        ):
            if has(entry, n) and has(jar):
                yield (uid, *mark)


def _recorded(
    book: Store, whole: Step, fresh: Iterator[Piled], probe: str | None, now: datetime.datetime
) -> tuple[int, int, int, Id | None]:
    """Put readings on record, some days at a time; count entries, rows and readings; name the whole."""
    first = next(fresh, None)
    if first is None:
        return 0, 0, 0, None
    (saved,) = record_within(book, [whole], now, new=True)
    entries, rows, came = 1, 1 + sum(map(len, whole.rows.values())), 0
    days = _days(chain([first], fresh), whole, probe, now)
    while some := list(islice(days, AT_ONCE)):
        record_within(book, some, now, new=True)
        entries += len(some)
        rows += len(some) + sum(len(each) for one in some for each in one.rows.values())
        came += sum(len(one.rows["reading"]) for one in some)
    return entries, rows, came, saved.id


def _days(rows: Iterable[Piled], whole: Step, probe: str | None, now: datetime.datetime) -> Iterator[Step]:
    """Make one step of each day, or of each time where times are known."""
    zone = now.tzinfo
    assert zone is not None
    for (on, time), some in groupby(rows, lambda one: (one.day, one.time)):
        day = datetime.date.fromisoformat(on)
        if time is None:
            when = When.on(day, zone)
        else:
            when = When(datetime.datetime.combine(day, datetime.time.fromisoformat(time), zone))
        step = Step("read", when, part_of=whole.uid)
        for one in some:
            jar = step.slurry(one.enclosure, label=one.label, spot=one.spot, note=one.note)
            step.reading(jar, None, one.ph, u=one.u)
            if one.probe is not None:
                step.probing(one.probe, probe=probe, enclosure=one.enclosure, slurry=jar)
        yield step
