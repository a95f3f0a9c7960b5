"""What a command hands back: a result, how to show it, and what must be said with it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain
from typing import TYPE_CHECKING, Generic, TypeVar

from slurrycalc.metrology.remark import Remark

if TYPE_CHECKING:
    from slurrycalc.report.page import Block, Page


Result_co = TypeVar("Result_co", covariant=True)


@dataclass(frozen=True)
class Outcome(Generic[Result_co]):
    """The end of a command: ``--json`` writes its `result`, a person sees its `page`."""

    result: Result_co
    """A frozen dataclass whose annotations carry the units."""
    page: Page
    """What a person sees of it."""
    remarks: tuple[Remark, ...] = ()
    """The flags of the result, for the ``warnings`` of the JSON object. The page says them itself."""
    needs_action: bool = False
    """Whether ``--strict`` makes this exit with status 1."""
    failed: bool = False
    """Whether this exits with status 1 without being asked."""
    minds: bool = True
    """Whether the command's cautions belong to it; a day that was only stopped has nothing new to mind."""
    step: str | None = None
    """Whose cautions these are, where not the command's own: a kind of event's."""
    last: str = ""
    """The line that a person leaves with, after everything else."""
    foot: Page = ()
    """What stands below even that line."""
    rests: str = ""
    """What the answer rests on, in a few words."""
    again: str = ""
    """The line that shows the evidence, where the same line once more would be another step."""
    p: float = 0.95
    """Coverage probability of the intervals in the JSON object. [1]"""
    long: Iterable[Block] = ()
    """What follows on a page of any length: it is made while it is drawn."""

    @property
    def whole(self) -> Page:
        """The page with what is to be minded and what must be said of the clock."""
        return tuple(self.blocks)

    @property
    def blocks(self) -> Iterator[Block]:
        """The same, one block after the other."""
        from slurrycalc.report.page import Cautions, noted

        return chain(self.page, self.long, (Cautions(), noted(self.clock)))

    @property
    def clock(self) -> tuple[Remark, ...]:
        """What must be said of the clock that the step was recorded by."""
        said = getattr(getattr(self.result, "saved", None), "clock", None)
        return () if said is None else (Remark("clock-behind", said),)

    @property
    def saved(self) -> str | None:
        """Number of the entry that holds the step, where it is on record."""
        saved = getattr(self.result, "saved", None)
        return saved if saved is None or isinstance(saved, str) else saved.id
