"""The futures page: nothing unescaped, nothing fetched, a policy that fits, the exact numbers, no ranking."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from futures_sample import sample_view

from ringwise.faces.reports.futures_courses import loss_words, one_in
from ringwise.faces.reports.futures_markup import Html, join, tag
from ringwise.faces.reports.futures_page import futures_page
from ringwise.faces.reports.futures_plots import axis_of, counted_dots, dot_plot, shown
from ringwise.faces.reports.futures_sections import alike, pair_words
from ringwise.futures.view import FuturesView, MeasureText, Outcome, Paired
from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.ranged import Ranged

HOSTILE = "</script><img src=x onerror=1>"


@pytest.fixture(scope="module")
def view() -> FuturesView:
    return sample_view()


@pytest.fixture(scope="module")
def page(view: FuturesView) -> str:
    return futures_page(view)


@pytest.fixture(scope="module")
def small(view: FuturesView) -> FuturesView:
    """The same turning with two years and one tree a cell, quick to draw."""
    cells = tuple(replace(cell, trees=cell.trees[:1]) for cell in view.cells if cell.after_years in {0, 20})
    paired = tuple(pair for pair in view.paired if pair.after_years == 20)
    return replace(view, horizons=(0, 20), cells=cells, paired=paired)


class Reader(HTMLParser):
    """All elements with their attributes, and the text of each element's own content."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in {"meta", "input", "br"}:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] not in {"style", "script"}:
            self.texts.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.texts).split())


def _hostile(view: FuturesView) -> FuturesView:
    courses = tuple(replace(each, title=HOSTILE, words=HOSTILE, steps=(HOSTILE,)) for each in view.courses)
    trees = tuple(replace(each, caption=HOSTILE) for each in view.cells[0].trees)
    return replace(
        view,
        tree=HOSTILE,
        species=HOSTILE,
        question=f'" onload="{HOSTILE}',
        facts=((HOSTILE, HOSTILE),),
        courses=courses,
        measures=tuple(replace(each, label=HOSTILE, more=HOSTILE) for each in view.measures),
        cells=(replace(view.cells[0], trees=trees), *view.cells[1:]),
        drivers=tuple(
            replace(each, label=HOSTILE, direction=HOSTILE, basis=HOSTILE) for each in view.drivers
        ),
        signs=tuple(replace(each, look_for=HOSTILE, wait_until=HOSTILE) for each in view.signs),
        origins=tuple(replace(each, label=HOSTILE, value=HOSTILE, source=HOSTILE) for each in view.origins),
        cautions=(HOSTILE,),
        notes=(HOSTILE,),
        front=HOSTILE,
        made_on=HOSTILE,
        engine=HOSTILE,
    )


def test_hostile_text_stays_text_everywhere(small: FuturesView) -> None:
    reader = Reader(futures_page(_hostile(small)))
    names = [name for name, _attributes in reader.elements]
    assert "img" not in names
    assert names.count("script") == 1
    assert reader.open == []
    assert reader.text.count(HOSTILE) > 20
    for _name, attributes in reader.elements:
        assert not any(key.startswith("on") for key in attributes)


def test_no_inline_handler_or_style_attribute(page: str) -> None:
    for _name, attributes in Reader(page).elements:
        assert "style" not in attributes
        assert not any(key.startswith("on") for key in attributes)


def test_the_policy_allows_its_own_style_and_script_by_hash_and_nothing_else(page: str) -> None:
    found = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', page)
    assert found
    policy = found.group(1).replace("&#x27;", "'")
    parts = dict(part.strip().split(" ", 1) for part in policy.split(";"))
    assert parts["default-src"] == "'none'"
    for kind in ("style", "script"):
        content = re.findall(rf"<{kind}>(.*?)</{kind}>", page, flags=re.DOTALL)
        assert len(content) == 1
        digest = base64.b64encode(hashlib.sha256(content[0].encode()).digest()).decode()
        assert parts[f"{kind}-src"] == f"'sha256-{digest}'"
    assert "unsafe" not in policy


def test_the_page_refers_to_nothing_outside_itself(page: str) -> None:
    assert "http://" not in page
    assert "https://" not in page
    assert "url(" not in page
    assert "@import" not in page
    for name, attributes in Reader(page).elements:
        assert name not in {"img", "link", "iframe", "object", "embed", "base", "form"}
        assert "src" not in attributes
        assert (attributes.get("href") or "#").startswith("#")


def test_the_numbers_shown_are_those_of_the_view(view: FuturesView, page: str) -> None:
    text = Reader(page).text
    for cell in view.cells:
        if cell.after_years:
            assert one_in(cell.lost, cell.futures) in text
    lost = view.cell("A", 20).lost
    assert f"({lost} of 500 futures)" in text
    for pair in view.paired:
        assert (pair_words(view, pair) in text) is not alike(pair)
    for hours in view.hours:
        assert f"{round(hours.total_h.median)} h in all" in text
    for outcome in view.cell("B", 10).outcomes:
        if outcome.measure == "tips":
            assert f"at {outcome.band.low:.0f} to {outcome.band.high:.0f}" in text
    for words in (view.question, view.species, view.made_on, "seed 7", "engine 0.1.0", *view.cautions):
        assert words in text
    assert {"assumed", "practice", "measured"} <= set(text.split())


def test_each_course_and_year_is_drawn_with_a_title_and_a_scale_bar(view: FuturesView, page: str) -> None:
    reader = Reader(page)
    ids = [attributes["id"] for _name, attributes in reader.elements if "id" in attributes]
    assert len(ids) == len(set(ids))
    drawings = [attributes for name, attributes in reader.elements if name == "svg"]
    for attributes in drawings:
        if attributes.get("aria-hidden") != "true":
            assert attributes["role"] == "img"
            assert all(each in ids for each in (attributes["aria-labelledby"] or "").split())
    large = [each for each in drawings if each["class"] == "tree"]
    later, galleries = len(view.courses) * (len(view.horizons) - 1), len(view.courses) * 4
    assert len(large) == 1 + later + galleries
    assert reader.text.count("20 cm") >= 1 + later
    for label in ("1 in 10", "3 in 10", "7 in 10", "9 in 10"):
        assert reader.text.count(f" {label} ") >= len(view.courses)


def test_headings_come_in_order(page: str) -> None:
    levels = [int(name[1]) for name, _a in Reader(page).elements if re.fullmatch(r"h[1-6]", name)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_no_course_is_ranked_or_scored(page: str) -> None:
    text = Reader(page).text.lower()
    for word in ("best", "winner", "score", "recommended", "optimal"):
        assert word not in text
    assert "each tree is one possible future that was lived" in text
    assert "no course is ranked" in text


def test_a_lost_future_is_drawn_as_lost_not_left_out(small: FuturesView) -> None:
    cell = small.cell("A", 20)
    gone = replace(cell, trees=(replace(cell.trees[0], silhouette=None),))
    text = Reader(
        futures_page(replace(small, cells=tuple(gone if c is cell else c for c in small.cells)))
    ).text
    assert "In this future the tree is lost." in text


def test_a_tree_in_the_ground_has_no_pot(small: FuturesView) -> None:
    assert 'class="pot"' not in futures_page(replace(small, pot=None))


def test_a_missing_cell_is_an_error_that_names_it(view: FuturesView) -> None:
    with pytest.raises(MissingFieldError, match="course A after 5 years"):
        futures_page(
            replace(view, cells=tuple(c for c in view.cells if (c.course, c.after_years) != ("A", 5)))
        )


def test_the_page_is_the_same_for_the_same_view(small: FuturesView) -> None:
    assert futures_page(small) == futures_page(replace(small))


@pytest.mark.parametrize(
    ("lost", "futures", "words"),
    [
        (0, 500, "none of 500 futures"),
        (12, 500, "about 1 in 40 (12 of 500 futures)"),
        (25, 500, "about 1 in 20 (25 of 500 futures)"),
        (100, 500, "about 1 in 5 (100 of 500 futures)"),
        (300, 500, "about 6 in 10 (300 of 500 futures)"),
        (1, 500, "about 1 in 500 (1 of 500 futures)"),
    ],
)
def test_a_chance_is_said_in_words_and_counts(lost: int, futures: int, words: str) -> None:
    assert one_in(lost, futures) == words


def test_the_larger_count_of_a_pair_is_said_and_ties_are_named(view: FuturesView) -> None:
    pair = Paired("base_diameter", 10, "A", "B", 16, 34, 50)
    assert pair_words(view, pair) == "B thicker than A in 34 of 50 futures"
    assert pair_words(view, replace(pair, second_more=30)).endswith("in 30 of 50 futures, equal in 4")


def test_rows_alike_in_nearly_all_futures_are_counted_instead_of_shown(small: FuturesView) -> None:
    pairs = tuple(Paired("sectors", 20, "A", "C", more, 0, 500) for more in (24, 25, 26))
    text = Reader(futures_page(replace(small, paired=pairs))).text
    assert "in 24 of 500" not in text
    assert "in 25 of 500" in text
    assert "in 26 of 500" in text
    nobody = replace(small, paired=(Paired("sectors", 20, "A", "C", 0, 0, 0),))
    assert "no future in which the tree lives under both" in Reader(futures_page(nobody)).text
    assert "1 comparison was alike: neither course had more in at least 1 in 20 futures." in text
    assert "Each dot is 10 futures:" in text


def test_only_the_last_year_of_comparisons_is_open_the_others_unfold_without_script(page: str) -> None:
    section = page[page.index("The same future under two courses") :]
    section = section[: section.index("</section>")]
    folded = re.findall(r"<details>.*?</details>", section, flags=re.DOTALL)
    assert len(folded) == 1
    assert "<summary><h3>after 10 years</h3></summary>" in folded[0]
    assert "after 20 years" not in folded[0]
    assert section.index("after 20 years") < section.index("<details>")


def test_weak_drivers_are_called_weak_before_they_are_listed(small: FuturesView) -> None:
    weak = tuple(replace(each, share_frac=each.share_frac / 5.0) for each in small.drivers)
    said = Reader(futures_page(replace(small, drivers=weak))).text
    assert said.index("Nothing known moves this much") < said.index("% of the spread")
    strong = Reader(futures_page(small)).text
    assert "Nothing known moves" not in strong
    assert "need not add up to 100 %" in strong


def test_hours_say_that_work_ends_with_the_tree(small: FuturesView) -> None:
    assert Reader(futures_page(small)).text.count("Work ends when the tree is lost.") == 3
    safe = tuple(replace(cell, lost=0 if cell.course == "C" else cell.lost) for cell in small.cells)
    assert Reader(futures_page(replace(small, cells=safe))).text.count("Work ends when") == 2


def test_ratios_have_two_digits_alike() -> None:
    measure = MeasureText("taper", "Taper", "ratio", "with less taper")
    assert (shown(0.5, measure), shown(0.55, measure)) == ("0.50", "0.55")


def test_a_graft_or_wound_of_no_width_is_none() -> None:
    graft = MeasureText("graft_mm", "Grafted branch", "mm", "thicker")
    assert (shown(0.0, graft), shown(6.4, graft)) == ("none", "6.4 mm")
    assert shown(0.0, MeasureText("base_mm", "Trunk", "mm", "thicker")) == "0 mm"


def test_a_range_says_its_unit_once() -> None:
    assert show.spanned("100 mm", "111 mm") == "100 to 111 mm"
    assert show.spanned("95 mm", "1.2 m") == "95 mm to 1.2 m"
    assert show.spanned("7", "12") == "7 to 12"
    assert show.spanned("51%", "70%") == "51 to 70%"
    assert show.spanned("unknown", "12 mm") == "unknown to 12 mm"


def test_every_dot_is_drawn_once(view: FuturesView) -> None:
    for key in ("base_diameter", "tips", "sectors"):
        axis = axis_of(view, key)
        outcome = next(each for each in view.cell("B", 20).outcomes if each.measure == key)
        assert axis is not None
        drawn = dot_plot(outcome, view.measure(key), axis, ("k", "t"))
        dots = re.search(r'class="dots" d="([^"]*)"', drawn)
        assert dots
        places = re.findall(r"M([\d.-]+) ([\d.-]+)h0", dots.group(1))
        assert len(places) == len(outcome.dots) == 40
        assert len(set(places)) == 40
        assert all(0 <= float(x) <= 300 for x, _y in places)


def test_dots_are_seen_as_dots_where_most_futures_are_alike(view: FuturesView) -> None:
    measure = view.measure("base_diameter")
    alike_most = Outcome("base_diameter", Ranged(90.0, 90.0, 125.0), (90.0,) * 44 + (125.0,) * 6)
    cells = tuple(replace(cell, outcomes=(alike_most,)) for cell in view.cells)
    axis = axis_of(replace(view, cells=cells), "base_diameter")
    assert axis is not None
    drawn = dot_plot(alike_most, measure, axis, ("k", "t"))
    places = re.findall(r"M([\d.-]+) ([\d.-]+)h0", drawn)
    assert len(set(places)) == 50
    assert axis.dot_px >= 2.4
    assert all(float(y) > 0 for _x, y in places)
    # Two dots aside at most, so that a dot still stands at its value to a few parts in a hundred.
    for x, _y in places:
        off_px = min(abs(float(x) - axis.at_px(90.0)), abs(float(x) - axis.at_px(125.0)))
        assert off_px <= 5.01 * axis.dot_px


def test_the_short_table_tells_the_last_year_of_every_course(view: FuturesView, page: str) -> None:
    table = page[page.index("<table>") : page.index("</table>")]
    text = Reader(table).text
    assert "In short, after 20 years" in page
    assert page.index("<table>") < page.index('id="courses"')
    for course in view.courses:
        cell = view.cell(course.key, 20)
        assert course.title in text
        assert loss_words(cell.lost, cell.futures) in text
        for each in cell.outcomes:
            axis = axis_of(view, each.measure)
            assert shown(each.band.median, view.measure(each.measure), axis) in text
    assert table.count("<tr>") == 1 + len(view.measures) + 2


def test_two_trees_of_a_layer_are_told_apart(small: FuturesView) -> None:
    cells = tuple(
        replace(cell, lost=60, second=410, none_left=12) if cell.course == "A" and cell.after_years else cell
        for cell in small.cells
    )
    page = futures_page(replace(small, cells=cells))
    table = Reader(page[page.index("<table>") : page.index("</table>")]).text
    assert "Stump kept as a second tree" in table
    assert "about 8 in 10" in table
    assert "No tree left" in table
    others = [loss_words(small.cell(key, 20).lost, 500) for key in ("B", "C")]
    assert " ".join(["No tree left \N{EN DASH}", loss_words(12, 500), *others]) in table
    assert "the stump lives on beside it in 410 of 500" in Reader(page).text
    assert "Stump kept" not in futures_page(small)


def test_comparisons_stand_by_pairs_of_courses(view: FuturesView, page: str) -> None:
    last = [pair for pair in view.paired if pair.after_years == 20 and not alike(pair)]
    for first, second in {(pair.first, pair.second) for pair in last}:
        assert f"<h4>{first} and {second}</h4>" in page


def test_a_measure_that_does_not_vary_still_has_an_axis(small: FuturesView) -> None:
    same = Outcome("flat", Ranged(5.0, 5.0, 5.0), (5.0,) * 20)
    flat = replace(
        small,
        measures=(MeasureText("flat", "Flat", "ratio", "more"),),
        cells=tuple(replace(cell, outcomes=(same,)) for cell in small.cells),
        paired=(),
    )
    assert "at least 8 in 10 futures at 5.00" in Reader(futures_page(flat)).text


def test_counted_dots_count() -> None:
    drawn = counted_dots(34, 4, 12)
    assert drawn.count("h0") == 34
    assert len(re.findall(r"h5(?!\d)", drawn)) == 4
    assert drawn.count("a3.4 3.4 0 1 0 6.8 0") == 12


def test_markup_escapes_strings_and_passes_markup() -> None:
    assert tag("p", "a < b & c", title='say "x"') == '<p title="say &quot;x&quot;">a &lt; b &amp; c</p>'
    assert join("<", Html("<b>"), None, ["&"]) == "&lt;<b>&amp;"


def test_the_answer_by_the_aims_comes_first_and_says_whose_weights_they_are(
    view: FuturesView, page: str, small: FuturesView
) -> None:
    weighed = view.weighed
    assert weighed is not None
    text = Reader(page).text
    assert text.index(weighed.verdict) < text.index("In short, after 20 years")
    for words in (*weighed.turns, *weighed.waits, weighed.knowing, weighed.sunk, weighed.time_words):
        assert words in text
    for wish in weighed.wishes:
        assert wish.range_words in text
    assert "66% (56 to 76%)" in text
    assert (
        "First under 36 of 100 other weightings; behind the first by 0% with yours, by 21% at most." in text
    )
    assert "by the aims" not in Reader(futures_page(replace(small, weighed=None))).text
