"""What is expected of the scatter before today's data are looked at."""

from __future__ import annotations

from enum import Enum
from typing import Final

from slurrycalc.data.assumed import (
    PROBE_SCATTER,
    PROBE_SCATTER_DOF,
    RESPONSE_SCATTER,
    RESPONSE_SCATTER_DOF,
    SLURRY_SCATTER,
    SLURRY_SCATTER_DOF,
)
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter


class Default(Enum):
    """The type of the one value that stands for "what is usually expected"."""

    DEFAULT = "default"


DEFAULT: Final = Default.DEFAULT
"""Stands for the usual expectation of whatever is asked for: slurries scatter otherwise than probes."""

Expected = Scatter | Default | None
"""An expectation handed in, the usual one, or none at all (the data alone)."""

SLURRIES: Final = Scatter(
    SLURRY_SCATTER.value, SLURRY_SCATTER_DOF.value, SLURRY_SCATTER.known, SLURRY_SCATTER.ground
)
"""Of replicate slurries of one enclosure, each from its own spots. [pH]"""
PROBES: Final = Scatter(
    PROBE_SCATTER.value, PROBE_SCATTER_DOF.value, PROBE_SCATTER.known, PROBE_SCATTER.ground
)
"""Of a probe's indication against the slurry of the same spot. [pH]"""

RESPONSES: Final = Scatter(
    RESPONSE_SCATTER.value, RESPONSE_SCATTER_DOF.value, RESPONSE_SCATTER.known, RESPONSE_SCATTER.ground
)
"""Of a probe's indication about its response to the slurries' pH. [pH]"""


def resolve(expected: Expected, usual: Scatter) -> Scatter | None:
    """Replace the default by the usual expectation.

    Parameters
    ----------
    expected : Scatter, DEFAULT or None
        What the caller handed in.
    usual : Scatter
        What `DEFAULT` stands for here. [pH]

    Returns
    -------
    Scatter or None
        The expectation; None means that the data stand alone.

    Raises
    ------
    Refusal
        If `expected` is anything else, for instance a bare number.

    Examples
    --------
    >>> resolve(DEFAULT, SLURRIES) == SLURRIES
    True
    >>> resolve(None, SLURRIES) is None
    True
    """
    if expected is DEFAULT:
        return usual
    if expected is None or isinstance(expected, Scatter):
        return expected
    raise Refusal(
        f"{expected!r} is no expected scatter: a standard deviation needs to say what it is worth; "
        "write Scatter(0.10, 2) for one worth 2 degrees of freedom, Scatter(0.10, inf) for a stated one, "
        "or None for the data alone."
    )
