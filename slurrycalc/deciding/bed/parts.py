"""A bed's level as an uncertain number with tagged inputs: what a budget of a mixture of normals shows."""

from __future__ import annotations

from dataclasses import replace

from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.data.assumed import COVERAGE
from slurrycalc.deciding.bed.normals import Estimate
from slurrycalc.metrology.uncertain import NORMAL_95, Source, Uncertain, fresh_key, linear

GROUND = "the bed's model: how its jars and days scatter, and how its drift may have changed"


def tagged(estimate: Estimate, shared: Uncertain = 0.0, key: str | None = None) -> UFloat:
    """Give an estimate of a bed as an uncertain number: its own part, and what it shares with other beds.

    Parameters
    ----------
    estimate : Estimate
        Without the shared part, for instance from `level` with no ``u_shared``. [pH]
    shared : float or UFloat
        Error that all days share, nominally 0, made of the same tagged inputs (bottles, junction, meter) in
        every enclosure. [pH]
    key : str, optional
        Stable name of the bed's own part; one that is shared with nothing unless given.

    Returns
    -------
    UFloat
        Its budget has one row for the bed's days and model, and one for each shared input; the difference of
        two beds has no shared ones. Its interval is that of a normal distribution: the one to print is the
        estimate's. [pH]

    Examples
    --------
    >>> from datetime import date
    >>> from uncertainties import ufloat
    >>> from slurrycalc.deciding.bed import bed, day_mean, level
    >>> from slurrycalc.metrology.budget import budget
    >>> bottle = ufloat(0.0, 0.02, tag=Source("bottle:3", "buffer 4.01"))
    >>> read = [day_mean(date(2026, month, 1), [6.0, 6.0], 0.012) for month in (1, 2, 3)]
    >>> one, other = (tagged(level(bed(read)), bottle) for _ in range(2))
    >>> [row.name for row in budget(one).rows]
    ['days and model of the bed', 'buffer 4.01']
    >>> [row.name for row in budget(one - other).rows]
    ['days and model of the bed', 'days and model of the bed']
    """
    own = Source(key or fresh_key("bed"), "days and model of the bed", known="computed", ground=GROUND)
    total: UFloat = Variable(0.0, estimate.u, tag=own) + shared
    return linear(estimate.value + total.n, dict(total.derivatives))


def printed(estimate: Estimate, shared: Uncertain = 0.0) -> UFloat:
    """Give an estimate of a bed as pages print it: a normal distribution whose 95 % interval is as wide.

    Its own standard uncertainty is that of a mixture with long tails, in which 1.96 times it says more than
    95 in 100.
    """
    half = estimate.interval(COVERAGE.value).half_width
    return tagged(replace(estimate, u=half / NORMAL_95), shared)
