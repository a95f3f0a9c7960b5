"""May this meter be used? By its efficiency and offset, its buffers' line, and the dates of its bottles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from uncertainties import UFloat

from slurrycalc.data.assumed import (
    EFFICIENCY_CLEAN,
    EFFICIENCY_GOOD_HIGH,
    EFFICIENCY_GOOD_LOW,
    LABEL_TEMPERATURE,
    OFFSET_LIMIT,
    Known,
)
from slurrycalc.measuring.electrode.meter import Shows, nernst_slope
from slurrycalc.measuring.electrode.straightness import Disputed
from slurrycalc.metrology.coverage import interval
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.results import Result

State = Literal["good", "clean", "fresh buffers", "disputed", "do not use"]
IN_DOUBT: tuple[State, ...] = ("disputed", "do not use")
METER_IN_DOUBT = "meter-in-doubt"
"""Kind of the remark on what was read under a calibration that cannot be trusted."""


@dataclass(frozen=True)
class Verdict(Result, says=("reasons",), of="state"):
    """Whether a meter may be used, and why."""

    state: State
    """Good; clean and recalibrate; open fresh buffers; buffers that lie on no line; or do not use."""
    reasons: tuple[str, ...]
    """Sentences that a person reads."""
    known: Known = "common practice"
    """How the limits are known."""

    @property
    def doubt(self) -> Remark | None:
        """What must be said of all that is read under it; None where it can be trusted."""
        if self.state not in IN_DOUBT:
            return None
        why = self.reasons[0].partition(": ")[0].rstrip(".")
        return Remark(METER_IN_DOUBT, f"Read under a calibration that is in doubt. {why}.")

    def with_bottles(self, reasons: Sequence[str]) -> Verdict:
        """Give the same with what the dates of its bottles say against it."""
        if not reasons:
            return self
        state = self.state if self.state in IN_DOUBT else "fresh buffers"
        return replace(self, state=state, reasons=(*self.reasons, *reasons))


def trusted(efficiency: float) -> bool:
    """Tell whether a meter of this efficiency may be used at all [%]."""
    return EFFICIENCY_CLEAN.value <= efficiency <= EFFICIENCY_GOOD_HIGH.value


def judge_meter(
    efficiency: UFloat, offset: UFloat, shows: Shows, disputed: Disputed | None = None
) -> Verdict:
    """Judge a meter by its efficiency, its offset, and whether its buffers lie on one line.

    For a meter that shows mV it is the electrode that is judged. One that shows only pH has a calibration of
    its own in between, which hides the electrode: there its display is judged, by the same limits on what it
    shows for each unit of pH and, divided by the ideal slope at 25 degC, on its offset. What is then off is
    mended by the meter's own calibration first.

    Parameters
    ----------
    efficiency : UFloat
        Part of the ideal response. [%]
    offset : UFloat
        At pH 7. [mV or pH, as the meter shows]
    shows : {"mV", "pH"}
        What the meter shows.
    disputed : Disputed, optional
        Buffers that lie on no line.

    Returns
    -------
    Verdict
        State and reasons. Limits are held against the values; a limit inside an interval is mentioned.

    References
    ----------
    .. [1] Limits: common practice, without a published source (slurrycalc/data/assumed.py).

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> judge_meter(ufloat(98.7, 0.5), ufloat(1.8, 0.7), "mV").state
    'good'
    """
    low, high, least = EFFICIENCY_GOOD_LOW.value, EFFICIENCY_GOOD_HIGH.value, EFFICIENCY_CLEAN.value
    limit = OFFSET_LIMIT.value / (1.0 if shows == "mV" else nernst_slope(LABEL_TEMPERATURE.value))
    far = abs(offset.n) > limit
    places = 1 if shows == "mV" else 2
    what = "efficiency" if shows == "mV" else "display's slope"
    reasons = []
    state: State
    if low <= efficiency.n <= high:
        state = "clean" if far else "good"
        reasons.append(f"The {what}, {efficiency.n:.1f} %, is within {low:g} to {high:g} %.")
    elif least <= efficiency.n < low:
        state = "clean"
        reasons.append(f"The {what}, {efficiency.n:.1f} %, is below {low:g} %: {_mend(shows)}.")
    else:
        state = "do not use"
        side = f"below {least:g} %" if efficiency.n < least else f"above {high:g} %"
        reasons.append(f"The {what}, {efficiency.n:.1f} %, is {side}: {_give_up(shows)}.")
    shift = f"{offset.n:+.{places}f} {shows}"
    inside = f"within ±{limit:.{places - 1}f} {shows}"
    if far:
        reasons.append(f"The offset at pH 7, {shift}, is not {inside}: {_mend(shows)}.")
    else:
        reasons.append(f"The offset at pH 7, {shift}, is {inside}.")
    bounds = interval(efficiency)
    for edge in (least, low, high):
        if bounds.low < edge < bounds.high:
            reasons.append(
                f"The limit {edge:g} % lies inside the interval {bounds.low:.1f} to {bounds.high:.1f} %: "
                "another buffer, farther away, would tell better."
            )
    if disputed is not None:
        p = f"{disputed.p_value:.2g}"
        off = f"Its buffers do not lie on one line (p = {p}): a bottle or the electrode is off."
        reasons.insert(len(reasons) if state == "do not use" else 0, off)
        state = "do not use" if state == "do not use" else "disputed"
    return Verdict(state, tuple(reasons))


def _mend(shows: Shows) -> str:
    if shows == "mV":
        return "clean the electrode and calibrate again"
    return (
        "calibrate the meter by its own key in fresh buffers and read both again; "
        "if it stays, clean the electrode"
    )


def _give_up(shows: Shows) -> str:
    if shows == "mV":
        return "do not use the electrode; fresh buffers first, then a new one"
    return "do not use the meter as it is; calibrate it by its own key in fresh buffers, and read both again"
