"""A page as HTML: it says what the terminal says, is valid, asks for nothing, shows all text as text."""

from __future__ import annotations

import re
from datetime import date
from html.parser import HTMLParser

import html5lib
import pytest

from slurrycalc.report.html import html
from slurrycalc.report.page import (
    GAP,
    Block,
    Cautions,
    Command,
    Do,
    Figure,
    Heading,
    Headline,
    Plot,
    Points,
    Say,
    Section,
    Steps,
    Strip,
    Table,
    evidence,
    table,
)
from slurrycalc.report.plot import Months
from slurrycalc.report.strip import Span
from slurrycalc.report.terminal import draw

SPAN = Span(5.2, 5.36, 5.52, (5.4, 6.5), 5.0)
DAYS = tuple(date(2024, month, 1) for month in (1, 3, 5, 7))
MONTHS = Months(
    DAYS, (5.8, 5.6, 5.4, 5.2), (5.4, 6.5), 5.0, (DAYS[1],), (0.1,) * 4, ((DAYS[0], 5.7, 5.8, 5.9),), ("x",)
)
HOSTILE = (
    "<script>alert(1)</script>",
    "\"><img src=x onerror='alert(1)'>",
    "& &amp; &lt;b&gt; {{ 7 * 7 }} {% raw %}",
    "</style><style>body{display:none}",
    ']]> <![CDATA[ <!-- --> id="axes_1" #1b1b1b url(#x)',
    "atlas\x1b[2J\x00\x07\r\nbell",
    "txt\u202egnp.exe\u202d\u2066\u200f",
    "\ud800 lone",
    "$x_2$ \\frac{1}{2} $",
    "אטלס ١٢٣ 図鑑 🪴",
)


def every(text: str) -> list[Block]:
    """Give a page that holds a text in every place that takes one."""
    rows = table((text, "pH", text), [(text, "5.36", text)], (1,), spans=[SPAN], states=["act"])
    inner: list[Block] = [
        Heading(text),
        Heading(text, struck=True),
        GAP,
        Headline(text, 5.36, (5.2, 5.52), 0.9, unit=text),
        Say(text),
        Say(text, struck=True),
        Do(text, f"slurrycalc exchange {text}"),
        Command(text),
        Steps((text,)),
        Points((text, text)),
        rows,
        Strip(SPAN),
        Plot(MONTHS),
        Cautions(),
        evidence([Say(text)]),
    ]
    months = Months(DAYS, (5.8,) * 4, (5.4, 6.5), 5.0, (DAYS[1],), (), (), (text,))
    drawn = [
        Figure("strips", ([SPAN], [text]), 1.4, text, table((text,), [(text,)])),
        Figure("months", (months,), 3.0, text, table((text,), [(text,)])),
    ]
    return [Section(text, (*inner, *drawn), alone=True), Section("two", ())]


class Seen(HTMLParser):
    """The words of a page, its tags, and whatever would ask for something or act."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.asks: list[str] = []
        self.ids: list[str] = []
        self.points_at: list[str] = []
        self.words: list[str] = []
        self._style = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self._style = tag == "style"
        for name, value in attrs:
            if name == "id":
                self.ids.append(value or "")
            if name in ("href", "xlink:href", "src", "srcset", "action", "data") or name.startswith("on"):
                self.asks += [] if (value or "").startswith("#") else [f"{name}={value}"]
            if name in ("aria-labelledby", "href", "xlink:href"):
                self.points_at.append((value or "").lstrip("#"))

    def handle_data(self, data: str) -> None:
        if not self._style:
            self.words.append(data)


def seen(text: str) -> Seen:
    parser = Seen()
    parser.feed(text)
    parser.close()
    return parser


def words_of(text: str) -> str:
    return " ".join(" ".join(seen(text).words).split())


def is_valid(text: str) -> None:
    """Read it as strictly as the standard says: any fault raises."""
    html5lib.HTMLParser(strict=True).parse(text)
    page = seen(text)
    assert len(page.ids) == len(set(page.ids))
    assert set(page.points_at) <= set(page.ids)


@pytest.mark.parametrize("text", HOSTILE)
def test_a_hostile_text_shows_as_text_in_every_place_of_a_page(text: str) -> None:
    plain, made = seen(html(every("plain"), "plain")), html(every(text), text, cautions=(text,))
    made.encode()
    is_valid(made)
    found = seen(made)
    assert set(found.tags) == set(plain.tags)
    assert not found.asks
    assert "script" not in found.tags
    assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]", made)


def test_a_name_like_markup_of_a_figure_stands_in_it_as_it_was_typed() -> None:
    name = 'id="axes_1" #1b1b1b'
    made = html([Figure("strips", ([SPAN], [name]), 1.4, "", table(("a",), [("b",)]))], "x")
    (label,) = re.findall(r"<text[^>]*>([^<]*5\.36[^<]*)</text>", made)
    assert label.startswith('id="axes_1" #1b1b')


def test_a_page_says_what_the_terminal_says() -> None:
    page = every("some words of nobody")
    asked = draw(page, 200, "utf-8", bold=False, cautions=("mind the frogs",), why=True)
    words = words_of(html(page, "title", cautions=("mind the frogs",)))
    for line in asked.splitlines():
        bare = re.sub(r"^\s*(Do:|- |\d+\.)?\s*", "", line).strip()
        if bare and not re.search(r"[─░●┃┆═]|1 Jan 2024", bare):
            for part in re.split(r"\s{2,}", bare):
                assert part in words, line


def test_a_page_is_one_file_that_asks_for_nothing() -> None:
    made = html(every("plain"), "plain")
    is_valid(made)
    assert not seen(made).asks
    assert not re.search(r"@import|url\((?!#)|https?://(?!www\.w3\.org/)", made)


def test_each_figure_has_words_and_its_numbers_in_a_table() -> None:
    made = html([Plot(MONTHS)], "title")
    figure = made[made.index("<figure>") : made.index("</figure>")]
    assert 'role="img" aria-labelledby="says-1"' in figure
    assert '<figcaption id="says-1">4 bench days from 1 January 2024 to 1 July 2024' in figure
    numbers = figure[figure.index("<tbody>") :]
    for day, ph in zip(DAYS, ("5.80", "5.60", "5.40", "5.20"), strict=True):
        assert f'{day.isoformat()}</th><td class="right">{ph}</td>' in numbers


def test_a_struck_out_line_is_struck_out_by_its_element_too() -> None:
    assert "<s>gone</s>" in html([Say("gone", struck=True)], "x")


def test_what_stands_behind_one_answer_is_folded_away_once() -> None:
    page = [
        Say("answer"),
        evidence([Say("one")]),
        GAP,
        evidence([Say("two")]),
        Say("end"),
        evidence([Say("three")]),
    ]
    made = html([*page, Section("part", tuple(page))], "x")
    assert made.count("<summary>Why</summary>") == 4
    assert made.index("one") < made.index("two") < made.index("end")


def test_an_empty_table_head_is_no_fault() -> None:
    is_valid(html([Table(("", "pH"), (("a", "5.0"),))], "x"))
