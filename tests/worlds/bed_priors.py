"""How the answers about a few beds move when each prior of the model is halved and doubled.

Run ``python tests/worlds/bed_priors.py`` for the table.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from slurrycalc.deciding.bed import (
    Bed,
    Happening,
    Mix,
    Prior,
    Replaced,
    bed,
    day_mean,
    hold,
    level,
    rate,
    ratio_known,
    read_by,
)

FIRST = date(2024, 1, 10)
FLOOR = ("floor", 5.0)
OFF = (0.05, -0.07, 0.02, -0.03, 0.08, -0.04, -0.02, 0.06, -0.05, 0.01, -0.06, 0.05, 0.03, -0.02, 0.04, -0.05)
"""What the made-up bench days are off by, one after the other. [pH]."""


def read(path: Callable[[int], float], days: int) -> list[Happening]:
    """Read a bed each month, two jars a day that lie 0.1 apart."""
    return [
        day_mean(FIRST + timedelta(days=30 * k), [path(k) + OFF[k] - 0.05, path(k) + OFF[k] + 0.05], 0.012)
        for k in range(days)
    ]


def exchanged() -> list[Happening]:
    """Read a falling bed for eight months, exchange a quarter, read twice more: r is below 1."""
    found = read(lambda k: 5.9 - 0.05 * k, 8)
    day = found[-1].day
    after = [day_mean(day + timedelta(days=d), [5.63, 5.71], 0.012) for d in (7, 37)]
    return [*found, Replaced(day, 0.25, 6.6, 0.05), *after]


BEDS: dict[str, list[Happening]] = {
    "3 days": read(lambda k: 6.0 - 0.04 * k, 3),
    "12 days": read(lambda k: 6.0 - 0.04 * k, 12),
    "16 days, tripled at 10": read(lambda k: 6.0 - 0.03 * k - 0.06 * max(k - 10, 0), 16),
    "10 days and an exchange": exchanged(),
}


def mixed(weights: Sequence[float], factor: float) -> tuple[float, ...]:
    """Scale the odds of all but the first of some weights."""
    scaled = [weights[0], *(factor * each for each in weights[1:])]
    return tuple(each / sum(scaled) for each in scaled)


def scaled(field: str, factor: float) -> Prior:
    """Scale one prior: a number, each of several nodes, or the odds of all but the first class."""
    prior = Prior()
    now = getattr(prior, field)
    if field.endswith("_weight"):
        return replace(prior, **{field: mixed(now, factor)})
    if field == "scatter_expected":
        return replace(prior, scatter_expected=(now[0] * factor, now[1]))
    if field == "buffering_kept":
        return replace(prior, buffering_kept=mixed((1.0 - now, now), factor)[1])
    if field == "disturbed_scatter":
        return replace(prior, disturbed_scatter=mixed((1.0 - now, now), factor)[1])
    new = tuple(factor * each for each in now) if isinstance(now, tuple) else factor * now
    return replace(prior, **{field: new})


FIELDS = (
    "rate", "wander", "wander_weight", "hazard", "scatter_expected", "day_effect", "day_effect_weight",
    "buffering", "buffering_kept", "scatter_stays", "placement_share", "placement_fixed", "exchange_rate",
)  # fmt: skip


SHOWN = {"3 days": "3 days", "12 days": "12 days", "10 days and an exchange": "exchange"}
"""Beds of the printed table, and how its head calls them."""
COLUMNS = {"rate": (2, "{:.3f}"), "days": (4, "{:.0f}"), "upkeep": (6, "{:.2f}")}
"""What it shows of each: which answer, and its digits."""


def answers(now: Bed) -> list[float]:
    """Level and rate with their standard uncertainties, days to the next reading, r, and upkeep a quarter."""
    ratio = ratio_known(now)
    found = hold(now, now.last, ("floor", 5.2), Mix(6.6, 0.05), u_shared=0.022).fraction
    return [
        level(now).value,
        level(now).u,
        rate(now).value,
        rate(now).u,
        float((read_by(now, [FLOOR], u_shared=0.022).by - now.last).days),
        float("nan") if ratio is None else ratio.ratio,
        float("nan") if found is None else found,
    ]


def cells(history: list[Happening], priors: Sequence[Prior]) -> list[str]:
    """Write the answers under several priors: rate, days to the next reading, upkeep a quarter."""
    found = [answers(bed(history, prior)) for prior in priors]
    return [
        ", ".join(form.format(each[i]).replace("-", "−") for each in found) for i, form in COLUMNS.values()
    ]


def rows() -> Iterator[tuple[str, list[str]]]:
    """Give the rows of the table: as it is, then each prior halved and doubled."""
    named = [("as it is", [Prior()])]
    named += [(field.replace("_", " "), [scaled(field, by) for by in (0.5, 2.0)]) for field in FIELDS]
    for label, priors in named:
        yield label, [cell for name in SHOWN for cell in cells(BEDS[name], priors)]


def main() -> None:
    """Print the table as reference/methods.md shows it."""
    heads = [f"{name}: {each}" for name in SHOWN.values() for each in COLUMNS]
    print(f"| prior, halved and doubled | {' | '.join(heads)} |")
    print("|---" * (len(heads) + 1) + "|")
    for label, found in rows():
        print(f"| {label} | {' | '.join(found)} |")


if __name__ == "__main__":
    main()
