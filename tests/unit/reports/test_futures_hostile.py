"""Whatever a grower typed, the page keeps its own elements and attributes and shows the text as text."""

from __future__ import annotations

from dataclasses import replace
from html.parser import HTMLParser
from unicodedata import category

import pytest
from futures_sample import sample_view
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwise.faces.reports.futures_markup import clean, tag
from ringwise.faces.reports.futures_page import futures_page
from ringwise.futures.view import FuturesView
from ringwise.futures.weighed_view import WeighedView

PIECES = (
    "</script>",
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    '" onload="alert(1)',
    "' style='color:red",
    "</style><style>*{display:none}",
    "<!--",
    "-->",
    "]]>",
    "&lt;b&gt;",
    "&#x3c;svg/onload=alert(1)>",
    "\x00",
    "\x1b[31m",
    "\x85",
    "\u202eevil\u202c",
    "\u2066",
    "\ufffe",
    "\ud800",
    "`${x}`",
    "%3Cscript%3E",
    "|",
    "Æ 木 ש",
)
HOSTILE = st.lists(st.one_of(st.sampled_from(PIECES), st.text(max_size=6)), min_size=1, max_size=6).map(
    lambda parts: "w" + "".join(parts)  # an empty text would be left out with its element
)
TURNS = set("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


class Shape(HTMLParser):
    """The page's elements with the names of their attributes, and its text."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, ...]] = []
        self.texts: list[str] = []
        self.values: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, *(key for key, _value in attrs)))
        self.values += [value or "" for _key, value in attrs]

    def handle_comment(self, data: str) -> None:
        raise AssertionError(f"a comment: {data}")

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


@pytest.fixture(scope="module")
def bare() -> FuturesView:
    """The turning without drawn trees, which is quick to lay out."""
    view = sample_view()
    cells = tuple(replace(cell, trees=cell.trees[:1]) for cell in view.cells if cell.after_years in {0, 20})
    light = tuple(
        replace(cell, trees=tuple(replace(each, silhouette=None) for each in cell.trees)) for cell in cells
    )
    return replace(view, horizons=(0, 20), cells=light, paired=view.paired[-1:])


def _spoilt_aims(weighed: WeighedView | None, text: str) -> WeighedView | None:
    return weighed and replace(
        weighed,
        title=text,
        time_words=text,
        wishes=tuple(replace(each, label=text, range_words=text) for each in weighed.wishes),
        courses=tuple(replace(each, until_words=text) for each in weighed.courses),
        pairs=tuple(replace(each, words=text) for each in weighed.pairs),
        turns=(text,),
        waits=(text,),
        knowing=text,
        verdict=text,
        sunk=text,
    )


def spoilt(view: FuturesView, text: str) -> FuturesView:
    """The view with a text in every place where words of people or files may stand."""
    return replace(
        view,
        tree=text,
        species=text,
        question=text,
        facts=tuple((text, text) for _ in view.facts),
        courses=tuple(
            replace(each, title=text, words=text, steps=tuple(text for _ in each.steps))
            for each in view.courses
        ),
        measures=tuple(replace(each, label=text, more=text, less=text) for each in view.measures),
        cells=tuple(
            replace(cell, trees=tuple(replace(each, caption=text) for each in cell.trees))
            for cell in view.cells
        ),
        drivers=tuple(replace(each, label=text, direction=text, basis=text) for each in view.drivers),
        signs=tuple(
            replace(each, look_for=text, wait_until=text, cost_of_waiting=text) for each in view.signs
        ),
        origins=tuple(
            replace(each, label=text, value=text, source=text, basis=text) for each in view.origins
        ),
        cautions=tuple(text for _ in view.cautions),
        notes=(text,),
        weighed=_spoilt_aims(view.weighed, text),
        front=text,
        made_on=text,
        engine=text,
    )


@pytest.fixture(scope="module")
def plain(bare: FuturesView) -> list[tuple[str, ...]]:
    """The elements of the page about a turning in which every text is one word."""
    return Shape(futures_page(spoilt(bare, "word"))).elements


@given(text=HOSTILE)
@settings(max_examples=120, deadline=None)
def test_hostile_text_changes_no_element_and_no_attribute(
    bare: FuturesView, plain: list[tuple[str, ...]], text: str
) -> None:
    page = futures_page(spoilt(bare, text))
    made = Shape(page)
    assert made.elements == plain
    signs = {each for each in page if each not in "\n\t"}
    assert not signs & TURNS
    assert not any(category(each) in ("Cc", "Cs") for each in signs)
    page.encode("utf-8")
    shown = " ".join(made.texts)
    assert shown.count(clean(text).replace("\r\n", "\n")) >= 20


@given(text=st.text(max_size=40))
def test_clean_keeps_what_people_write(text: str) -> None:
    once = clean(text)
    assert clean(once) == once
    assert all(each in once for each in text if each.isprintable())


def test_an_attribute_is_cleaned_as_well() -> None:
    assert tag("p", "x\x00y\u202ez", title="a\x1bb\u2066c") == '<p title="abc">xyz</p>'
