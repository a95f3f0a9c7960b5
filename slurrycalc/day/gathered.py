"""What was read in a day, enclosure by enclosure, before and after it is judged."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from slurrycalc.day.result import EnclosureResult, FreshResult, JarResult, SteadyResult
from slurrycalc.day.shares import Shares
from slurrycalc.deciding.doubt import in_doubt
from slurrycalc.deciding.judgement import Judgement
from slurrycalc.deciding.steady import SteadyDay
from slurrycalc.measuring.slurry import SlurryResult
from slurrycalc.metrology.remark import Remark

_ORDER = {"no": 0, "not settled": 1, "yes": 2}


def badness(standing: Judgement, name: str) -> tuple[int, int, float, float, str]:
    """Sort the worst first: what is surely below its floor, then what is surely outside its range."""
    floor, target = standing.above_floor, standing.in_range
    return _ORDER[floor.state], _ORDER[target.state], floor.probability, target.probability, name


@dataclass(frozen=True)
class Gathered:
    """One enclosure's pH by the jars of a day, before it is judged."""

    path: tuple[str | int, ...]
    """Where it stands in the day's file."""
    name: str
    slurry: SlurryResult
    jars: tuple[JarResult, ...]
    note: str
    earlier: int
    """Jars of that day that were on record already, and count as well."""
    shares: Shares | None

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """What its slurries and its jars say of themselves."""
        # A jar in doubt may have been left out; the slurries know.
        of_jars = (remark for jar in self.jars for remark in jar.remarks if not in_doubt([remark]))
        return (*self.slurry.remarks, *of_jars)

    @property
    def labels(self) -> tuple[str, ...]:
        """What stands on its cups."""
        return tuple(jar.label for jar in self.jars)

    def fresh(self, bench: tuple[Remark, ...]) -> FreshResult:
        """Take it for a tub of fresh mix, which no limit is held against."""
        remarks = tuple(dict.fromkeys((*bench, *self.remarks)))
        return FreshResult(
            self.name, self.slurry, self.labels, self.note, remarks, self.earlier, self.shares
        )

    def steady(self, said: SteadyDay) -> SteadyResult:
        """Take it for a steady jar, by what it says of the bench."""
        remarks = tuple(dict.fromkeys((*said.remarks, *self.remarks)))
        return SteadyResult(
            self.name, self.slurry, said, self.labels, self.note, remarks, self.earlier, self.shares
        )


@dataclass(frozen=True)
class Judged:
    """What was read in a day, by what it is."""

    enclosures: tuple[EnclosureResult, ...]
    """The worst first."""
    steady: tuple[SteadyResult, ...] = ()
    fresh: tuple[FreshResult, ...] = ()


def worst_first(enclosures: Iterable[EnclosureResult]) -> tuple[EnclosureResult, ...]:
    """Sort enclosures by where they stand."""
    return tuple(sorted(enclosures, key=lambda one: badness(one.judgement, one.name)))
