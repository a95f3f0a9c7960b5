"""What a probe is worth beside the record: how much one indication narrows what slurries say already."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from slurrycalc.data.assumed import ADVICE_LEAVES
from slurrycalc.measuring.probe import Before, ProbeResponse, update
from slurrycalc.metrology.annotate import NumberValue, PHValue
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.results import Result

Use = Literal["fit", "not fit", "not shown"]


@dataclass(frozen=True)
class Worth(Result, says=("text",)):
    """What an indication that shows what was to be expected adds to the record."""

    state: Use
    """Fit where it narrows what the record says; not fit; not shown, where it may warn and no more."""
    before: PHValue
    """Half-width by the record."""
    after: PHValue
    """Half-width with the probe."""
    narrows: NumberValue
    """The part of the half-width that the probe takes away, from 0 to 1."""
    recorded: bool
    """Whether slurries of the bed are on record; else it is held against what beds usually are."""
    p: NumberValue
    text: tuple[str, str]
    """What it means, and what to do, if anything."""
    remarks: tuple[Remark, ...]


def worth(
    before: Before, response: ProbeResponse, indications: int = 1, months: float = 0.0, p: float = 0.95
) -> Worth:
    """Say how much indications of a probe narrow what the record says of a spot or of a bed.

    Parameters
    ----------
    before : Before
        What is known without the probe.
    response : ProbeResponse
        Of the probe.
    indications : int
        How many are read on a day.
    months : float
        From the mean date of the probe's pairs. [month]
    p : float
        Coverage probability. [1]

    Returns
    -------
    Worth
        Fit where it follows and leaves at most 0.95 of the half-width.

    Raises
    ------
    Refusal
        If there is no indication, or p is no probability.

    Examples
    --------
    >>> from slurrycalc.measuring.probe import bed_before, response
    >>> pairs = response([5.4, 5.6, 5.5, 6.9, 7.1, 7.0], [5.0, 5.1, 5.0, 6.5, 6.6, 6.5])
    >>> worth(bed_before(5.2, 0.2, rate=-0.1, months=2, spot_variance=0.01), pairs).state
    'fit'
    """
    shows = min(max(response.indication, 0.0), 14.0)
    found = update(before, response, [shows] * indications, months, p)
    was, now = half_width(found.before, p), half_width(found.ph, p)
    state: Use = "not fit"
    if response.state == "not shown yet":
        state = "not shown"
    elif found.narrows >= 1.0 - ADVICE_LEAVES.value:
        state = "fit"
    text = _text(state, was, now, found.state, before)
    return Worth(state, was, now, found.narrows, before.recorded, p, text, response.remarks)


def _text(state: Use, was: float, now: float, follows: str, before: Before) -> tuple[str, str]:
    if state == "not shown":
        said = "Its pairs do not show yet that it follows your slurries: it may warn, and narrows nothing."
        return said, ""
    if follows == "does not follow":
        return "It does not follow your slurries and is no use here.", "Decide by slurries."
    known = "what your slurries say" if before.recorded else "what beds usually are"
    narrower = f"from ±{two_figures(was)} to ±{two_figures(now)}"
    if state == "fit":
        return f"One reading of it narrows {known}, {narrower}.", "Read it weekly."
    return f"It follows your slurries, and hardly narrows {known}, {narrower}.", "Decide by slurries."
