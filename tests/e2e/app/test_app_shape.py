"""The shape room: the tree in space is drawn and turned, its trunk cut on trial, branches found both ways."""

from __future__ import annotations

import re
from io import BytesIO
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from PIL import Image, ImageDraw
from playwright.sync_api import expect

from app.conftest import DESK, PHONE, PHONE_DARK, Device, Look
from app.serving import Served, until
from ringwise.kit import show
from ringwise.structure.cut_plane import CutPlane, cut_at

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

pytestmark = pytest.mark.browser

NARROW = "\u202f"
STEPS = 200  # of the slider along the trunk
DESK_DARK = Device("desk-dark", 1280, 800, "dark", False)
# what a change asked for is drawn in the next frame; the one after it has it on screen
TWO_FRAMES = "() => new Promise(drawn => requestAnimationFrame(() => requestAnimationFrame(drawn)))"


def space(page: Page) -> Locator:
    """The drawing, all of the tree in it and at rest."""
    found = page.get_by_role("application")
    expect(found).to_have_attribute("data-detail", "full")
    return found


def pixels(place: Locator) -> np.ndarray:
    """What is on screen there once the last change is drawn, as (height, width, 3)."""
    place.evaluate(TWO_FRAMES)
    return np.asarray(Image.open(BytesIO(place.screenshot())).convert("RGB")).astype(int)


def tones(place: Locator) -> tuple[int, int]:
    """How many pixels of its middle are not the ground, and how many tones they have."""
    seen = pixels(place)
    wide = seen.shape[1]
    middle = seen[:, wide // 4 : -wide // 4]  # rule and bar stand at the sides
    drawn = middle[np.abs(middle - middle[2, 2]).sum(axis=2) > 24]
    return len(drawn), len(np.unique(drawn // 8, axis=0))


def plane_of(answer: dict[str, Any]) -> CutPlane:
    """The cutting plane's arrays as the server's own arithmetic takes them."""
    cut = answer["shown"]["cut"]

    def column(key: str) -> np.ndarray:
        return np.array([np.nan if each is None else each for each in cut[key]], dtype=float)

    return CutPlane(
        along_mm=column("along_mm"),
        place_mm=np.stack([column("x_mm"), column("y_mm"), column("z_mm")], axis=1),
        diameter_mm=column("diameter_mm"),
        girth_mm=column("girth_mm"),
        tips=column("tips").astype(np.int64),
        top_mm=column("top_mm"),
        left_mm=column("left_mm"),
        right_mm=column("right_mm"),
        trunk_rows=column("trunk_rows").astype(np.int64),
        node=column("node").astype(np.int64),
        base_girth_mm=cut["base_girth_mm"],
    )


def cells(page: Page, row: str, table: str = "Both parts of the tree") -> Locator:
    """A row of the table of both parts: comes off, stays."""
    head = page.get_by_role("table", name=table).get_by_role("rowheader", name=row, exact=True)
    return head.locator("xpath=..").get_by_role("cell")


def spaced(text: str) -> str:
    """A pattern for a text in which any space may be a narrow one."""
    return r"\s".join(re.escape(word) for word in text.split())


@pytest.mark.parametrize("device", [PHONE, PHONE_DARK, DESK, DESK_DARK], ids=lambda device: device.name)
def test_the_tree_stands_in_the_drawing(look: Look, read_only: Served, device: Device) -> None:
    watched = look(read_only, device)
    page = watched.open("/tree/T01/shape")
    drawn, different = tones(space(page))
    assert drawn > 3000
    assert different > 8  # lit and shaded wood, drawn edges: no flat patch
    right = page.get_by_role("button", name="Right")
    right.click()
    expect(right).to_have_attribute("aria-pressed", "true")
    assert tones(space(page))[0] > 3000


def test_one_gets_there_by_the_trunk_and_back(look: Look, read_only: Served) -> None:
    page = look(read_only, PHONE).open("/tree/T01")
    page.get_by_role("link", name="Open the shape").last.click()
    page.wait_for_url("**/tree/T01/shape")
    space(page)
    page.get_by_role("link", name="To the tree").click()
    page.wait_for_url("**/tree/T01")


@pytest.mark.parametrize("step", [10, 60, 100, 170])
def test_what_a_cut_parts_is_what_the_server_would_say(look: Look, read_only: Served, step: int) -> None:
    page = look(read_only, PHONE).open("/tree/T01/shape")
    space(page)
    answer = read_only.get("/api/trees/T01/shape")
    plane = plane_of(answer)
    way = step / STEPS * float(plane.along_mm[-1])
    cut = cut_at(plane, way)
    slider = page.get_by_role("slider", name="Cut through the trunk")
    slider.fill(str(step))
    sides = (cut.above, cut.below)
    expect(cells(page, "height")).to_have_text([show.length(side.height_mm) for side in sides])
    expect(cells(page, "girth at its foot")).to_have_text([show.length(side.girth_mm) for side in sides])
    expect(cells(page, "height to girth")).to_have_text(
        [f"{show.number(side.height_mm / side.girth_mm, 2)} to 1" for side in sides]
    )
    expect(cells(page, "tips")).to_have_text([str(side.tips) for side in sides])
    gone = sum(branch["along_mm"] >= way for branch in answer["shown"]["branches"])
    expect(cells(page, "branches")).to_have_text([str(gone), str(len(answer["shown"]["branches"]) - gone)])
    told = f"At {show.length(cut.height_mm)}, girth {show.length(cut.girth_mm)} there."
    expect(slider).to_have_attribute("aria-valuetext", re.compile(f"^{spaced(told)}$"))
    expect(page.get_by_text(answer["odds"]["basis"])).to_be_visible()


def test_what_would_come_off_is_drawn_lighter(look: Look, read_only: Served) -> None:
    page = look(read_only, DESK).open("/tree/T01/shape")
    whole = pixels(space(page))
    page.get_by_role("slider", name="Cut through the trunk").fill("100")
    page.get_by_role("table", name="Both parts of the tree").wait_for()
    cut = pixels(space(page))
    high, wide = whole.shape[:2]
    ground = whole[2, wide // 2]
    inside = (slice(high // 8, high // 3), slice(wide // 4, -wide // 4))  # above the cut, the label aside
    wood = np.abs(whole - ground).sum(axis=2) > 90
    far_before = np.abs(whole - ground).sum(axis=2)[inside][wood[inside]]
    far_after = np.abs(cut - ground).sum(axis=2)[inside][wood[inside]]
    assert len(far_before) > 200
    assert far_after.mean() < 0.6 * far_before.mean()
    low = slice(-high // 4, -high // 8)  # what stays is as it was
    assert np.abs(whole[low] - cut[low]).mean() < 1.0


def test_keys_turn_it_and_bring_it_back(look: Look, read_only: Served) -> None:
    page = look(read_only, DESK).open("/tree/T01/shape")
    place = space(page)
    front = place.get_attribute("aria-label")
    before = pixels(place)
    place.focus()
    for _press in range(4):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowDown")
    expect(place).not_to_have_attribute("aria-label", front or "")
    assert np.abs(pixels(space(page)) - before).mean() > 0.5
    page.keyboard.press("+")
    page.keyboard.press("Home")
    expect(place).to_have_attribute("aria-label", front or "")
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name=re.compile("^Front "))).to_be_focused()


BRANCH = re.compile(r"^at \d.* thick")


def test_a_branch_is_found_both_ways(look: Look, read_only: Served) -> None:
    page = look(read_only, DESK).open("/tree/T01/shape")
    place = space(page)
    before = pixels(place)
    first = page.get_by_role("button", name=BRANCH).first
    first.click()
    expect(first).to_have_attribute("aria-pressed", "true")
    assert np.abs(pixels(space(page)) - before).sum() > 5000  # it is picked out
    first.click()
    expect(first).to_have_attribute("aria-pressed", "false")

    box = place.bounding_box()
    assert box is not None
    wood = np.abs(before - before[2, before.shape[1] // 2]).sum(axis=2) > 60
    wood[:, : before.shape[1] // 4] = wood[:, -before.shape[1] // 4 :] = False
    down, across = np.nonzero(wood[: int(0.9 * len(wood))])
    left = int(np.argmin(across))  # the outermost wood is a branch
    place.click(position={"x": int(across[left]) + 2, "y": int(down[left])})
    expect(page.get_by_role("button", name=BRANCH, pressed=True)).to_have_count(1)
    place.click(position={"x": box["width"] / 2, "y": 8})  # beside the tree
    expect(page.get_by_role("button", name=BRANCH, pressed=True)).to_have_count(0)


COUNT_FRAMES = """
window.frames_asked = 0;
const real = window.requestAnimationFrame.bind(window);
window.requestAnimationFrame = call => { window.frames_asked += 1; return real(call); };
window.contexts = [];
const get = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind, ...more) {
  const found = get.call(this, kind, ...more);
  if (found && kind === 'webgl2' && this.isConnected) window.contexts.push(found);
  return found;
};
"""


def test_at_rest_nothing_is_drawn_and_on_leaving_all_is_given_back(look: Look, read_only: Served) -> None:
    watched = look(read_only, DESK)
    watched.page.add_init_script(COUNT_FRAMES)
    page = watched.open("/tree/T01/shape")
    place = space(page)
    page.wait_for_timeout(400)
    asked = page.evaluate("frames_asked")
    page.wait_for_timeout(700)
    assert page.evaluate("frames_asked") == asked
    place.focus()
    page.keyboard.press("ArrowLeft")
    page.wait_for_timeout(300)
    assert page.evaluate("frames_asked") > asked
    assert page.evaluate("contexts.length") == 1
    assert not page.evaluate("contexts[0].isContextLost()")
    watched.expect("Context Lost")
    page.get_by_role("link", name="To the tree").click()
    page.wait_for_url("**/tree/T01")
    page.get_by_role("heading", level=1).wait_for()
    page.wait_for_function("contexts[0].isContextLost()")


NO_SPACE = """
const get = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind, ...more) {
  return /webgl/.test(kind) ? null : get.call(this, kind, ...more);
};
"""


def test_without_drawing_in_space_a_line_drawing_stands_in(look: Look, read_only: Served) -> None:
    watched = look(read_only, PHONE_DARK)
    watched.page.add_init_script(NO_SPACE)
    page = watched.open("/tree/T01/shape")
    picture = page.get_by_role("main").get_by_role("img").first
    expect(picture).to_have_accessible_name("The tree in space. " + sentence(read_only))
    expect(page.get_by_text("a line drawing stands in")).to_be_visible()
    # the first drawing of a server compiles what hides lines
    until(lambda: picture.evaluate("e => e.complete && e.naturalWidth > 0"), "the drawing")
    assert picture.evaluate("e => e.naturalWidth") > 50
    drawn, _tones = tones(picture)
    assert drawn > 300
    expect(page.get_by_role("main")).to_contain_text("girth at the base")
    page.get_by_role("slider", name="Cut through the trunk").fill("100")
    expect(page.get_by_role("table", name="Both parts of the tree")).to_be_visible()
    expect(picture).to_have_attribute("src", re.compile("cut_mm="))


def sentence(server: Served) -> str:
    """The tree in a sentence, as the server says it."""
    return str(server.get("/api/trees/T01/shape")["shown"]["sentence"])


def jpeg() -> bytes:
    """A trunk before a plain backdrop."""
    picture = Image.new("RGB", (300, 400), (205, 214, 222))
    ImageDraw.Draw(picture).polygon([(135, 340), (165, 340), (152, 60), (148, 60)], fill=(90, 70, 50))
    stream = BytesIO()
    picture.save(stream, "JPEG")
    return stream.getvalue()


def test_a_photo_lies_behind_the_same_side(look: Look, own: Served) -> None:
    own.send_photo("/api/trees/T01/photos?view=right&date=2027-02-14", jpeg())
    photo = own.get("/api/trees/T01/photos")["strips"][0]["photos"][0]
    own.ask("PATCH", f"/api/photos/{photo['entry']}", {"revision": 1, "align": [[0.5, 0.85], [0.5, 0.15]]})
    page = look(own, DESK).open("/tree/T01/shape")
    place = space(page)
    page.get_by_label("A photo behind").select_option(label="right, 14 Feb 2027")
    expect(page.get_by_role("button", name="Right")).to_have_attribute("aria-pressed", "true")
    behind = place.get_by_role("img", name="right, 14 Feb 2027")
    expect(behind).to_be_visible()
    page.get_by_role("slider", name="Tree or photo").fill("1")
    expect(place.locator("canvas")).to_have_css("opacity", "0")
    # its box is as high as it will be once it is there
    until(lambda: behind.evaluate("e => e.complete && e.naturalWidth > 0"), "the photo")
    foot, apex = behind.evaluate("""e => {
      const box = e.getBoundingClientRect(), own = e.closest('[role=application]').getBoundingClientRect();
      return [box.top + 0.85 * box.height - own.top, box.top + 0.15 * box.height - own.top];
    }""")
    soil = page.locator("[role=application] svg text", has_text="soil").evaluate(
        "e => Number(e.getAttribute('y')) - 5"
    )
    assert foot == pytest.approx(soil, abs=1.0)  # its base stands on the soil line
    assert apex < foot - 100
    page.get_by_role("button", name="Back 12").click()  # from another side it does not fit
    expect(behind).to_have_count(0)


def test_a_tree_of_which_nothing_is_known_offers_three_ways(look: Look, own: Served) -> None:
    made = own.ask("POST", "/api/trees", {"name": "Nobody", "species": "Acer palmatum"})
    page = look(own, PHONE).open(f"/tree/{made['id']}/shape")
    expect(page.get_by_text("Nothing of Nobody is measured yet.")).to_be_visible()
    for way in ("With tape and calliper", "From two photos", "From a turn of photos"):
        expect(page.get_by_text(way)).to_be_visible()


def test_in_german_and_in_inches(look: Look, own: Served) -> None:
    own.ask("PATCH", "/api/settings", {"language": "de", "units": "inch"})
    page = look(own, PHONE).open("/tree/T01/shape")
    place = space(page)
    expect(page.get_by_role("heading", level=1)).to_have_text("Gestalt von Hollow Lane")
    texts = place.locator("svg text")
    expect(texts.last).to_have_text(re.compile(r"\sin$"))  # the units come with the page's head
    marks = [text.replace(NARROW, " ") for text in texts.all_text_contents()]
    assert "Erde" in marks
    assert all(text == "Erde" or text.endswith(" in") for text in marks)
    page.get_by_role("slider", name="Schnitt durch den Stamm").fill("100")
    expect(cells(page, "Höhe", "Beide Teile des Baums").first).to_have_text(re.compile(r"\sin$"))


def test_a_fault_is_shown_at_its_place_and_tells_its_why(look: Look, read_only: Served) -> None:
    page = look(read_only, DESK).open("/tree/T39/shape")
    place = space(page)
    before = pixels(place)
    show = page.get_by_role("button", name=re.compile("^Show branch thicker than half the trunk there"))
    show.click()
    expect(show).to_have_attribute("aria-pressed", "true")
    ringed = pixels(space(page))
    changed = np.abs(ringed - before).sum(axis=2) > 60
    assert changed.sum() > 60
    show.click()
    expect(show).to_have_attribute("aria-pressed", "false")
    page.get_by_role("button", name=re.compile("^branch thicker than half the trunk there")).click()
    expect(page.get_by_role("dialog")).to_contain_text("practice")
