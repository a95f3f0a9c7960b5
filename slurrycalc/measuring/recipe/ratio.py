"""The ratio of a slurry: how much water on how much substrate, by volume and by mass."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, sqrt
from typing import Literal, NamedTuple

from uncertainties import UFloat

from slurrycalc.data.assumed import GRAM_SCALE, KITCHEN_CUP, RATIO_SLACK, WATER_DENSITY
from slurrycalc.measuring.recipe.measures import grams, kitchen_measure, millilitres
from slurrycalc.measuring.recipe.substrate import Given, Substrate
from slurrycalc.measuring.recipe.substrate import substrate as known_substrate
from slurrycalc.metrology.annotate import Gram, MilliLitre, MilliLitreValue, Number, NumberValue
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.uncertain import nameless
from slurrycalc.metrology.units import magnitude, measured
from slurrycalc.metrology.units.kitchen import cup_words

Basis = Literal["volume", "mass"]

_ANEW = "stir, and let it settle anew"
# Wider than any procedure, from a thick paste to an extract (our own limits).
_THICKEST, _THINNEST = 0.2, 50.0


@dataclass(frozen=True)
class Ratio(Valued, value="_found", says=("advice",)):
    """What a slurry's water and substrate make, and what would bring it to the wanted ratio."""

    by_volume: Number | None
    """Added water over the substrate's bulk volume; None where the bulk volume is not known."""
    by_mass: Number | None
    """All water, that of the moist substrate included, over dry substrate; None where that is not known."""
    basis: Basis
    """By which of the two the wanted ratio is meant."""
    wanted: NumberValue
    substrate: MilliLitre | None
    """Bulk volume of the substrate."""
    water: MilliLitre
    """Added water."""
    dry_substrate: Gram | None
    all_water: Gram | None
    """Added water and that of the moist substrate."""
    state: Literal["as wanted", "not settled", "too thick", "too thin"]
    add_water: MilliLitreValue
    """Water that would bring it to the wanted ratio; 0 where none is called for."""
    add_substrate: MilliLitreValue | None
    """Substrate that would; 0 where none is called for, None where its volume is not known or none can."""
    advice: str
    cup: str
    """Whose cup was meant."""
    remarks: tuple[Remark, ...] = ()

    @property
    def _found(self) -> UFloat | None:
        return self.by_volume if self.basis == "volume" else self.by_mass



class Mixture(NamedTuple):
    """Substrate and water in one cup."""

    substrate: UFloat | None
    """Bulk volume. [mL]"""
    water: UFloat
    """Added. [mL]"""
    dry: UFloat | None
    """Dry substrate. [g]"""
    all_water: UFloat | None
    """Added, and that of the moist substrate. [g]"""

    def parts(self, basis: Basis) -> tuple[UFloat, UFloat] | None:
        """Give substrate and water as a basis counts them, in mL or in g, where both are known."""
        if basis == "volume":
            return None if self.substrate is None else (self.substrate, self.water)
        return None if self.dry is None or self.all_water is None else (self.dry, self.all_water)

    def ratio(self, basis: Basis) -> UFloat | None:
        """Give the ratio by a basis, where it is known."""
        parts = self.parts(basis)
        return None if parts is None else parts[1] / parts[0]


def ratio(
    substrate: Given,
    water: Given,
    bulk_density: Given | None = None,
    moisture: Given | None = None,
    cup: str = "us",
    *,
    wanted: float | str = 2.0,
    basis: Basis = "volume",
) -> Ratio:
    """Say what ratio some substrate and water make, and what to add for the wanted one.

    Parameters
    ----------
    substrate, water : float, str, pint.Quantity or UFloat
        Each by volume or by mass; a plain or an uncertain number is a volume. [mL]
    bulk_density : float, str, pint.Quantity or UFloat, optional
        Of the substrate as it is filled, moist [g/mL]; or the name of a common substrate.
    moisture : float, str, pint.Quantity or UFloat, optional
        Water mass over dry mass of the substrate. [1]
    cup : str
        Whose cup is meant, as in :func:`slurrycalc.metrology.units.parse`.
    wanted : float or str
        Parts of water on one part of substrate: ``2`` or ``"1:2"``. [1]
    basis : {"volume", "mass"}
        Whether the wanted ratio is water volume over substrate bulk volume, or water mass over dry mass.

    Returns
    -------
    Ratio
        Both ratios where they are known, with what the measuring leaves uncertain: a kitchen cup is off by up
        to 5 % and a scale by up to 1 g (from memory), unless uncertain numbers are given.

    Raises
    ------
    Refusal
        If an amount cannot stand, is zero, or what the basis needs is not known.

    References
    ----------
    .. [1] University of California, Davis, Analytical Laboratory, soil method 207: pH in a 1:2 slurry.

    Examples
    --------
    >>> made = ratio("1/2 cup", "8 fl oz")
    >>> print(made.by_volume, made.state)
    2.00+/-0.08 as wanted
    >>> print(ratio("1/2 cup", "3/4 cup").advice)
    It is 1:1.5 by volume (1:1.38 to 1:1.62, 95 in 100), 25 % less water than 1:2 wants: add 1/4 cup (60 mL)
    of water, stir, and let it settle anew.
    """
    check_basis(basis)
    goal = wanted_ratio(wanted)
    known = known_substrate(bulk_density, moisture, cup)
    made = mixture(_amount(substrate, "substrate", cup), _amount(water, "water", cup), known)
    parts = made.parts(basis)
    if parts is None:
        raise _unknown(substrate, basis, known)
    advice = _advise(parts, goal, basis, known, cup)
    return Ratio(
        by_volume=made.ratio("volume"),
        by_mass=made.ratio("mass"),
        basis=basis,
        wanted=goal,
        substrate=made.substrate,
        water=made.water,
        dry_substrate=made.dry,
        all_water=made.all_water,
        state=advice.state,
        add_water=advice.water,
        add_substrate=advice.substrate,
        advice=advice.text,
        cup=cup_words(cup),
        remarks=known.remarks,
    )


def wanted_ratio(value: float | str) -> float:
    """Read how many parts of water are wanted on one part of substrate.

    Parameters
    ----------
    value : float or str
        ``2``, ``"2"`` or ``"1:2"``. [1]

    Returns
    -------
    float
        Parts of water. [1]

    Raises
    ------
    Refusal
        If it is none, or so thick or thin that no slurry is meant.

    Examples
    --------
    >>> wanted_ratio("1:2"), wanted_ratio(2.5)
    (2.0, 2.5)
    """
    text = value.strip() if isinstance(value, str) else value
    if isinstance(text, str) and ":" in text:
        one, _, text = text.partition(":")
        if one.strip() != "1":
            raise Refusal(f"{quoted(value)} is not on 1 part of substrate: write for instance `1:2`.")
    try:
        parts = magnitude(text, "number")
    except Refusal as refusal:
        raise Refusal(
            f"{quoted(value)} is no ratio of water to substrate: write for instance `1:2`."
        ) from refusal
    if not _THICKEST <= parts <= _THINNEST:
        raise Refusal(
            f"{quoted(value)} makes no slurry, which takes {_THICKEST:g} to {_THINNEST:g} parts of water on "
            "1 of substrate: write for instance `1:2`."
        )
    return parts


def mixture(substrate: tuple[str, UFloat], water: tuple[str, UFloat], known: Substrate) -> Mixture:
    """Bring substrate and water together, each given by volume or by mass.

    Parameters
    ----------
    substrate, water : tuple of str and UFloat
        ``"volume"`` [mL] or ``"mass"`` [g], and how much.
    known : Substrate
        What is known of the substrate.

    Returns
    -------
    Mixture
        Everything that follows, None for what does not.
    """
    kind, amount = substrate
    volume = amount if kind == "volume" else None if known.density is None else amount / known.density
    mass = amount if kind == "mass" else None if known.density is None else amount * known.density
    added = water[1] if water[0] == "volume" else water[1] / WATER_DENSITY.value
    if mass is None or known.moisture is None:
        return Mixture(volume, added, None, None)
    dry = mass / (1 + known.moisture)
    return Mixture(volume, added, dry, added * WATER_DENSITY.value + (mass - dry))


def as_measured(kind: str, amount: float, name: str) -> UFloat:
    """Give an amount the uncertainty of a kitchen cup or a scale.

    Parameters
    ----------
    kind : {"volume", "mass"}
        How it was measured.
    amount : float
        How much. [mL or g]
    name : str
        Of what.

    Returns
    -------
    UFloat
        The amount with its own source. [mL or g]

    Examples
    --------
    >>> print(as_measured("mass", 60.0, "substrate"))
    60.0+/-0.6
    """
    if kind == "volume":
        u = amount * KITCHEN_CUP.value / sqrt(3)
        return amount + nameless(u, f"cup of {name}", KITCHEN_CUP.known, KITCHEN_CUP.ground)
    u = GRAM_SCALE.value / sqrt(3)
    return amount + nameless(u, f"scale under {name}", GRAM_SCALE.known, GRAM_SCALE.ground)


def _amount(value: Given, name: str, cup: str) -> tuple[str, UFloat]:
    if isinstance(value, UFloat):
        kind: str = "volume"
        amount = value
        good = isfinite(amount.n) and isfinite(amount.s) and amount.n > 0
    else:
        kind, number = measured(value, ("volume", "mass"), cup=cup)
        good = number > 0
        amount = as_measured(kind, number, name)
    if not good:
        raise Refusal(
            f"{quoted(value)} of {name} makes no slurry: write for instance "
            f"{'`1/2 cup`' if name == 'substrate' else '`1 cup`'}."
        )
    return kind, amount


def check_basis(basis: str) -> None:
    """Refuse what is no basis of a ratio.

    Parameters
    ----------
    basis : str
        What was given.

    Raises
    ------
    Refusal
        If it is neither ``"volume"`` nor ``"mass"``.

    Examples
    --------
    >>> check_basis("volume")
    """
    if basis not in ("volume", "mass"):
        raise Refusal(f"{quoted(basis)} is no basis of a ratio: write `volume` or `mass`.")


def _unknown(given: Given, basis: Basis, known: Substrate) -> Refusal:
    needs = [] if known.density is not None else ["a bulk density, for instance `0.25 g/mL` or `coir`"]
    if basis == "mass" and known.moisture is None:
        needs.append("a moisture, for instance `120 %`")
    return Refusal(f"{quoted(given)} of substrate gives no ratio by {basis} yet: add {' and '.join(needs)}.")


class _Advice(NamedTuple):
    state: Literal["as wanted", "not settled", "too thick", "too thin"]
    text: str
    water: float = 0.0
    substrate: float | None = 0.0


def _advise(parts: tuple[UFloat, UFloat], goal: float, basis: Basis, known: Substrate, cup: str) -> _Advice:
    # scipy comes with the coverage intervals, and a recipe, which enters by this module, does without.
    from slurrycalc.metrology.coverage import interval  # noqa: PLC0415

    reached = parts[1] / parts[0]
    low, high = interval(reached)
    off = reached.n / goal - 1
    it_is = f"It is 1:{reached.n:.3g} by {basis} (1:{max(low, 0.0):.3g} to 1:{high:.3g}, 95 in 100)"
    if abs(off) <= RATIO_SLACK.value:
        return _Advice("as wanted", f"{it_is}, near enough to 1:{goal:g}: stir, and let it settle.")
    if low <= goal <= high:
        tell = "weigh one level cup of the substrate" if basis == "mass" else "measure with a finer measure"
        return _Advice("not settled", f"{it_is}, which may or may not be 1:{goal:g}: {tell} to know.")
    it_is += f", {_compared(off)} 1:{goal:g} wants"
    if off < 0:
        water = (goal * parts[0].n - parts[1].n) / (1.0 if basis == "volume" else WATER_DENSITY.value)
        return _Advice("too thick", f"{it_is}: add {_spoken(water, cup)} of water, {_ANEW}.", water)
    return _thicken(it_is, parts, goal, known if basis == "mass" else None, cup)


def _thicken(
    it_is: str, parts: tuple[UFloat, UFloat], goal: float, moist: Substrate | None, cup: str
) -> _Advice:
    base, water = parts[0].n, parts[1].n
    # By mass, each gram of dry substrate brings its own water along.
    carried = 0.0 if moist is None or moist.moisture is None else moist.moisture.n
    if carried >= goal:
        words = "but a substrate as moist as this cannot thicken it: dry it, or ask for a thinner ratio"
        return _Advice("too thin", f"{it_is}, {words}.", substrate=None)
    amount = (water - goal * base) / (goal - carried)
    if moist is None:
        return _Advice("too thin", f"{it_is}: add {_spoken(amount, cup)} of substrate, {_ANEW}.", 0.0, amount)
    mass = amount * (1 + carried)
    volume = None if moist.density is None else mass / moist.density.n
    words = grams(mass).words + ("" if volume is None else f", or {_spoken(volume, cup)},")
    return _Advice("too thin", f"{it_is}: add {words} of substrate, {_ANEW}.", 0.0, volume)


def _compared(off: float) -> str:
    if off >= 1:
        return f"{off + 1:.2g} times the water that"
    return f"{100 * abs(off):.0f} % {'less' if off < 0 else 'more'} water than"


def _spoken(volume: float, cup: str) -> str:
    return f"{kitchen_measure(volume, cup).words} ({millilitres(volume).words})"
