"""Recipes and ratios, on a page."""

from __future__ import annotations

from collections.abc import Iterator

from slurrycalc.measuring.recipe import Recipe, Way
from slurrycalc.measuring.recipe.ratio import Ratio
from slurrycalc.metrology.figures import plus_minus
from slurrycalc.metrology.uncertain import NORMAL_95
from slurrycalc.metrology.units.amounts import volume_words
from slurrycalc.report.page import GAP, Block, Cautions, Heading, Headline, Say, noted, steps, table


def recipe_blocks(recipe: Recipe) -> Iterator[Block]:
    """Write a recipe: what to mind, the amounts, how, and what the amounts really give.

    Parameters
    ----------
    recipe : Recipe
        The recipe.
    """
    way = recipe.ways[0]
    each = "One slurry" if recipe.slurries == 1 else f"Each of {recipe.slurries} slurries"
    yield Heading(f"{each}: {way.substrate} of substrate, {way.water} of distilled water")
    yield table(
        ("measured in", "substrate", "water", f"gives, by {recipe.basis}, 1 to"),
        [(one.name, _substrate(one), one.water, _gives(one)) for one in recipe.ways],
    )
    yield GAP
    whole = f"{volume_words(recipe.all_substrate)} of substrate and {volume_words(recipe.all_water)} of water"
    room = f"a container of {volume_words(recipe.container)} or more"
    if recipe.widest is not None:
        room += f", {recipe.widest:.2g} cm wide at most, so that the electrode's tip is covered"
    yield Say(f"In all {whole}. Each needs {room}. Cups: {recipe.cup}.")
    yield Cautions()
    yield Heading("How")
    yield steps(recipe.steps)
    yield GAP
    yield noted(recipe.remarks)


def _substrate(way: Way) -> str:
    weighed = way.name == "scale" or way.substrate_mass is None
    return way.substrate if weighed else f"{way.substrate} ({way.substrate_mass:.0f} g)"


def _gives(way: Way) -> str:
    return plus_minus(way.ratio.n, NORMAL_95 * way.ratio.s)


def ratio_blocks(result: Ratio) -> Iterator[Block]:
    """Write the ratio by the basis that was asked for, what to add, and the other basis."""
    # scipy comes with the intervals, and a recipe does without.
    from slurrycalc.metrology.coverage import interval  # noqa: PLC0415

    pairs = [("by volume", result.by_volume), ("by mass", result.by_mass)]
    if result.basis == "mass":
        pairs.reverse()
    for name, value in pairs:
        if value is not None:
            yield Headline(f"Ratio {name} 1 to", value.n, interval(value))
    yield Say(result.advice)
    yield GAP
    yield noted(result.remarks)
