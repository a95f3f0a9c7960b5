"""What a command line says of the meter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slurrycalc.cli.words import number, option
from slurrycalc.day.declared import DeclaredMeter
from slurrycalc.measuring.electrode.calibration import Fit
from slurrycalc.measuring.electrode.meter import Shows
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import Kind, magnitude


def what_meter_shows(given: str | None, readings: Sequence[str], usual: Shows | None = None) -> Shows:
    """Tell from ``--shows``, or else from the units of the readings, what the meter shows.

    Parameters
    ----------
    given : str or None
        The value of ``--shows``.
    readings : sequence of str
        Every reading of the command line, in buffers and slurries.
    usual : {"mV", "pH"}, optional
        What is on record of the meter, which counts where no reading bears a unit.

    Returns
    -------
    {"mV", "pH"}
        What the meter shows: pH where nothing else is known.

    Raises
    ------
    Refusal
        If the option is neither, or some readings are in mV and others without a unit.

    Examples
    --------
    >>> what_meter_shows(None, ["178.2mV", "1.8 mV"]), what_meter_shows(None, ["4.03", "7.01"])
    ('mV', 'pH')
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
    return "mV" if in_volts else usual or "pH"


@dataclass(frozen=True)
class MeterWords:
    """The options of a meter, as typed; None where they were not given.

    Examples
    --------
    >>> MeterWords(resolution="1").declared(["178.2mV"]).meter().resolution
    1.0
    """

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
    def half_width(self) -> float | None:
        """What the thermometer may be off by. [degC]."""
        return None if self.thermometer is None else number(self.thermometer, "--thermometer")

    def declared(self, readings: Sequence[str], usual: Shows | None = None) -> DeclaredMeter:
        """Say what is declared of the meter.

        Parameters
        ----------
        readings : sequence of str
            Every reading of the command line.
        usual : {"mV", "pH"}, optional
            What it shows by the record.

        Returns
        -------
        DeclaredMeter
            In numbers. [mV or pH, as the meter shows]

        Raises
        ------
        Refusal
            If an option cannot be meant.
        """
        kind = what_meter_shows(self.shows, readings, usual)
        unit: Kind = "potential" if kind == "mV" else "ph"
        figures = []
        for name, text in (("--resolution", self.resolution), ("--repeatability", self.repeatability)):
            with option(name):
                figures.append(None if text is None else magnitude(text, unit, bare=kind))
        with option("--compensates"):
            compensates = None if self.compensates is None else yes_or_no(self.compensates)
        return DeclaredMeter(kind, resolution=figures[0], repeatability=figures[1], compensates=compensates)

    def refuse_any(self) -> None:
        """Refuse what belongs to a calibration, where none is made.

        Raises
        ------
        Refusal
            If an option was given.
        """
        for name in ("shows", "resolution", "repeatability", "compensates", "thermometer"):
            if getattr(self, name) is not None:
                raise Refusal(
                    f"--{name} belongs to a calibration, and this line takes one that was made before; give "
                    "it with the buffers, or to kit meter"
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
