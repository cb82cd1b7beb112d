"""Make the README's tour: run its commands on a fresh demo yard, fill in their output, draw the pictures.

From the project's root, after ./test has made the environment: .venv/bin/python docs/tour/make_tour.py
A block of README.md between `<!-- tour: COMMAND -->` and `<!-- tour end -->` is replaced by what the
command prints.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from app_pictures import draw_app

ROOT = Path(__file__).resolve().parents[2]
TOUR = Path(__file__).resolve().parent
BLOCK = re.compile(r"(<!-- tour: (?P<command>.+?) -->\n)(?P<body>.*?)(<!-- tour end -->)", re.DOTALL)
MOST_LINES = 34  # a longer output is cut in the README and says so
WIDTHS = (390, 1280)


def seattle_weather() -> Path:
    """The daily Seattle record that the test extra carries."""
    import vega_datasets

    return Path(vega_datasets.__file__).parent / "_data" / "seattle-weather.csv"


def answer(command: str, folder: Path) -> str:
    """What a command prints, with machine paths taken out."""
    words = shlex.split(command.replace("WEATHER", shlex.quote(str(seattle_weather()))))
    assert words[0] == "ringwise"
    environment = os.environ | {"COLUMNS": "110", "RINGWISE_COLLECTION": str(folder), "NO_COLOR": "1"}
    ran = subprocess.run(
        [str(Path(sys.executable).parent / "ringwise"), *words[1:]],
        capture_output=True,
        text=True,
        check=True,
        env=environment,
        cwd=folder,
        timeout=300,
    )
    text = ran.stdout.replace(str(folder) + "/", "").replace(str(seattle_weather()), "seattle-weather.csv")
    rows = [row.rstrip() for row in text.rstrip().splitlines()]
    if len(rows) > MOST_LINES:
        rows = [*rows[:MOST_LINES], f"... {len(rows) - MOST_LINES} more lines"]
    return "\n".join(rows)


def fill_readme(folder: Path) -> None:
    """Replace the blocks of the README by fresh output."""
    readme = ROOT / "README.md"

    def fresh(match: re.Match[str]) -> str:
        command = match["command"]
        shown = command.replace("WEATHER", "seattle-weather.csv")
        body = f"```console\n$ {shown}\n{answer(command, folder)}\n```\n"
        return match[1] + body + match[4]

    readme.write_text(BLOCK.sub(fresh, readme.read_text(encoding="utf-8")), encoding="utf-8")


def draw_sheet(folder: Path) -> None:
    """The worksheet's first page as a picture."""
    sheet = folder / "out" / "worksheet_T03_repot.pdf"
    target = TOUR / "worksheet_T03"
    subprocess.run(["pdftoppm", "-r", "90", "-png", "-singlefile", str(sheet), str(target)], check=True)


def draw_pages(folder: Path) -> None:
    """The futures page of T01 at phone and desktop width, light and dark."""
    from playwright.sync_api import sync_playwright

    page_file = folder / "out" / "futures_T01.html"
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        for width in WIDTHS:
            for scheme in ("light", "dark"):
                context = browser.new_context(
                    viewport={"width": width, "height": 844 if width < 600 else 800}, color_scheme=scheme
                )
                page = context.new_page()
                page.goto(page_file.as_uri())
                page.screenshot(path=TOUR / f"futures_T01_{width}_{scheme}.png")
                context.close()
        browser.close()


def main() -> None:
    """Make everything."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "yard"
        subprocess.run(
            [str(Path(sys.executable).parent / "ringwise"), "demo", "--no-open", "--collection", str(folder)],
            check=True,
        )
        fill_readme(folder)
        draw_sheet(folder)
        draw_pages(folder)
        draw_app(folder)


if __name__ == "__main__":
    main()
