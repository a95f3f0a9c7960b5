"""A bed's level as an uncertain number with tagged inputs: what a budget of a mixture of normals shows."""

from __future__ import annotations

from collections.abc import Sequence

from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.data.assumed import COVERAGE
from slurrycalc.deciding.bed.normals import Estimate, Normals
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
    return _tagged(estimate.value, estimate.u, shared, key)


def _tagged(value: float, u: float, shared: Uncertain, key: str | None = None) -> UFloat:
    own = Source(key or fresh_key("bed"), "days and model of the bed", known="computed", ground=GROUND)
    total: UFloat = Variable(0.0, u, tag=own) + shared
    return linear(value + total.n, dict(total.derivatives))


def printed(estimate: Estimate, shared: Uncertain = 0.0) -> UFloat:
    """Give an estimate of a bed as pages print it: a normal distribution whose 95 % interval is as wide.

    Its own standard uncertainty is that of a mixture with long tails, in which 1.96 times it says more than
    95 in 100.
    """
    return all_printed(estimate.normals, [shared])[0]


def all_printed(normals: Normals, shared: Sequence[Uncertain]) -> list[UFloat]:
    """Give what is known of one quantity of several beds, each as `printed` gives it."""
    low, high = (normals.quantile((1.0 + side * COVERAGE.value) / 2.0) for side in (-1.0, 1.0))
    u = (high - low) / 2.0 / NORMAL_95
    return [
        _tagged(*each) for each in zip(normals.centre().tolist(), u.tolist(), shared, strict=True)
    ]
