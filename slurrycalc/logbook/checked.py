"""Check bottles that were read among the jars, and the jars that one which disagrees puts in doubt."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Sequence
from dataclasses import dataclass

from slurrycalc.logbook.calibrations import KeptCalibration, Place, bottle_of
from slurrycalc.measuring.electrode.checks import BufferCheck
from slurrycalc.measuring.electrode.verdict import METER_IN_DOUBT
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.uncertain import Inputs


@dataclass(frozen=True)
class Checked:
    """A check bottle that was read after a jar of the same entry."""

    place: Place
    check: BufferCheck

    def doubt(self, label: str | None, n: int) -> Remark | None:
        """Say what it says against a jar that was read as this number of its entry; None where it agrees."""
        if self.check.agrees:
            return None
        jar = "A jar" if label is None else f"Jar {label}"
        when = "before" if n < self.place[1] else "after"
        return Remark(
            METER_IN_DOUBT,
            f"{jar} was read {when} the check bottle {self.check.buffer} was found "
            f"{self.check.difference.n:+.2f} pH off, with none that agreed in between.",
        )


def checked(kept: KeptCalibration, inputs: Inputs) -> dict[int, list[Checked]]:
    """Judge the check bottles that were read among jars under a calibration.

    Parameters
    ----------
    kept : KeptCalibration
        As it is on record.
    inputs : Inputs
        Where its errors are kept.

    Returns
    -------
    dict
        By number of the entry, in the order in which they were read.

    Raises
    ------
    Refusal
        If its points cannot stand.
    """
    among = kept.of("among")
    found: dict[int, list[Checked]] = {}
    whole = kept.whole(inputs) if among else None
    for one in among:
        assert whole is not None
        check = whole.check(bottle_of(one.bottle), one.shows, one.temperature, among=True)
        found.setdefault(one.place[0], []).append(Checked(one.place, check))
    return found


def deciding(checks: Sequence[Checked], n: int) -> Checked | None:
    """Give the check that a jar stands or falls with: the next one after it, or else the last one before it.

    Parameters
    ----------
    checks : sequence of Checked
        Of its entry and calibration, in the order of reading.
    n : int
        Number of its reading within the entry.

    Returns
    -------
    Checked or None
        None where there is none.
    """
    if not checks:
        return None
    after = bisect([one.place[1] for one in checks], n)
    return checks[min(after, len(checks) - 1)]
