"""A result says itself in a line, a notebook sees its parts, and whatever has a value gives its interval."""

from __future__ import annotations

import dataclasses
import inspect
import re
from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, get_type_hints

import html5lib
import pytest

import slurrycalc as sc
from slurrycalc.metrology.results import Result, Valued
from slurrycalc.report.notebook import page_of

ROOT = Path(__file__).parents[1]
DAYS = ["2024-01-02", "2024-03-01", "2024-05-01"]
ON = date(2024, 5, 10)

# What a user makes to be handed in; its repr is how it is made.
HANDED_IN = {
    *("Bottle", "Inputs", "Meter", "OpenBottle", "Point", "ProbeInUse", "Remark", "SaltRise", "Scatter"),
    *("Source", "LevelStep", "InUse"),
}


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """One of each, by the name of its type."""
    cal = sc.calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)])
    slurry = sc.slurry_ph(cal, [84.3, 85.1], 21.0)
    pairs, trend = sc.compare([5.9, 6.1], [5.4, 5.7]), sc.trend(DAYS, [5.8, 5.7, 5.6])
    seen = sc.response([5.4, 5.6, 5.5, 6.9, 7.1, 7.0], [5.0, 5.1, 5.0, 6.5, 6.6, 6.5])
    before = sc.bed_before(5.2, 0.2, rate=-0.1, months=2, spot_variance=0.01)
    book = sc.Logbook(tmp_path_factory.mktemp("book") / "bench.sqlite")
    day = book.run(ROOT / "examples" / "reading-room.toml")
    made = [
        *(cal, cal.read(84.3, 21.0), cal.check("10.01", -175.0, 22.0), cal.points[0], cal.verdict),
        *(slurry, slurry.advice, slurry.budget, sc.judge(slurry)),
        *(pairs, seen, before, sc.update(before, seen, 5.2), sc.worth(before, seen)),
        *(trend, trend.crossing(5.0), trend.retest_by(5.0), sc.steady(DAYS, [5.8, 5.7, 5.6])[-1]),
        sc.trend(DAYS, [5.8, 5.7, 5.6], [DAYS[1]]).steps[0],
        *(sc.exchange("5.1+-0.1", "6.2+-0.1", 5.8, "40 L"), sc.upkeep("-0.05+-0.02", "6.2+-0.1", 5.2)),
        *(sc.salts([("0.88 mS/cm", 21.0)]), sc.cell_factor("1.30 mS/cm", "20 C"), sc.banding(900.0)),
        *(sc.dilution("2.5+-0.2 mS/cm", "0.3 mS/cm"), sc.mix(), sc.ratio("1/4 cup", "1/2 cup")),
        *(sc.agree("5.5+-0.1", "5.4+-0.1"), sc.trial([0, 10, 20], [5.1, 5.3, 5.5], 5.4, unit="%")),
        sc.electrode_life(DAYS, [(99.0, 2.0), (98.0, 3.0), (97.0, 3.0)]),
        sc.due([sc.InUse("atlas", date(2024, 5, 4))], ON),
        *(sc.straight_line([1, 2, 3], [1, 2, 3.1], u_y=0.1), sc.scatter_fit([[1], [1]], [5.4, 5.6])),
        *(day, day.enclosures[0], day.jars[0], day.probe, book.standing(), book.show("window")),
        *(book.trend("window", on=ON), book.due(on=ON), book.history()[0], book.history()[0].items[0]),
        book.exchange("window", 5.8, fresh="6.6+-0.2", on=ON),
        book.export(tmp_path_factory.mktemp("out") / "book.zip"),
    ]
    return {type(one).__name__: one for one in made}


def public_classes() -> dict[str, type]:
    return {name: each for name in dir(sc) if inspect.isclass(each := getattr(sc, name))}


def test_every_public_result_says_itself_in_a_line(results: dict[str, Any]) -> None:
    plain = {name for name, each in public_classes().items() if dataclasses.is_dataclass(each)} - HANDED_IN
    assert plain - {"Retest", "Crossing"} <= set(results)
    assert all(issubclass(getattr(sc, name), Result) for name in plain)
    for name, one in results.items():
        said = repr(one)
        assert said.startswith(f"{name}: ")
        assert said.isprintable()
        assert "=(" not in said
        assert "+/-" not in said
        assert len(said) > len(name) + 8


def test_what_the_record_gives_says_itself_too() -> None:
    methods = [each for name, each in inspect.getmembers(sc.Logbook, inspect.isfunction) if name[0] != "_"]
    given = [get_type_hints(each)["return"] for each in methods]
    assert len(given) == 11
    classes = [each for each in given if inspect.isclass(each) and dataclasses.is_dataclass(each)]
    assert len(classes) == 9
    assert all(issubclass(each, Result) for each in classes)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("SlurryResult", "pH 5.59, between 5.40 and 5.78 (95 in 100); your own slurries count 1 part in 3"),
        ("Judgement", "pH 5.59, between 5.40 and 5.78 (95 in 100). Inside your range, 5.4 to 6.5: 98"),
        ("Comparison", "offset +0.45 pH, between -0.29 and +1.19 (95 in 100). On average the probe shows"),
        ("ProbeResponse", "This probe follows your slurries: 0.99 ± 0.21 for each unit of pH."),
        ("Update", "pH 4.86, between 4.50 and 5.22 (95 in 100). This spot: your slurries say 5.20 ± 0.59"),
        ("Calibration", "efficiency 100.1 %, between 99.0 and 101.3 (95 in 100); good: The efficiency,"),
        ("Trend", "No drift is shown: pH changes by -0.051 a month, between -0.144 and +0.042 (95 in 100)."),
        ("Recipe", "1:2 by volume, for each slurry 1/2 cup of substrate and 1 cup of water"),
        ("EnclosureResult", "window: pH 5.12, between 4.92 and 5.31 (95 in 100). Below your range, 5.4"),
        ("DayResult", "2024-05-04: window: pH 5.12, between 4.92 and 5.31 (95 in 100); stairs: pH 5.58"),
        ("Due", "1 to do. 3 June 2024: read atlas, in 24 days (every 30 days, common practice)."),
    ],
)
def test_the_line_has_value_interval_unit_and_sentence(results: dict[str, Any], name: str, says: str) -> None:
    assert repr(results[name]).startswith(f"{name}: {says}")


def test_the_interval_is_that_of_its_value(results: dict[str, Any]) -> None:
    valued = {name: one for name, one in results.items() if isinstance(one, Valued)}
    values = {
        *("SlurryResult", "PHReading", "Calibration", "FittedPoint", "Judgement", "Comparison", "Trend"),
        *("Line", "TrendStep", "SteadyDay", "Exchange", "Dilution", "Salts", "Cell", "Banding", "Recipe"),
        *("Ratio", "ElectrodeLife", "JarResult", "EnclosureResult", "Before", "Update"),
        *("Agreement", "BufferCheck"),
    }
    assert set(valued) == values
    for name, one in valued.items():
        if name != "Banding":  # of a bare number here
            assert one.interval(0.5).half_width < one.interval().half_width < one.interval(0.99).half_width
    assert results["Comparison"].interval(0.9) == sc.interval(results["Comparison"].offset, 0.9)
    assert results["EnclosureResult"].interval(0.9) == sc.interval(results["EnclosureResult"].slurry.ph, 0.9)
    assert results["Ratio"].interval(0.9) == sc.interval(results["Ratio"].by_volume, 0.9)
    assert results["Trend"].interval(0.9) == sc.interval(results["Trend"].per_month, 0.9)


def test_the_interval_of_a_dose() -> None:
    jars = sc.trial([0, 10, 20, 30, 40], [5.10, 5.27, 5.43, 5.52, 5.66], 5.4, unit="%")
    assert jars.interval() == (jars.low, jars.high)
    assert jars.interval(0.8).half_width < jars.interval().half_width
    assert sc.trial([0, 10, 20], [5.1, 5.3, 5.5], 5.4).interval().high == float("inf")
    with pytest.raises(sc.Refusal, match=r"no dose for pH 6\.4; it says: "):
        sc.trial([0, 10, 20], [5.1, 5.3, 5.5], 6.4).interval()
    with pytest.raises(sc.Refusal, match=r"`0\.4` is no probability for an interval"):
        jars.interval(0.4)


def test_a_result_without_a_value_says_so() -> None:
    (first,) = sc.steady(DAYS[:1], [5.8])
    with pytest.raises(sc.Refusal, match="has no difference; it says: The steady jar's record begins"):
        first.interval()
    with pytest.raises(sc.Refusal, match="no coverage probability"):
        sc.slurry_ph(None, [sc.calibrate([("4.01", 178.2), ("7.00", 1.8)]).ph(84.3)]).interval(1.5)


class Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.texts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        assert not attrs

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def test_a_notebook_sees_the_line_and_its_parts_of_what_has_no_page(results: dict[str, Any]) -> None:
    plain = [one for one in results.values() if page_of(one) is None]
    assert len(plain) > 5
    for one in plain:
        seen = Tags()
        seen.feed(one._repr_html_())
        assert set(seen.tags) <= {"p", "table", "tr", "th", "td", "br"}
        assert seen.texts[0] == repr(one)
    html = results["SlurryResult"]._repr_html_()
    assert "<tr><th>ph</th><td>5.59 ± 0.19 pH</td></tr>" in html
    assert "<tr><th>scatter sd</th><td>0.08195 pH</td></tr>" in html
    unplug = "Unplug heat mats, pumps, misters and lights"
    assert unplug in results["Exchange"]._repr_html_(), "cautions stand where the hands move"


def test_a_notebook_sees_the_page_of_a_result_figures_included(results: dict[str, Any]) -> None:
    drawn = {name: one._repr_html_() for name, one in results.items() if page_of(one) is not None}
    assert {"Calibration", "EnclosureResult", "Exchange", "Upkeep", "Judgement", "Recipe"} <= set(drawn)
    for html in drawn.values():
        html5lib.HTMLParser(strict=True).parseFragment(html)
        ids = re.findall(r' id="([^"]+)"', html)
        assert len(ids) == len(set(ids))
        assert "<script" not in html
        assert "<style>" not in html
    for name in ("Calibration", "EnclosureResult", "Exchange", "Upkeep", "Judgement"):
        assert '<svg role="img"' in drawn[name], name
        assert "var(--" not in drawn[name]
    first, second = (re.findall(r' id="([^"]+)"', drawn[name]) for name in ("Calibration", "Exchange"))
    assert not set(first) & set(second)


def test_a_name_acts_on_no_notebook_and_no_terminal(results: dict[str, Any]) -> None:
    evil = dataclasses.replace(results["EnclosureResult"], name="<script>\x1b[2Jx", note="<b>\n\x1b")
    assert "<script" not in evil._repr_html_()
    assert "&lt;script&gt;" in evil._repr_html_()
    assert "\x1b" not in evil._repr_html_() + repr(evil)
    assert "\n" not in repr(evil)
