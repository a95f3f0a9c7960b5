"""How a sample was prepared for its pH: what pH is comparable with what."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Final, Literal

from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

Liquid = Literal["water", "CaCl2", "KCl"]
Basis = Literal["volume", "mass"]

_LIQUIDS: Final[dict[str, Liquid]] = {
    "water": "water", "h2o": "water", "distilled": "water", "deionised": "water", "deionized": "water",
    "cacl2": "CaCl2", "kcl": "KCl",
}  # fmt: skip
_BASES: Final[dict[str, Basis]] = {
    "volume": "volume", "vol": "volume", "v/v": "volume", "mass": "mass", "weight": "mass", "w/v": "mass",
    "m/v": "mass",
}  # fmt: skip
_FILLERS: Final = {
    "in",
    "by",
    "saturated",
    "slurry",
    "extract",
    "suspension",
    "soil",
    "solution",
    "of",
    "0.01",
    "1",
}
_RATIO = re.compile(r"(\d+(?:[.,]\d+)?):(\d+(?:[.,]\d+)?)")
_EXAMPLE = "write such as `1:2 water`, `1:5 CaCl2`, `1:2 by mass` or `paste`."


@dataclass(frozen=True, slots=True)
class Preparation:
    """Parts of liquid to one part of substrate, which liquid, and by what they are measured."""

    ratio: float | None = 2.0
    """Parts of liquid; None for a saturated paste."""
    liquid: Liquid = "water"
    basis: Basis = "volume"
    basis_assumed: bool = field(default=False, compare=False)
    """Whether nothing was said of it."""

    def __str__(self) -> str:
        if self.ratio is None:
            return "saturated paste" if self.liquid == "water" else f"saturated paste in {self.liquid}"
        return f"1:{self.ratio:g} in {self.liquid} by {self.basis}"


OURS: Final = Preparation()
"""The keeper's own procedure: 1:2 in distilled water by volume."""


def preparation(text: str | Preparation) -> Preparation:
    """Read how a sample was prepared.

    Parameters
    ----------
    text : str or Preparation
        For instance ``1:2``, ``1:2.5 KCl``, ``1:5 water by mass``, ``saturated paste``. Without a liquid it
        is water, without a basis volume.

    Returns
    -------
    Preparation

    Raises
    ------
    Refusal
        If it says neither ratio nor paste, more of substrate than of liquid, or something unknown.

    Examples
    --------
    >>> print(preparation("1:2,5 KCl"))
    1:2.5 in KCl by volume
    >>> print(preparation("saturated paste"))
    saturated paste
    """
    if isinstance(text, Preparation):
        return text
    ratios: list[float] = []
    liquid: Liquid = "water"
    basis: Basis | None = None
    paste = False
    for word in str(text).lower().replace("₂", "2").split():
        if match := _RATIO.fullmatch(word):
            ratios.append(_ratio(word, *(float(part.replace(",", ".")) for part in match.groups())))
        elif word == "paste":
            paste = True
        elif word in _LIQUIDS:
            liquid = _LIQUIDS[word]
        elif word in _BASES:
            basis = _BASES[word]
        elif word not in _FILLERS:
            raise Refusal(f"{quoted(word)} in {quoted(text)} says nothing of a preparation; {_EXAMPLE}")
    if len(ratios) + paste != 1:
        raise Refusal(f"{quoted(text)} must say one ratio or paste; {_EXAMPLE}")
    return Preparation(
        ratios[0] if ratios else None, liquid, basis or "volume", bool(ratios) and basis is None
    )


def _ratio(word: str, substrate: float, liquid: float) -> float:
    if substrate == 1.0 and liquid >= 1.0:
        return liquid
    if liquid == 1.0:
        raise Refusal(
            f"{quoted(word)} could be {substrate:g} parts of liquid to 1 of substrate, or the reverse; "
            f"write 1:{substrate:g} for 1 part of substrate."
        )
    raise Refusal(
        f"{quoted(word)} is no ratio of 1 part of substrate to so many of liquid; write such as 1:2."
    )


def why_not_comparable(one: Preparation, other: Preparation) -> str | None:
    """Say why the pH of two preparations of one substrate differ.

    Parameters
    ----------
    one, other : Preparation

    Returns
    -------
    str or None
        The reason with how it is known; None where they are the same.

    References
    ----------
    .. [1] University of California, Davis, Analytical Laboratory, soil method 207, for the paste. The rest
       from memory.

    Examples
    --------
    >>> why_not_comparable(OURS, preparation("paste"))
    'a 1:2 slurry lies about 0.25 above a saturated paste (UC Davis soil method 207)'
    """
    if one.liquid != other.liquid:
        return "a salt solution gives a lower pH than water does, often by 0.5 to 1 (from memory)"
    if (one.ratio is None) != (other.ratio is None):
        return "a 1:2 slurry lies about 0.25 above a saturated paste (UC Davis soil method 207)"
    if one.ratio is not None and one.basis != other.basis:
        return (
            "a part of light substrate by mass is several by volume, so the water differs several times over"
        )
    if one.ratio != other.ratio:
        return "pH rises with the water, by about 0.2 for each doubling (from memory)"
    return None
