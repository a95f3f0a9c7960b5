"""The pictures of README, and the example page: a figure, a terminal, the page of the example record.

Run ``python -m tests.example_pictures`` to write them anew, after a change of what is shown. The picture of
the page is taken by Chromium; where there is none it stays as it is.
"""

from __future__ import annotations

import contextlib
import io
import os
import shutil
import subprocess
from html import escape
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

from slurrycalc.cli import main

EXAMPLES = Path(__file__).parents[1] / "examples"
RECORD = EXAMPLES / "eighteen-months"
PAGE = EXAMPLES / "eighteen-months.html"
PICTURES = EXAMPLES / "pictures"
FIGURE, SCREEN, LOOK = PICTURES / "months.svg", PICTURES / "screen.svg", PICTURES / "page.png"
ON = ("--on", "2025-11-01")
WORDS = ("show", "atlas")
"""Of the line whose answer is the picture of a terminal."""
COLUMNS, LINES = 84, 20
WIDE, HIGH = 8.45, 18.0
"""Of a character. [px]"""


def shown(*words: str) -> str:
    """Give what a line writes to a terminal of that width."""
    into = io.StringIO()
    with contextlib.redirect_stdout(into), patch.dict(os.environ, {"COLUMNS": str(COLUMNS)}):
        assert main(list(words)) == 0, words
    return into.getvalue()


def screen(text: str) -> str:
    """Draw the first lines of a screen as SVG."""
    lines = [f"$ slurrycalc {' '.join(WORDS)}", *text.splitlines()[:LINES]]
    width, height = COLUMNS * WIDE + 32, (len(lines) + 1.4) * HIGH
    drawn = "\n".join(
        f'<text x="16" y="{(i + 1.4) * HIGH:.1f}" xml:space="preserve">{escape(line, quote=False)}</text>'
        for i, line in enumerate(lines)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" width="{width:.0f}" '
        'font-family="DejaVu Sans Mono, Consolas, monospace" font-size="14" fill="#ededed">\n'
        f'<rect width="100%" height="100%" rx="8" fill="#16191c"/>\n{drawn}\n</svg>\n'
    )


def made(folder: Path) -> tuple[str, bytes, str]:
    """Make all that needs no browser from the example record: the page, the figure, the screen."""
    book = ("--logbook", str(folder / "record.sqlite"))
    shown("import", str(RECORD), *book)
    with patch.dict(os.environ, {"SLURRYCALC_LOGBOOK": book[1]}):
        shown("report", *ON, "--out", str(folder / "page.html"))
        shown("trend", "window", *ON, "--plot", str(folder / "months.svg"))
        text = shown(*WORDS, *ON)
    page = (folder / "page.html").read_text(encoding="utf-8")
    return page, (folder / "months.svg").read_bytes(), screen(text)


def take(page: Path, browser: str) -> None:
    """Take the picture of the page's head."""
    words = [
        browser,
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--hide-scrollbars",
        "--window-size=780,1500",
    ]
    subprocess.run(
        [*words, f"--screenshot={LOOK}", page.as_uri()], check=True, capture_output=True, timeout=60
    )


if __name__ == "__main__":
    PICTURES.mkdir(exist_ok=True)
    with TemporaryDirectory() as name:
        page, figure, text = made(Path(name))
    PAGE.write_text(page, encoding="utf-8", newline="\n")
    FIGURE.write_bytes(figure)
    SCREEN.write_text(text, encoding="utf-8", newline="\n")
    found = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
    if found is not None:
        take(PAGE, found)
