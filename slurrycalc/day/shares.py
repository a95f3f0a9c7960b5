"""How much of an enclosure's scatter rests on what was read before."""

from __future__ import annotations

from dataclasses import dataclass

from slurrycalc.metrology.annotate import NumberValue


@dataclass(frozen=True)
class Shares:
    """How much of an enclosure's expected scatter rests on what."""

    today: NumberValue
    """On the slurries of this day, 0 to 1."""
    own_past: NumberValue
    """On earlier days of the same enclosure."""
    others: NumberValue
    """On other enclosures and on what is usually expected."""
    own_days: int
    """Earlier days of its own with more than one slurry."""
    other_days: int
    """Such days of other enclosures."""

    @property
    def text(self) -> str:
        """Say it in a few words.

        Examples
        --------
        >>> Shares(0.2, 0.4, 0.4, 2, 0).text
        "of the scatter, today's slurries count 20 %, 2 earlier days of its own 40 %, what is usual 40 %"
        """
        parts = [f"today's slurries count {self.today:.0%}"] if self.today else []
        if self.own_days:
            parts.append(f"{_days(self.own_days, 'earlier ')} of its own {self.own_past:.0%}")
        others = f"other enclosures ({_days(self.other_days)}) and " if self.other_days else ""
        parts.append(f"{others}what is usual {self.others:.0%}")
        return f"of the scatter, {', '.join(parts)}".replace("%", " %")


def _days(n: int, kind: str = "") -> str:
    return f"{n} {kind}day" + ("" if n == 1 else "s")
