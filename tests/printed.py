"""What ``reference/methods.md`` prints of simulations, read from there: the tests hold what a reader sees."""

from __future__ import annotations

import re
from decimal import Decimal
from math import sqrt
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[1]
METHODS = (ROOT / "reference" / "methods.md").read_text(encoding="utf-8")
README = " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())
"""In one line, so that a sentence of it can be looked for."""
NUMBER = re.compile(r"\d*\.\d+|\d+")


def printed_table(head: str) -> tuple[list[str], dict[str, list[str]]]:
    """Give the columns and the rows, by their first cells, of the one table whose head begins so."""
    (table,) = re.findall(rf"^\| {re.escape(head)} \|.*\n(?:\|.*\n)+", METHODS, re.MULTILINE)
    columns, _, *rows = [
        [cell.strip() for cell in line.strip("|\n ").split("|")] for line in table.splitlines()
    ]
    return columns[1:], {row[0]: row[1:] for row in rows}


def numbers(cell: str) -> list[float]:
    """Give the numbers of a cell, in their order."""
    return [float(found) for found in NUMBER.findall(cell)]


def last_digit(cell: str) -> float:
    """Give half a unit of the last digit that a cell prints."""
    exponent = Decimal(NUMBER.findall(cell)[-1]).as_tuple().exponent
    assert isinstance(exponent, int)
    return 0.5 * 10.0**exponent


def binomial(cell: str, size: int, printed_size: int, of: int = 1, errors: float = 3.0) -> float:
    """Say how far a simulated share may lie from a printed one.

    Parameters
    ----------
    cell : str
        As printed.
    size, printed_size : int
        Draws of this simulation and of the printed one.
    of : int
        Of so many shares the least was printed, and is simulated: with fewer draws it lies lower.
    errors : float
        How many standard errors.

    Returns
    -------
    float
        Standard errors of the difference, the least's lean, and half the last printed digit.
    """
    p = min(numbers(cell)[0], 1.0 - 1.0 / printed_size)
    here, there = (sqrt(p * (1.0 - p) / draws) for draws in (size, printed_size))
    lean = sqrt(2.0 * float(np.log(of))) * abs(here - there)
    return errors * sqrt(here**2 + there**2) + lean + last_digit(cell)
