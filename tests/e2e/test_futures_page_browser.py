"""The futures page in a real browser: phone and desk, light and dark; no error, no request, no overflow."""

from __future__ import annotations

import importlib.util
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from ringwise.faces.reports.futures_page import futures_page

pytestmark = pytest.mark.browser

SAMPLE = Path(__file__).parents[1] / "unit" / "reports" / "futures_sample.py"
HOSTILE = '"><img src=x onerror=alert(1)></title></script><script>alert(2)</script>'
SIZES = ((390, 844), (1280, 800))

CONTRAST = """() => {
  const channel = v => { v /= 255; return v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; };
  const light = c => { const [r, g, b] = c.match(/[\\d.]+/g).map(Number);
    return 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b); };
  const ground = e => { for (; e; e = e.parentElement) {
    const c = getComputedStyle(e).backgroundColor;
    if (c !== 'rgba(0, 0, 0, 0)' && c !== 'transparent') return c; } return 'rgb(255, 255, 255)'; };
  let worst = 99, where = '';
  for (const e of document.querySelectorAll('main *')) {
    const own = [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim());
    if (!own || e.closest('title, desc')) continue;
    const style = getComputedStyle(e);
    const ink = e.namespaceURI.endsWith('svg') ? style.fill : style.color;
    const [a, b] = [light(ink), light(ground(e))].sort((x, y) => y - x);
    const ratio = (a + 0.05) / (b + 0.05);
    if (ratio < worst) { worst = ratio; where = e.tagName + ' ' + e.textContent.slice(0, 40); }
  }
  return [worst, where];
}"""

SMALLEST_TEXT = """() => {
  let smallest = 99, where = '';
  for (const e of document.querySelectorAll('main *')) {
    const own = [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim());
    if (!own || e.closest('title, desc')) continue;
    let size = parseFloat(getComputedStyle(e).fontSize);
    const svg = e.closest('svg');
    if (svg) size *= svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
    if (size < smallest) { smallest = size; where = e.tagName + ' ' + e.textContent.slice(0, 40); }
  }
  return [smallest, where];
}"""


VIOLATIONS = """
  window.refused = [];
  document.addEventListener('securitypolicyviolation',
    e => window.refused.push(e.violatedDirective + ' ' + e.blockedURI));
"""


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    spec = importlib.util.spec_from_file_location("futures_sample_for_browser", SAMPLE)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    folder = tmp_path_factory.mktemp("page")
    view = module.sample_view()
    spoilt = replace(view, tree=HOSTILE, question=HOSTILE, facts=((HOSTILE, HOSTILE),), cautions=(HOSTILE,))
    (folder / "hostile.html").write_text(futures_page(spoilt), encoding="utf-8")
    path = folder / "futures page.html"
    path.write_text(futures_page(view), encoding="utf-8")
    return path


def test_the_policy_refuses_what_is_not_the_pages_own(chromium: Any, file: Path) -> None:
    """The listener hears a refusal: a style, a script and a picture added by hand are all refused."""
    page = chromium.new_page()
    page.add_init_script(VIOLATIONS)
    page.goto(file.as_uri())
    page.evaluate("""() => {
      const put = (name, more) => document.body.append(Object.assign(document.createElement(name), more));
      put('style', {textContent: 'h1 { color: red }'});
      put('script', {textContent: 'window.ran = 1'});
      put('img', {src: 'https://example.invalid/x.png'});
      document.querySelector('h1').setAttribute('style', 'color: red');
    }""")
    page.wait_for_function("window.refused.length >= 4")
    assert {each.split()[0] for each in page.evaluate("window.refused")} == {
        "style-src-elem",
        "script-src-elem",
        "img-src",
        "style-src-attr",
    }
    assert page.evaluate("window.ran") is None
    page.close()


def test_hostile_text_runs_nothing(chromium: Any, file: Path) -> None:
    page = chromium.new_page()
    heard: list[str] = []
    page.add_init_script(VIOLATIONS)
    page.on("console", lambda message: heard.append(message.text))
    page.on("dialog", lambda dialog: (heard.append("dialog"), dialog.dismiss()))
    page.on("request", lambda each: heard.append(each.url))
    page.goto((file.parent / "hostile.html").as_uri())
    assert len(heard) == 1  # the page itself
    assert page.evaluate("window.refused") == []
    assert page.locator("h1").inner_text() == HOSTILE
    assert page.locator("img").count() == 0
    page.close()


@pytest.fixture
def opened(
    chromium: Any, file: Path, request: pytest.FixtureRequest
) -> Iterator[tuple[Any, list[str], list[str]]]:
    (width_px, height_px), scheme, script = request.param
    context = chromium.new_context(
        viewport={"width": width_px, "height": height_px}, color_scheme=scheme, java_script_enabled=script
    )
    page = context.new_page()
    errors: list[str] = []
    requests: list[str] = []
    page.on("console", lambda message: errors.append(message.text))
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("request", lambda each: requests.append(each.url))
    page.add_init_script(VIOLATIONS)
    page.goto(file.as_uri())
    yield page, errors, requests
    if script:
        assert page.evaluate("window.refused") == []
    context.close()


def _cases(script: bool = True) -> list[tuple[tuple[int, int], str, bool]]:
    return [(size, scheme, script) for size in SIZES for scheme in ("light", "dark")]


@pytest.mark.parametrize("opened", _cases(), indirect=True, ids=str)
def test_it_opens_clean_and_fits(opened: tuple[Any, list[str], list[str]]) -> None:
    page, errors, requests = opened
    assert errors == []
    assert len(requests) == 1
    assert requests[0].startswith("file://")
    page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true; })")
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    assert page.locator("h1").count() == 1
    assert page.locator("h2").count() >= 6
    assert page.locator("h3").count() >= 3
    worst, where = page.evaluate(CONTRAST)
    assert worst >= 4.5, where
    smallest, place = page.evaluate(SMALLEST_TEXT)
    assert smallest >= 15.9, place


@pytest.mark.parametrize("opened", [((1280, 800), "light", True)], indirect=True, ids=str)
def test_at_the_desk_courses_are_columns_and_years_are_rows(opened: tuple[Any, list[str], list[str]]) -> None:
    page = opened[0]
    boxes = [
        [cell.bounding_box() for cell in course.locator(".cell").all()]
        for course in page.locator(".course").all()
    ]
    assert len(boxes) == 3
    for row in zip(*boxes, strict=True):
        assert max(box["y"] for box in row) - min(box["y"] for box in row) < 1.0
        assert [box["x"] for box in row] == sorted(box["x"] for box in row)
    assert not page.locator("#scrubber").is_visible()


@pytest.mark.parametrize("opened", [((390, 844), "light", True)], indirect=True, ids=str)
def test_on_the_phone_one_slider_moves_all_courses_by_keyboard(
    opened: tuple[Any, list[str], list[str]],
) -> None:
    page = opened[0]
    slider = page.locator("#year")
    assert slider.bounding_box()["height"] >= 44
    slider.focus()
    page.keyboard.press("End")
    page.wait_for_function("[...document.querySelectorAll('.strip')].every(s => s.scrollLeft > 500)")
    assert page.locator("#year-words").inner_text() == "after 20 years"
    assert slider.get_attribute("aria-valuetext") == "after 20 years"
    for strip in page.locator(".strip").all():
        last = strip.locator(".cell").last.bounding_box()
        assert last["x"] >= 0
        assert last["x"] + last["width"] <= 391
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


@pytest.mark.parametrize("opened", [((390, 844), "light", False)], indirect=True, ids=str)
def test_without_its_script_everything_is_still_there(opened: tuple[Any, list[str], list[str]]) -> None:
    page = opened[0]
    assert not page.locator("#scrubber").is_visible()
    for cell in page.locator(".cell").all():
        assert cell.bounding_box()["height"] > 200
    assert page.locator(".cell").count() == 9


@pytest.mark.parametrize("opened", [((390, 844), "light", True)], indirect=True, ids=str)
def test_a_jump_to_a_heading_is_not_covered_by_the_slider(opened: tuple[Any, list[str], list[str]]) -> None:
    page = opened[0]
    scrubber = page.locator("#scrubber")
    for heading in page.locator("#courses, .course h3").all():
        heading.evaluate("each => each.scrollIntoView({block: 'start'})")
        box, bar = heading.bounding_box(), scrubber.bounding_box()
        assert box["y"] >= bar["y"] + bar["height"] or box["y"] + box["height"] <= bar["y"]
        heading.evaluate("each => each.scrollIntoView({block: 'end'})")
        box, bar = heading.bounding_box(), scrubber.bounding_box()
        assert box["y"] >= bar["y"] + bar["height"] or box["y"] + box["height"] <= bar["y"]


@pytest.mark.parametrize("opened", [((390, 844), "light", True)], indirect=True, ids=str)
def test_later_years_are_announced_until_the_last_is_shown(opened: tuple[Any, list[str], list[str]]) -> None:
    page = opened[0]
    assert page.locator(".hint").count() == 3
    assert all(hint.is_visible() for hint in page.locator(".hint").all())
    assert page.locator(".strip.more").count() == 3
    page.locator("#year").focus()
    page.keyboard.press("End")
    assert page.locator(".strip.more").count() == 0


@pytest.mark.parametrize("opened", [((1280, 800), "light", False)], indirect=True, ids=str)
def test_earlier_comparisons_unfold_by_keyboard_without_script(
    opened: tuple[Any, list[str], list[str]],
) -> None:
    page = opened[0]
    rows = page.locator(".pairs details li")
    assert rows.count() > 0
    assert not rows.first.is_visible()
    page.locator(".pairs summary").first.focus()
    page.keyboard.press("Enter")
    assert rows.first.is_visible()
