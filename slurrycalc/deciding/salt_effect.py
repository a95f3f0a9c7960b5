"""What a change of salts by itself does to the pH of a water slurry, beside what acid does."""

from __future__ import annotations

from datetime import date
from math import log
from typing import Final, Literal, NamedTuple

from uncertainties import UFloat, umath

from slurrycalc.data.assumed import SALT_PER_TENFOLD, SALT_PER_TENFOLD_SPREAD, from_where
from slurrycalc.deciding.days import spoken
from slurrycalc.measuring.salts import spoken_ec
from slurrycalc.metrology.coverage import interval
from slurrycalc.metrology.remark import Remark

What = Literal["drift", "step", "last reading"]
_LEAST, _MOST = (SALT_PER_TENFOLD.value + side * SALT_PER_TENFOLD_SPREAD.value for side in (-1.0, 1.0))
SETTLED_BY: Final = (
    "A jar in 0.01 mol/L calcium chloride (ISO 10390, from memory) beside one in water, or one whose "
    "substrate was rinsed with distilled water, tells acid from salt; never mix its pH with those in water."
)


class SaltEffect(NamedTuple):
    """What a change of salts by itself does to a pH read in water. [pH]."""

    value: float
    """Negative where salts rise."""
    low: float
    high: float


def salt_effect(before: UFloat, after: UFloat) -> SaltEffect | None:
    """Give what a change of salts by itself does to a pH read in water.

    Parameters
    ----------
    before, after : UFloat
        Conductivity of 1:2 slurries at 25 degC, with what they share. [uS/cm]

    Returns
    -------
    SaltEffect or None
        From the least change for the least fall for ten times the salt, to the most for the most. None where
        no change of salts is shown at 95 in 100.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> found = salt_effect(ufloat(500, 20), ufloat(1000, 40))
    >>> [round(each, 2) for each in found]
    [-0.15, -0.28, -0.05]
    >>> salt_effect(ufloat(500, 100), ufloat(600, 100)) is None
    True
    """
    if before.n <= 0.0 or after.n <= 0.0:
        return None
    tenfold = umath.log(after / before) / log(10.0)
    low, high = interval(tenfold)
    if low <= 0.0 <= high:
        return None
    ends = sorted((-low * (_LEAST if low > 0.0 else _MOST), -high * (_MOST if low > 0.0 else _LEAST)))
    return SaltEffect(-SALT_PER_TENFOLD.value * tenfold.n, *ends)


def beside_acid(
    what: What, moved: float, salts: tuple[UFloat, UFloat], days: tuple[date, date]
) -> Remark | None:
    """Say of a drift or a step of pH that salts changed with it, and what that alone does.

    Parameters
    ----------
    what : str
        What moved.
    moved : float
        Which way: of its sign alone. [pH]
    salts : pair of UFloat
        Before and after. [uS/cm]
    days : pair of date
        Of both.

    Returns
    -------
    Remark or None
        None where no change of salts is shown.
    """
    effect = salt_effect(*salts)
    if effect is None:
        return None
    rose = effect.value < 0.0
    low, high = sorted((abs(effect.low), abs(effect.high)))
    text = (
        f"Salts {'rose' if rose else 'fell'} from {spoken_ec(salts[0].n)} to {spoken_ec(salts[1].n)} between "
        f"{spoken(days[0])} and {spoken(days[1])}. {'More' if rose else 'Less'} salt by itself "
        f"{'lowers' if rose else 'raises'} the pH of a water slurry: here by {abs(effect.value):.2f}, "
        f"between {low:.2f} and {high:.2f} ({_LEAST:.1f} to {_MOST:.1f} for ten times the salt, "
        f"{from_where(SALT_PER_TENFOLD.known)})."
    )
    if moved * effect.value > 0.0:
        text += f" So acid is not the only explanation of this {what}; nothing was taken off for it."
    else:
        text += f" So what else moved the pH did more than this {what} shows; nothing was added for it."
    return Remark(f"salts-beside-{what.replace(' ', '-')}", f"{text} {SETTLED_BY}")
