"""What to measure out for some slurries, in the keeper's own measures, and how to make them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil
from typing import Literal, NamedTuple

import pint

from slurrycalc.data.assumed import BED_SHARE, SETTLING, STANDING, TIP_DEPTH, WATER_DENSITY
from slurrycalc.data.cautions import cautions
from slurrycalc.measuring.recipe.measures import Measure, fluid_ounces, grams, kitchen_measure, millilitres
from slurrycalc.measuring.recipe.portion import (
    Limits,
    choose_portion,
    container_words,
    least_container,
    objections,
    widest_container,
)
from slurrycalc.measuring.recipe.procedure import slurry_steps
from slurrycalc.measuring.recipe.ratio import (
    Basis,
    Mixture,
    Ratio,
    as_measured,
    check_basis,
    mixture,
    ratio,
    wanted_ratio,
)
from slurrycalc.measuring.recipe.substrate import Given, Substrate
from slurrycalc.measuring.recipe.substrate import substrate as known_substrate
from slurrycalc.metrology.annotate import (
    CentimetreValue,
    GramValue,
    MilliLitreValue,
    MinuteValue,
    Number,
    NumberValue,
    PercentValue,
)
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Result, Valued
from slurrycalc.metrology.units import magnitude, measured, parse
from slurrycalc.metrology.units.amounts import amount, unit_of
from slurrycalc.metrology.units.kitchen import cup_words

__all__ = ["Mixture", "Ratio", "Recipe", "Way", "mix", "ratio"]

WayName = Literal["cups", "fluid ounces", "millilitres", "scale"]

# More jars than one bench sees in a day (our own limit).
_MOST_SLURRIES = 500
@dataclass(frozen=True)
class Way(Result, of="name"):
    """One way to measure out a slurry."""

    name: WayName
    substrate: str
    """Of each slurry, as it is said."""
    water: str
    """Of each slurry, as it is said."""
    all_substrate: str
    """Of all slurries together, as it is said."""
    all_water: str
    """Of all slurries together, as it is said."""
    substrate_volume: MilliLitreValue
    substrate_mass: GramValue | None
    """As it is filled, moist; None where the bulk density is not known."""
    water_volume: MilliLitreValue
    ratio: Number
    """What these amounts really give, by the recipe's basis, with what the measuring leaves uncertain."""

    def _body(self) -> str:
        return f"{self.substrate} of substrate and {self.water} of water"



@dataclass(frozen=True)
class Recipe(Valued, value="ratio"):
    """Amounts and steps for one or more slurries."""

    wanted: NumberValue
    """Parts of water on one part of substrate."""
    basis: Basis
    slurries: int
    ways: tuple[Way, ...]
    """Ways to measure out each slurry; the first is the one that the steps use."""
    ratio: Number
    """What the first way's rounded amounts really give."""
    substrate: MilliLitreValue
    """Of each slurry, bulk volume."""
    water: MilliLitreValue
    """Of each slurry."""
    all_substrate: MilliLitreValue
    """Of all slurries together."""
    all_water: MilliLitreValue
    """Of all slurries together."""
    cup: str
    """Whose cup is meant."""
    container: MilliLitreValue
    """Smallest container of a slurry that leaves room to stir."""
    widest: CentimetreValue | None
    """Widest straight container in which clear water covers the electrode's tip; None if hardly any does."""
    tip_depth: CentimetreValue
    settling: MinuteValue
    standing: MinuteValue
    bed_share: PercentValue | None
    """Share of the bed that all the slurries take; None where no bed was given."""
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    remarks: tuple[Remark, ...] = ()

    def _body(self) -> str:
        return f"1:{self.wanted:g} by {self.basis}, for each slurry {self.ways[0]._body()}"



def mix(  # noqa: PLR0917  (the public order of parameters)
    ratio: float | str = 2.0,
    slurries: int = 1,
    basis: Basis = "volume",
    substrate: float | str | pint.Quantity[float] | None = None,
    container: float | str | pint.Quantity[float] | None = None,
    bulk_density: Given | None = None,
    moisture: Given | None = None,
    cup: str = "us",
    bed: float | str | pint.Quantity[float] | None = None,
) -> Recipe:
    """Write the recipe of one or more slurries.

    Parameters
    ----------
    ratio : float or str
        Parts of water on one part of substrate: ``2`` or ``"1:2"``. [1]
    slurries : int
        How many.
    basis : {"volume", "mass"}
        Water volume over substrate bulk volume, or all water mass over dry substrate mass; the latter needs
        bulk density and moisture.
    substrate : float, str or pint.Quantity, optional
        What to take for each slurry [mL], by volume or by mass. Half a cup where nothing asks for less.
    container : float, str or pint.Quantity, optional
        The container that each slurry has to fit in. [mL]
    bulk_density : float, str, pint.Quantity or UFloat, optional
        Of the substrate as it is filled, moist [g/mL]; or the name of a common substrate.
    moisture : float, str, pint.Quantity or UFloat, optional
        Water mass over dry mass of the substrate. [1]
    cup : str
        Whose cup is meant, as in :func:`slurrycalc.metrology.units.parse`.
    bed : float, str or pint.Quantity, optional
        Volume of the enclosure's substrate. [mL] Where two half cups would take more than 2 % of it (our own
        figure), each slurry takes less.

    Returns
    -------
    Recipe
        Amounts in cups and spoons, fluid ounces, millilitres, and grams where the bulk density is known, each
        rounded to what can be measured, with the ratio that the rounded amounts really give; and the steps.

    Raises
    ------
    Refusal
        If something given cannot stand, or does not fit in the container.

    References
    ----------
    .. [1] University of California, Davis, Analytical Laboratory, soil method 207: pH in a 1:2 slurry.

    Examples
    --------
    >>> recipe = mix()
    >>> [(way.substrate, way.water) for way in recipe.ways]
    [('1/2 cup', '1 cup'), ('4 fl oz', '8 fl oz'), ('120 mL', '240 mL')]
    >>> print(recipe.ratio)
    2.00+/-0.08
    >>> mix(bed="5 L").ways[0].substrate
    '3 tbsp'
    """
    wanted = wanted_ratio(ratio)
    check_basis(basis)
    count = _count(slurries)
    known = known_substrate(bulk_density, moisture, cup)
    thinned = _water_on_one(wanted, basis, known)
    limits = Limits(
        None if bed is None else _positive(bed, "bed", "`40 L`", cup),
        None if container is None else _positive(container, "container", "`500 mL`", cup),
        thinned,
        amount(container, ("volume",), cup=cup).words if isinstance(container, str) else None,
    )
    first: WayName = "cups"
    if substrate is None:
        portion, remarks = choose_portion(limits, cup)
    else:
        first, portion = _asked(substrate, known, cup)
        remarks = objections(portion, limits)
    ways = _ways(_Order(portion, thinned, basis, known, count), cup)
    ways.sort(key=lambda way: way.name != first)
    way = ways[0]
    least = least_container(way.substrate_volume, way.water_volume)
    widest = widest_container(way.substrate_volume, way.water_volume)
    share = None if limits.bed is None else 100.0 * count * way.substrate_volume / limits.bed
    return Recipe(
        wanted=wanted,
        basis=basis,
        slurries=count,
        ways=tuple(ways),
        ratio=way.ratio,
        substrate=way.substrate_volume,
        water=way.water_volume,
        all_substrate=count * way.substrate_volume,
        all_water=count * way.water_volume,
        cup=cup_words(cup),
        container=least,
        widest=widest,
        tip_depth=TIP_DEPTH.value,
        settling=SETTLING.value,
        standing=STANDING.value,
        bed_share=share,
        steps=slurry_steps(
            way.substrate,
            way.water,
            count,
            container_words(least, widest, limits.room_words, cup),
            weighed=way.name == "scale",
        ),
        cautions=cautions("mix"),
        remarks=(
            *known.remarks,
            *remarks,
            *_measured_as(substrate, way, cup),
            *_about(way, wanted, widest, share, count),
        ),
    )


def _count(slurries: int) -> int:
    try:
        count = magnitude(slurries, "number")
    except Refusal:
        count = 0.0
    if count != int(count) or not 1 <= count <= _MOST_SLURRIES:
        raise Refusal(
            f"{quoted(slurries)} is no number of slurries, which goes from 1 to {_MOST_SLURRIES}: "
            "write for instance `2`."
        )
    return int(count)


def _positive(value: float | str | pint.Quantity[float], name: str, right: str, cup: str) -> float:
    volume = magnitude(value, "volume", cup=cup)
    if volume == 0.0:
        raise Refusal(f"{quoted(value)} is no volume of a {name}: write for instance {right}.")
    return volume


def _water_on_one(wanted: float, basis: Basis, known: Substrate) -> float:
    """Find the volumes of water to add on one volume of substrate."""
    if basis == "volume":
        return wanted
    if known.density is None or known.moisture is None:
        needs = "a bulk density, for instance `coir` or `0.25 g/mL`" if known.density is None else ""
        needs += " and " if known.density is None and known.moisture is None else ""
        needs += "a moisture, for instance `120 %`" if known.moisture is None else ""
        raise Refusal(f"`1:{wanted:g}` by mass counts dry substrate and its own water: add {needs}.")
    dry = known.density.n / (1 + known.moisture.n)
    water = (wanted * dry - (known.density.n - dry)) / WATER_DENSITY.value
    if water <= 0:
        raise Refusal(
            f"`1:{wanted:g}` by mass is less water than the substrate itself holds, {known.moisture.n:.2g} "
            f"times its dry mass: ask for a thinner one, for instance `1:{ceil(2 * known.moisture.n + 2):g}`."
        )
    return float(water)


def _asked(
    substrate: float | str | pint.Quantity[float], known: Substrate, cup: str
) -> tuple[WayName, float]:
    """Find the way and the bulk volume that somebody asked for."""
    kind, amount = measured(substrate, ("volume", "mass"), cup=cup)
    if amount == 0.0:
        raise Refusal(f"{quoted(substrate)} of substrate makes no slurry: write for instance `1/2 cup`.")
    if kind == "mass":
        if known.density is None:
            raise Refusal(
                f"{quoted(substrate)} of substrate has a volume only with a bulk density: add one, for "
                "instance `0.25 g/mL` or `coir`."
            )
        return "scale", amount / known.density.n
    quantity = parse(substrate, "volume", cup=cup) if isinstance(substrate, str) else substrate
    unit = str(quantity.units) if isinstance(quantity, pint.Quantity) else "milliliter"
    if "fluid_ounce" in unit:
        return "fluid ounces", amount
    return "millilitres" if "liter" in unit and "cup" not in str(substrate) else "cups", amount


def _measured_as(substrate: object, way: Way, cup: str) -> tuple[Remark, ...]:
    """Say how an amount is measured that is typed in a unit with which no tool here is marked."""
    if not isinstance(substrate, str):
        return ()
    said = amount(substrate, ("volume", "mass"), cup=cup)
    unit = unit_of(said.unit, ("volume", "mass"))
    if unit in ("L", "mL", "g", "cup", "tablespoon", "teaspoon", "fluid_ounce"):
        return ()
    return (Remark("measured-as", f"{said.words} of substrate is measured as {way.substrate}."),)


class _Order(NamedTuple):
    """What every way of measuring has to make."""

    portion: float
    thinned: float
    basis: Basis
    known: Substrate
    slurries: int


class _Tool(NamedTuple):
    """What is measured with, and how much of it a millilitre is."""

    name: WayName
    rounded: Callable[[float], Measure]
    of_substrate: float = 1.0
    of_water: float = 1.0


def _ways(order: _Order, cup: str) -> list[Way]:
    """Round a portion and its water for each tool."""
    tools = [_Tool("cups", lambda volume: kitchen_measure(volume, cup))]
    if cup.strip().casefold() in ("us", "imperial"):
        tools.append(_Tool("fluid ounces", lambda volume: fluid_ounces(volume, cup)))
    tools.append(_Tool("millilitres", millilitres))
    if order.known.density is not None:
        tools.append(_Tool("scale", grams, float(order.known.density.n), WATER_DENSITY.value))
    return [_way(tool, order) for tool in tools]


def _way(tool: _Tool, order: _Order) -> Way:
    kind = "mass" if tool.name == "scale" else "volume"
    substrate = tool.rounded(order.portion * tool.of_substrate)
    # The water follows the rounded substrate, so that rounding both does not add up.
    water = tool.rounded(order.thinned * substrate.amount / tool.of_substrate * tool.of_water)
    made = mixture(
        (kind, as_measured(kind, substrate.amount, "substrate")),
        (kind, as_measured(kind, water.amount, "water")),
        order.known,
    )
    volume = substrate.amount / tool.of_substrate
    density = order.known.density
    return Way(
        name=tool.name,
        substrate=substrate.words,
        water=water.words,
        all_substrate=tool.rounded(order.slurries * substrate.amount).words,
        all_water=tool.rounded(order.slurries * water.amount).words,
        substrate_volume=volume,
        substrate_mass=None if density is None else volume * float(density.n),
        water_volume=water.amount / tool.of_water,
        ratio=made.ratio(order.basis),
    )


def _about(
    way: Way, wanted: float, widest: float | None, share: float | None, count: int
) -> tuple[Remark, ...]:
    """Say what a keeper should know of the amounts."""
    remarks = []
    if abs(way.ratio.n / wanted - 1) > 0.01:
        remarks.append(
            Remark(
                "rounded",
                f"Rounded to what can be measured, it is 1:{way.ratio.n:.3g} where 1:{wanted:g} is wanted.",
            )
        )
    if share is not None and share > 100 * BED_SHARE.value * 1.01 and count > 2:
        remarks.append(
            Remark("bed-share", f"All {count} slurries together take {share:.2g} % of this bed.")
        )
    if widest is None:
        remarks.append(
            Remark(
                "no-clear-water",
                "Hardly any clear water will stand over the substrate, so the tip will be in the slurry "
                "itself: hold it there the same way each time (from memory).",
            )
        )
    return tuple(remarks)
