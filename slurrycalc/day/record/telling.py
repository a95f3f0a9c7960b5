"""The record told in words: each entry, each thing that it says, and what was struck out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from slurrycalc.day.record.answers import as_typed, asked_words
from slurrycalc.day.record.setting import in_words
from slurrycalc.logbook.history import HistoryEntry, Item, history
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import Id
from slurrycalc.logbook.sessions import ANSWER
from slurrycalc.logbook.settings import ThingKind
from slurrycalc.logbook.things import Thing, Things, close_name
from slurrycalc.metrology.annotate import DegCValue, PHValue
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.results import Result
from slurrycalc.metrology.uncertain import NORMAL_95
from slurrycalc.metrology.units.amounts import Amount

KINDS: tuple[ThingKind, ...] = ("enclosure", "meter", "probe", "bottle", "cup")

BOTTLES = {"point": "bottle", "check": "check bottle", "close": "at the close, bottle"}
"""How a reading in a bottle is told, by what it was for."""
SALTS = {"slurry": "slurry", "blank": "water", "standard": "standard"}
"""How a reading of conductivity is told, by what it was read in."""


@dataclass(frozen=True)
class ItemTold(Result, says=("text",), of="what"):
    """One thing that an entry says."""

    id: str | None
    """What to call it; None for what has no number of its own."""
    what: str
    """Reading, point, check, close, probe, event, slurry, blank, standard, trial, outside, setting, answer or
    void."""
    of: str | None
    """Name of the enclosure, bottle, probe or meter."""
    text: str
    """The same in words."""
    shows: tuple[float, ...]
    unit: str | None
    temperature: DegCValue | None
    ph: PHValue | None
    """What a reading that stands means."""
    u: PHValue | None
    """Its standard uncertainty without the scatter of slurries."""
    note: str | None
    struck: str | None
    """What struck it out, and why; None where it stands."""


@dataclass(frozen=True)
class EntryTold(Result, of="id"):
    """One recorded step."""

    id: str
    at: str
    """Local time with its offset from UTC; the day alone where no time is known."""
    recorded: str
    """When it was written down, UTC."""
    kind: str
    keeper: str | None
    note: str | None
    part_of: str | None
    method: str
    """Version of the method that showed its results."""
    struck: str | None
    """What struck it out, and why; None where it stands."""
    items: tuple[ItemTold, ...]

    def _body(self) -> str:
        parts = f"{len(self.items)} part{'' if len(self.items) == 1 else 's'}"
        return f"{self.kind} of {self.at}, {parts}{'' if self.struck is None else ', struck out'}"


def find_any(things: Things, name: str) -> Thing:
    """Find what a name means, an enclosure before all else.

    Parameters
    ----------
    things : Things
        All that the logbook knows.
    name : str
        As typed.

    Returns
    -------
    Thing
        Of that name.

    Raises
    ------
    Refusal
        If nothing is called so, with the enclosure that was probably meant.
    """
    found = (things.seek(kind, name) for kind in KINDS)
    return next((thing for thing in found if thing is not None), None) or things.find("enclosure", name)


def find_every(things: Things, name: str) -> tuple[Thing, ...]:
    """Find everything of a name, of whatever kind.

    Parameters
    ----------
    things : Things
        All that the logbook knows.
    name : str
        As typed; capitals make no difference.

    Returns
    -------
    tuple of Thing
        At least one, an enclosure before all else.

    Raises
    ------
    Refusal
        If nothing is called so, with what was probably meant where something is close.
    """
    found = tuple(thing for kind in KINDS if (thing := things.seek(kind, name)) is not None)
    if found:
        return found
    former = [one for one in things.every if name.strip().casefold() in map(str.casefold, one.former_names)]
    if former:
        raise Refusal(f"no {former[0].kind} {quoted(name)}: it is called {quoted(former[0].name)} now.")
    close = close_name(name, [thing.name for thing in things.every])
    if close is not None:
        raise Refusal(f"nothing on record is called {quoted(name)}; did you mean {quoted(close)}?")
    raise Refusal(
        f"nothing on record is called {quoted(name)}; slurrycalc enclosure and slurrycalc kit list what "
        "there is."
    )


def tell(
    recall: Recall, of: Thing | None = None, entries: Iterable[int] | None = None
) -> tuple[EntryTold, ...]:
    """Tell what is on record, in the order of time.

    Parameters
    ----------
    recall : Recall
        The record.
    of : Thing, optional
        Only what concerns this thing.
    entries : iterable of int, optional
        Only these entries.

    Returns
    -------
    tuple of EntryTold
        Struck-out ones among them.
    """
    return tuple(_entry(one) for one in history(recall, of, entries=entries))


AT_ONCE = 500
"""So many entries of a whole record are told at a time."""


def tell_all(recall: Recall) -> Iterator[EntryTold]:
    """Tell everything that is on record, in the order of time, in no more room however long it is.

    Parameters
    ----------
    recall : Recall
        The record.

    Yields
    ------
    EntryTold
        As `tell` gives them.
    """
    sql = "SELECT at, id FROM entry {}ORDER BY at, id LIMIT ?"
    rows = recall.book.rows(sql.format(""), (AT_ONCE,))
    while rows:
        yield from tell(recall.anew(), entries=[entry for _, entry in rows])
        rows = recall.book.rows(sql.format("WHERE (at, id) > (?, ?) "), (*rows[-1], AT_ONCE))


def newest_entries(recall: Recall, most: int) -> list[int]:
    """Give the numbers of the newest entries by the time at which things happened.

    The single answers of a guided day are left out: what they came to is an entry of its own.

    Parameters
    ----------
    recall : Recall
        The record.
    most : int
        How many.

    Returns
    -------
    list of int
        Their numbers.
    """
    rows = recall.book.rows(
        "SELECT id FROM entry WHERE kind <> ? ORDER BY at DESC, id DESC LIMIT ?", (ANSWER, most)
    )
    return [int(row[0]) for row in rows]


def count_entries(recall: Recall) -> int:
    """Give how many entries there are, the single answers of guided days left out."""
    return int(recall.book.rows("SELECT count(*) FROM entry WHERE kind <> ?", (ANSWER,))[0][0])


def with_answers(recall: Recall, entry: int) -> list[int]:
    """Give an entry's number and, of a guided day, those of its answers.

    Parameters
    ----------
    recall : Recall
        The record.
    entry : int
        Its number.

    Returns
    -------
    list of int
        In the order of recording.
    """
    rows = recall.book.rows(
        "SELECT id FROM entry WHERE part_of = ? AND kind = ? ORDER BY id", (entry, ANSWER)
    )
    return [entry, *(int(row[0]) for row in rows)]


def _entry(one: HistoryEntry) -> EntryTold:
    when = one.when
    return EntryTold(
        str(one.id),
        when.day.isoformat() if when.day_only else when.at.isoformat(timespec="minutes"),
        one.recorded,
        one.kind,
        one.keeper,
        one.note,
        None if one.part_of is None else str(one.part_of),
        one.method,
        None if one.struck is None else _struck(one.struck.by, one.struck.why),
        tuple(_item(item) for item in one.items),
    )


def _struck(by: Id, why: str | None) -> str:
    return f"struck out by {by}" + (f": {why}" if why else "")


def _item(item: Item) -> ItemTold:
    return ItemTold(
        None if item.id is None else str(item.id),
        item.what,
        item.of,
        _text(item),
        item.shows,
        item.unit,
        item.temperature,
        item.ph,
        item.u,
        item.note,
        None if item.struck is None else _struck(item.struck.by, item.struck.why),
    )


def _text(item: Item) -> str:
    shows = f"{' '.join(f'{one:g}' for one in item.shows)} {item.unit or ''}".strip()
    warm = "" if item.temperature is None else f" at {item.temperature:.4g} degC"
    if item.what == "reading":
        jar = f", jar {item.label}" if item.label else ""
        means = "" if item.ph is None else f": pH {item.ph:.2f}"
        text = f"{item.of or 'a slurry'}{jar} shows {shows}{warm}{means}"
    elif item.what in BOTTLES:
        text = f"{BOTTLES[item.what]} {item.of or 'that is gone'} shows {shows}{warm}"
    elif item.what == "probe":
        where = f" in {item.of}" if item.of else ""
        text = f"probe {item.label or 'without a name'}{where} shows {shows}"
    elif item.what == "event":
        much = f", {Amount(item.shows[0], item.unit or '').words}" if item.shows else ""
        mix = item.value or (None if item.ph is None else f"a mix of {_ph(item)}")
        text = f"{item.of}: {item.label}{much}" + (f" for {mix}" if mix else "")
    elif item.what in SALTS:
        where = "" if not item.of else f" for {item.of}" if item.what == "standard" else f" of {item.of}"
        bottle = f" {item.label}" if item.label else ""
        text = f"{SALTS[item.what]}{bottle}{where} conducts {shows}{warm}"
    elif item.what == "trial":
        text = f"{item.of or 'a trial'}, jar with {item.label}: {_ph(item)}"
    elif item.what == "outside":
        by = item.label or "an outside laboratory"
        how = f", {item.value}" if item.value else ""
        text = f"{item.of}: {by} says {_ph(item)}{how}"
    elif item.what == "answer":
        key = str(item.label)
        text = f"{asked_words(key)}: {as_typed(key, item.value)}"
    elif item.what == "void":
        text = f"strikes out {item.label}"
    elif item.label == "name":
        text = f"{item.of}: on record by this name"
        text = text if item.value == item.of else f"{item.of}: called {item.value}"
    else:
        value = "taken back" if item.value is None else in_words(str(item.label), item.value)
        text = f"{item.of}: {str(item.label).replace('_', ' ')} {value}"
    return text


def _ph(item: Item) -> str:
    """Say a pH as it was handed down, with the half-width for 95 in 100 that its uncertainty means."""
    within = "" if item.u is None else f" ± {NORMAL_95 * item.u:.2f}"
    return f"pH {item.ph:.2f}{within}"
