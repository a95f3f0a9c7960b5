"""``sheet --out sheet.html``: the page for a pencil, filled from the record, in the order of the bench."""

from __future__ import annotations

import re
from html import escape
from pathlib import Path

import pytest

from slurrycalc.data.cautions import cautions
from slurrycalc.day.bench.sheet import DaySheet, SheetBottle, SheetJar, pencil
from slurrycalc.report.html import sheet_html
from tests.report.test_html import HOSTILE, is_valid, seen, words_of

EXAMPLE = str(Path(__file__).parents[2] / "examples" / "eighteen-months")


@pytest.fixture
def made(run, begin, tmp_path, monkeypatch) -> str:
    monkeypatch.chdir(tmp_path)
    begin(lambda: run("import", EXAMPLE))
    ran = run("sheet", "--on", "2025-11-01", "--out", "sheet.html")
    assert (ran.status, ran.err) == (0, "")
    assert "print it" in ran.out
    return Path("sheet.html").read_text(encoding="utf-8")


def test_it_is_filled_from_the_record_in_the_order_of_the_bench(made) -> None:
    is_valid(made)
    assert not seen(made).asks
    heads = re.findall(r'<h2 id="part-[A-F]">(.*?)</h2>', made)
    assert [head[0] for head in heads] == list("ABCDEF")
    assert made.index("gloves") < made.index("Mind") < made.index(heads[0])
    for text in cautions("sheet"):
        assert escape(text, quote=False) in made
    words = words_of(made)
    for known in ("window", "stairs", "atlas", "shelf jar", "neutral 4", "acid 4", "stick shows", "1/2 cup"):
        assert known in words
    for label in ("A1", "A2", "B1", "C2", "E2"):
        assert made.count(f'<th scope="row" class="short">{label}</th>') == 3


def test_what_is_read_is_left_to_the_pencil(made) -> None:
    part = made[made.index('id="part-D"') : made.index('id="part-E"')]
    rows = re.findall(r"<tr><th scope=\"row\".*?</tr>", part)
    assert len(rows) == 10
    assert all(row.count('<td class="write"></td>') == 4 for row in rows)


@pytest.mark.parametrize("text", HOSTILE)
def test_a_hostile_text_shows_as_text(text) -> None:
    bottle = SheetBottle(text, text, text, text)
    jar = SheetJar(text, text, "bed", text, text)
    sheet = DaySheet(
        "2024-05-04", text, text, "pH", True, (bottle, bottle), bottle, bottle, text, "us", (jar,)
    )
    out = sheet_html(pencil(sheet), (text,))
    is_valid(out)
    assert not seen(out).asks
    assert "script" not in seen(out).tags


def test_a_file_that_is_there_is_left_alone(run, made) -> None:
    ran = run("sheet", "--on", "2025-11-01", "--out", "sheet.html")
    assert ran.status == 2
    assert "is there already, and is never written over" in ran.err
    assert Path("sheet.html").read_text(encoding="utf-8") == made
