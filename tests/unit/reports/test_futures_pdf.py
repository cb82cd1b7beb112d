"""The printed turning: what stands on which page, A4, nothing evaluated, the same bytes again."""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from futures_sample import sample_view

from ringwise.faces.reports.futures_pdf import futures_pdf
from ringwise.futures.view import FuturesView

HOSTILE = '#emph[<b>$ \\ * _x_ @y ${z} // "q" `r` \'Ł </text><script>'
A4_PT = (595.28, 841.89)


def _tool(*words: str) -> str:
    """A poppler tool's output; without poppler-utils this fails, it never skips."""
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout


@pytest.fixture(scope="module")
def view() -> FuturesView:
    return sample_view()


@pytest.fixture(scope="module")
def file(view: FuturesView, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("pdf") / "turning.pdf"
    path.write_bytes(futures_pdf(view))
    return path


def _page(file: Path, number: int) -> str:
    text = _tool("pdftotext", "-layout", "-f", str(number), "-l", str(number), str(file), "-")
    return " ".join(text.split())


def _pages(file: Path) -> int:
    found = re.search(r"Pages:\s+(\d+)", _tool("pdfinfo", str(file)))
    assert found
    return int(found.group(1))


def test_the_first_page_answers_and_each_course_has_a_page(view: FuturesView, file: Path) -> None:
    assert _pages(file) == 2 + len(view.courses)
    first = _page(file, 1)
    for words in ("Hollow Lane", "What is worth waiting for", "What would change the answer", "about 1 in 4"):
        assert words in first
    assert "the next repotting" in first
    assert view.weighed is not None
    for words in (view.weighed.verdict, *view.weighed.turns, *view.weighed.waits, view.weighed.knowing):
        assert "".join(words.split()) in "".join(first.split()) or all(
            each in first for each in words.split()
        )
    assert "66% (46 to 78%)" in first
    for year in view.horizons[1:]:
        assert f"after {year}" in first
    for number, course in enumerate(view.courses, start=2):
        page = _page(file, number)
        assert course.title in page
        assert all(step in page for step in course.steps)
        assert "one possible future each" in page
        assert "3 in 10" in page
    last = _page(file, _pages(file))
    assert "seed 7" in last
    assert "engine 0.1.0" in last
    assert all(each in last for each in view.cautions)
    assert "not foretold" in last


def test_every_page_is_a4_and_uses_only_fonts_it_holds(file: Path) -> None:
    sizes = re.findall(
        r"Page +\d+ size: +([\d.]+) x ([\d.]+)", _tool("pdfinfo", "-f", "1", "-l", "9", str(file))
    )
    assert sizes
    for size in sizes:
        assert tuple(float(each) for each in size) == pytest.approx(A4_PT, abs=0.5)
    fonts = _tool("pdffonts", str(file)).splitlines()[2:]
    assert fonts
    assert all(re.search(r"yes (yes|no) (yes|no) +\d+", each) for each in fonts)


def test_text_is_never_evaluated(view: FuturesView, tmp_path: Path) -> None:
    courses = tuple(replace(each, title=HOSTILE, words=HOSTILE, steps=(HOSTILE,)) for each in view.courses)
    spoilt = replace(
        view,
        tree=HOSTILE,
        question=HOSTILE,
        courses=courses,
        cautions=(HOSTILE,),
        facts=((HOSTILE, HOSTILE),),
        measures=tuple(replace(each, label=HOSTILE) for each in view.measures),
        cells=tuple(
            replace(cell, trees=tuple(replace(tree, silhouette=None) for tree in cell.trees))
            for cell in view.cells
        ),
    )
    path = tmp_path / "hostile.pdf"
    path.write_bytes(futures_pdf(spoilt))
    text = "".join(_tool("pdftotext", "-layout", str(path), "-").split())
    assert text.count("".join(HOSTILE.split())) > 5


def test_the_same_view_gives_the_same_bytes(view: FuturesView, file: Path) -> None:
    assert futures_pdf(replace(view)) == file.read_bytes()


def test_a_turning_of_one_course_without_signs_is_set_too(view: FuturesView, tmp_path: Path) -> None:
    course = view.courses[2]
    alone = replace(
        view,
        courses=(course,),
        cells=tuple(cell for cell in view.cells if cell.course == course.key),
        hours=tuple(each for each in view.hours if each.course == course.key),
        paired=(),
        signs=(),
        drivers=(),
        pot=None,
    )
    path = tmp_path / "alone.pdf"
    path.write_bytes(futures_pdf(alone))
    assert _pages(path) == 3
    assert "Accept the base" in _page(path, 1)
