"""The example page and the pictures of README are what the program gives for the example record."""

from __future__ import annotations

import re

import pytest

from tests.example_pictures import FIGURE, LOOK, PAGE, SCREEN, made
from tests.report.test_html import is_valid, words_of


@pytest.fixture(scope="module")
def fresh(tmp_path_factory):
    return made(tmp_path_factory.mktemp("made"))


def test_the_example_page_is_what_report_writes(fresh) -> None:
    kept = PAGE.read_text(encoding="utf-8")
    is_valid(kept)
    assert words_of(kept) == words_of(fresh[0])
    assert re.findall(r"<style>.*?</style>", kept, re.DOTALL) == re.findall(
        r"<style>.*?</style>", fresh[0], re.DOTALL
    )


def test_the_figure_of_readme_says_what_is_drawn(fresh) -> None:
    kept, drawn = FIGURE.read_text(encoding="utf-8"), fresh[1].decode()
    assert re.findall(r">([^<>]+)</text>", kept) == re.findall(r">([^<>]+)</text>", drawn)


def test_the_screen_of_readme_is_what_is_shown(fresh) -> None:
    assert SCREEN.read_text(encoding="utf-8") == fresh[2]


def test_the_picture_of_the_page_is_small_and_there() -> None:
    assert LOOK.read_bytes().startswith(b"\x89PNG")
    assert LOOK.stat().st_size < 300_000
