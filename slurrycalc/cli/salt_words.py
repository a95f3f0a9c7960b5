"""What a command line says of salts: conductivities as a meter shows them, the water, the standard."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from slurrycalc.cli.notation import reading_words
from slurrycalc.cli.words import number, option
from slurrycalc.day.record.conductivity import SaltsGiven, Shown, StandardRead
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.salts import ALLOWED, OtherUnit, conductivity
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.units import stated

EXAMPLE = "0.85mS/cm@21C"
STANDARD = "1413uS/cm=1398uS/cm@23C"


def given_words(
    readings: Sequence[str],
    standards: Sequence[str],
    blank: str | None,
    compensates: str | None,
    thermometer: str | None,
) -> SaltsGiven | None:
    """Read what was typed of an enclosure's salts.

    Parameters
    ----------
    readings : sequence of str
        ``CONDUCTIVITY@TEMPERATURE``, one a slurry.
    standards : sequence of str
        ``LABEL=CONDUCTIVITY@TEMPERATURE``, repeated indications of one bottle.
    blank : str or None
        Of the water.
    compensates : str or None
        ``yes`` for a meter that shows everything at 25 degC.
    thermometer : str or None
        How far it may be off. [degC]

    Returns
    -------
    SaltsGiven or None
        None where no slurry was read.

    Raises
    ------
    Refusal
        If something typed cannot be meant.

    Examples
    --------
    >>> given_words(["0.85mS/cm@21C"], [], None, None, None).slurries
    (Shown(conductivity=850.0, temperature=21.0),)
    """
    itself = _yes_or_no(compensates)
    if not readings:
        more = {
            f"--standard {STANDARD}": standards,
            "--blank 6uS/cm@21C": blank,
            "--compensates yes": compensates,
            "--thermometer 0.5": thermometer,
        }
        alone = next((name for name, value in more.items() if value), None)
        if alone is not None:
            raise Refusal(
                f"{alone.split()[0]} goes with slurries: write slurrycalc salts {EXAMPLE} {alone}"
            )
        return None
    slurries = tuple(_shown(text, "slurry", itself) for text in readings)
    with option("--blank"):
        water = None if blank is None else _shown(blank, "blank", itself)
    with option("--standard"):
        standard = _standard(standards, itself)
    half = None if thermometer is None else number(thermometer, "--thermometer")
    return SaltsGiven(slurries, water, standard, itself, half)


def scatter_of_salts(text: str | None, seen: int) -> Expected:
    """Read ``--scatter`` of salts.

    Parameters
    ----------
    text : str or None
        ``own``, or a standard deviation with its unit.
    seen : int
        How many slurries there are.

    Returns
    -------
    Scatter, DEFAULT or None
        None for ``own``.

    Raises
    ------
    Refusal
        If it is neither, or a single slurry shall show its own scatter.

    Examples
    --------
    >>> scatter_of_salts("80uS/cm", 1).sd
    80.0
    """
    if text is None:
        return DEFAULT
    with option("--scatter"):
        if text.strip().casefold() == "own":
            if seen < 2:
                raise Refusal(
                    "`own` cannot be seen in one slurry; give a second, or leave the option away"
                )
            return None
        sd = conductivity(text, (1.0, 10000.0), "what slurries scatter by")
        return Scatter(sd, inf, "given", "stated with --scatter")


def _yes_or_no(text: str | None) -> bool:
    if text is None or text.strip().casefold() == "no":
        return False
    if text.strip().casefold() != "yes":
        raise Refusal(f"--compensates: {quoted(text)} is neither yes nor no; write yes or no")
    return True


def _shown(text: str, role: str, compensates: bool) -> Shown:
    """Read one conductivity with its temperature."""
    words = reading_words(text, EXAMPLE)
    value = asked(words.reading, role)
    if words.temperature is None and not compensates:
        raise Refusal(
            f"{quoted(text)} needs its temperature, like {EXAMPLE}; where the meter itself shows everything "
            "at 25 degC, add --compensates yes."
        )
    at = None if words.temperature is None else bench_temperature(words.temperature)
    return Shown(value, at)


def asked(text: str, role: str) -> float:
    """Read a conductivity; where its unit is off by a thousand and somebody can be asked, ask.

    Parameters
    ----------
    text : str
        As typed.
    role : str
        What it was read in: ``"slurry"``, ``"blank"``, ``"standard"``.

    Returns
    -------
    float
        [uS/cm]

    Raises
    ------
    Refusal
        If it is none, or what was meant is denied.

    Examples
    --------
    >>> asked("0.85mS/cm", "slurry")
    850.0
    """
    try:
        return conductivity(text, *ALLOWED[role])
    except OtherUnit as other:
        from slurrycalc.cli.prompting import has_terminal

        if not has_terminal():
            raise
        from typer import confirm

        from slurrycalc.metrology.quote import clean

        if not confirm(clean(other.sentence), default=True, err=True):
            raise
        return conductivity(other.meant, *ALLOWED[role])


def _standard(texts: Sequence[str], compensates: bool) -> StandardRead | None:
    """Read the indications of one bottle of standard."""
    read = [_labelled(text, compensates) for text in texts]
    if not read:
        return None
    label, tolerance, first = read[0]
    if any((one[0], one[2].temperature) != (label, first.temperature) for one in read):
        raise Refusal(
            "the readings are of more than one bottle or temperature; give those of the one nearest to the "
            f"slurries, like {STANDARD}"
        )
    return StandardRead(label, tuple(shown for _, _, shown in read), tolerance)


def _labelled(text: str, compensates: bool) -> tuple[float, float | None, Shown]:
    label, sign, rest = text.partition("=")
    if not sign or not label.strip() or not rest.strip() or "=" in rest:
        raise Refusal(f"{quoted(text)} is no reading of a standard: write LABEL=READING, like {STANDARD}")
    shown = _shown(rest, "standard", compensates)
    if not any(sign in label for sign in ("±", "+-", "+/-")):
        return asked(label.strip(), "standard"), None, shown
    value, half = stated(label, "conductivity")
    assert half is not None
    return conductivity(value, *ALLOWED["standard"]), half / value, shown
