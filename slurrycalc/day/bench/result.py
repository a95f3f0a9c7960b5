"""What a bench day comes to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from slurrycalc.day.bench.table import HeldBack
from slurrycalc.day.months.reading_again import ReadAgain
from slurrycalc.day.record.slurries import Shares
from slurrycalc.deciding.agenda import COMES_OUT
from slurrycalc.deciding.doubt import in_doubt
from slurrycalc.deciding.due import DueItem
from slurrycalc.deciding.judgement import Judgement
from slurrycalc.deciding.steady import SteadyDay
from slurrycalc.deciding.worth import Worth
from slurrycalc.measuring.electrode import BufferCheck, Calibration
from slurrycalc.measuring.probe import Comparison, ProbeResponse, Update
from slurrycalc.measuring.slurry import SlurryResult
from slurrycalc.metrology.annotate import PH, DegCValue, PHValue
from slurrycalc.metrology.figures import in_a_line
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.results import Result, Valued


def in_short(read: Iterable[EnclosureResult | SteadyResult | FreshResult]) -> str:
    """Say of each what it reads, in a line."""
    said = (f"{one.name}: {in_a_line(one.slurry.ph.n, one.interval(), 0.95)}" for one in read)
    return "; ".join(said) or "nothing read"


class Indication(NamedTuple):
    """What a display showed."""

    value: float
    unit: str


@dataclass(frozen=True)
class JarResult(Valued, value="ph", words="pH {}", of="label"):
    """One slurry: what the meter showed and the pH that this means."""

    label: str | None
    enclosure: str | None
    shows: Indication
    ph: PH
    temperature: DegCValue | None
    spot: str | None
    probe: PHValue | None
    note: str
    remarks: tuple[Remark, ...]
    calibration: int = 1
    """Which of the day's it was read under."""


@dataclass(frozen=True, kw_only=True)
class SlurriedResult(Valued, value="slurry.ph", words="pH {}", of="name"):
    """What was read of one substrate on a bench day: its pH, and the jars that it rests on."""

    name: str | None
    """None for a nameless enclosure."""
    day: str
    """The bench day: year, month, day."""
    slurry: SlurryResult
    jars: tuple[str, ...]
    note: str
    remarks: tuple[Remark, ...]
    """What the bench, its slurries and its jars say of it; of an enclosure its judgement as well."""
    earlier: int = 0
    """Jars of that day that were on record already, and count as well."""
    shares: Shares | None = None
    """How much of its scatter rests on what, where the record was asked."""


@dataclass(frozen=True, kw_only=True)
class EnclosureResult(SlurriedResult, says=("judgement.sentences",)):
    """One enclosure: its pH, and where it stands against its own limits."""

    judgement: Judgement
    again: ReadAgain | None = None
    """By when it is to be read again, where it is on record."""
    first: DueItem | None = None
    """The first thing to do of it, as the agenda says it, where it is on record."""
    usual: bool = field(default=False, metadata={"json": False})
    """Whether range or floor are taken, since nobody set them."""
    changed: str | None = None
    """The day since on which something was done that changes its pH, if any: year, month, day."""

    @property
    def settled(self) -> bool:
        """Whether nothing asks for something now: neither a reading that leaves a doubt, nor the agenda."""
        return self.judgement.settled and (self.first is None or self.first.days > 0)

    @property
    def asks_exchange(self) -> bool:
        """Whether a part is to be exchanged now: by the agenda, or by what was read where none is kept."""
        if self.first is None:
            return self.judgement.ready
        return self.first.days <= 0 and self.first.task in COMES_OUT

    @property
    def act(self) -> bool:
        """Whether it is sure enough to be acted on, by readings that are not in doubt."""
        return self.judgement.ready and self.changed is None


@dataclass(frozen=True, kw_only=True)
class SteadyResult(SlurriedResult, says=("said",)):
    """The steady jar: its pH, and what that says of the bench. It has no range and no floor."""

    name: str
    said: SteadyDay

    @property
    def settled(self) -> bool:
        """Whether it raises no alarm, by a reading that is not in doubt."""
        return self.said.state != "alarm" and not in_doubt(self.remarks)


@dataclass(frozen=True, kw_only=True)
class FreshResult(SlurriedResult):
    """A tub of fresh mix: its pH. It has no range and no floor."""

    name: str

    @property
    def settled(self) -> bool:
        """Whether the bench that it was read on is not in doubt."""
        return not in_doubt(self.remarks)


@dataclass(frozen=True)
class ProbeResult(Result, says=("comparison", "response", "worth"), of="name"):
    """The soil probe against the slurries of the same spots."""

    name: str | None
    jars: tuple[str, ...]
    comparison: Comparison
    response: ProbeResponse
    worth: Worth
    bed: str | None
    """The bed whose record it is held against, that of its newest pair; None where none is on record."""
    next: Update | None
    """What the declared next indication means, wherever that will be; None where none was declared."""
    judgement: Judgement | None
    """Where that stands, against the limits of the enclosure that asks the most of a probe."""
    do: str | None
    """What to do then."""
    earlier: int = 0
    """Pairs that were on record already, and count as well."""


@dataclass(frozen=True)
class CheckResult(Result, says=("text",)):
    """A check bottle that was read among the jars."""

    check: BufferCheck
    jars: tuple[str, ...]
    """Those that stand or fall with it: read since the check before it, and after the last one."""

    @property
    def text(self) -> str:
        """The sentence that a person reads."""
        if not self.jars:
            return self.check.text
        named = f"jar {self.jars[0]}" if len(self.jars) == 1 else f"jars {', '.join(self.jars)}"
        return f"{self.check.text} {'It clears' if self.check.agrees else 'In doubt:'} {named}."

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """What must be said of it."""
        return () if self.check.agrees else (Remark("check-disagrees", self.text),)


@dataclass(frozen=True)
class DayResult(Result, of="date"):
    """A whole bench day."""

    date: str | None
    """Year, month, day."""
    by: str | None
    note: str
    calibration: Calibration
    """The last one."""
    check: BufferCheck | None
    enclosures: tuple[EnclosureResult, ...]
    """Worst first."""
    jars: tuple[JarResult, ...]
    probe: ProbeResult | None
    held_back: tuple[HeldBack, ...]
    cautions: tuple[str, ...]
    remarks: tuple[Remark, ...]
    before: tuple[Calibration, ...] = ()
    """Earlier calibrations of the day, which some jars were read under."""
    steady: tuple[SteadyResult, ...] = ()
    """The steady jars among what was read."""
    fresh: tuple[FreshResult, ...] = ()
    """The tubs of fresh mix among it."""
    checks: tuple[CheckResult, ...] = ()
    """Check bottles that were read among the jars, in their order."""

    def _body(self) -> str:
        return in_short(self.read)

    @property
    def read(self) -> tuple[EnclosureResult | SteadyResult | FreshResult, ...]:
        """Everything that was read, whatever it is: the beds, the steady jars, the fresh mixes."""
        return (*self.enclosures, *self.steady, *self.fresh)
