"""What is known of the room before a guided bench day begins."""

from __future__ import annotations

import datetime
from collections.abc import Collection
from dataclasses import dataclass
from math import prod
from typing import Any, Literal

from slurrycalc.logbook.calibrations import bottle_dates
from slurrycalc.logbook.own import own, reader
from slurrycalc.logbook.things import Thing, Things
from slurrycalc.measuring.electrode.buffers import Bottle, buffer_ph
from slurrycalc.metrology.remark import Refusal

NEUTRAL = 7.0
"""The bottle nearest to it is read first. [pH]"""


@dataclass(frozen=True)
class KnownCase:
    """An enclosure on record."""

    name: str
    bed: float | None = None
    """Volume of its substrate. [mL]"""
    steady: bool = False
    """Whether it is a steady jar, which no probe goes into."""
    fresh: bool = False
    """Whether it is a tub of fresh mix, where pairs show whether a probe follows at all."""


@dataclass(frozen=True)
class KnownMeter:
    """A meter on record."""

    name: str
    shows: Literal["mV", "pH"] | None = None
    compensates: bool = True


@dataclass(frozen=True)
class KnownBottle:
    """A bottle on record."""

    name: str
    label: str
    opened: datetime.date | None = None
    expires: datetime.date | None = None
    lot: str | None = None


@dataclass(frozen=True)
class Room:
    """Enclosures and kit that are in use; an empty one before the first bench day.

    Examples
    --------
    >>> Room().meters
    ()
    """

    cases: tuple[KnownCase, ...] = ()
    meters: tuple[KnownMeter, ...] = ()
    bottles: tuple[KnownBottle, ...] = ()
    probes: tuple[str, ...] = ()
    cup: str | None = None
    """As :func:`slurrycalc.metrology.units.parse` takes it."""
    retired: tuple[str, ...] = ()
    """Enclosures that are no longer in use."""
    taken: tuple[tuple[str, str], ...] = ()
    """Enclosure and label of the jars that are on record for this day."""
    own_meter: str | None = None
    """Name of the keeper's own, where there is one."""
    own_probe: str | None = None
    reader: str | None = None
    """Who reads, where the kit names somebody."""

    def case(self, name: str) -> KnownCase | None:
        """Give the enclosure of a name, capitals making no difference."""
        return next((case for case in self.cases if case.name.casefold() == name.casefold()), None)

    def is_steady(self, name: str) -> bool:
        """Tell whether a name is that of a steady jar."""
        known = self.case(name)
        return known is not None and known.steady

    def is_fresh(self, name: str) -> bool:
        """Tell whether a name is that of a tub of fresh mix."""
        known = self.case(name)
        return known is not None and known.fresh

    def meter(self, name: str) -> KnownMeter | None:
        """Give the meter of a name, capitals making no difference."""
        return next((meter for meter in self.meters if meter.name.casefold() == name.casefold()), None)

    def bottle(self, text: str) -> KnownBottle | None:
        """Give the bottle of a name, capitals making no difference."""
        return next((one for one in self.bottles if one.name.casefold() == text.casefold()), None)

    def label(self, bottle: str) -> str:
        """Give what stands on a bottle that is meant by its name or its label."""
        known = self.bottle(bottle)
        return bottle if known is None else known.label

    def poured(self, bottle: str) -> Bottle:
        """Give a bottle that is meant by its name or its label, with its dates."""
        known = self.bottle(bottle)
        if known is None:
            return Bottle(bottle)
        return Bottle(known.label, known.name, opened=known.opened, expires=known.expires)

    def called(self, bottle: str) -> str:
        """Say a bottle's label, and its name where it has another.

        Examples
        --------
        >>> Room(bottles=(KnownBottle("acid 2", "4.01"),)).called("acid 2"), Room().called("7.00")
        ('4.01 (acid 2)', '7.00')
        """
        label = self.label(bottle)
        return label if bottle == label else f"{label} ({bottle})"

    def taken_for(self, by: str | None) -> dict[str, str]:
        """Give what the kit settles, of a day at which that person reads.

        Examples
        --------
        >>> Room(own_meter="desk", reader="Kim").taken_for("Kim")
        {'meter': 'desk', 'reader': 'Kim'}
        """
        taken = {"meter": self.own_meter, "probe": self.own_probe, "reader": self.reader}
        return {kind: name for kind, name in taken.items() if name and (kind != "reader" or name == by)}

    def only_bottles(self) -> tuple[str, ...]:
        """Give the bottles by name in the order of reading, where there is no choice between them."""
        labels = [bottle.label for bottle in self.bottles]
        if len(labels) != 2 or not far_apart(labels):
            return ()
        return neutral_first([bottle.name for bottle in self.bottles], self)


def far_apart(labels: list[str]) -> bool:
    """Tell whether bottles are far enough apart for a calibration: 1 pH or more.

    Examples
    --------
    >>> far_apart(["7.00", "4.01"]), far_apart(["7.00", "7.00"])
    (True, False)
    """
    values = [buffer_ph(label) for label in labels]
    return max(values) - min(values) >= 1.0


def neutral_first(bottles: list[str], room: Room) -> tuple[str, ...]:
    """Put the bottle nearest to neutral first, the others as they came.

    Examples
    --------
    >>> neutral_first(["4.01", "7.00"], Room())
    ('7.00', '4.01')
    """
    first = min(bottles, key=lambda bottle: abs(buffer_ph(room.label(bottle)) - NEUTRAL))
    return first, *(bottle for bottle in bottles if bottle != first)


def room_of(
    things: Things,
    day: datetime.date,
    taken: tuple[tuple[str, str], ...] = (),
    of_salts: Collection[int] = (),
) -> Room:
    """Gather what the record knows of the room.

    Parameters
    ----------
    things : Things
        All that the logbook knows.
    day : date
        The bench day; what was retired before is left out.
    taken : tuple of (str, str)
        Enclosure and label of the jars that are on record for that day.
    of_salts : collection of int
        Numbers of the meters that showed conductivity; where nothing else is known of one, it shows no pH.

    Returns
    -------
    Room
        What is in use.
    """
    cups = things.of("cup", day)
    live = things.of("enclosure", day)
    return Room(
        cases=tuple(
            KnownCase(thing.name, _bed(thing), bool(thing.get("steady")), bool(thing.get("fresh")))
            for thing in live
        ),
        meters=tuple(
            KnownMeter(thing.name, thing.get("shows"), thing.get("compensates") is not False)
            for thing in things.of("meter", day)
            if thing.get("shows") or thing.id not in of_salts
        ),
        bottles=tuple(
            KnownBottle(thing.name, thing.get("label"), *bottle_dates(thing), thing.get("lot"))
            for thing in things.of("bottle", day)
            if _has_table(thing.get("label"))
        ),
        probes=tuple(thing.name for thing in things.of("probe", day)),
        cup=f"{cups[-1].get('volume'):g} mL" if cups and cups[-1].get("volume") else None,
        retired=tuple(thing.name for thing in things.of("enclosure", retired=True) if thing not in live),
        taken=taken,
        own_meter=_name(own(things, "meter", day)),
        own_probe=_name(own(things, "probe", day)),
        reader=reader(things, day),
    )


def _name(thing: Thing | None) -> str | None:
    return None if thing is None else thing.name


def _bed(thing: Thing) -> float | None:
    """Give the volume of an enclosure's substrate, where its size is known. [mL]."""
    return None if thing.sides is None else prod(thing.sides)


def _has_table(label: Any) -> bool:
    try:
        buffer_ph(label)
    except (Refusal, TypeError):
        return False
    return True
