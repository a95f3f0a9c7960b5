"""Where the parts of a declared day stand in its file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any, ClassVar

from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

Path = tuple[str | int, ...]
"""Keys and indices from the top: ``("jar", 2, "shows")``."""


@dataclass(frozen=True)
class Places:
    """What to put in front of a sentence about one part of a day.

    A day made in Python has neither file nor lines; its places are paths alone.
    """

    file: str | None = None
    lines: Mapping[Path, int] = field(default_factory=dict)
    declares: ClassVar[bool] = True
    """Whether a day so written declares its things, and so adds those that are not on record."""

    def at(self, *path: str | int) -> str:
        """Name the place of a part: file, line where it is known, path.

        Parameters
        ----------
        path : str or int
            Keys and indices from the top; indices count from 0.

        Returns
        -------
        str
            The place; its numbers count from 1, as people do.

        Examples
        --------
        >>> Places("day.toml", {("jar", 2): 33}).at("jar", 2, "shows")
        'day.toml, line 33, jar 3, shows'
        >>> Places().at("jar", 0)
        'jar 1'
        """
        steps = [self.file] if self.file else []
        known = next((path[:n] for n in range(len(path), 0, -1) if path[:n] in self.lines), None)
        if known:
            steps.append(f"line {self.lines[known]}")
        return ", ".join([*steps, *spoken(path)])

    def row(self, jar: int) -> int:
        """Give the number by which a jar is known where it is held back."""
        return jar + 1

    @contextmanager
    def around(self, *path: str | int) -> Iterator[None]:
        """Put the place of a part in front of what is refused inside.

        Parameters
        ----------
        path : str or int
            As for `at`.

        Raises
        ------
        Refusal
            The one raised inside, with its place.
        """
        try:
            yield
        except Refusal as refusal:
            where = self.at(*path)
            raise refusal.at(where) if where else refusal from None


@dataclass(frozen=True)
class LinePlaces(Places):
    """Places of a command line: an option is named, and what stands alone speaks for itself.

    Examples
    --------
    >>> LinePlaces().at("meter", "resolution"), LinePlaces(buffers=("4.01",)).at("point", 0, "shows")
    ('--resolution', 'buffer 4.01')
    >>> LinePlaces().at("jar", 0, "shows")
    ''
    """

    buffers: tuple[str, ...] = ()
    """What each point names."""
    declares: ClassVar[bool] = False

    def at(self, *path: str | int) -> str:
        """Name the option in which a part was given; empty where it needs no name."""
        match path:
            case ("point", int(index), "shows" | "temperature"):
                return f"buffer {self.buffers[index]}"
            case ("meter", "name"):
                return "--meter"
            case ("meter", str(key)):
                return f"--{key}"
            case ("check" | "close" | "thermometer" | "probe" as key, *_):
                return f"--{key}"
        return ""


@dataclass(frozen=True)
class RowPlaces(LinePlaces):
    """Places of a table: a jar stands in a row, and everything else was given beside the table.

    Examples
    --------
    >>> RowPlaces("day.csv", rows=(2, 3)).at("jar", 1, "shows")
    'row 3'
    """

    rows: tuple[int, ...] = ()
    """Row of each jar, as a spreadsheet counts."""

    def row(self, jar: int) -> int:
        """Give a jar's row."""
        return self.rows[jar]

    def at(self, *path: str | int) -> str:
        """Name the row of a jar, or what was given beside the table."""
        match path:
            case ("jar", int(index), *_):
                return f"row {self.rows[index]}"
            case ("enclosure", *_):
                return " ".join(spoken(path))
        return super().at(*path)


def spoken(path: Path) -> list[str]:
    """Spell a path for people, counting from 1.

    Examples
    --------
    >>> spoken(("jar", 2, "shows"))
    ['jar 3', 'shows']
    """
    words: list[str] = []
    for step in path:
        if isinstance(step, int) and words:
            words[-1] += f" {step + 1}"
        else:
            words.append(str(step))
    return words


_HEADER = re.compile(r"\s*(\[\[?)\s*([A-Za-z0-9_-]+)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"""\s*(?:([A-Za-z0-9_-]+)|"([^"\\]*)"|'([^']*)')\s*=""")


def key_lines(text: str) -> dict[Path, int]:
    """Find the line of each key in TOML that already parsed.

    tomllib keeps no lines. A worksheet is flat enough to read them off again: one level of tables, and keys
    that start a line. Text in triple quotes could look like keys, so then nothing is claimed.

    Parameters
    ----------
    text : str
        The file.

    Returns
    -------
    dict
        Path of each key and table: its line, counted from 1.

    Examples
    --------
    >>> lines = key_lines('by = "x"' + chr(10) + "[[jar]]" + chr(10) + "shows = 5")
    >>> lines[("jar", 0, "shows")]
    3
    """
    lines: dict[Path, int] = {}
    if '"' * 3 in text or "'" * 3 in text:
        return lines
    table: Path = ()
    counts: dict[str, int] = {}
    for number, line in enumerate(text.split("\n"), 1):
        if header := _HEADER.match(line.rstrip("\r")):
            name = header[2]
            if header[1] == "[[":
                counts[name] = counts.get(name, -1) + 1
                table = (name, counts[name])
                lines.setdefault((name,), number)
            else:
                table = (name,)
            lines[table] = number
        elif key := _KEY.match(line):
            lines.setdefault((*table, next(k for k in key.groups() if k is not None)), number)
    return lines


def value_at(tree: Any, path: Path) -> Any:
    """Follow a path into nested tables and lists."""
    for step in path:
        tree = tree[step]
    return tree


def spelt(value: object) -> str:
    """Spell a value as it would stand in the file."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    return quoted(value)


_COMMA = re.compile(r"(\w+)\s*=\s*([+-]?\d+),(\d+)\s*(?:#.*)?")


def with_point(line: str) -> str | None:
    """Give a line whose number has a comma with a point; None where it is no such line."""
    found = _COMMA.fullmatch(line)
    return None if found is None else f"{found[1]} = {found[2]}.{found[3]}"
