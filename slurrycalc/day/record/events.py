"""What was done to an enclosure, or befell it."""

from __future__ import annotations

from dataclasses import dataclass

from slurrycalc.data.events import EVENTS
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.metrology.names import near
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units.amounts import Amount
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

    @property
    def text(self) -> str:
        """Say it in a line."""
        amount = "" if self.amount is None else f", {Amount(self.amount, self.unit or '').words}"
        return f"{self.kind}{amount}" + (f": {self.note}" if self.note else "")


def add_event(
    keeper: Keeper, enclosure: str, kind: str, amount: str | None = None, note: str | None = None
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
        How much, by volume or by mass.
    note : str, optional
        In the keeper's own words.

    Returns
    -------
    Event
        As it will be recorded, the amount as it was typed.

    Raises
    ------
    Refusal
        If no enclosure or no kind of event is called so, or the amount is none.
    """
    thing = keeper.thing("enclosure", enclosure)
    word = "-".join(kind.casefold().split())
    if word not in EVENTS:
        meant = near(word, EVENTS)
        guess = f"did you mean {meant}?" if meant else f"write one of {', '.join(EVENTS)}."
        raise Refusal(f"{quoted(kind)} is no kind of event; {guess}")
    number, unit = (None, None) if amount is None else as_typed(amount, ("volume", "mass"))
    keeper.step.event(thing.uid, word, amount=number, unit=unit, note=note)
    return Event(thing.name, word, number, unit, (note or "").strip() or None)
