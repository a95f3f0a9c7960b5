"""Pairs of a probe's indication and the slurry of the same spot, as they are taken in."""

from __future__ import annotations

from collections.abc import Sequence

from uncertainties import UFloat

from slurrycalc.metrology.listed import listed
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.uncertain import Uncertain
from slurrycalc.metrology.units import magnitude


def checked_pairs(
    probe: Sequence[float | str], slurry: Sequence[float | str | UFloat]
) -> tuple[tuple[float, ...], tuple[Uncertain, ...]]:
    """Take in pairs, at least one. [pH]."""
    indications, beside = listed(probe), listed(slurry)
    if indications is None or beside is None:
        raise Refusal("a comparison takes two lists, such as compare([5.9, 6.1], [5.4, 5.7]).")
    if len(indications) != len(beside):
        raise Refusal(
            f"{len(indications)} probe indications and {len(beside)} slurries make no pairs: "
            "give one slurry for each indication, such as 5.9=5.41 6.1=5.70."
        )
    if not indications:
        raise Refusal("a comparison needs at least one pair, such as 5.9=5.41.")
    shown = tuple(checked_ph(value, "a probe indication") for value in indications)
    return shown, tuple(_slurry(value) for value in beside)


def checked_ph(value: float | str, what: str) -> float:
    """Take in an indication or a slurry. [pH]."""
    try:
        return magnitude(value, "ph")
    except Refusal as refusal:
        raise refusal.at(what) from None


def outside_pairs(shown: float, low: float, high: float, *, n: int) -> Remark | None:
    """Say where an indication lies outside those of the n pairs, if it does. [pH]."""
    if n < 2 or low <= shown <= high:
        return None
    return Remark(
        "outside-pairs",
        f"The probe shows {shown:.2f}, and its pairs reach only from {low:.2f} to {high:.2f}: "
        "how it reads out there has not been seen; a pair taken here would show it.",
    )


def _slurry(value: float | str | UFloat) -> Uncertain:
    if not isinstance(value, UFloat):
        return checked_ph(value, "a slurry's pH")
    checked_ph(value.n, "a slurry's pH")
    return value
