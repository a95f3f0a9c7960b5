"""Before the spoon: how much to mix, and what a mixture is."""

from __future__ import annotations

from typing import Annotated

from typer import Argument, Option

from slurrycalc.cli.options import Cup
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.show import Page
from slurrycalc.cli.words import option
from slurrycalc.measuring.ratio import Basis, Ratio
from slurrycalc.measuring.ratio import ratio as ratio_of
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import cup_size, split_amounts

Wanted = Annotated[str, Option(metavar="RATIO", help="Parts of water wanted on one of substrate: 2 or 1:2.")]
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


def ratio(
    amounts: Annotated[
        list[str], Argument(metavar="SUBSTRATE WATER", help="Two amounts, without quotes: 1/2 cup 1 cup.")
    ],
    *,
    wanted: Wanted = "1:2",
    basis: BasisWords = "volume",
    bulk_density: BulkDensity = None,
    moisture: Moisture = None,
    cup: Cup = "us",
) -> Outcome[Ratio]:
    """Say what ratio an amount of substrate and one of water make.

    slurrycalc ratio 1/2 cup 1 cup
    slurrycalc ratio 60 g 120 mL --bulk-density coir
    slurrycalc ratio 118 mL 8 fl oz --wanted 1:2.5
    """
    # Joined, or two words such as 1/2 cup would pass for two amounts.
    substrate, water = split_amounts([" ".join(amounts)], 2)
    with option("--cup"):
        cup_size(cup)
    result = ratio_of(
        substrate, water, bulk_density, moisture, cup, wanted=wanted, basis=basis_words(basis)
    )
    return Outcome(result, lambda page: show_ratio(page, result), result.remarks)


def basis_words(text: str) -> Basis:
    """Read ``--basis``."""
    if text not in ("volume", "mass"):
        raise Refusal(f"--basis: {quoted(text)} is no basis of a ratio; write volume or mass")
    return "mass" if text == "mass" else "volume"


def show_ratio(page: Page, result: Ratio) -> None:
    """Write the ratio by the basis that was asked for, what to add, and the other basis."""
    # scipy comes with the intervals, and `mix`, which lives in this file, does without.
    from slurrycalc.metrology.coverage import interval

    pairs = [("by volume", result.by_volume), ("by mass", result.by_mass)]
    if result.basis == "mass":
        pairs.reverse()
    for name, value in pairs:
        if value is not None:
            page.headline(f"Ratio {name} 1 to", value.n, interval(value))
    page.say(result.advice)
    page.gap()
    page.remarks(result.remarks)
