from __future__ import annotations

import math
import re
import subprocess
from datetime import date
from pathlib import Path

import pytest

from ringwise.faces.reports.worksheet_data import drawing_data, outline_mm, worksheet_data
from ringwise.faces.reports.worksheet_pdf import worksheet_pdf
from ringwise.kit.reading import Reading, reading
from ringwise.operations.registry import OPERATIONS
from ringwise.records.dates import exact_day
from ringwise.records.facts import tree_facts
from ringwise.records.model import Entry, Tree
from ringwise.rootzone.dome import RootBase
from ringwise.rootzone.litres import MixOrder
from ringwise.rootzone.mix import recipe
from ringwise.rootzone.pot import PotLengths, pot_shape
from ringwise.rootzone.potting import PotJob, Potting, potting
from ringwise.season.worksheet import SheetPlan, worksheet
from ringwise.season.worksheet_content import Worksheet

TODAY = date(2027, 3, 7)
HOSTILE = '#emph[<b>$ \\ * _x_ @y ${z} // "q" `r` \'Ł'
A4_PT = (595.28, 841.89)


def _potting(shape: str = "oval", size: tuple[float, ...] = (530, 390, 80)) -> Potting:
    pot = pot_shape(shape, PotLengths(depth_mm=size[-1], top_mm=size[:-1]))
    return potting(PotJob(pot, MixOrder(recipe("D")), base=RootBase(trunk_mm=118), tree_height_mm=580))


def _sheet(name: str = "Old Ferry", ready: Potting | None = None, key: str = "repot") -> Worksheet:
    asked = {"title": f"Base of {name}", "courses": ["ground_layer", "root_graft", "leave"]}
    done = {"operation": "repot", "root_removed_frac": 0.3, "tie_count": 4, "tie_wire_mm": 2.5}
    entries = [
        Entry("E1", "T03", "work", exact_day(date(2022, 3, 20)), done, f"note by {name}"),
        Entry("E2", "T03", "question", exact_day(TODAY), asked),
        Entry("E3", "T03", "vigour", exact_day(TODAY), {"score": 3}),
    ]
    tree = Tree("T03", name, "Acer palmatum", front_mark=name)
    facts = tree_facts(tree, entries=entries, pots=[], places=[], on=TODAY)
    operation = OPERATIONS[key]
    pots = (ready or _potting()) if operation.root_work else None
    return worksheet(facts, operation, None, pots, SheetPlan(TODAY, "P-21", 0.4, "Drains in 65 s."))


def _tool(*words: str) -> str:
    """A poppler tool's output; without poppler-utils this fails, it never skips."""
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout


def _pdf(tmp_path: Path, sheet: Worksheet) -> str:
    file = tmp_path / "sheet.pdf"
    file.write_bytes(worksheet_pdf(sheet))
    return str(file)


def _word_boxes(file: str) -> list[tuple[float, float, float, float]]:
    boxes = _tool("pdftotext", "-bbox", file, "-")
    found = re.findall(r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)"', boxes)
    return [(float(a), float(b), float(c), float(d)) for a, b, c, d in found]


def _squeezed(text: str) -> str:
    return re.sub(r"\s+", "", text)


def _texts(value: object) -> list[str]:
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [
            text for key, each in value.items() if key not in {"labels", "drawing"} for text in _texts(each)
        ]
    if isinstance(value, list):
        return [text for each in value for text in _texts(each)]
    return []


@pytest.mark.pdf
def test_every_text_of_the_sheet_is_on_the_page(tmp_path: Path) -> None:
    sheet = _sheet()
    data = worksheet_data(sheet)
    printed = _squeezed(_tool("pdftotext", "-raw", _pdf(tmp_path, sheet), "-"))
    wanted = [text for text in _texts(data) if text != data["title"]]
    assert len(wanted) > 80
    assert [text for text in wanted if _squeezed(text) not in printed] == []
    assert "confirmedby" in printed[-200:]


@pytest.mark.pdf
def test_a_hostile_name_prints_literally_everywhere(tmp_path: Path) -> None:
    printed = _squeezed(_tool("pdftotext", "-raw", _pdf(tmp_path, _sheet(HOSTILE)), "-"))
    # name, question, note of the last work, front mark
    assert printed.count(_squeezed(HOSTILE)) == 4


@pytest.mark.pdf
def test_one_page_with_embedded_fonts_and_nothing_beyond_the_margins(tmp_path: Path) -> None:
    file = _pdf(tmp_path, _sheet())
    assert re.search(r"^Pages:\s+1$", _tool("pdfinfo", file), re.MULTILINE)
    fonts = _tool("pdffonts", file).splitlines()[2:]
    assert fonts
    assert all(re.search(r"\byes yes yes\b", font) for font in fonts)
    corners = _word_boxes(file)
    assert len(corners) > 300
    for left, top, right, bottom in corners:
        assert 20 < left < right < A4_PT[0] - 20
        assert 20 < top < bottom < A4_PT[1] - 20


@pytest.mark.pdf
@pytest.mark.parametrize("key", ["repot", "chop"])
def test_no_word_lies_on_another(tmp_path: Path, key: str) -> None:
    _lie_apart(_word_boxes(_pdf(tmp_path, _sheet(key=key))))


def _lie_apart(boxes: list[tuple[float, float, float, float]]) -> None:
    for i, (left, top, right, bottom) in enumerate(boxes):
        for left_2, top_2, right_2, bottom_2 in boxes[i + 1 :]:
            across = min(right, right_2) - max(left, left_2)
            down = min(bottom, bottom_2) - max(top, top_2)
            # boxes hold ascenders and descenders, so lines set close may share up to half their height
            assert across < 1 or down < 0.5 * min(bottom - top, bottom_2 - top_2)


@pytest.mark.pdf
@pytest.mark.parametrize("key", ["chop", "root_rescue", "lift", "approach_graft"])
def test_other_work_fits_one_page_too(tmp_path: Path, key: str) -> None:
    assert re.search(r"^Pages:\s+1$", _tool("pdfinfo", _pdf(tmp_path, _sheet(key=key))), re.MULTILINE)


@pytest.mark.pdf
@pytest.mark.parametrize(
    ("shape", "size"),
    [
        ("rect", (140, 110, 40)),
        ("round", (400, 160)),
        ("hexagon", (240, 60)),
        ("octagon", (200, 90)),
        ("octagon", (120, 180)),
        ("rect", (550, 450, 200)),
    ],
)
def test_every_shape_of_pot_is_drawn_on_one_page(tmp_path: Path, shape: str, size: tuple[float, ...]) -> None:
    file = _pdf(tmp_path, _sheet(ready=_potting(shape, size)))
    assert re.search(r"^Pages:\s+1$", _tool("pdfinfo", file), re.MULTILINE)
    _tool("pdftoppm", "-r", "40", "-gray", "-singlefile", file, str(tmp_path / "page"))
    grey = (tmp_path / "page.pgm").read_bytes()
    dark = sum(byte < 100 for byte in grey[-331 * 468 :])
    assert dark > 1000  # ink reached the page


@pytest.mark.pdf
@pytest.mark.parametrize("how", [Reading("de"), Reading("de", "inch"), Reading("en", "inch")], ids=str)
def test_a_sheet_for_another_reader_fits_one_page_without_overlap(tmp_path: Path, how: Reading) -> None:
    with reading(how):
        file = _pdf(tmp_path, _sheet())
    assert re.search(r"^Pages:\s+1$", _tool("pdfinfo", file), re.MULTILINE)
    _lie_apart(_word_boxes(file))
    words = _tool("pdftotext", file, "-")
    assert ("Bevor der Baum herauskommt" in words) == (how.language == "de")
    assert ("2 1/2 in" in words) == how.inches  # mesh for a hole of 25 mm: 65 mm


@pytest.mark.pdf
def test_the_same_sheet_gives_the_same_bytes() -> None:
    assert worksheet_pdf(_sheet()) == worksheet_pdf(_sheet())


def test_outlines_of_polygons_have_their_width_across_flats() -> None:
    for shape, corners in (("hexagon", 6), ("octagon", 8)):
        outline = outline_mm(shape, 200.0, 200.0)
        assert isinstance(outline, dict)
        points = outline["points"]
        assert isinstance(points, list)
        assert len(points) == corners
        ys = [point[1] for point in points if isinstance(point, list)]
        assert max(ys) == pytest.approx(100.0)
        assert min(ys) == pytest.approx(-100.0)
        radius = {round(math.hypot(*point), 6) for point in points if isinstance(point, list)}
        assert radius == {round(100 / math.cos(math.pi / corners), 6)}


def test_the_drawing_has_the_front_below() -> None:
    sheet = _sheet(ready=_potting("rect", (600, 420, 260)))  # large enough for four assumed holes
    drawing = sheet.ready.drawing
    assert drawing is not None
    holes = drawing_data(drawing)["holes"]
    assert isinstance(holes, list)
    for hole, drawn in zip(drawing.holes, holes, strict=True):
        assert isinstance(drawn, dict)
        assert (drawn["x"], drawn["y"]) == (hole.x_mm, -hole.y_mm)
