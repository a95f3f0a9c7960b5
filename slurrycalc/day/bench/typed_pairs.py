"""Pairs of a probe's indication and a slurry as they are typed, and which of them are on record already."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import NamedTuple

from slurrycalc.day.record.keeper import Keeper
from slurrycalc.day.record.slurries import RATIO
from slurrycalc.logbook.calibrations import Place
from slurrycalc.logbook.past import Once, pairs, same_typed
from slurrycalc.logbook.refs import Id, Ref
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.wording import typed as plain
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import NORMAL_95
from slurrycalc.metrology.units import stated

ON_RECORD = "#"
"""Begins the number of a reading on record, where a slurry's pH could stand."""


class Typed(NamedTuple):
    """A pair as it was typed: what the probe showed [pH], and the slurry of that spot."""

    shows: float
    enclosure: Thing | None
    on_record: tuple[Place, Ref, str | None] | None = None
    """The jar of a slurry on record, and its spot."""
    value: float = 0.0
    """Else its pH. [pH]"""
    half: float | None = None
    """A 95 % half-width that was stated of it. [pH]"""

    @property
    def same(self) -> Hashable:
        """What a pair on record has alike that is the same one."""
        if self.on_record is not None:
            return self.on_record[0], self.shows
        return same_typed(None if self.enclosure is None else self.enclosure.uid, self.shows, self.value)


def pair_of(keeper: Keeper, shows: float, slurry: str, enclosure: Thing | None) -> Typed:
    """Take in a pair. [pH]."""
    if slurry.startswith(ON_RECORD):
        return _of_record(keeper, shows, slurry, enclosure)
    return Typed(shows, enclosure, None, *stated(slurry, "ph"))


def new_ones(keeper: Keeper, probe: Thing | None, wanted: Sequence[Typed]) -> list[Typed]:
    """Leave out the pairs that are on record: typed twice, they would narrow the offset by nothing seen."""
    stick = None if probe is None else keeper.recall.things.by_uid.get(probe.uid)
    known = () if stick is None else pairs(keeper.recall, stick)
    by_jar = {pair.jar: pair for pair in known}
    taken = {pair.same for pair in known}
    for one in wanted:
        other = None if one.on_record is None else by_jar.get(one.on_record[0])
        if other is not None and one.same not in taken:
            raise Refusal(
                f"that slurry has its pair, {plain(other.shows)} by the probe ({other.id}), and a pair of it "
                f"with {plain(one.shows)} would be a second: if {other.id} is wrong, write slurrycalc fix "
                f"{other.id} {plain(one.shows)}."
            )
    once = Once(known)
    return [one for one in wanted if once.adds(one.same, "typed" if one.on_record is None else None)]


def say_known(keeper: Keeper, n: int, known: int) -> None:
    """Say how many of n typed pairs are on record already."""
    if not known:
        return
    if known < n:
        were = "was" if known == 1 else "were"
        text = f"{known} of the {n} that you typed {were} on record already; one pair counts once."
    elif n == 1:
        text = "This pair is on record already; one pair counts once, and nothing is added."
    else:
        text = f"These {n} pairs are on record already; one pair counts once, and nothing is added."
    keeper.say("pairs-on-record", text)


def enter_pair(keeper: Keeper, pair: Typed, probe: Thing | None) -> None:
    """Put a pair into the step."""
    if pair.on_record is not None:
        _, jar, spot = pair.on_record
    else:
        # That slurry may have been read and recorded as well, so it counts for the probe and not once more
        # for the enclosure.
        jar, spot, half = keeper.step.slurry(ratio=RATIO), None, pair.half
        keeper.step.reading(jar, None, pair.value, u=None if half is None else half / NORMAL_95)
    keeper.step.probing(
        pair.shows,
        probe=None if probe is None else probe.uid,
        enclosure=None if pair.enclosure is None else pair.enclosure.uid,
        slurry=jar,
        spot=spot,
    )


def _of_record(keeper: Keeper, shows: float, reading: str, enclosure: Thing | None) -> Typed:
    """Find a slurry that was read and recorded before."""
    if not keeper.kept:
        raise Refusal(f"{quoted(reading)} is a reading on record: name the probe, --probe NAME, to take it.")
    wanted = Id.of(reading)
    recall = keeper.recall
    rows = [row for row in recall.readings(entries=[wanted.entry]).rows if wanted.n in (None, row.n)]
    if len(rows) != 1:
        several = ", ".join(f"#{Id(row.entry, row.n)}" for row in rows)
        why = f"several readings stand there: {several}" if rows else "no reading of that number stands"
        raise Refusal(f"`#{wanted}` is no slurry to compare with: {why}; look in slurrycalc history.")
    (row,) = rows
    place = None if row.enclosure is None else recall.things.by_id[row.enclosure]
    if enclosure is not None and place is not None and place.uid != enclosure.uid:
        raise Refusal(f"`#{wanted}` is a slurry of {place.name}, not of {enclosure.name}.")
    uid = recall.book.rows("SELECT uid FROM entry WHERE id = ?", row.slurry[:1])[0][0]
    return Typed(shows, enclosure or place, (row.slurry, Ref(uid, row.slurry[1]), row.spot))
