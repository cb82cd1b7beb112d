"""Whether the app's pages keep their budgets in a real browser, slowed to a phone; exit code 1 if not.

From the project's root, on a quiet machine: .venv/bin/python bench/app_pages.py [FOLDER OF A DEMO YARD]
Largest paint, shifts of layout and the answer to a tap are what the browser itself measures (LCP, CLS,
INP), the processor four times slower, 12 Mbit/s, 20 ms. The numbers mean little while others use the
machine: see the load.
"""

from __future__ import annotations

import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PROGRAM = Path(sys.executable).with_name("ringwise")
FLAGS = ["--no-sandbox", "--disable-background-networking", "--disable-component-update", "--no-first-run"]
RUNS = 5
CPU_SLOWER = 4
BITS_PER_S = 12e6
LATENCY_MS = 20
PHONE: dict[str, Any] = {
    "viewport": {"width": 390, "height": 844},
    "device_scale_factor": 2,
    "is_mobile": True,
    "has_touch": True,
}
REST_MS = 1500  # after the room stands there; late paints and shifts still count
PATIENCE_S = 60

MEASURE = """
window.measured = { lcp: 0, cls: 0, inp: 0 };
const watch = (type, more, note) => new PerformanceObserver(list => list.getEntries().forEach(note))
  .observe({ type, buffered: true, ...more });
watch('largest-contentful-paint', {}, each => { measured.lcp = each.startTime; });
watch('layout-shift', {}, each => { if (!each.hadRecentInput) measured.cls += each.value; });
watch('event', { durationThreshold: 16 }, each => {
  if (each.interactionId) measured.inp = Math.max(measured.inp, each.duration);
});
"""


@dataclass(frozen=True)
class Line:
    """One budget and what was measured."""

    what: str
    value: float
    limit: float
    unit: str

    @property
    def is_kept(self) -> bool:
        """At most the limit."""
        return self.value <= self.limit


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """The real server on a yard, its almanac made; its address."""
    said = folder.with_name("said.json")
    with said.open("wb") as out:
        process = subprocess.Popen(
            [PROGRAM, "serve", "--json", "--port", "0", "--collection", folder], stdout=out
        )
    try:
        end_s = time.monotonic() + PATIENCE_S
        while not said.read_text().rstrip().endswith("}") and time.monotonic() < end_s:
            time.sleep(0.1)
        address = str(json.loads(said.read_text())["address"]).rstrip("/")
        while fetched(f"{address}/api/head")["almanac"] != "ready" and time.monotonic() < end_s:
            time.sleep(0.2)
        yield address
    finally:
        process.terminate()
        process.wait()


def fetched(url: str) -> Any:
    """A JSON answer."""
    with urllib.request.urlopen(url) as answer:
        return json.load(answer)


def packed_bytes(url: str) -> int:
    """How long an answer is for who takes gzip; what is too small to be packed comes as it is."""
    request = urllib.request.Request(url, headers={"Accept-Encoding": "gzip"})
    with urllib.request.urlopen(request) as answer:
        return len(answer.read())


@contextmanager
def slow_phone(browser: Browser) -> Iterator[Page]:
    """A fresh page, nothing kept from before."""
    context = browser.new_context(**PHONE)
    page = context.new_page()
    wire = context.new_cdp_session(page)
    rate = BITS_PER_S / 8
    speed = {"offline": False, "latency": LATENCY_MS, "downloadThroughput": rate, "uploadThroughput": rate}
    wire.send("Network.enable")
    wire.send("Network.emulateNetworkConditions", speed)
    wire.send("Emulation.setCPUThrottlingRate", {"rate": CPU_SLOWER})
    page.add_init_script(MEASURE)
    yield page
    context.close()


def settled(page: Page, url: str) -> None:
    """Open a room and let it come to rest."""
    page.goto(url)
    page.get_by_role("heading", level=1).first.wait_for(state="attached")
    page.wait_for_timeout(REST_MS)


def opened(browser: Browser, url: str) -> dict[str, float]:
    """Paint and shifts of a cold start."""
    with slow_phone(browser) as page:
        settled(page, url)
        found: dict[str, float] = page.evaluate("measured")
        return found


def tapped(browser: Browser, url: str) -> tuple[float, float]:
    """Milliseconds from the tap on "Log" to the next paint, and until the sheet stands there."""
    with slow_phone(browser) as page:
        settled(page, url)
        button = page.get_by_role("main").get_by_role("button", name="Log", exact=True).first
        begin_s = time.perf_counter()
        button.tap()
        page.get_by_role("dialog").get_by_role("button", name="Girth").wait_for()
        whole_ms = (time.perf_counter() - begin_s) * 1000
        page.wait_for_timeout(300)
        return page.evaluate("measured.inp"), whole_ms


TRY_DEPTH = """() => new Promise(done => {
  const slider = document.querySelector('main input[type=range]');
  const drawing = document.querySelector('main figure svg');
  const begin = performance.now();
  new MutationObserver((_changes, watch) => {
    watch.disconnect();
    requestAnimationFrame(() => setTimeout(() => done(performance.now() - begin)));  // it is painted
  }).observe(drawing, { subtree: true, attributes: true, characterData: true, childList: true });
  slider.value = Number(slider.value) + (Number(slider.value) < slider.max / 2 ? 1 : -1);
  slider.dispatchEvent(new Event('input', { bubbles: true }));
})"""


def pot_changed(browser: Browser, url: str) -> float:
    """Milliseconds from a step of the depth slider until the pot drawn anew is painted; the middle of six."""
    with slow_phone(browser) as page:
        settled(page, url)
        return statistics.median([page.evaluate(TRY_DEPTH) for _step in range(6)])


def first_files(browser: Browser, url: str) -> int:
    """Bytes of script and style, as gzip, until the room stands there."""
    with slow_phone(browser) as page:
        urls: set[str] = set()
        kinds = {"script", "stylesheet"}
        page.on("request", lambda each: each.resource_type in kinds and urls.add(each.url))
        settled(page, url)
        assert urls
        return sum(packed_bytes(each) for each in urls)


def measured(address: str, browser: Browser) -> list[Line]:
    """All budgets."""
    lines: list[Line] = []
    for name, path in (("Today", "/"), ("a tree", "/tree/T01")):
        runs = [opened(browser, address + path) for _run in range(RUNS)]
        lines += [
            Line(f"largest paint, {name}", statistics.median(run["lcp"] for run in runs), 1200, "ms"),
            Line(f"shifts of layout, {name}", statistics.median(run["cls"] for run in runs), 0.02, ""),
            Line(f"script and style, {name}", first_files(browser, address + path) / 1000, 90, "kB gzip"),
        ]
    taps = [tapped(browser, f"{address}/tree/T01") for _run in range(RUNS)]
    pots = [pot_changed(browser, f"{address}/tree/T01/pot") for _run in range(RUNS)]
    return [
        *lines,
        Line("tap on Log to next paint", statistics.median(tap[0] for tap in taps), 100, "ms"),
        Line("pot change to paint", statistics.median(pots), 100, "ms"),
        # no budget of the browser's makers; the room's own: a second, all of it slowed
        Line("tap on Log to the sheet", statistics.median(tap[1] for tap in taps), 1000, "ms"),
    ]


def main(words: list[str]) -> int:
    """Measure and print; the exit code."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as scratch, sync_playwright() as play:
        folder = Path(scratch) / "yard"
        if words:
            shutil.copytree(words[0], folder)
        else:
            subprocess.run(
                [PROGRAM, "demo", "--no-open", "--collection", folder], check=True, stdout=subprocess.DEVNULL
            )
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
        with served(folder) as address:
            lines = measured(address, browser)
        browser.close()
    load = os.getloadavg()[0]
    print(f"median of {RUNS}, {os.cpu_count()} processors, load {load:.1f}")
    for line in lines:
        verdict = "kept" if line.is_kept else "MISSED"
        print(f"{line.what:26} {line.value:9.3f} {line.unit:8} at most {line.limit:g}  {verdict}")
    return 0 if all(line.is_kept for line in lines) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
