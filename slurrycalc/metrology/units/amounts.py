"""Amounts kept in the unit in which they were typed, and said in it again."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final, NamedTuple

from slurrycalc.metrology.units.grammar import spoken, summands
from slurrycalc.metrology.units.kinds import KINDS, Kind
from slurrycalc.metrology.units.kitchen import factor
from slurrycalc.metrology.units.parsing import measured
from slurrycalc.metrology.units.spellings import plain_spelling, units_of

_METRIC = ("mL", "cL", "dL", "L", "cubic_meter", "mg", "g", "kg", "mm", "cm", "m")
_PARTS = (1, 2, 3, 4, 8)
"""Into so many parts a kitchen measure is marked."""
_LENGTHS: Final = {"inch": "in", "foot": "ft", "mm": "mm", "cm": "cm", "m": "m"}
LENGTH_UNITS: Final = tuple(_LENGTHS.values())


class Amount(NamedTuple):
    """An amount as somebody said it."""

    number: float
    unit: str
    """As typed."""

    @property
    def words(self) -> str:
        """The amount with its unit; kitchen measures in fractions.

        Examples
        --------
        >>> Amount(12.0, "L").words, Amount(1.5, "cups").words, Amount(0.5, "L").words
        ('12 L', '1 1/2 cups', '0.5 L')
        """
        metric = unit_of(self.unit, ("volume", "mass")) in _METRIC
        for parts in () if metric else _PARTS:
            if self.number > 0 and abs(self.number * parts - round(self.number * parts)) < 1e-9:
                return f"{mixed_number(Fraction(round(self.number * parts), parts))} {self.unit}"
        return f"{self.number:g} {self.unit}"


def unit_of(words: str, kinds: Sequence[Kind]) -> str | None:
    """Find the unit of ours that a typed one means; None where it means none of these kinds.

    Examples
    --------
    >>> unit_of("gallons", ("volume",)), unit_of("gallons", ("mass",))
    ('gallon', None)
    """
    plain = plain_spelling(words)
    return next((units_of(kind)[plain] for kind in kinds if plain in units_of(kind)), None)


def amount(text: str, kinds: Sequence[Kind], *, cup: str = "us") -> Amount:
    """Read an amount and keep it as it was typed; a sum in the canonical unit.

    Raises
    ------
    Refusal
        If it is no such amount.

    Examples
    --------
    >>> amount("12 L", ("volume",)), amount("1 cup + 8 fl oz", ("volume",)).words
    (Amount(number=12.0, unit='L'), '473.176 mL')
    """
    kind, number = measured(text, tuple(kinds), cup=cup)
    if len(summands(text)) > 1:
        return Amount(number, KINDS[kind].canonical)
    said = spoken(text, KINDS[kind].example)
    return Amount(said.number, said.unit or KINDS[kind].canonical)


def mixed_number(number: Fraction) -> str:
    """Write a fraction with its whole part.

    Examples
    --------
    >>> mixed_number(Fraction(7, 4)), mixed_number(Fraction(2)), mixed_number(Fraction(1, 3))
    ('1 3/4', '2', '1/3')
    """
    whole, part = divmod(number, 1)
    return " ".join(str(piece) for piece in (whole, part) if piece)


def volume_words(volume: float) -> str:
    """Say a volume [mL] in whole millilitres, from a litre on in litres.

    Examples
    --------
    >>> volume_words(473.2), volume_words(4000.0), volume_words(4731.8)
    ('473 mL', '4 L', '4.73 L')
    """
    return f"{volume:.0f} mL" if volume < 999.5 else f"{volume / 1000:.3g} L"


def length_unit(*texts: str) -> str:
    """Find the unit in which lengths are said: that of all of them, inches beside feet, else cm.

    Examples
    --------
    >>> length_unit('24" ', "18 in"), length_unit("2 ft", "18 in"), length_unit("60", "45 cm")
    ('in', 'in', 'cm')
    """
    units = [unit_of(spoken(text, "10 cm").unit, ("length",)) for text in texts]
    said = {_LENGTHS[unit] for unit in units if unit is not None}
    if said == {"in", "ft"}:
        return "in"
    return said.pop() if len(said) == 1 else "cm"


def lengths(sides: Sequence[float], unit: str) -> str:
    """Say lengths [cm] in a unit.

    Examples
    --------
    >>> lengths((60.96, 45.72), "in"), lengths((10.0,), "cm")
    ('24 x 18 in', '10 cm')
    """
    ours = next(one for one, word in _LENGTHS.items() if word == unit)
    one = factor(ours, "cm")
    return f"{' x '.join(f'{side / one:g}' for side in sides)} {unit}"
