"""What a command line says of bench days: when, how much, and what was done between them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from pathlib import Path

from slurrycalc.cli.files import read_file
from slurrycalc.cli.moment import day_of
from slurrycalc.cli.words import option
from slurrycalc.day.bench.names import plain_name
from slurrycalc.day.bench.table import read_table
from slurrycalc.deciding.trend import LevelStep
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

COLUMNS = ("date", "ph")


def dated(text: str, today: date, *, future: bool = False) -> date:
    """Read a day of a series, whose year must be there: it reaches over more than one.

    Parameters
    ----------
    text : str
        ``2024-05-04``.
    today : date
        A day after it is refused.
    future : bool
        Whether it may lie ahead.

    Returns
    -------
    date
        The day.

    Raises
    ------
    Refusal
        If it is none, or has no year.

    Examples
    --------
    >>> dated("2024-05-04", date(2024, 6, 1))
    datetime.date(2024, 5, 4)
    >>> dated("4 May", date(2024, 6, 1))
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: `4 May` should have its year first: write 2024-05-04.
    """
    day = day_of(text, today, future=future)
    if not text.strip()[:4].isdecimal():
        raise Refusal(f"{quoted(text)} should have its year first: write {day}.")
    return day


def day_words(text: str, today: date) -> tuple[date, str]:
    """Split a bench day into its date and its pH.

    Parameters
    ----------
    text : str
        ``DATE=PH``.
    today : date
        A day after it is refused.

    Returns
    -------
    date
        The day.
    str
        The pH as typed. [pH]

    Raises
    ------
    Refusal
        If a part is missing, or the day cannot stand.

    Examples
    --------
    >>> day_words("2024-05-04=5.71+-0.1", date(2024, 6, 1))
    (datetime.date(2024, 5, 4), '5.71+-0.1')
    """
    day, sign, ph = text.partition("=")
    if not sign or not day.strip() or not ph.strip() or "=" in ph:
        raise Refusal(f"{quoted(text)} is no bench day with its pH: write DATE=PH, like 2024-05-04=5.60")
    return dated(day, today), ph.strip()


def days_in(file: str, today: date) -> Iterator[tuple[date, str]]:
    """Read bench days from a file with the columns ``date,ph``.

    Parameters
    ----------
    file : str
        Its path, as typed.
    today : date
        A day after it is refused.

    Yields
    ------
    (date, str)
        Each day with its pH as typed. [pH]

    Raises
    ------
    Refusal
        If the file or one of its rows cannot stand.
    """
    name = Path(file).name
    table = read_table(read_file(file, "days.csv"), name, COLUMNS, COLUMNS)
    if table.held_back:
        raise Refusal(table.held_back[0].text, f"{name}, row {table.held_back[0].row}")
    for row in table.rows:
        day, ph = (row.cells[column] for column in COLUMNS)
        where = f"{name}, row {row.number}"
        if day is None or ph is None:
            raise Refusal("a bench day has both, like 2024-05-04,5.60.", where)
        try:
            yield dated(day, today), ph
        except Refusal as refusal:
            raise refusal.at(where) from None


def step_words(exchanges: Iterable[str], named: Iterable[str], today: date) -> list[LevelStep]:
    """Read ``--exchange`` and ``--step``.

    Parameters
    ----------
    exchanges : iterable of str
        Days of exchanges.
    named : iterable of str
        ``NAME=DATE`` of anything else that shifts the level.
    today : date
        A day after it is refused.

    Returns
    -------
    list of LevelStep
        In the order given.

    Raises
    ------
    Refusal
        If a part is missing, or the day cannot stand.

    Examples
    --------
    >>> step_words(["2024-03-01"], ["new mix=2024-04-01"], date(2024, 6, 1))[1]
    LevelStep(on=datetime.date(2024, 4, 1), name='new-mix', foreseen=False)
    """
    steps = []
    for text in exchanges:
        with option("--exchange"):
            steps.append(LevelStep(dated(text, today)))
    for text in named:
        name, sign, day = text.partition("=")
        with option("--step"):
            if not sign or not name.strip() or not day.strip():
                raise Refusal(f"{quoted(text)} is no step: write NAME=DATE, like calcium=2024-04-01")
            steps.append(LevelStep(dated(day, today), step_name(name)))
    return steps


def step_name(text: str) -> str:
    """Write the name of a step as the record does: small, and without blanks.

    Examples
    --------
    >>> step_name("New mix")
    'new-mix'
    """
    return "-".join(plain_name(text, "step", "calcium").casefold().split())
