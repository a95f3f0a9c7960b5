"""A calibrated meter, on a page."""

from __future__ import annotations

from collections.abc import Iterator

from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.electrode.checks import BufferCheck
from slurrycalc.metrology.coverage import interval
from slurrycalc.metrology.figures import number, signed
from slurrycalc.report.drawings import meter_figure
from slurrycalc.report.page import GAP, Block, Do, Headline, Say, evidence, points, table
from slurrycalc.report.pages.remarks import remarks_blocks

VERDICTS = {
    "good": "Good, by common practice.",
    "clean": "Usable, but due for care, by common practice.",
    "fresh buffers": "Usable, but a bottle's date is against it.",
    "disputed": "In doubt: its buffers do not agree.",
    "do not use": "Do not use it, by common practice.",
}
IN_SHORT = {
    "good": "good",
    "clean": "usable, due for care",
    "fresh buffers": "usable, but a bottle is out of date",
    "disputed": "in doubt, its buffers do not agree",
    "do not use": "do not use it",
}
"""For the first line of a day."""
TASKS = {
    "good": "go on to the slurries.",
    "clean": "see to that before the next bench day, and calibrate again; today's readings stand.",
    "fresh buffers": (
        "open a fresh bottle, or put its date right, and calibrate again; today's readings stand."
    ),
    "disputed": "find the buffer that is off before you trust a reading: open fresh ones, or read one more.",
    "do not use": "see to that first, and calibrate again; until then read no slurry with it.",
}


def calibration_blocks(
    calibration: Calibration,
    p: float = 0.95,
    check: BufferCheck | None = None,
    *,
    slurries_read: bool = False,
) -> Iterator[Block]:
    """Write a calibration: how good the meter is, whether to use it, what the buffers said.

    Parameters
    ----------
    calibration : Calibration
        The calibration.
    p : float
        Coverage probability. [1]
    check : BufferCheck, optional
        A bottle that it does not rest on.
    slurries_read : bool
        Whether the slurries have been read already, so that a good meter leaves nothing to do.
    """
    efficiency, verdict = calibration.efficiency, calibration.verdict
    label = "Efficiency" if calibration.slope is not None else "Display's slope"
    yield Headline(label, efficiency.n, interval(efficiency, p), p, unit="%")
    if not (slurries_read and verdict.state == "good"):
        yield Do(TASKS[verdict.state])
    yield GAP
    yield Say(VERDICTS[verdict.state])
    reasons = Say(" ".join(verdict.reasons))
    yield evidence([reasons]) if verdict.state == "good" else reasons
    yield from doubts_blocks(calibration, check)
    yield meter_figure(calibration, p)
    yield evidence([GAP, *buffers_blocks(calibration, p), GAP])


def buffers_blocks(calibration: Calibration, p: float = 0.95) -> Iterator[Block]:
    """Write what the meter showed in each bottle, and the line through them."""
    unit = calibration.meter.unit
    yield table(
        ("buffer", f"shows [{unit}]", "at [degC]", "its pH there", "line off by [pH]"),
        [
            (
                point.buffer,
                f"{point.shown:g}" + (f" (mean of {point.n})" if point.n > 1 else ""),
                f"{point.temperature:.1f}",
                f"{point.ph.n:.3f}",
                signed(point.off, 0.02),
            )
            for point in calibration.points
        ],
        right=(1, 2, 3, 4),
    )
    yield GAP
    lines = []
    if calibration.slope is not None:
        low, high = interval(calibration.slope, p)
        half = (high - low) / 2
        lines.append(
            f"Slope {number(calibration.slope.n, half)} mV per pH at 25 degC "
            f"({number(low, half)} to {number(high, half)}; an ideal electrode's is 59.16)"
        )
    low, high = interval(calibration.offset, p)
    half = (high - low) / 2
    lines.append(
        f"offset at pH 7 {signed(calibration.offset.n, half)} {unit} "
        f"({signed(low, half)} to {signed(high, half)})"
    )
    text = "; ".join(lines)
    yield Say(f"{text[0].upper()}{text[1:]}.")
    if calibration.p_value is not None and calibration.disputed is None:
        yield Say(f"The {len(calibration.points)} buffers lie on one line (p = {calibration.p_value:.2g}).")


def doubts_blocks(calibration: Calibration, check: BufferCheck | None = None) -> Iterator[Block]:
    """Write what a calibration leaves open, and what was read again."""
    told = set(calibration.verdict.reasons)
    yield from remarks_blocks(remark for remark in calibration.remarks if remark.text not in told)
    again = [(check.text, False)] if check is not None else []
    if (drift := calibration.drift) is not None:
        again.append((drift.text, not drift.flagged))
    said = {remark.text for remark in calibration.remarks}
    for text, behind in again:
        if text not in said:
            yield evidence([points([text])]) if behind else points([text])
