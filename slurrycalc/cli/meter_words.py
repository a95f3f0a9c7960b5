"""What a command line says of the meter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slurrycalc.cli.words import option
from slurrycalc.day.bench.worksheet import MeterEntry, ThermometerEntry
from slurrycalc.measuring.electrode.calibration import Fit
from slurrycalc.measuring.electrode.meter import Shows
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal


def what_meter_shows(given: str | None, readings: Sequence[str]) -> Shows | None:
    """Tell from ``--shows``, or else from the units of the readings, what the meter shows.

    Parameters
    ----------
    given : str or None
        The value of ``--shows``.
    readings : sequence of str
        Every reading of the command line, in buffers and slurries.

    Returns
    -------
    {"mV", "pH"} or None
        What the meter shows; None where the line does not tell.

    Raises
    ------
    Refusal
        If the option is neither, or some readings are in mV and others without a unit.

    Examples
    --------
    >>> what_meter_shows(None, ["178.2mV", "1.8 mV"]), what_meter_shows(None, ["4.03", "7.01"])
    ('mV', None)
    """
    if given is not None:
        shows = {"mv": "mV", "ph": "pH"}.get(given.strip().casefold())
        if shows is None:
            raise Refusal(f"--shows: {quoted(given)} is nothing that a pH meter shows here; write mV or pH")
        return "mV" if shows == "mV" else "pH"
    in_volts = [reading for reading in readings if "v" in reading.casefold()]
    others = [reading for reading in readings if "v" not in reading.casefold()]
    if in_volts and others:
        raise Refusal(
            f"{quoted(others[0])} bears no mV while {quoted(in_volts[0])} does; a meter shows one of them: "
            "write all readings like 84.3mV, or all like 5.41"
        )
    return "mV" if in_volts else None


@dataclass(frozen=True)
class MeterWords:
    """The options of a meter, as typed; None where they were not given."""

    shows: str | None = None
    resolution: str | None = None
    repeatability: str | None = None
    compensates: str | None = None
    thermometer: str | None = None
    fit: str = "line"

    @property
    def way(self) -> Fit:
        """How the buffers are joined."""
        if self.fit not in ("line", "bracket"):
            raise Refusal(f"--fit: {quoted(self.fit)} is no way to fit; write line or bracket")
        return "bracket" if self.fit == "bracket" else "line"

    @property
    def thermometer_entry(self) -> ThermometerEntry | None:
        """What is said of the thermometer."""
        return None if self.thermometer is None else ThermometerEntry(tolerance=self.thermometer)

    def entry(self, name: str | None, readings: Sequence[str]) -> MeterEntry:
        """Say what is declared of the meter of that name, by its options and the units of its readings.

        Examples
        --------
        >>> MeterWords(resolution="1").entry(None, ["178.2mV"]).shows
        'mV'
        """
        with option("--compensates"):
            compensates = None if self.compensates is None else yes_or_no(self.compensates)
        return MeterEntry(
            shows=what_meter_shows(self.shows, readings),
            name=name,
            resolution=self.resolution,
            repeatability=self.repeatability,
            compensates=compensates,
        )


def yes_or_no(text: str) -> bool:
    """Read an option that is answered by yes or no.

    Examples
    --------
    >>> yes_or_no("No")
    False
    """
    answer = {"yes": True, "no": False}.get(text.strip().casefold())
    if answer is None:
        raise Refusal(f"{quoted(text)} is no answer; write yes or no")
    return answer
