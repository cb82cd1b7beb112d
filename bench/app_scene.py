"""Whether the app's drawing in space keeps its budgets without graphics hardware; exit code 1 if not.

From the project's root, on a quiet machine: .venv/bin/python bench/app_scene.py
A made tree of 20,000 segments is drawn by the app's own scene, on a page that is built for this and not
shipped. Times mean little from machine to machine, so a frame (from one to the next, all of it read) is
told as a multiple of one of the empty scene in the same run.
"""

from __future__ import annotations

import functools
import http.server
import json
import os
import shutil
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np

from ringwise.structure.cut_plane import CutPlane, cut_plane
from ringwise.structure.measured import MeasuredTree, measured_of
from ringwise.structure.mesh.scene import scene_glb
from ringwise.structure.orders import gravelius_order
from ringwise.structure.table import SegmentTable
from ringwise.structure.topology import sum_to_tips

ROOT = Path(__file__).resolve().parents[1]
PAGE = Path(__file__).with_name("scene_page")
FLAGS = ["--no-sandbox", "--disable-background-networking", "--disable-component-update", "--no-first-run"]
SEGMENTS = 20_000
SEED = 11
FRAMES = 15
MOST_LIGHT, MOST_FULL, MOST_CALLS, MOST_FIRST_MS = 6.0, 20.0, 10, 1500.0


def made_tree(segments: int, seed: int) -> MeasuredTree:
    """A tree of so many segments: limbs that fork by luck and spread out, thickness by the tips they bear."""
    luck = np.random.Generator(np.random.PCG64(seed))
    parent = np.full(segments, -1, dtype=np.int64)
    way = np.zeros((segments, 3))
    way[0] = (0.0, 0.0, 1.0)
    tips = [0]
    for row in range(1, segments):
        place = int(luck.integers(len(tips)))
        below = tips[place]
        turn = luck.normal(0.0, 0.28 if luck.random() < 0.75 else 0.8, 3)
        turn[2] += 0.04
        way[row] = (way[below] + turn) / np.linalg.norm(way[below] + turn)
        parent[row] = below
        if luck.random() < 0.72:
            tips[place] = row  # goes on
        else:
            tips.append(row)  # forks
    is_tip = np.ones(segments)
    is_tip[parent[1:]] = 0.0
    wood = 0.5 * sum_to_tips(parent, is_tip)
    table = SegmentTable(
        parent=parent,
        order=np.zeros(segments),
        born=np.zeros(segments),
        length_mm=np.full(segments, 9.0),
        direction=way,
        wood_mm2=wood,
        sapwood_mm2=wood,
        leaf_cm2=np.zeros(segments),
        buds=np.zeros(segments),
        clone=np.zeros(segments),
        flags=np.zeros(segments),
        basis="invented",
    )
    assert gravelius_order(table).max() > 2
    return measured_of(table)


def told(tree: MeasuredTree) -> dict[str, Any]:
    """What the app knows of a tree beside its mesh."""
    plane: CutPlane = cut_plane(tree)
    low, high = tree.table.end_mm.min(axis=0), tree.table.end_mm.max(axis=0)
    line = {
        "along_mm": plane.along_mm,
        "x_mm": plane.place_mm[:, 0],
        "y_mm": plane.place_mm[:, 1],
        "z_mm": plane.place_mm[:, 2],
        "trunk_rows": plane.trunk_rows,
        "node": plane.node,
        "branch": np.full(tree.n, -1),
    }
    box = dict(
        zip(
            ("left_mm", "right_mm", "front_mm", "back_mm", "low_mm", "top_mm"),
            np.stack([low, high], axis=1).ravel().tolist(),
            strict=True,
        )
    )
    return {"cut": {key: each.tolist() for key, each in line.items()}, "box": box}


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """The page on loopback; its address."""
    quiet = type("Quiet", (http.server.SimpleHTTPRequestHandler,), {"log_message": lambda *_words: None})
    server = http.server.ThreadingHTTPServer(
        ("127.0.0.1", 0), functools.partial(quiet, directory=str(folder))
    )
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}/"
    finally:
        server.shutdown()


def _told_error(error: object) -> None:
    sys.stderr.write(f"{error}\n")


def measured(folder: Path) -> dict[str, Any]:
    """What the page measures of itself."""
    from playwright.sync_api import sync_playwright

    with served(folder) as address, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
        page = browser.new_page(viewport={"width": 800, "height": 600})
        page.on("pageerror", _told_error)
        page.goto(address)
        found: dict[str, Any] = page.evaluate(f"() => measure({FRAMES})")
        browser.close()
    return found


def main() -> int:
    """Build the page, measure, print; the exit code."""
    tree = made_tree(SEGMENTS, SEED)
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "page"
        command = ["npx", "vite", "build", str(PAGE), "--base", "./", "--logLevel", "error"]
        subprocess.run([*command, "--outDir", str(folder)], cwd=ROOT / "frontend", check=True)
        for detail in ("light", "full"):
            (folder / f"{detail}.glb").write_bytes(scene_glb(tree, detail=detail))
        (folder / "tree.json").write_text(json.dumps(told(tree)), encoding="utf-8")
        found = measured(folder)
    empty = found["empty_ms"]
    lines = [
        ("while it moves, of the empty scene", found["light_ms"] / empty, MOST_LIGHT),
        ("at rest, of the empty scene", found["full_ms"] / empty, MOST_FULL),
        ("calls to draw", max(found["light"]["calls"], found["full"]["calls"]), MOST_CALLS),
        ("first frame, in ms", found["first_ms"], MOST_FIRST_MS),
    ]
    print(
        f"{SEGMENTS} segments, empty scene {empty:.1f} ms, moving {found['light_ms']:.0f} ms "
        f"({found['light']['triangles']} triangles), at rest {found['full_ms']:.0f} ms "
        f"({found['full']['triangles']} triangles), load {os.getloadavg()[0]:.1f}"
    )
    for what, value, most in lines:
        print(f"{what:36} {value:9.2f}  at most {most:g}  {'kept' if value <= most else 'MISSED'}")
    return 0 if all(value <= most for _what, value, most in lines) else 1


if __name__ == "__main__":
    sys.exit(main())
