"""What is said of a meter at the bench, whether the step is recorded or not."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from slurrycalc.measuring.electrode import Meter
from slurrycalc.measuring.electrode.meter import Shows

if TYPE_CHECKING:
    from slurrycalc.logbook.things import Thing


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
