"""Figures: the same bytes, nothing cut, no label on another, on anybody's axes, told apart in grey too."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import date, timedelta
from functools import cache
from itertools import combinations

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib.figure import Figure as Canvas
from matplotlib.text import Text
from uncertainties import ufloat

import slurrycalc as sc
from slurrycalc.day.months.drifting import DriftAsked, by_numbers
from slurrycalc.day.months.exchanged import ExchangeWorked
from slurrycalc.metrology.coverage import half_width, interval
from slurrycalc.metrology.figures import number
from slurrycalc.report import drawings
from slurrycalc.report.figures.canvas import figure_bytes
from slurrycalc.report.figures.look import FLOOR, FOUND, INK, LEVEL, QUIET, RANGE, RC
from slurrycalc.report.page import Figure
from slurrycalc.report.pictures import months_figure, strips_figure
from slurrycalc.report.plot import Months
from slurrycalc.report.strip import Span

DAYS = [date(2024, 5, 4) + timedelta(days=28 * i) for i in range(20)]
PH = [5.98 - 0.03 * i + 0.05 * (-1) ** i for i in range(20)]
BED = by_numbers(
    [(day, f"{ph:.2f}+-0.15") for day, ph in zip(DAYS, PH, strict=True)],
    [
        sc.LevelStep(DAYS[9] + timedelta(days=2), "calcium"),
        sc.LevelStep(DAYS[15] + timedelta(days=2), "exchange"),
    ],
    DriftAsked(DAYS[-1] + timedelta(days=9)),
)
MV = [("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0), ("10.01", -170.0, 22.0)]
CALIBRATED = sc.calibrate(MV[:2])
PROBE, SLURRY = [5.4, 5.6, 5.5, 6.9, 7.1, 7.0], [5.0, 5.1, 5.0, 6.5, 6.6, 6.5]
WORKED = tuple(
    ExchangeWorked(day, 1 / 3, day, ufloat(0.31, 0.06), ufloat(found, 0.09), found > 0.1, f"of {day}")
    for day, found in ((DAYS[3], 0.30), (DAYS[9], -0.2))
)
UPKEEP = sc.upkeep(drift="-0.08+-0.02", fresh="6.6+-0.1", floor=5.4, every=3)
SPANS = [Span(5.20, 5.36, 5.52, (5.4, 6.5), 5.0), Span(4.70, 4.81, 4.92, (5.4, 6.5), 5.0)]

FIGURES: dict[str, Figure] = {
    "one strip": strips_figure(SPANS[:1]),
    "strips": strips_figure(SPANS, ["atlas", "a case with a long name"]),
    "forty strips": strips_figure(SPANS * 20, [f"case {i}" for i in range(40)]),
    "months": months_figure(Months.of(BED)),
    "two days": months_figure(Months(tuple(DAYS[:2]), (5.9, 5.8), (5.4, 6.5), 5.0)),
    "meter": drawings.meter_figure(CALIBRATED),
    "three buffers": drawings.meter_figure(sc.calibrate(MV)),
    "meter of pH": drawings.meter_figure(
        sc.calibrate([("4.01", 4.06, 21.0), ("7.00", 7.04, 21.0)], sc.Meter("pH"))
    ),
    "pairs": drawings.pairs_figure(sc.compare(PROBE, SLURRY), sc.response(PROBE, SLURRY)),
    "one pair": drawings.pairs_figure(sc.compare([5.9], [5.4]), sc.response([5.9], [5.4])),
    "worked": drawings.worked_figure(WORKED),
    "stages": drawings.stages_figure(sc.exchange("4.6+-0.1", "6.6+-0.1", 5.9, start="2025-11-01")),
    "down": drawings.stages_figure(sc.exchange("6.9+-0.1", "5.0+-0.1", 6.2)),
    "cycles": drawings.cycles_figure(UPKEEP.assured or UPKEEP.even, 5.4),  # type: ignore[arg-type]
    "one slurry": drawings.one_slurry_figure(
        sc.slurry_ph(CALIBRATED, [84.3, 85.1, 82.0], 21.0), sc.slurry_ph(CALIBRATED, [84.3], 21.0)
    ),
}


@cache
def drawn(name: str) -> Canvas:
    told = FIGURES[name]
    with mpl.rc_context({**mpl.rcParamsDefault, **RC, "backend": "agg"}):
        canvas = Canvas(figsize=(4.3, told.height), layout="constrained")
        getattr(sc.plot, told.name)(canvas.add_subplot(), *told.of)
        canvas.draw_without_rendering()
    return canvas


@pytest.mark.parametrize("name", FIGURES)
def test_no_label_is_cut_or_lies_on_another(name: str) -> None:
    canvas = drawn(name)
    page = canvas.bbox
    shown = {text: text.get_window_extent() for text in _texts(canvas) if text.get_text().strip()}
    assert len(shown) > 2
    for text, box in shown.items():
        assert box.x0 >= -1.0, text
        assert box.x1 <= page.x1 + 1.0, text
        assert box.y0 >= -1.0, text
        assert box.y1 <= page.y1 + 1.0, text
    for (one, a), (other, b) in combinations(shown.items(), 2):
        if one.get_rotation() in (0.0, 90.0) and other.get_rotation() in (0.0, 90.0):
            meet = min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)
            assert min(meet) < 1.5, (one, other)


def _texts(canvas: Canvas) -> Iterator[Text]:
    """Give the texts that are drawn: of a scale those alone that lie between its ends."""
    for axes in [one for whole in canvas.axes for one in (whole, *whole.child_axes)]:
        yield from axes.texts
        for axis in (axes.xaxis, axes.yaxis) if axes.axison else ():
            yield axis.label
            yield from (tick.label1 for tick in axis._update_ticks())


@pytest.mark.parametrize("name", FIGURES)
def test_the_same_results_give_the_same_bytes_whatever_somebody_set(name: str) -> None:
    svg = figure_bytes(FIGURES[name], "svg")
    assert b"dc:date" not in svg
    with mpl.rc_context(
        {"font.size": 30.0, "axes.facecolor": "red", "lines.linewidth": 9.0, "svg.hashsalt": "x"}
    ):
        assert figure_bytes(FIGURES[name], "svg") == svg
        assert mpl.rcParams["font.size"] == 30.0


@pytest.mark.slow
def test_another_process_gives_the_same_bytes() -> None:
    code = (
        "import sys; from slurrycalc.report.figures.canvas import figure_bytes; "
        "from tests.report.test_figures import FIGURES; from hashlib import sha256; "
        "print([sha256(figure_bytes(told, 'svg')).hexdigest() for told in FIGURES.values()])"
    )
    runs = [
        subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            check=True,
            env={"PYTHONHASHSEED": seed, "PATH": ""},
        )
        for seed in ("1", "2")
    ]
    assert runs[0].stdout == runs[1].stdout


@pytest.mark.parametrize("name", FIGURES)
def test_every_axis_has_its_unit(name: str) -> None:
    canvas = drawn(name)
    drawn_axes = [one for axes in canvas.axes for one in (axes, *axes.child_axes) if one.axison]
    said = [axis.get_label_text() for one in drawn_axes for axis in (one.xaxis, one.yaxis)]
    assert drawn_axes
    assert all(re.search(r"pH|\[mV\]|month|^$|stage", text) for text in said)
    ticked = [
        (axis.get_label_text(), axis.get_ticklabels())
        for one in drawn_axes
        for axis in (one.xaxis, one.yaxis)
    ]
    # Dates and the scale above an enlarged one say themselves what they are.
    assert all(label or not ticks or FIGURES[name].name in ("months", "meter") for label, ticks in ticked)


@pytest.mark.parametrize("name", FIGURES)
def test_a_figure_draws_on_anybodys_axes(name: str) -> None:
    told = FIGURES[name]
    left, right = Canvas().subplots(1, 2)
    getattr(sc.plot, told.name)(right, *told.of)
    assert right.has_data() or right.child_axes
    assert not left.has_data()


def test_a_months_figure_draws_what_was_read_and_where_the_bed_stood() -> None:
    axes = Canvas().add_subplot()
    sc.plot.months(axes, BED)
    read = next(line for line in axes.lines if line.get_marker() == "o" and len(line.get_xdata()) == 20)
    np.testing.assert_allclose(read.get_ydata(), BED.ph)
    level = next(line for line in axes.lines if len(line.get_xdata()) == len(BED.course))
    np.testing.assert_allclose(level.get_ydata(), [one.level.n for one in BED.course])
    names = [text.get_text() for text in axes.texts]
    assert "calcium" in names
    assert any(name.startswith("read by ") for name in names) == (BED.first is None)


def test_a_figures_numbers_are_those_of_its_results() -> None:
    rows = FIGURES["worked"].numbers.rows
    assert rows[0][2:4] == ("+0.31 ± 0.12", "+0.30 ± 0.18")
    response = sc.response(PROBE, SLURRY)
    for slurry, shown, value, low, high in FIGURES["pairs"].numbers.rows:
        told = response.shows(float(slurry))
        ends = interval(told)
        assert [value, low, high] == [f"{one:.2f}" for one in (told.n, *ends)]
        assert float(shown) in PROBE
    months = FIGURES["months"].numbers
    said = [row[months.columns.index("bed")] for row in months.rows]
    assert said == [number(one.level.n, half_width(one.level)) for one in BED.course]


def test_what_a_probe_is_to_show_is_the_line_with_its_scatter() -> None:
    response = sc.response(PROBE, SLURRY)
    at_mean = response.shows(response.slurry.n)
    assert at_mean.n == pytest.approx(response.indication)
    assert at_mean.s == pytest.approx(response.sd * (1 + 1 / 6) ** 0.5, rel=1e-6)
    assert response.shows(8.0).s > response.shows(6.0).s
    assert response.shows(7.0).n - response.shows(6.0).n == pytest.approx(response.gain.n)


def test_the_tones_stay_apart_in_a_grey_print() -> None:
    def lightness(colour: str) -> float:
        linear = [(int(colour[i : i + 2], 16) / 255.0) ** 2.2 for i in (1, 3, 5)]
        return float(np.dot(linear, (0.2126, 0.7152, 0.0722)))

    paper = 1.0
    for mark in (INK, QUIET, FLOOR, LEVEL, FOUND):
        for ground in (paper, lightness(RANGE)):
            assert (ground + 0.05) / (lightness(mark) + 0.05) >= 2.6
    assert (lightness(FLOOR) + 0.05) / (lightness(INK) + 0.05) > 3.0
    assert (lightness(LEVEL) + 0.05) / (lightness(INK) + 0.05) > 2.0


@pytest.mark.slow
def test_nothing_that_draws_is_imported_before_something_is_drawn() -> None:
    code = (
        "import sys; from slurrycalc.cli import main; import slurrycalc.report.pages.trend; "
        "main(['read', '5.58', '5.66', '--buffer', '4.01=4.06', '--buffer', '7.00=7.04']); "
        "print([name for name in ('matplotlib', 'jinja2') if name in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.splitlines()[-1] == "[]"
