"""Page and sheet in a real browser, as a person sees them: three widths, light, dark, printed, by keyboard.

It needs Chromium, Node and poppler of the distribution, and the packages of `package.json` here, in
`node_modules` beside it or in the folder that SLURRYCALC_BROWSER names. Without them it is skipped, but where
that is set; `.ci/run` installs them.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from slurrycalc.cli import main

HERE = Path(__file__).parent
EXAMPLE = HERE.parents[1] / "examples" / "eighteen-months"
PACKAGES = Path(os.environ.get("SLURRYCALC_BROWSER") or HERE)
BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
LACKS = [
    *([] if BROWSER else ["chromium"]),
    *(name for name in ("node", "pdftotext", "pdftoppm") if shutil.which(name) is None),
    *(
        []
        if (PACKAGES / "node_modules" / "axe-core").is_dir()
        else ["the packages of tests/browser/package.json"]
    ),
]
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(
        bool(LACKS) and not os.environ.get("SLURRYCALC_BROWSER"), reason=f"lacks {', '.join(LACKS)}"
    ),
]
LOOKS = [f"{width} {scheme}" for width in (360, 800, 1400) for scheme in ("light", "dark")]
HOSTILE = '<b>"it\'s" אטלס {{ 7*7 }}'


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make the pages: of the example, of a record with a hostile name, and the sheet."""
    into = tmp_path_factory.mktemp("pages")
    book, odd = ["--logbook", str(into / "a.sqlite")], ["--logbook", str(into / "b.sqlite")]
    buffers = [
        "--buffer",
        "4.01=4.06",
        "--buffer",
        "7.00=7.04",
        "--enclosure",
        HOSTILE,
        "--meter",
        "desk",
        "--new",
    ]
    for words in (
        ["import", str(EXAMPLE), *book],
        ["report", "--on", "2025-11-01", "--out", str(into / "record.html"), *book],
        ["sheet", "--on", "2025-11-01", "--out", str(into / "sheet.html"), *book],
        *(
            ["read", "5.58", shows, *buffers, "--on", day, *odd]
            for day, shows in (("2024-05-04", "5.5"), ("2024-06-04", "5.3"))
        ),
        ["report", "--on", "2024-06-10", "--out", str(into / "odd.html"), *odd],
    ):
        assert main(words) == 0, words
    return into


@pytest.fixture(scope="module")
def saw(folder: Path) -> dict[str, dict]:
    assert not LACKS, LACKS
    names = [str(folder / name) for name in ("record.html", "sheet.html", "odd.html")]
    words = ["node", str(HERE / "look.mjs"), str(PACKAGES), str(BROWSER), str(folder), *names]
    ran = subprocess.run(words, capture_output=True, text=True, timeout=180, check=False)
    assert ran.returncode == 0, ran.stderr[-2000:]
    return json.loads(ran.stdout)


PAGES = ("record.html", "sheet.html", "odd.html")


@pytest.mark.parametrize("page", PAGES)
def test_a_page_asks_for_nothing_and_has_no_fault(saw, page) -> None:
    assert (saw[page]["asked"], saw[page]["errors"]) == ([], [])


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("look", LOOKS)
def test_nothing_scrolls_sideways_and_everything_is_shown(saw, page, look) -> None:
    seen = saw[page]["looks"][look]
    assert not seen["scrolls"]
    assert seen["outside"] == 0
    assert seen["shown"] == seen["rows"] > 0
    for figure in seen["figures"]:
        assert min(figure["size"]) > 90
        assert figure["size"][0] <= int(look.split()[0])
        assert figure["says"] > 40
        assert figure["letters"] >= 10
        assert all(figure["texts"])
    dark = sum(map(int, re.findall(r"\d+", seen["paper"])[:3])) < 200
    assert dark == look.endswith("dark")


def test_the_page_has_its_figures_and_rows(saw) -> None:
    seen = saw["record.html"]["looks"]["360 light"]
    assert len(seen["figures"]) == 11
    assert seen["rows"] > 200


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("look", ["360 light", "1400 dark"])
def test_axe_finds_no_violation(saw, page, look) -> None:
    assert saw[page]["looks"][look]["axe"] == []
    assert saw[page]["looks"][look]["rules"] > 90


@pytest.mark.parametrize("page", PAGES)
def test_the_keyboard_reaches_everything_in_order_and_shows_where_it_is(saw, page) -> None:
    order = saw[page]["order"]
    assert [place for place, _ in order] == sorted({place for place, _ in order})
    assert len(order) == saw[page]["reachable"] > 5
    assert all(outline == "solid" for _, outline in order)


def sheets(pdf: Path) -> list[str]:
    ran = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True)
    return ran.stdout.split("\f")[:-1]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("page", ["record.html", "odd.html"])
def test_the_sheet_for_a_vet_is_printed_alone_on_one(saw, folder, page, paper) -> None:
    printed = sheets(folder / f"{page}.{paper}.pdf")
    (vet,) = [text for text in printed if "For the vet" in text]
    assert "Name, day" in vet
    for other in ("The probe against slurries", "For a class", "Done and due"):
        assert other not in vet
    assert printed[printed.index(vet) + 1].strip().startswith("For a class")


def pixels(pdf: Path, page: int) -> np.ndarray:
    words = ["pdftoppm", "-gray", "-r", "60", "-f", str(page), "-l", str(page), str(pdf)]
    data = subprocess.run(words, capture_output=True, check=True).stdout
    head = re.match(rb"P5\s(\d+)\s(\d+)\s255\s", data)
    assert head is not None
    width, height = (int(number) for number in head.groups())
    return np.frombuffer(data[head.end() :], np.uint8)[: width * height].reshape(height, width)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("page", ["sheet.html", "record.html"])
def test_nothing_is_printed_to_the_edge(saw, folder, page, paper) -> None:
    pdf = folder / f"{page}.{paper}.pdf"
    for number in range(1, len(sheets(pdf)) + 1):
        ink = pixels(pdf, number) < 128
        edge = round(60 * 8 / 25.4)  # 8 mm
        assert not ink[:edge].any()
        assert not ink[-edge:].any()
        assert not ink[:, :edge].any()
        assert not ink[:, -edge:].any()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_sheets_rows_are_printed_high_enough_for_a_pencil(saw, folder, paper) -> None:
    ink = pixels(folder / f"sheet.html.{paper}.pdf", 2) < 170
    lines = [y for y in range(ink.shape[0]) if ink[y].mean() > 0.6]
    steps = [below - above for above, below in pairwise(lines) if below - above > 2]
    high = [step * 25.4 / 60 for step in steps if 7.5 <= step * 25.4 / 60 <= 11.0]
    assert len(high) >= 10


def test_a_hostile_name_is_read_as_it_was_typed(saw, folder) -> None:
    printed = " ".join(" ".join(sheets(folder / "odd.html.A4.pdf")).split())
    # What follows letters that run from the right is set as they do; it is not computed.
    assert "7*7" in printed
    assert "49" not in printed.partition("What to do now")[0]
    assert "<b>" in printed
