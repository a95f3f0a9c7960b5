"""What was done to an enclosure, or befell it."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass

from slurrycalc.data.events import EVENTS, PERCENT
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.day.record.tubs import refuse_no_tub, tub_ph, untried
from slurrycalc.deciding.days import spoken
from slurrycalc.logbook.refs import Ref
from slurrycalc.logbook.things import Thing
from slurrycalc.logbook.volumes import volume_of
from slurrycalc.metrology.names import near
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import magnitude, stated
from slurrycalc.metrology.units.amounts import Amount, unit_of, volume_words
from slurrycalc.metrology.units.amounts import amount as as_typed


@dataclass(frozen=True)
class Event:
    """One event."""

    enclosure: str
    kind: str
    amount: float | None
    """In `unit`."""
    unit: str | None
    note: str | None
    mix: str | None = None
    """Of an exchange, which fresh mix went in: its tub, or its pH."""

    @property
    def text(self) -> str:
        """Say it in a line."""
        amount = "" if self.amount is None else f", {Amount(self.amount, self.unit or '').words}"
        mix = "" if self.mix is None else f" for {self.mix}"
        return f"{self.kind}{amount}{mix}" + (f": {self.note}" if self.note else "")


def add_event(
    keeper: Keeper,
    enclosure: str,
    kind: str,
    amount: str | None = None,
    note: str | None = None,
    *,
    fresh: str | None = None,
) -> Event:
    """Put an event into a step.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    enclosure : str
        Its name.
    kind : str
        One of `EVENTS`, as typed.
    amount : str, optional
        How much, by volume or by mass; of an exchange also as a part of the bed.
    note : str, optional
        In the keeper's own words.
    fresh : str, optional
        Of an exchange, the fresh mix that went in: the name of its tub, or its pH. [pH]

    Returns
    -------
    Event
        As it will be recorded, the amount as it was typed.

    Raises
    ------
    Refusal
        If no enclosure or no kind of event is called so, the amount is none or more than the bed holds, or
        a mix is named that is none, or of what is no exchange.
    """
    thing = keeper.thing("enclosure", enclosure)
    word = "-".join(kind.casefold().split())
    if word not in EVENTS:
        meant = near(word, EVENTS)
        guess = f"did you mean {meant}?" if meant else f"write one of {', '.join(EVENTS)}."
        raise Refusal(f"{quoted(kind)} is no kind of event; {guess}")
    exchange = word == "exchange"
    number, unit = (None, None) if amount is None else _much(amount, thing, exchange=exchange)
    if fresh is not None and not exchange:
        raise Refusal(f"--fresh {quoted(fresh)} is said of an exchange, and this is {word}: leave it away.")
    done = keeper.step.event(thing.uid, word, amount=number, unit=unit, note=note)
    tub = None if fresh is None else keeper.recall.things.seek("enclosure", fresh)
    mix = None if fresh is None else _mixed_in(keeper, done, fresh, tub)
    for remark in () if fresh is None else untried(keeper.recall, tub, thing, until=keeper.day):
        keeper.say(remark.kind, remark.text)
    noted = Event(thing.name, word, number, unit, (note or "").strip() or None, mix)
    if exchange and thing.is_bed:
        _say_what_is_missing(keeper, thing, noted)
        if tub is not None and tub_ph(keeper.recall, tub, keeper.day) is None:
            keeper.say(
                "mix-not-read",
                f"{tub.name} has no reading by {spoken(keeper.day)}, so what this exchange does stays "
                "unknown: strike it out and note it again with what the mix read, such as --fresh 6.4+-0.2.",
            )
    return noted


def _much(amount: str, bed: Thing, *, exchange: bool) -> tuple[float, str]:
    """Read an amount; of an exchange it may be a part of the bed, and is no more than there is."""
    part = None
    if exchange:
        with suppress(Refusal):
            part = magnitude(amount, "number")
    if part is not None:
        if not 0.0 < part <= 1.0:
            raise Refusal(f"{quoted(amount)} is no part of a bed: give such as 1/3, 30 % or 3 L.")
        return 100.0 * part, PERCENT
    number, unit = as_typed(amount, ("volume", "mass"))
    volume = volume_of(bed) if exchange and unit_of(unit, ("volume",)) else None
    if volume is not None and magnitude(amount, "volume") > volume[0]:
        raise Refusal(
            f"{quoted(amount)} is more than the bed of {quoted(bed.name)} holds, {volume_words(volume[0])} "
            f"({volume[1]}): give what was taken out, or correct its size."
        )
    return number, unit


def _mixed_in(keeper: Keeper, done: Ref, fresh: str, tub: Thing | None) -> str:
    """Put into the step which fresh mix went in, and say it."""
    if tub is not None:
        refuse_no_tub(tub)
        keeper.step.mix(done, tub.uid, None, None)
        return tub.name
    if not any(character.isdigit() for character in fresh):
        raise Refusal(
            f"no tub of fresh mix is called {quoted(fresh)}: name one on record, or give what the mix read, "
            "--fresh 6.6+-0.2."
        )
    value, half = stated(fresh, "ph")
    keeper.step.mix(done, None, value, half)
    return f"a mix of pH {value:g}" + ("" if half is None else f" ± {half:g}")


def _say_what_is_missing(keeper: Keeper, bed: Thing, done: Event) -> None:
    """Say what is missing for the bed's model to learn from an exchange."""
    missing, unit = [], done.unit
    if done.amount is None:
        missing.append("how much (--amount 1/3)")
    elif unit != PERCENT and not unit_of(unit or "", ("volume",)):
        missing.append("how much by volume, or as a part of the bed (--amount 1/3)")
    elif unit != PERCENT and volume_of(bed) is None:
        missing.append("how large the bed is (--size and --bed-depth of slurrycalc enclosure)")
    if done.mix is None:
        missing.append("of which mix (--fresh NAME or --fresh 6.6+-0.2)")
    if missing:
        keeper.say(
            "exchange-not-learnt",
            f"Not on record: {' and '.join(missing)}. So nothing is known of the bed's pH until it is read "
            "again, and how the bed buffers cannot be learnt from this exchange.",
        )
