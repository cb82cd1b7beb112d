"""The pictures of the app in the tour: its rooms on phone and desk, from the demo yard on its pinned day."""

from __future__ import annotations

import io
import json
import shutil
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PIL import Image, ImageDraw

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

TOUR = Path(__file__).resolve().parent
PROGRAM = Path(sys.executable).with_name("ringwise")
FLAGS = ["--no-sandbox", "--disable-background-networking", "--no-first-run", "--font-render-hinting=none"]
DAY = "2027-03-07"
COLOURS = 128  # of a picture's palette
PATIENCE_S = 180
PHOTO_PX = (600, 750)
PHOTO_YEARS = {2024: 0.82, 2025: 0.88, 2026: 0.94}  # how large the tree is drawn; no measure
PHONE: dict[str, Any] = {"device_scale_factor": 2, "is_mobile": True, "has_touch": True}
SIZES: dict[str, dict[str, Any]] = {
    "390": {"viewport": {"width": 390, "height": 844}, **PHONE},
    "1280": {"viewport": {"width": 1280, "height": 800}},
}

Step = Callable[["Page"], None]


@dataclass(frozen=True)
class Picture:
    """A room or sheet, and the sizes and themes in which it is drawn."""

    name: str
    path: str
    looks: tuple[str, ...]
    step: Step | None = None


def _press(*names: str) -> Step:
    def pressed(page: Page) -> None:
        for name in names:
            page.get_by_role("button", name=name, exact=True).first.click()

    return pressed


def _log_stages(page: Page) -> None:
    _press("Log")(page)
    page.get_by_role("dialog").get_by_role("button", name="Girth").wait_for()


def _why(page: Page) -> None:
    page.get_by_role("main").locator(
        'button[data-why="T01:repot:opens"], button[data-why="T01:repot"]'
    ).first.click()
    page.get_by_role("dialog").get_by_role("listitem").first.wait_for()


def _history(page: Page) -> None:
    _press("History")(page)
    page.get_by_role("dialog").get_by_role("listitem").first.wait_for()


def _season(page: Page) -> None:
    heading = page.get_by_role("heading", name="This growing year", exact=True)
    heading.wait_for()
    heading.evaluate("e => scrollTo(0, e.getBoundingClientRect().top + scrollY - 16)")


def _scored(page: Page) -> None:
    page.get_by_role("main").get_by_role("figure").first.wait_for(timeout=PATIENCE_S * 1000)
    page.get_by_role("main").evaluate("e => scrollTo(0, 0)")


def _pot(page: Page) -> None:
    page.get_by_label("Tilted along its length").fill("20")
    page.get_by_label("Beside it").select_option("mix:A")
    page.get_by_role("figure").nth(1).wait_for()
    page.get_by_role("main").evaluate("e => scrollTo(0, 0)")


def _shape(page: Page) -> None:
    page.locator("canvas").first.wait_for(timeout=PATIENCE_S * 1000)
    page.get_by_text("The tree is being drawn.").wait_for(state="detached", timeout=PATIENCE_S * 1000)
    page.get_by_role("main").evaluate("e => scrollTo(0, 0)")


def _photos(page: Page) -> None:
    heading = page.get_by_role("heading", name="Photos", exact=True)
    heading.scroll_into_view_if_needed()
    page.get_by_role("main").get_by_role("img", name="2026").first.wait_for()
    page.wait_for_timeout(1500)  # only then the room is as long as it will be
    heading.evaluate("e => scrollTo(0, e.getBoundingClientRect().top + scrollY - 16)")


PICTURES = (
    Picture("today", "/", ("390_light", "390_dark", "1280_light", "1280_dark")),
    Picture("yard", "/yard", ("390_light", "1280_light", "1280_dark")),
    Picture("season_T21", "/tree/T21", ("390_light", "390_dark", "1280_light"), _season),
    Picture("weather", "/weather", ("390_light", "1280_light", "1280_dark"), _scored),
    Picture("tree_T01", "/tree/T01", ("390_light", "390_dark", "1280_light", "1280_dark")),
    Picture("pot_T01", "/tree/T01/pot", ("390_light", "390_dark", "1280_light", "1280_dark"), _pot),
    Picture("shape_T39", "/tree/T39/shape", ("390_light", "1280_light", "1280_dark"), _shape),
    Picture("tree_T13", "/tree/T13", ("390_light", "1280_light")),
    Picture("log", "/tree/T28", ("390_light", "1280_dark"), _log_stages),
    Picture("why", "/tree/T01", ("390_light", "1280_light"), _why),
    Picture("settings", "/settings", ("390_light", "1280_light")),
    Picture("history", "/tree/T28?entry={entry}", ("390_light",), _history),
    Picture("photos", "/tree/T01", ("390_light", "1280_light"), _photos),
)
FIRST_STEPS = (Picture("first_steps", "/start?page=weather", ("390_light", "1280_light")),)


@contextmanager
def served(folder: Path, *options: str) -> Iterator[str]:
    """The app over a collection; its address."""
    said = folder.with_name(f"{folder.name}.said")
    with said.open("wb") as out:
        words = [PROGRAM, "serve", "--json", "--port", "0", "--collection", folder, *options]
        process = subprocess.Popen(words, stdout=out)
    try:
        wait_until(lambda: said.read_text().rstrip().endswith("}"))
        yield str(json.loads(said.read_text())["address"]).rstrip("/")
    finally:
        process.terminate()
        process.wait()


def wait_until(is_so: Callable[[], bool]) -> None:
    """Ask again and again, and give up at last."""
    end_s = time.monotonic() + PATIENCE_S
    while not is_so():
        if time.monotonic() > end_s:
            raise TimeoutError("the app was not ready in time")
        time.sleep(0.2)


def ask(url: str, method: str = "GET", body: bytes | None = None, kind: str = "application/json") -> Any:
    """A JSON answer of the app."""
    headers = {"X-Ringwise": "1", "Content-Type": kind}
    with urllib.request.urlopen(urllib.request.Request(url, body, headers, method=method)) as answer:
        return json.load(answer)


def stand_in(figure: dict[str, Any], size: float) -> bytes:
    """What stands for a photo: the tree's own silhouette, since the demo yard was never photographed."""
    wide_px, high_px = PHOTO_PX
    picture = Image.new("RGB", PHOTO_PX, (201, 206, 203))
    pen = ImageDraw.Draw(picture)
    pen.rectangle((0, int(high_px * 0.86), wide_px, high_px), fill=(150, 146, 138))
    scale = size * 0.72 * high_px / figure["top_mm"]
    for stroke in figure["strokes"]:
        flat = stroke["points"]
        points = [
            (wide_px / 2 + x_mm * scale, high_px * 0.86 - y_mm * scale)
            for x_mm, y_mm in zip(flat[::2], flat[1::2], strict=True)
        ]
        if stroke["width_mm"] > 0:
            pen.line(points, fill=(64, 56, 48), width=max(1, round(stroke["width_mm"] * scale)))
        else:
            pen.polygon(points, fill=(64, 56, 48))
    held = io.BytesIO()
    picture.save(held, "PNG")
    return held.getvalue()


def prepare(address: str) -> str:
    """Stand-ins for photos of T01, and an entry of T28 that was corrected; that entry's id."""
    plan = ask(f"{address}/api/yard")
    keys = {spot["tree"]: spot["figure"] for bench in plan["benches"] for spot in bench["spots"]}
    figures: dict[str, dict[str, Any]] = {}

    def are_drawn() -> bool:
        missing = set(keys.values()) - figures.keys()
        if missing:
            answer = ask(f"{address}/api/figures?keys={','.join(missing)}")
            figures.update((figure["key"], figure) for figure in answer["figures"])
        return not missing

    wait_until(are_drawn)
    own = figures[keys["T01"]]
    for year, size in PHOTO_YEARS.items():
        query = f"view=front&date={year}-11-14&name=front.png"
        ask(f"{address}/api/trees/T01/photos?{query}", "POST", stand_in(own, size), "image/png")
    note = {"what": "note", "value": "Wire bites on the left branch", "date": "2027-03-06"}
    done = ask(f"{address}/api/trees/T28/entries", "POST", json.dumps(note).encode())
    better = note | {"value": "Wire bites on the second left branch; taken off", "revision": 1}
    ask(f"{address}/api/entries/{done['id']}", "PATCH", json.dumps(better).encode())
    wait_until(lambda: ask(f"{address}/api/head")["almanac"] == "ready")
    for tree in ("T01", "T13"):
        dial = f"{address}/api/trees/{tree}/dial"
        wait_until(lambda dial=dial: ask(dial)["ahead_state"] == "ready")  # type: ignore[misc]
    return str(done["id"])


def take(browser: Browser, address: str, picture: Picture, look: str) -> None:
    """One picture, its colours reduced to a palette."""
    size, theme = look.split("_")
    context = browser.new_context(
        **SIZES[size],
        color_scheme=theme,
        reduced_motion="reduce",
        locale="en-GB",
        timezone_id="Europe/London",
    )
    page = context.new_page()
    page.goto(address + picture.path)
    page.get_by_role("heading", level=1).first.wait_for()
    page.get_by_text("Being fetched.", exact=True).first.wait_for(state="detached")
    if picture.step is not None:
        picture.step(page)
    page.evaluate("document.fonts.ready.then(() => document.activeElement?.blur())")
    page.wait_for_timeout(1500)  # silhouettes and small pictures come in by and by
    raw = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    small = raw.quantize(COLOURS, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE)
    small.save(TOUR / f"app_{picture.name}_{look}.png", optimize=True)
    context.close()


def draw_app(yard: Path) -> None:
    """All pictures of the app; the yard is copied, not changed.

    Parameters
    ----------
    yard : Path
        The demo yard.
    """
    from playwright.sync_api import sync_playwright

    copy = yard.with_name("yard-of-the-app")
    shutil.copytree(yard, copy)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
        with served(copy) as address:
            entry = prepare(address)
            for picture in PICTURES:
                for look in picture.looks:
                    at = Picture(picture.name, picture.path.format(entry=entry), picture.looks, picture.step)
                    take(browser, address, at, look)
        with served(yard.with_name("new-yard"), "--on", DAY) as address:
            place = json.dumps({"latitude": "52.4 N", "elevation": "140 m"}).encode()
            ask(f"{address}/api/settings", "PATCH", place)
            for picture in FIRST_STEPS:
                for look in picture.looks:
                    take(browser, address, picture, look)
        browser.close()
