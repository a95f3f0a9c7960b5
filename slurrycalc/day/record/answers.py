"""The answers of a guided day in words: what was asked, and what was typed."""

from __future__ import annotations

import datetime
from typing import Any

from slurrycalc.measuring.wording import typed


def as_typed(key: str, value: Any) -> str:  # noqa: PLR0911  (one line for each kind of answer)
    """Write an answer as it could have been typed.

    Parameters
    ----------
    key : str
        What was asked.
    value : object
        As it is kept.

    Returns
    -------
    str
        Short enough to stand in brackets behind its question.

    Examples
    --------
    >>> as_typed("probe A1", 5.9), as_typed("read A1", {"shows": 5.0, "calibration": 1})
    ('5.9', '5.0')
    """
    if value is None:
        return "skipped"
    if isinstance(value, bool):
        return "yes" if value else "taken back"
    if key.startswith("stirred "):
        # A day from paper has no time where nobody wrote it down.
        if len(value) == len("2024-05-04"):
            return "no time"
        return f"{datetime.datetime.fromisoformat(value):%H:%M}"
    if key.endswith(" at"):
        return f"{value:.4g} C"
    if isinstance(value, float):
        return typed(value)
    if isinstance(value, list):
        rows = (each if isinstance(each, str) else f"{each[0]} {' '.join(each[1])}" for each in value)
        return ", ".join(rows)
    return _of_table(value) if isinstance(value, dict) else str(value)


def _of_table(value: dict[str, Any]) -> str:
    if "text" in value:
        return f"{value['about']}: {value['text']}" if value["about"] else str(value["text"])
    if "name" in value:
        return f"{value['name']} {value['shows']}"
    warmth = value.get("temperature")
    return typed(value["shows"]) + ("" if warmth is None else f" @ {warmth:.4g} C")


def asked_words(key: str) -> str:
    """Say what was asked under a key.

    Examples
    --------
    >>> asked_words("point 2 0"), asked_words("read A1")
    ('calibration 2, bottle 1', 'read A1')
    """
    if key.startswith("point "):
        calibration, bottle = key.split()[1:]
        return f"calibration {calibration}, bottle {int(bottle) + 1}"
    return key
