"""What is known of a bed before its probe is looked at: its record, or what beds usually are."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isfinite
from typing import Literal

from uncertainties.core import Variable

from slurrycalc.data.assumed import PROBE_REASSURES, UNREAD_CHANGE, UNRECORDED_BED, UNRECORDED_BED_U, Known
from slurrycalc.metrology.annotate import PH, MonthValue, PHValue
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.uncertain import Source, Uncertain, linear, nameless

Measurand = Literal["spot", "bed"]


@dataclass(frozen=True)
class Before(Valued, value="ph", words="pH {}"):
    """The pH of a spot, or of the bed's mean, as the record knows it today."""

    ph: PH
    """With what its slurries share, what was not read since, and for a spot how spots differ."""
    measurand: Measurand
    spot_sd: PHValue
    """How spots of the bed differ."""
    months: MonthValue | None
    """Since the last bench day; None without a record."""
    overdue: bool
    """Whether the day on which the bed was to be read again is past."""

    @property
    def recorded(self) -> bool:
        """Whether there is a bench day on record."""
        return self.months is not None


def bed_before(
    level: float,
    u: float,
    *,
    rate: float,
    months: float,
    spot_variance: float,
    shared: Uncertain = 0.0,
    dof: float = inf,
    measurand: Measurand = "spot",
    overdue: bool = False,
) -> Before:
    """Say what a record knows of a bed today.

    Parameters
    ----------
    level, u : float
        Mean of the bed today and its standard uncertainty, without what its slurries share. [pH]
    rate : float
        How fast it drifts now. [pH/month]
    months : float
        Since its last bench day; a probe is for what may have changed since. [month]
    spot_variance : float
        By which spots differ. [pH²]
    shared : UFloat
        What slurries of the record share, of value 0: bottles, junction, meter. [pH]
    dof : float
        What `u` is worth; infinite for a mixture, which has its doubt already. [1]
    measurand : {"spot", "bed"}
        Whether it is asked of the spot where the probe stands, or of the bed's mean.
    overdue : bool
        Whether the day on which the bed was to be read again is past.

    Returns
    -------
    Before
        For `update`.

    Raises
    ------
    Refusal
        If a number is not finite, or a standard uncertainty or a time is negative.

    Examples
    --------
    >>> print(f"{bed_before(5.2, 0.1, rate=-0.05, months=2, spot_variance=0.01).ph:.2f}")
    5.20+/-0.17
    """
    for name, value in (("u", u), ("months", months), ("spot variance", spot_variance)):
        if not (isfinite(value) and value >= 0.0):
            raise Refusal(f"`{value:g}` cannot be the {name} of a bed; give 0 or a positive number.")
    for name, value in (("level", level), ("rate", rate)):
        if not isfinite(value):
            raise Refusal(f"`{value:g}` cannot be the {name} of a bed; give a finite number.")
    # Half a year after a drift that tripled, spots were covered 0.59 to 0.78 without the second part, and
    # 0.87 to 0.97 with it (simulated, the plan's figures).
    ph = level + _part(u, "the bed by its record", "computed", dof)
    ph += _part(max(UNREAD_CHANGE.value, abs(rate)) * months, "change since the last bench day", "our own")
    if measurand == "spot":
        ph += _part(spot_variance**0.5, "the spot in its bed", "measured")
    ph = ph + shared - float(getattr(shared, "n", shared))
    return Before(linear(ph.n, ph.derivatives), measurand, spot_variance**0.5, months, overdue)


def _part(u: float, name: str, known: Known, dof: float = inf) -> Variable:
    """Make an error that nothing else shares. [pH]."""
    if dof == inf:
        return nameless(u, name, known)
    return Variable(0.0, u, tag=Source(name, name, "A", dof, known=known))


def without_record(measurand: Measurand = "spot") -> Before:
    """Say what is known of a spot or a bed of which nothing is on record: what beds usually are. [pH].

    Examples
    --------
    >>> without_record().ph
    6.0+/-1.0
    """
    ph = UNRECORDED_BED.value + nameless(UNRECORDED_BED_U.value, "beds without a record", "our own")
    return Before(linear(ph.n, ph.derivatives), measurand, 0.0, None, False)


def is_fresh(before: Before, pairs_months: float) -> bool:
    """Whether slurries are recent enough for a probe to reassure: of its bed, else of its pairs."""
    last = pairs_months if before.months is None else before.months
    return not before.overdue and last <= PROBE_REASSURES.value
