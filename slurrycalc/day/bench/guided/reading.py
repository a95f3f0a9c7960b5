"""What a person types at the bench, taken as a reading, a temperature or a name.

What cannot stand is refused with a sentence. What is surely or probably a slip is a `Doubt`: it is asked
about, since somebody is there who can answer.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from slurrycalc.measuring.electrode import Meter
from slurrycalc.measuring.electrode.indication import PLAUSIBLE_MV, shown
from slurrycalc.measuring.electrode.temperatures import COLDEST, HOTTEST, bench_temperature
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import magnitude
from slurrycalc.metrology.units.grammar import spoken
from slurrycalc.metrology.units.slips import ph_slip

_WARMTH = re.compile(r"(?P<reading>.*\d\s*(?:mV|pH)?)\s+(?P<warmth>[-+]?[\d.,]+\s*(?:°|deg)?\s*[CF])", re.I)


class Doubt(Exception):
    """Something typed that was probably meant otherwise.

    Parameters
    ----------
    sentence : str
        What to ask, to be answered by yes or no.
    meant : str, optional
        The line to take instead on a yes; without one, yes takes the line as it stands.
    likely : bool
        Whether an empty line means yes.
    about : str
        Names the doubt, so that it is asked but once about a line. With `meant`, a no takes the line as it
        stands only if there is a name; otherwise the question is asked again.
    """

    def __init__(self, sentence: str, meant: str | None = None, *, likely: bool = True, about: str = ""):
        super().__init__(sentence)
        self.sentence = sentence
        self.meant = meant
        self.likely = likely
        self.about = about


def reading(line: str, meter: Meter) -> tuple[float, float | None]:
    """Take what the meter showed, with a temperature if one stands behind it.

    Parameters
    ----------
    line : str
        ``5.41``, ``5,41``, ``84.3 mV``, ``5.41 21C`` or ``5.41@21C``.
    meter : Meter
        The meter.

    Returns
    -------
    shows : float
        In what the meter shows.
    temperature : float or None
        [degC]

    Raises
    ------
    Refusal
        If it is none.
    Doubt
        If a slip is likely.

    Examples
    --------
    >>> reading("5,41 21C", Meter("pH")), reading("-84.3@21", Meter("mV"))
    ((5.41, 21.0), (-84.3, 21.0))
    """
    text, sign, warmth = line.partition("@")
    found = None if sign else _WARMTH.fullmatch(line.strip())
    if found is not None:
        text, warmth = found["reading"], found["warmth"]
    elif sign and not warmth.strip():
        raise Refusal(f"{quoted(line)} has no temperature after its @: write for instance 5.41 @ 21C.")
    slip = _IN_PH if meter.shows == "pH" else _IN_MV
    shows = _asked(lambda: shown(text, meter)[0], text, slip, f" @ {warmth}" if warmth else "")
    return shows, temperature(warmth, f"{text} @ ") if warmth else None


def probe_reading(line: str) -> float:
    """Take what the soil probe showed. [pH].

    Examples
    --------
    >>> probe_reading("5,9")
    5.9
    """
    return _asked(lambda: magnitude(line, "ph"), line, _IN_PH)


def temperature(line: str, before: str = "") -> float:
    """Take a temperature; a bare number is in degC.

    Parameters
    ----------
    line : str
        ``21``, ``21C``, ``70 F``.
    before : str
        What stands in front of it on the line.

    Returns
    -------
    float
        [degC]

    Raises
    ------
    Refusal
        If it is none that a slurry or a buffer can have.
    Doubt
        If it was probably meant in degrees Fahrenheit.

    Examples
    --------
    >>> temperature("21"), round(temperature("70 F"), 1)
    (21.0, 21.1)
    """
    value = magnitude(line, "temperature", bare="degC")
    celsius = (value - 32.0) / 1.8
    if value > HOTTEST and COLDEST <= celsius <= HOTTEST:
        raise Doubt(
            f"{value:g} C is too warm for the bench. Did you mean {value:g} F ({celsius:.0f} C)?",
            f"{before}{value:g}F",
        )
    return bench_temperature(value)


def _mv_slip(number: float) -> str | None:
    """Guess what was meant by a number that no electrode gives. [mV]."""
    found = next((number / part for part in (10.0, 100.0) if abs(number / part) <= PLAUSIBLE_MV), None)
    return None if found is None else f"{found:g}"


@dataclass(frozen=True)
class _Slip:
    """How a kind of reading is mistyped."""

    what: str
    units: tuple[str, ...]
    meant: Callable[[float], str | None]


_IN_PH = _Slip("no pH", ("", "ph"), ph_slip)
_IN_MV = _Slip("beyond any electrode in mV", ("", "mv"), _mv_slip)


def _asked(take: Callable[[], float], text: str, slip: _Slip, behind: str = "") -> float:
    """Take a reading; where it cannot be and a slip explains it, ask."""
    try:
        return take()
    except Refusal as refusal:
        try:
            said = spoken(text.strip(), "5.41")
        except Refusal:
            raise refusal from None
        meant = slip.meant(said.number) if said.unit.casefold() in slip.units else None
        if meant is None:
            raise
        raise Doubt(f"{text.strip()} is {slip.what}. Did you mean {meant}?", f"{meant}{behind}") from None


def spoken_names(line: str, known: tuple[str, ...]) -> list[str]:
    """Part names: at commas where there are any, else at blanks.

    Parameters
    ----------
    line : str
        ``window, map chest`` or ``window stairs``.
    known : tuple of str
        Names that are known; one of them is taken whole.

    Returns
    -------
    list of str
        The names as typed.

    Examples
    --------
    >>> spoken_names("window, map chest", ()), spoken_names("map chest", ("map chest",))
    (['window', 'map chest'], ['map chest'])
    """
    text = line.strip()
    if text.casefold() in (name.casefold() for name in known):
        return [text]
    parts = re.split(r"\s*[,;]\s*", text) if re.search(r"[,;]", text) else text.split()
    return [part for part in parts if part]
