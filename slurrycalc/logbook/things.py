"""Enclosures, meters, probes, bottles and cups: what they are called and what was said of them."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import msgspec

from slurrycalc.logbook.settings import ADD, LIKE, ThingKind
from slurrycalc.logbook.standing import StandingEntries, standing
from slurrycalc.logbook.store import Store
from slurrycalc.metrology.names import near
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal


@dataclass(frozen=True, slots=True)
class Said:
    """One setting, with the entry that said it."""

    key: str
    value: Any
    entry: int
    recorded: str
    stands: bool


@dataclass(frozen=True, eq=False)
class Thing:
    """One enclosure, meter, probe, bottle or cup."""

    uid: str
    id: int
    kind: ThingKind
    name: str
    settings: Mapping[str, Any]
    """What was said last of it and stands; what was taken back is left out."""
    said: tuple[Said, ...]
    """Everything that was ever said of it, in the order of recording."""

    def get(self, key: str) -> Any:
        """Give a setting, None where nothing was said."""
        return self.settings.get(key)

    @property
    def retired(self) -> datetime.date | None:
        """Its last day, if it has one."""
        day = self.get("retired")
        return None if day is None else datetime.date.fromisoformat(day)

    @property
    def is_bed(self) -> bool:
        """Whether it is kept within a range, as a steady jar and a tub of fresh mix are not."""
        return not (self.get("steady") or self.get("fresh"))

    @property
    def sides(self) -> tuple[float, float, float] | None:
        """Length, width and depth of its bed, where they are on record. [cm]."""
        size, depth = self.get("size"), self.get("bed_depth")
        if size is None or depth is None:
            return None
        (length, width), ((deep,), _) = sides_of(size)[0], sides_of(depth)
        return length, width, deep

    @property
    def former_names(self) -> tuple[str, ...]:
        """What it was called before."""
        names = dict.fromkeys(each.value for each in self.said if each.key == "name" and each.stands)
        return tuple(name for name in names if name != self.name)

    def is_live(self, day: datetime.date | None = None) -> bool:
        """Tell whether it was in use on a day, or is at all."""
        return self.retired is None or (day is not None and day <= self.retired)


def sides_of(value: Any) -> tuple[tuple[float, ...], str]:
    """Give the lengths of a size or a depth [cm], and the unit in which they were said.

    Examples
    --------
    >>> sides_of([60.96, 45.72, "in"]), sides_of(10.0)
    (((60.96, 45.72), 'in'), ((10.0,), 'cm'))
    """
    parts = value if isinstance(value, list) else [value]
    unit = parts[-1] if isinstance(parts[-1], str) else "cm"
    return tuple(float(each) for each in parts if not isinstance(each, str)), unit


@dataclass(frozen=True, eq=False)
class Things:
    """All that the logbook knows."""

    every: tuple[Thing, ...]

    @cached_property
    def by_uid(self) -> dict[str, Thing]:
        """Each by its uid."""
        return {thing.uid: thing for thing in self.every}

    @cached_property
    def by_id(self) -> dict[int, Thing]:
        """Each by its number in this logbook."""
        return {thing.id: thing for thing in self.every}

    def of(self, kind: str, day: datetime.date | None = None, *, retired: bool = False) -> tuple[Thing, ...]:
        """Give the things of a kind.

        Parameters
        ----------
        kind : str
            Which kind.
        day : date, optional
            In use on that day.
        retired : bool
            Whether to give those as well that are no longer in use.

        Returns
        -------
        tuple of Thing
            In the order in which they came.
        """
        return tuple(each for each in self.every if each.kind == kind and (retired or each.is_live(day)))

    def seek(self, kind: str, name: str) -> Thing | None:
        """Give the thing of that name, None where there is none; capitals make no difference."""
        key = name.strip().casefold()
        return next((each for each in self.every if each.kind == kind and each.name.casefold() == key), None)

    def find(self, kind: str, name: str, day: datetime.date | None = None) -> Thing:
        """Give the thing that a name means.

        Parameters
        ----------
        kind : str
            Which kind.
        name : str
            As typed; capitals make no difference.
        day : date, optional
            The day on which it was used.

        Returns
        -------
        Thing
            Of that name.

        Raises
        ------
        Refusal
            If nothing is called so, with what was probably meant; or if it was retired before that day.
        """
        thing = self.seek(kind, name)
        if thing is None:
            raise Refusal(self._unknown(kind, name))
        if day is not None and not thing.is_live(day):
            raise Refusal(
                f"{kind} {quoted(thing.name)} was retired on {thing.retired}; give a day before that, or "
                "take "
                "it into use again with --retired none."
            )
        return thing

    def _unknown(self, kind: str, name: str) -> str:
        key = name.strip().casefold()
        if not key:
            return f"the {kind} name {quoted(name)} is empty; write a name such as `{LIKE[kind]}`."
        for thing in self.every:
            if thing.kind == kind and key in (former.casefold() for former in thing.former_names):
                return f"no {kind} {quoted(name)}: it is called {quoted(thing.name)} now."
        meant = near(name, [thing.name for thing in self.of(kind, retired=True)])
        if meant:
            return f"no {kind} {quoted(name)}; did you mean {quoted(meant)}?"
        word = f"'{name}'" if re.search(r"[^\w-]", name) else name
        return f"no {kind} {quoted(name)}; add it with `{ADD[kind].format(word)}`."

    def bottle(self, text: str, day: datetime.date | None = None) -> Thing | str:
        """Give the bottle that a point means.

        Parameters
        ----------
        text : str
            A bottle's name, or a label.
        day : date, optional
            The day on which it was used.

        Returns
        -------
        Thing or str
            That bottle, or the one in use that bears the label; where there is none, the label of a new one.

        Raises
        ------
        Refusal
            If several bottles bear the label, or nothing is called so.
        """
        from slurrycalc.measuring.electrode.buffer_kinds import known_label  # noqa: PLC0415  a heavy floor for one question

        if self.seek("bottle", text) is not None:
            return self.find("bottle", text, day)
        try:
            label = known_label(text)
        except Refusal:
            # A number is a label rather than a name, and what it is taken for is said.
            named = not re.fullmatch(r"[\d.,]+", text.strip())
            if named and near(text, [each.name for each in self.of("bottle", retired=True)]):
                return self.find("bottle", text, day)
            raise
        bearing = [each for each in self.of("bottle", day) if each.get("label") == label]
        if len(bearing) > 1:
            names = ", ".join(each.name for each in bearing)
            raise Refusal(f"{quoted(text)} is the label of several bottles; name one of them: {names}.")
        return bearing[0] if bearing else label


def things_of(book: Store, stands: StandingEntries | None = None) -> Things:
    """Give all enclosures, meters, probes, bottles and cups.

    Parameters
    ----------
    book : Store
    stands : StandingEntries, optional
        If it is known already.

    Returns
    -------
    Things
        Those that stand: that have a name, or that something rests on which stands.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> things_of(in_memory()).find("enclosure", "atlas")
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: no enclosure `atlas`; add it with `slurrycalc enclosure atlas
    --new`.
    """
    stands = standing(book) if stands is None else stands
    said: dict[int, list[Said]] = {}
    for thing, key, value, entry, recorded in book.rows(
        "SELECT setting.thing, setting.key, setting.value, setting.entry, entry.recorded FROM setting "
        "JOIN entry ON entry.id = setting.entry ORDER BY entry.recorded, setting.entry, setting.n"
    ):
        one = Said(key, msgspec.json.decode(value), entry, recorded, stands.has(entry))
        said.setdefault(thing, []).append(one)
    every = []
    for id_, uid, kind, made in book.rows("SELECT id, uid, kind, entry FROM thing ORDER BY id"):
        mine = said.get(id_, [])
        counts = [each for each in mine if each.stands]
        if not any(each.key == "name" for each in counts) and not _is_used(book, id_, stands):
            continue
        if not stands.has(made):
            # What was said when it came is all that is known of a thing that others rest on.
            counts = [each for each in mine if each.stands or each.entry == made]
        settings = {each.key: each.value for each in counts}
        settings = {key: value for key, value in settings.items() if value is not None}
        every.append(Thing(uid, id_, kind, settings["name"], settings, tuple(mine)))
    return Things(tuple(every))


_USES = (
    "SELECT entry FROM calibration WHERE meter = ?1",
    "SELECT entry FROM point WHERE bottle = ?1",
    "SELECT entry FROM slurry WHERE enclosure = ?1",
    "SELECT entry FROM probing WHERE probe = ?1 OR enclosure = ?1",
    "SELECT entry FROM event WHERE enclosure = ?1",
)


def _is_used(book: Store, thing: int, stands: StandingEntries) -> bool:
    return any(stands.has(entry) for sql in _USES for (entry,) in book.rows(sql, (thing,)))


def free_name(things: Things, kind: str, name: str, *, new: bool = False, but: str | None = None) -> None:
    """See that a name can be given.

    Parameters
    ----------
    things : Things
        What is there.
    kind : str
        What is to be named.
    name : str
        The name.
    new : bool
        Whether it may be close to another one.
    but : str, optional
        Uid of the thing that is to have it.

    Raises
    ------
    Refusal
        If another has it; or has one so close that it may have been meant.
    """
    others = [each for each in things.of(kind, retired=True) if each.uid != but]
    same = next((each for each in others if each.name.casefold() == name.casefold()), None)
    if same is not None:
        raise Refusal(f"there is {with_article(kind)} {quoted(same.name)} already; give another name.")
    meant = None if new else close_name(name, [each.name for each in others])
    if meant:
        raise Refusal(
            f"no {kind} {quoted(name)}; did you mean {quoted(meant)}? Add --new if it is another one."
        )


CLOSE = 0.75
"""Names more alike than this (of difflib's ratio, our own figure) may be slips of one another."""


def close_name(name: str, others: Iterable[str]) -> str | None:
    """Find a name of which another one may be a slip.

    Parameters
    ----------
    name : str
        The new one.
    others : iterable of str
        Those that are there.

    Returns
    -------
    str or None
        The closest; None where none is close. Names that differ by their numbers only are meant to differ.

    Examples
    --------
    >>> close_name("atals", ["window", "atlas"]), close_name("case 2", ["case 1"])
    ('atlas', None)
    """
    from difflib import get_close_matches  # noqa: PLC0415  only a new name needs it

    key = name.casefold()
    bare = re.sub(r"\d+", "#", key)
    known = {
        other.casefold(): other
        for other in others
        if "#" not in bare or re.sub(r"\d+", "#", other.casefold()) != bare
    }
    found = get_close_matches(key, known, n=1, cutoff=CLOSE)
    return known[found[0]] if found else None


def with_article(kind: str) -> str:
    """Write a kind of thing with its article.

    Examples
    --------
    >>> with_article("enclosure"), with_article("meter")
    ('an enclosure', 'a meter')
    """
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def is_steady(thing: Thing | None) -> bool:
    """Tell whether an enclosure is a steady jar."""
    return thing is not None and bool(thing.get("steady"))
