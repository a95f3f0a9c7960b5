"""What exchanges would make of a taught bed, from a day on: what an exchange and an upkeep ask of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import isnan

from uncertainties import UFloat

from slurrycalc.deciding.bed.answers import levels
from slurrycalc.deciding.bed.bed import Bed
from slurrycalc.deciding.bed.changes import exchanged
from slurrycalc.deciding.bed.limits import Bound, past
from slurrycalc.deciding.bed.nodes import Nodes, advanced
from slurrycalc.deciding.bed.normals import Estimate
from slurrycalc.deciding.bed.parts import printed
from slurrycalc.deciding.bed.plans import READ_EACH_CYCLE, Mix, lows, parts_to_hold, parts_to_reach
from slurrycalc.deciding.days import DAYS_PER_MONTH
from slurrycalc.metrology.uncertain import Uncertain


def mix_beside(ph: Uncertain, shared: UFloat) -> Mix:
    """Give a fresh mix with the standard uncertainty that it has beside what it shares with a bed's days."""
    if not isinstance(ph, UFloat):
        return Mix(float(ph), 0.0)
    common = set(shared.derivatives)
    own = [(by * each.std_dev) ** 2 for each, by in ph.derivatives.items() if each not in common]
    return Mix(float(ph.n), float(sum(own) ** 0.5))


@dataclass(frozen=True, eq=False)
class Ahead:
    """A bed as its record taught it, on the day of an exchange, and the mix that would go in."""

    bed: Bed
    on: date
    mix: Mix
    shared: UFloat
    """What its days share, nominally 0. [pH]"""

    def part(self, wanted: Bound, p: float) -> float | None:
        """Give the smallest part that brings it to a pH with chance p; None where none will do. [1]."""
        return _part(parts_to_reach(self._nodes, wanted, self.mix, p=p, u_shared=self.shared.s))

    def chance(self, part: float, wanted: Bound) -> float:
        """Give the chance that it lies at a pH, or beyond, once a part is exchanged. [1]."""
        nodes = exchanged(self._nodes, part, self.mix.ph, self.mix.u)
        return 1.0 - float(past(nodes, wanted, self.shared.s)[0])

    def after(self, parts: Sequence[float], spacing: float) -> list[UFloat]:
        """Give its level after each of several exchanges, so many days apart. [pH]."""
        nodes, found = self._nodes, []
        for i, part in enumerate(parts):
            if i:
                nodes = advanced(nodes, nodes.months + spacing / DAYS_PER_MONTH)
            nodes = exchanged(nodes, part, self.mix.ph, self.mix.u)
            found.append(printed(Estimate.of(levels(nodes)), self.shared))
        return found

    def part_to_hold(
        self, bound: Bound, every: float, chances: Sequence[float] = READ_EACH_CYCLE
    ) -> float | None:
        """Give the smallest part that, each cycle, keeps to a limit; None where none does. [1]."""
        return _part(
            parts_to_hold(
                self._nodes, bound, self.mix, every=every, chances=chances, u_shared=self.shared.s, most=1.0
            )
        )

    def lows(self, part: float, bound: Bound, every: float) -> list[float]:
        """Give the chance that the next low of an upkeep, and the one after, keep to a limit. [1]."""
        kept = lows(self._nodes, part, bound, self.mix, every=every, cycles=2, u_shared=self.shared.s)
        return [float(each[0]) for each in kept]

    @property
    def _nodes(self) -> Nodes:
        return self.bed.on(self.on)


def _part(found: object) -> float | None:
    part = float(found[0])  # type: ignore[index]
    return None if isnan(part) else part
