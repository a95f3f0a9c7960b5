"""The keeper of one step: what it takes from the record, and what it will add to it."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cached_property
from hashlib import blake2b
from typing import Any, NamedTuple

from slurrycalc.day.record.setting import spoken
from slurrycalc.logbook.calibrations import bottle_of
from slurrycalc.logbook.forms import VALUES
from slurrycalc.logbook.own import reader, taken_from_kit
from slurrycalc.logbook.readings import Readings
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import Saved, record, refuse_misdated
from slurrycalc.logbook.refs import Ref
from slurrycalc.logbook.settings import LIKE, ThingKind
from slurrycalc.logbook.step import NOTHING, Step
from slurrycalc.logbook.store import Store
from slurrycalc.logbook.things import Thing, free_name
from slurrycalc.measuring.electrode.buffer_kinds import known_label
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.metrology.names import plain_name
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.uncertain import Inputs

UNKNOWN = 0
"""Number of a thing that is not on record yet; nothing on record bears it."""


class After(NamedTuple):
    """The record as it will be with a step."""

    recall: Recall
    entry: int
    """Number of the step's entry there."""


def uid_of(kind: ThingKind, name: str) -> str:
    """Give a thing of a session without a record a uid that its name alone decides."""
    return blake2b(f"{kind}:{name.casefold()}".encode(), digest_size=10).hexdigest()


class Keeper:
    """What one step takes from the record, and what it will add to it.

    Everything that is computed with its help bears the keys under which the record finds it again, so that
    what is shown now and what is recalled later are the same numbers.

    Parameters
    ----------
    book : Store
        The record as it is now; reading suffices.
    step : Step
        What is being done.
    now : datetime
        The present, with its offset from UTC.
    new : bool
        Whether names that are not on record are added, close to others or not.
    tries : bool
        Whether the step is only tried, and will not be recorded.
    kept : bool
        Whether the step concerns a record that somebody keeps; False where nothing is named, and the record
        is one in memory that is gone afterwards.
    inputs : Inputs, optional
        Where the errors of named things are kept; by default the session's.
    sure : callable, optional
        Asks a person whether something is meant, where there is somebody to ask.

    Raises
    ------
    Refusal
        If the day of the step cannot be meant.

    Examples
    --------
    >>> from slurrycalc.logbook.refs import When
    >>> from slurrycalc.logbook.store import in_memory
    >>> now = datetime.datetime(2024, 5, 4, 10, 30, tzinfo=datetime.UTC)
    >>> keeper = Keeper(in_memory(), Step("read", When(now)), now=now, new=True)
    >>> keeper.thing("enclosure", "atlas").name
    'atlas'
    >>> keeper.remarks[0].text
    'New on record: enclosure atlas.'
    """

    def __init__(
        self,
        book: Store,
        step: Step,
        *,
        now: datetime.datetime,
        new: bool = False,
        tries: bool = False,
        kept: bool = True,
        inputs: Inputs | None = None,
        sure: Callable[[str], bool] | None = None,
    ) -> None:
        refuse_misdated(step, now)
        self.step = step
        self.now = now
        self.new = new
        self.tries = tries
        self.sure = sure or (lambda question: False)
        self.kept = kept
        self.recall = Recall(book, inputs)
        self._mine: dict[tuple[str, str], Thing] = {}
        self._added: list[Thing] = []
        self._said: list[Remark] = []
        self.from_kit: dict[str, str] = {}
        """What the step did not name and the keeper's kit gave: a kind, or the reader, to its name."""
        if kept and step.keeper is None and (who := reader(self.recall.things, self.day)) is not None:
            step.keeper = self.from_kit["reader"] = who

    @property
    def inputs(self) -> Inputs:
        """Where the errors of named things are kept."""
        return self.recall.inputs

    @property
    def day(self) -> datetime.date:
        """The local day of the step."""
        return self.step.when.day

    @cached_property
    def readings(self) -> Readings:
        """Every reading of the local day of the step that is on record."""
        return self.recall.readings(since=self.day, until=self.day, every=True)

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """What must be said of the things that were used: new ones, changed ones."""
        said = [*taken_from_kit(self.from_kit), *self._said]
        if self._added and self.kept:
            names = ", ".join(f"{thing.kind} {thing.name}" for thing in self._added)
            said.insert(0, Remark("new-on-record", f"{self._new} on record: {names}."))
        return tuple(said)

    @property
    def _new(self) -> str:
        return "Not yet" if self.tries else "New"

    def known(self, kind: ThingKind, name: str, *, adds: bool = False) -> Thing | None:
        """Find a thing by its name, or see that the name may be given to a new one.

        Parameters
        ----------
        kind : str
            What it is.
        name : str
            As typed; capitals make no difference.
        adds : bool
            Whether the step declares it, and so adds it where it is not on record.

        Returns
        -------
        Thing or None
            None where `thing` would add it.

        Raises
        ------
        Refusal
            If nothing is called so and nothing may be added, if it is close to another name, or if it was
            retired before that day.
        """
        name = plain_name(name, kind, LIKE[kind])
        mine = self._mine.get((kind, name.casefold()))
        if mine is not None:
            return mine
        things = self.recall.things
        if things.seek(kind, name) is None and (adds or self.new):
            free_name(things, kind, name, new=self.new)
            return None
        return things.find(kind, name, self.day)

    def thing(
        self,
        kind: ThingKind,
        name: str,
        *,
        declared: Mapping[str, Any] = NOTHING,
        fresh: Mapping[str, Any] = NOTHING,
        adds: bool = False,
    ) -> Thing:
        """Find a thing by its name, or add it.

        Parameters
        ----------
        kind : str
            What it is.
        name : str
            As typed; capitals make no difference.
        declared : mapping
            What the step says of it; on record from now on where it differs. None says nothing.
        fresh : mapping
            What to note of it besides if it is new.
        adds : bool
            Whether the step declares it, and so adds it where it is not on record.

        Returns
        -------
        Thing
            With what is said of it from now on.

        Raises
        ------
        Refusal
            As for `known`.
        """
        known = self.known(kind, name, adds=adds)
        if known is None:
            return self._add(kind, name, {**fresh, **declared})
        return self._declare(known, declared)

    def bottle(self, given: str | Bottle) -> Bottle:
        """Find the bottle that a point means; one that is not on record is added.

        Parameters
        ----------
        given : str or Bottle
            A name or a label, or a named bottle with what stands on it.

        Returns
        -------
        Bottle
            Whose error is found again by the record.

        Raises
        ------
        Refusal
            If several bottles bear the label, the named one bears another, or it was retired.
        """
        thing = self._declared_bottle(given) if isinstance(given, Bottle) and given.name else None
        if thing is None:
            thing = self._meant_bottle(given.label if isinstance(given, Bottle) else given)
        return bottle_of(thing)

    def after(self) -> After:
        """Give the record as it will be with this step, without touching the file.

        What is shown is computed from it, so that the same is computed when it is recalled.

        Raises
        ------
        Refusal
            If the step cannot stand beside what is on record.
        LogbookFault
            If the file cannot be read.
        """
        book = self.recall.book.copy()
        # Whether names are close to others was settled when they were given.
        saved = record(book, self.step, self.now, new=True)
        return After(Recall(book, self.inputs), saved.id.entry)

    def next_value(self) -> Ref:
        """Say what the next value of the step will be called, so that its errors can bear their key before.

        Returns
        -------
        Ref
            Of the next point, reading, indication or event.
        """
        return Ref(self.step.uid, 1 + sum(len(self.step.rows[name]) for name in VALUES))

    def say(self, kind: str, text: str) -> None:
        """Note once what must be said with the result."""
        remark = Remark(kind, text)
        if remark not in self._said:
            self._said.append(remark)

    def record(self, book: Store) -> Saved:
        """Put the step on record.

        Parameters
        ----------
        book : Store
            The same one, open for writing.

        Returns
        -------
        Saved
            What it is called.

        Raises
        ------
        Refusal
            If a name was taken meanwhile, or what it rests on was struck out.
        LogbookFault
            If the file cannot be written.
        """
        # Whether names are close to others was settled when they were given.
        return record(book, self.step, self.now, new=True)

    def _add(self, kind: ThingKind, name: str, settings: Mapping[str, Any]) -> Thing:
        name = plain_name(name, kind, LIKE[kind])
        said = {key: value for key, value in settings.items() if value is not None}
        # Without a record that lasts, what bears the same name in one session is the same thing all the same.
        known_by_label = name == said.get("label")
        uid = None if self.kept or known_by_label else uid_of(kind, name)
        uid = self.step.thing(kind, name, said, uid)
        thing = Thing(uid, UNKNOWN, kind, name, {"name": name, **said}, ())
        self._added.append(thing)
        return self._keep(thing)

    def _keep(self, thing: Thing) -> Thing:
        self._mine[thing.kind, thing.name.casefold()] = thing
        return thing

    def _declare(self, thing: Thing, declared: Mapping[str, Any]) -> Thing:
        """Put what is declared of a thing on record where it differs."""
        settings = dict(thing.settings)
        for key, value in declared.items():
            was = settings.get(key)
            if value is None or value == was:
                continue
            self.step.setting(thing.uid, key, value)
            settings[key] = value
            if was is not None:
                new = "would be" if self.tries else "is from now on"
                self.say(
                    "setting-changed", f"{thing.name}: {key} {new} {spoken(value)}; it was {spoken(was)}."
                )
        return self._keep(replace(thing, settings=settings))

    def _declared_bottle(self, bottle: Bottle) -> Thing:
        name = str(bottle.name)
        known = self.known("bottle", name, adds=True)
        if known is not None and known.get("label") != bottle.label:
            raise Refusal(
                f"bottle {quoted(known.name)} bears {known.get('label')} on record, not {bottle.label}: give "
                "another bottle a name of its own."
            )
        said = {"label": bottle.label, "tolerance": bottle.tolerance, "measured": bottle.measured}
        return self.thing("bottle", name, declared=said, adds=True)

    def _meant_bottle(self, text: str) -> Thing:
        text = text.strip()
        mine = self._mine.get(("bottle", text.casefold()))
        if mine is not None:
            return mine
        things, label = self.recall.things, self._label(text)
        named = things.seek("bottle", text)
        if label is None or (named is not None and named.is_live(self.day)):
            found = things.bottle(text, self.day)
            assert isinstance(found, Thing)
            self._say_others(found)
            return self._keep(found)
        # A label, even if a bottle that is used up was called by it.
        bearing = [one for one in things.of("bottle", self.day) if one.get("label") == label]
        if len(bearing) > 1:
            names = ", ".join(one.name for one in bearing)
            raise Refusal(f"{quoted(text)} is the label of several bottles; name one of them: {names}.")
        if bearing:
            return self._mine.get(("bottle", bearing[0].name.casefold())) or self._keep(bearing[0])
        new = next((one for one in self._mine.values() if self._is_new_bottle(one, label)), None)
        return new or self._add("bottle", self._free(label), {"label": label})

    def _is_new_bottle(self, one: Thing, label: str) -> bool:
        return one.id == UNKNOWN and one.kind == "bottle" and one.get("label") == label

    def _say_others(self, found: Thing) -> None:
        """Say which other bottles a label could mean that is also the name of one."""
        label = found.get("label")
        if found.name != label:
            return
        others = [
            one.name
            for one in self.recall.things.of("bottle", self.day)
            if one.get("label") == label and one.uid != found.uid
        ]
        if others:
            self.say(
                "other-bottle",
                f"{label} was taken for the bottle of that name; {', '.join(others)} bears that label too. "
                f"If the first is used up: slurrycalc kit bottle {label} --retired today",
            )

    def _label(self, text: str) -> str | None:
        try:
            return known_label(text)
        except Refusal:
            return None

    def _free(self, label: str) -> str:
        """Find a name for a new bottle that is known by its label only."""
        things, n = self.recall.things, 1
        while things.seek("bottle", label if n == 1 else f"{label} no. {n}") is not None:
            n += 1
        return label if n == 1 else f"{label} no. {n}"
