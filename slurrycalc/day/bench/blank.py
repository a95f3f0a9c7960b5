"""A blank worksheet, to be filled in."""

from __future__ import annotations

from importlib.resources import files


def blank_worksheet() -> str:
    """Give the text of a blank worksheet.

    Returns
    -------
    str
        TOML with a comment at each key. `worksheet.BLANK` stands wherever something is to be filled in;
        `read_worksheet` refuses those that were left.

    Examples
    --------
    >>> blank_worksheet().splitlines()[0]
    '# A bench day for slurrycalc: fill it in, then   slurrycalc run THIS-FILE'
    """
    return files("slurrycalc.day.bench").joinpath("blank.toml").read_text(encoding="utf-8")
