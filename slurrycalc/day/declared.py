"""What is said of a meter at the bench, whether the step is recorded or not."""

from __future__ import annotations

import shlex
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from slurrycalc.measuring.electrode import Meter
from slurrycalc.measuring.electrode.meter import Shows
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

if TYPE_CHECKING:
    from slurrycalc.logbook.things import Thing


def other_display(name: str, on_record: Shows, shows: Shows) -> Refusal:
    """Say that a meter shows the other quantity by the record, and how to say that it was switched."""
    switch = f"slurrycalc kit meter {shlex.quote(name)} --shows {shows}"
    return Refusal(
        f"meter {quoted(name)} shows {on_record} by the record, and this calibration is in {shows}: a plain "
        f"5.45 would mean another pH under it. If its display was switched, say so first: {switch}; another "
        "meter gets a name of its own."
    )


@dataclass(frozen=True)
class DeclaredMeter:
    """What a step says of its meter; None where it is silent."""

    shows: Shows
    resolution: float | None = None
    """In what it shows."""
    repeatability: float | None = None
    """In what it shows."""
    junction: float | None = None
    """[pH]"""
    compensates: bool | None = None

    def meter(self, name: str | None = None, named: Thing | None = None) -> Meter:
        """Make the meter: what is declared counts, then what is on record, then what is usual.

        Parameters
        ----------
        name : str, optional
            What it is called, where it is not on record.
        named : Thing, optional
            The meter on record.

        Returns
        -------
        Meter
            For this step.

        Raises
        ------
        Refusal
            If a figure cannot be meant.

        Examples
        --------
        >>> DeclaredMeter("mV", resolution=1.0).meter().least_step.value
        1.0
        """
        if named is None:
            usual = Meter(self.shows, name=name)
        else:
            from slurrycalc.logbook.calibrations import meter_of  # noqa: PLC0415  only a recorded step needs it

            usual = meter_of(named, self.shows)
        said = {
            key: getattr(self, key)
            for key in ("resolution", "repeatability", "junction", "compensates")
            if getattr(self, key) is not None
        }
        return replace(usual, **said) if said else usual

    @property
    def settings(self) -> dict[str, Any]:
        """What a new meter is noted with."""
        return {
            "shows": self.shows,
            f"resolution_{self.shows}": self.resolution,
            f"repeatability_{self.shows}": self.repeatability,
            "junction": self.junction,
            "compensates": self.compensates,
        }
