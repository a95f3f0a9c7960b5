"""Before the spoon: how much to mix, and what a mixture is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from typer import Argument, Option

from slurrycalc.cli.cups import own_cup
from slurrycalc.cli.options import Cup, Logbook
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.words import count
from slurrycalc.measuring.recipe import Recipe
from slurrycalc.measuring.recipe import mix as mix_slurries
from slurrycalc.measuring.recipe.ratio import Basis, Ratio
from slurrycalc.measuring.recipe.ratio import ratio as ratio_of
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import split_amounts
from slurrycalc.report.page import Block, noted
from slurrycalc.report.pages.recipe import ratio_blocks, recipe_blocks

Wanted = Annotated[str, Option(metavar="RATIO", help="Parts of water wanted on one of substrate.")]
BasisWords = Annotated[
    str, Option("--basis", metavar="volume|mass", help="What the ratio counts: bulk volume, or dry mass.")
]
BulkDensity = Annotated[
    str | None,
    Option(metavar="DENSITY", help='What the substrate weighs: "0.25 g/mL", "60 g/cup", or a name: coir.'),
]
Moisture = Annotated[
    str | None, Option(metavar="MOISTURE", help='Water mass over dry mass of the substrate: 1.2 or "120 %".')
]


def mix(
    *,
    slurries: Annotated[str, Option(metavar="NUMBER", help="How many, each from its own spots.")] = "1",
    ratio: Annotated[str, Option(metavar="RATIO", help="Parts of water on one of substrate.")] = "1:2",
    basis: BasisWords = "volume",
    substrate: Annotated[
        str | None, Option(metavar="AMOUNT", help='What to take for each slurry: "1/4 cup" or "60 g".')
    ] = None,
    container: Annotated[
        str | None, Option(metavar="AMOUNT", help='What each slurry has to fit in: "300 mL".')
    ] = None,
    bed: Annotated[
        str | None, Option(metavar="AMOUNT", help='How much substrate the enclosure holds: "5 L".')
    ] = None,
    bulk_density: BulkDensity = None,
    moisture: Moisture = None,
    cup: Cup = None,
    logbook: Logbook = None,
) -> Outcome[Recipe]:
    """Say how much substrate and water to mix, and how, step by step.

    slurrycalc mix
    slurrycalc mix --slurries 3 --bed "5 L"
    slurrycalc mix --basis mass --bulk-density "0.3 g/mL" --moisture "120 %"
    """
    how_many = count(slurries, "--slurries", 500)
    own, said = own_cup(cup, logbook)
    recipe = mix_slurries(
        ratio, how_many, basis_words(basis), substrate, container, bulk_density, moisture, own, bed
    )

    def page() -> Iterator[Block]:
        yield from recipe_blocks(recipe)
        yield noted(said)

    return Outcome(recipe, tuple(page()), (*recipe.remarks, *said))


def ratio(
    amounts: Annotated[
        list[str], Argument(metavar="SUBSTRATE WATER", help="Two amounts, without quotes: 1/2 cup 1 cup.")
    ],
    *,
    wanted: Wanted = "1:2",
    basis: BasisWords = "volume",
    bulk_density: BulkDensity = None,
    moisture: Moisture = None,
    cup: Cup = None,
    logbook: Logbook = None,
) -> Outcome[Ratio]:
    """Say what ratio an amount of substrate and one of water make.

    slurrycalc ratio 1/2 cup 1 cup
    slurrycalc ratio 60 g 120 mL --bulk-density coir
    slurrycalc ratio 118 mL 8 fl oz --wanted 1:2.5
    """
    substrate, water = split_amounts(amounts, 2)
    own, said = own_cup(cup, logbook)
    result = ratio_of(
        substrate, water, bulk_density, moisture, own, wanted=wanted, basis=basis_words(basis)
    )

    def page() -> Iterator[Block]:
        yield from ratio_blocks(result)
        yield noted(said)

    return Outcome(result, tuple(page()), (*result.remarks, *said))


def basis_words(text: str) -> Basis:
    """Read ``--basis``."""
    if text not in ("volume", "mass"):
        raise Refusal(f"--basis: {quoted(text)} is no basis of a ratio; write volume or mass")
    return "mass" if text == "mass" else "volume"
