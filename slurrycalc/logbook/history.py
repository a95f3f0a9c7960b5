"""The record as it can be read: every entry, struck-out ones among them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import msgspec

from slurrycalc.logbook.calibrations import indications
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import Id, When
from slurrycalc.logbook.sessions import DONE
from slurrycalc.logbook.settings import SETTINGS
from slurrycalc.logbook.standing import chunked
from slurrycalc.logbook.store import Row
from slurrycalc.logbook.things import Thing
from slurrycalc.metrology.annotate import DegCValue, PHValue
from slurrycalc.metrology.uncertain import NORMAL_95

"""Half-width for 95 in 100 over the standard uncertainty."""


@dataclass(frozen=True)
class Struck:
    """Why something does not stand."""

    by: Id
    """The entry that struck it out, or what it rested on."""
    why: str | None


@dataclass(frozen=True)
class Item:
    """One thing that an entry says."""

    id: Id | None
    """What to call it; None for what has no number of its own."""
    what: str
    """Reading, point, check, close, probe, event, slurry, blank, standard, trial, outside, setting, answer or
    void."""
    of: str | None
    """Name of the enclosure, bottle, probe or meter."""
    label: str | None
    """The jar, the kind of event, what a bottle or a laboratory is called, how a jar of a trial was made, the
    setting, the question, or what was struck out."""
    shows: tuple[float, ...]
    unit: str | None
    temperature: DegCValue | None = None
    ph: PHValue | None = None
    """What a reading that stands means."""
    u: PHValue | None = None
    """Its standard uncertainty without the scatter of slurries."""
    under: Id | None = None
    """The entry that holds its calibration."""
    value: Any = None
    """Of a setting or an answer; of an exchange the tub of its fresh mix."""
    note: str | None = None
    struck: Struck | None = None


@dataclass(frozen=True)
class HistoryEntry:
    """One recorded step."""

    id: Id
    when: When
    recorded: str
    """When it was written down, UTC."""
    kind: str
    keeper: str | None
    note: str | None
    part_of: Id | None
    method: str
    items: tuple[Item, ...]
    struck: Struck | None


def history(
    recall: Recall, of: Thing | None = None, *, entries: Iterable[int] | None = None
) -> tuple[HistoryEntry, ...]:
    """Tell everything that is on record, in the order of time.

    Parameters
    ----------
    recall : Recall
    of : Thing, optional
        Only what concerns this enclosure, meter, probe or bottle.
    entries : iterable of int, optional
        Only these entries.

    Returns
    -------
    tuple of HistoryEntry
        Struck-out ones among them, with what struck them out.

    Raises
    ------
    Refusal
        If the points of a calibration cannot stand.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> history(Recall(in_memory()))
    ()
    """
    teller = _Teller(recall, of, None if entries is None else set(entries))
    with recall.book.snapshot():
        items = teller.items()
        heads = teller.heads(items.keys())
    return tuple(
        HistoryEntry(
            Id(entry),
            When.read(at, offset, bool(day_only)),
            recorded,
            kind,
            keeper,
            note,
            None if part_of is None else Id(part_of),
            method,
            tuple(sorted(items.get(entry, ()), key=_place)),
            teller.struck((entry, None)),
        )
        for entry, at, offset, day_only, recorded, kind, keeper, note, part_of, method in heads
    )


def _place(item: Item) -> tuple[bool, int]:
    return item.id is not None, 0 if item.id is None else item.id.n or 0


class _Teller:
    """Puts the entries' items together."""

    def __init__(self, recall: Recall, of: Thing | None, entries: set[int] | None) -> None:
        self.recall = recall
        self.of = of
        self.entries = entries
        self.reasons: dict[int, str | None] = dict(recall.book.rows("SELECT entry, reason FROM void"))

    def struck(self, *places: tuple[int | None, int | None]) -> Struck | None:
        """Tell what struck out one of the places that something is at or rests on."""
        stands = self.recall.stands
        if not stands:
            return None
        for entry, n in places:
            by = stands.entries.get(entry or 0) or stands.values.get((entry or 0, n or 0))
            if by is not None:
                return Struck(Id(by), self.reasons.get(by))
        return None

    def name(self, thing: int | None) -> str | None:
        """Give what a thing is called, or was where everything that was said of it is struck out."""
        if thing is None:
            return None
        known = self.recall.things.by_id.get(thing)
        return self._former.get(thing) if known is None else known.name

    @cached_property
    def _former(self) -> dict[int, str]:
        """Give the last name of each thing, whatever of it stands."""
        rows = self.recall.book.rows(
            "SELECT s.thing, s.value FROM setting s JOIN entry e ON e.id = s.entry WHERE s.key = 'name' "
            "ORDER BY e.recorded, s.entry, s.n"
        )
        return {thing: msgspec.json.decode(value) for thing, value in rows}

    def rows(self, sql: str, columns: Mapping[str, str]) -> list[Row]:
        """Give the rows that concern what was asked for, by the column that points to it."""
        if self.entries is not None:
            return chunked(self.recall.book, f"{sql} WHERE t.entry IN ({{}})", self.entries)
        if self.of is None:
            return self.recall.book.rows(sql)
        column = columns.get(self.of.kind)
        return [] if column is None else self.recall.book.rows(f"{sql} WHERE {column} = ?", (self.of.id,))

    def heads(self, entries: Iterable[int]) -> list[Row]:
        """Give the entries themselves, in the order of time."""
        sql = "SELECT id, at, utc_offset, day_only, recorded, kind, keeper, note, part_of, method FROM entry"
        if self.of is None and self.entries is None:
            return self.recall.book.rows(f"{sql} ORDER BY at, id")
        rows = chunked(
            self.recall.book, sql + " WHERE id IN ({})", entries if self.entries is None else self.entries
        )
        return sorted(rows, key=lambda row: (row[1], row[0]))

    def items(self) -> dict[int, list[Item]]:
        """Give the items of each entry."""
        found: dict[int, list[Item]] = {}
        for told in (
            self._readings,
            self._points,
            self._probings,
            self._events,
            self._conductivities,
            self._blends,
            self._outside,
            self._settings,
            self._answers,
        ):
            for entry, item in told():
                found.setdefault(entry, []).append(item)
        for entry, item in self._voids(found.keys()):
            found.setdefault(entry, []).append(item)
        return found

    def _readings(self) -> Iterator[tuple[int, Item]]:
        rows = self.rows(
            "SELECT t.entry, t.n, s.enclosure, s.label, t.shows, t.again, c.shows, t.temperature, "
            "t.calibration_entry, t.slurry_entry, coalesce(t.note, s.note) FROM slurry s "
            "JOIN reading t ON t.slurry_entry = s.entry AND t.slurry_n = s.n "
            "LEFT JOIN calibration c ON c.entry = t.calibration_entry AND c.n = t.calibration_n",
            {"enclosure": "s.enclosure"},
        )
        means = self._ph(rows)
        for entry, n, enclosure, label, shows, again, unit, temperature, under, jar, note in rows:
            ph, u = means.get((entry, n), (None, None))
            yield (
                entry,
                Item(
                    Id(entry, n),
                    "reading",
                    self.name(enclosure),
                    label,
                    indications(shows, again),
                    unit or "pH",
                    temperature,
                    ph,
                    u,
                    None if under is None else Id(under),
                    note=note,
                    struck=self.struck((entry, n), (jar, None), (under, None)),
                ),
            )

    def _ph(self, rows: Sequence[Row]) -> dict[tuple[int, int], tuple[float, float]]:
        if self.of is not None and self.entries is None:
            found = self.recall.readings(self.of, every=True) if self.of.kind == "enclosure" else None
        elif self.entries is None:
            found = self.recall.readings(every=True)
        else:
            found = self.recall.readings(entries=self.entries)
        if found is None or not rows:
            return {}
        places = [(row.entry, row.n) for row in found.rows]
        return dict(zip(places, zip(found.batch.values.tolist(), found.u.tolist(), strict=True), strict=True))

    def _points(self) -> Iterator[tuple[int, Item]]:
        for entry, n, role, bottle, shows, again, unit, temperature, under in self.rows(
            "SELECT t.entry, t.n, t.role, t.bottle, t.shows, t.again, c.shows, t.temperature, "
            "t.calibration_entry FROM point t "
            "JOIN calibration c ON c.entry = t.calibration_entry AND c.n = t.calibration_n",
            {"meter": "c.meter", "bottle": "t.bottle"},
        ):
            yield (
                entry,
                Item(
                    Id(entry, n),
                    role,
                    self.name(bottle),
                    None,
                    indications(shows, again),
                    unit,
                    temperature,
                    under=Id(under),
                    struck=self.struck((entry, n), (under, None)),
                ),
            )

    def _probings(self) -> Iterator[tuple[int, Item]]:
        for entry, n, probe, enclosure, shows, note in self.rows(
            "SELECT t.entry, t.n, t.probe, t.enclosure, t.shows, t.note FROM probing t",
            {"probe": "t.probe", "enclosure": "t.enclosure"},
        ):
            where, label = self.name(enclosure), self.name(probe)
            struck = self.struck((entry, n))
            yield entry, Item(Id(entry, n), "probe", where, label, (shows,), "pH", note=note, struck=struck)

    def _events(self) -> Iterator[tuple[int, Item]]:
        for entry, n, enclosure, kind, amount, unit, note, tub, ph, half_width in self.rows(
            "SELECT t.entry, t.n, t.enclosure, t.kind, t.amount, t.unit, t.note, m.tub, m.ph, m.half_width "
            "FROM event t LEFT JOIN mix m ON m.event_entry = t.entry AND m.event_n = t.n",
            {"enclosure": "t.enclosure"},
        ):
            item = Item(
                Id(entry, n),
                "event",
                self.name(enclosure),
                kind,
                () if amount is None else (amount,),
                unit,
                ph=ph,
                u=None if half_width is None else half_width / NORMAL_95,
                value=self.name(tub),
                note=note,
                struck=self.struck((entry, n)),
            )
            yield entry, item

    def _conductivities(self) -> Iterator[tuple[int, Item]]:
        for entry, n, enclosure, role, standard, shows, again, temperature, note in self.rows(
            "SELECT t.entry, t.n, t.enclosure, t.role, t.standard, t.shows, t.again, t.temperature, t.note "
            "FROM conductivity t",
            {"enclosure": "t.enclosure", "meter": "t.meter"},
        ):
            bottle = None if standard is None else f"{standard:g} uS/cm"
            item = Item(
                Id(entry, n),
                role,
                self.name(enclosure),
                bottle,
                indications(shows, again),
                "uS/cm",
                temperature,
                note=note,
                struck=self.struck((entry, n)),
            )
            yield entry, item

    def _blends(self) -> Iterator[tuple[int, Item]]:
        for entry, n, enclosure, dose, unit, amendment, ph, u, note in self.rows(
            "SELECT t.entry, t.n, t.enclosure, t.dose, t.unit, t.amendment, t.ph, t.u, t.note FROM blend t",
            {"enclosure": "t.enclosure"},
        ):
            made = f"{dose:g} {unit}" + (f" {amendment}" if amendment else "")
            where, struck = self.name(enclosure), self.struck((entry, n))
            yield (
                entry,
                Item(Id(entry, n), "trial", where, made, (ph,), "pH", ph=ph, u=u, note=note, struck=struck),
            )

    def _outside(self) -> Iterator[tuple[int, Item]]:
        for entry, n, enclosure, laboratory, ph, half_width, preparation, note in self.rows(
            "SELECT t.entry, t.n, t.enclosure, t.laboratory, t.ph, t.half_width, t.preparation, t.note "
            "FROM outside t",
            {"enclosure": "t.enclosure"},
        ):
            item = Item(
                Id(entry, n),
                "outside",
                self.name(enclosure),
                laboratory,
                (ph,),
                "pH",
                ph=ph,
                u=None if half_width is None else half_width / NORMAL_95,
                value=preparation,
                note=note,
                struck=self.struck((entry, n)),
            )
            yield entry, item

    def _settings(self) -> Iterator[tuple[int, Item]]:
        columns = dict.fromkeys(SETTINGS, "t.thing")
        for entry, thing, key, value in self.rows(
            "SELECT t.entry, t.thing, t.key, t.value FROM setting t", columns
        ):
            struck = self.struck((entry, None))
            said = msgspec.json.decode(value)
            yield entry, Item(None, "setting", self.name(thing), key, (), None, value=said, struck=struck)

    def _answers(self) -> Iterator[tuple[int, Item]]:
        for entry, key, value in self.rows("SELECT t.entry, t.key, t.value FROM mark t", {}):
            if key == DONE:
                continue
            struck = self.struck((entry, None))
            said = msgspec.json.decode(value)
            yield entry, Item(None, "answer", None, key, (), None, value=said, struck=struck)

    def _voids(self, entries: Iterable[int]) -> list[tuple[int, Item]]:
        sql = "SELECT entry, target_entry, target_n, reason FROM void"
        if self.of is None and self.entries is None:
            rows = self.recall.book.rows(sql)
        else:
            rows = chunked(self.recall.book, sql + " WHERE target_entry IN ({})", entries)
        return [
            (
                entry,
                Item(
                    None,
                    "void",
                    None,
                    str(Id(target, n)),
                    (),
                    None,
                    note=why,
                    struck=self.struck((entry, None)),
                ),
            )
            for entry, target, n, why in rows
        ]
