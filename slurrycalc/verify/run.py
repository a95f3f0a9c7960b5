"""Recompute every entry of ``reference/check_values.toml`` and say which numbers were met."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from slurrycalc.data.assumed import Known
from slurrycalc.data.shipped import shipped
from slurrycalc.metrology.watch import Watch, unwatched
from slurrycalc.verify.recompute import CALCULATORS

Status = Literal["pass", "miss", "not run"]
Entry = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Recomputed:
    """One number of one entry, as its source says and as recomputed here."""

    id: str
    """The entry's name."""
    quantity: str
    """Which of its numbers; empty for an entry that was not run."""
    expected: float | None
    got: float | None
    tolerance: float | None
    """How far the two may lie apart, in the number's unit."""
    unit: str
    status: Status
    source: str
    known: Known
    reason: str = ""
    """Why it was not run, or why it could not be recomputed."""


def load_entries() -> tuple[dict[str, Any], ...]:
    """Read the shipped check values.

    Returns
    -------
    tuple of dict
        The entries in their order. Numbers with a point are ``decimal.Decimal``: they keep the digits as
        printed, on which the tolerance rests.

    Raises
    ------
    FileNotFoundError
        If the installation lacks them.

    Examples
    --------
    >>> load_entries()[0]["id"]
    'nernst-slope'
    """
    text = shipped("reference", "check_values.toml").read_text(encoding="utf-8")
    return tuple(tomllib.loads(text, parse_float=Decimal)["check"])


def run_checks(
    entries: Sequence[Entry] | None = None, watch: Watch = unwatched
) -> tuple[Recomputed, ...]:
    """Recompute check values by the product's own code.

    Parameters
    ----------
    entries : sequence of mapping, optional
        Entries as `load_entries` gives them. Default: all that are shipped.
    watch : Watch
        What the entries are handed to on their way.

    Returns
    -------
    tuple of Recomputed
        One for each number, in the entries' order; one for an entry that can't be run here: a statement in
        words, data that is not shipped, a part that is not built yet. Such an entry never passes.

    Examples
    --------
    >>> {row.status for row in run_checks(load_entries()[:1])}
    {'pass'}
    """
    entries = load_entries() if entries is None else entries
    return tuple(row for entry in watch(entries, len(entries)) for row in _rows(entry))


def half_last_digit(printed: Decimal | int) -> float:
    """Half a unit of the last digit of a number as it is printed.

    Parameters
    ----------
    printed : Decimal or int
        The number with its trailing zeros.

    Returns
    -------
    float
        How far a value that rounds to it may lie from it, in its own unit.

    Raises
    ------
    ValueError
        If the number is not finite.

    Examples
    --------
    >>> half_last_digit(Decimal("4.000"))
    0.0005
    """
    exponent = Decimal(printed).as_tuple().exponent
    if not isinstance(exponent, int):
        raise ValueError(f"{printed} has no last digit; give the check a tolerance")
    return float(Decimal(5).scaleb(exponent - 1))


def _rows(entry: Entry) -> Iterator[Recomputed]:
    why = _why_not(entry)
    if why:
        yield _row(entry, "", status="not run", reason=why)
        return
    try:
        pairs = list(_pairs(entry, CALCULATORS[entry["check"]](_plain(entry["inputs"]))))
    # Whatever goes wrong on somebody's machine is what verify is there to name; it must not stop at it.
    except Exception as error:
        yield _row(entry, "", status="miss", reason=f"{type(error).__name__}: {error}")
        return
    for quantity, expected, value in pairs:
        tolerance = _tolerance(entry, quantity, expected)
        # The last bits of a decimal's conversion to binary are no miss.
        met = value is not None and abs(value - float(expected)) <= tolerance * (1 + 1e-9)
        yield _row(
            entry,
            quantity,
            expected=float(expected),
            got=value,
            tolerance=tolerance,
            status="pass" if met else "miss",
            reason="" if value is not None else "nothing computes it",
        )


def _why_not(entry: Entry) -> str:
    if "waits" in entry:
        return f"waits for {entry['waits']}"
    if "check" not in entry:
        return f"a statement, not a number: {entry['statement']}"
    if "needs" in entry and "inputs" not in entry:
        return f"needs data that is not shipped: {entry['needs']}"
    return ""


def _pairs(entry: Entry, got: Mapping[str, Any]) -> Iterator[tuple[str, Decimal | int, float | None]]:
    for quantity, expected in entry["expected"].items():
        value = got.get(quantity)
        if not isinstance(expected, list):
            yield quantity, expected, value
            continue
        along = entry["along"]
        values = [None] * len(expected) if value is None else value
        for where, one, here in zip(entry["inputs"][along], expected, values, strict=True):
            yield f"{quantity} at {along} {where}", one, here


def _tolerance(entry: Entry, quantity: str, expected: Decimal | int) -> float:
    if "relative_tolerance" in entry:
        return float(entry["relative_tolerance"]) * abs(float(expected))
    given = entry.get("tolerance", {})
    given = given.get(_bare(quantity)) if isinstance(given, Mapping) else given
    return half_last_digit(expected) if given is None else float(given)


def _bare(quantity: str) -> str:
    """Take ``"slope"`` from ``"slope at temperature 25"``."""
    return quantity.partition(" at ")[0]


def _row(
    entry: Entry,
    quantity: str,
    *,
    status: Status,
    expected: float | None = None,
    got: float | None = None,
    tolerance: float | None = None,
    reason: str = "",
) -> Recomputed:
    unit = entry.get("unit", "")
    return Recomputed(
        id=entry["id"],
        quantity=quantity,
        expected=expected,
        got=got if got is None or math.isfinite(got) else None,
        tolerance=tolerance,
        unit=unit if isinstance(unit, str) else unit.get(_bare(quantity), ""),
        status=status,
        source=entry["source"],
        known=entry["known"],
        reason=reason,
    )


def _plain(value: Any) -> Any:
    """Floats for decimals: the calculators are given what the product is given."""
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, Mapping):
        return {key: _plain(part) for key, part in value.items()}
    if isinstance(value, list):
        return [_plain(part) for part in value]
    return value
