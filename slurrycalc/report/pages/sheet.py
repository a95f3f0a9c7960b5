"""The sheet for a pencil, on a page: lines to write on, and boxes to tick."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slurrycalc.day.bench.sheet import Part, Pencil
from slurrycalc.report.page import GAP, Block, Cautions, Heading, Say, table

LINE, SHORT = "__________", "______"
BOX = "☐"
WIDE = ("spot", "floats?", "steady?")
"""Columns in which words are written."""


def sheet_blocks(pencil: Pencil) -> Iterator[Block]:
    """Write a sheet for a pencil: what to mind, then its parts in the order in which hands move.

    Parameters
    ----------
    pencil : Pencil
        The sheet.
    """
    yield Heading(pencil.title)
    yield Say(_fields(pencil.fields))
    yield Say(_ticks(pencil.ticks))
    yield Cautions()
    for part in pencil.parts:
        yield from _part(part)
    yield GAP
    for line in pencil.foot:
        yield Say(line)


def _part(part: Part) -> Iterator[Block]:
    yield Heading(f"{part.letter}. {part.title}")
    for line in part.how:
        yield Say(line)
    rows = [tuple(map(_cell, part.columns, row)) for row in part.rows]
    yield table(part.columns, rows)
    if part.fields:
        yield Say(_fields(part.fields))
    if part.ticks:
        yield Say(_ticks(part.ticks))


def _cell(column: str, text: str) -> str:
    return text or (LINE if column in WIDE or len(column) > len(LINE) else SHORT)


def _fields(fields: Sequence[tuple[str, str]]) -> str:
    return ",  ".join(f"{what}: {known or LINE}" for what, known in fields)


def _ticks(ticks: Sequence[str]) -> str:
    return "   ".join(f"{BOX} {tick}" for tick in ticks)
