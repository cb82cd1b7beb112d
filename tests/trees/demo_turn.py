"""Makes the demo's turn of pictures: rendered, not photographed, of a tree that is known in every radius.

Run from the project's root, with where the pictures go (they are in the package already):

    PYTHONPATH=tests python -m trees.demo_turn src/ringwise/desk/demo/data/turntable

With `--measure` behind it the command `measure turntable` is run on them, and the tree and its quality are
written beside the pictures, as the demo yard stores them.

The pot is left out, as it is when it has been masked: the pictures show wood from the soil upwards.
"""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
from PIL import Image

from ringwise.structure.cameras import Camera, cameras_to_json
from trees.generator import SPECIMEN, Outline, Rules, Tree, tree
from trees.renderer import picture, turntable
from trees.surfaces import wood

SEED = 39
VIEWS = 16
MARK = "Rendered by a computer from an invented tree; not a photograph."
RULES: Rules = replace(
    SPECIMEN,
    height_mm=446.0,
    base_radius_mm=19.4,
    outline=Outline(flat=0.88, turn_rad=1.1, lobes=((3, 0.05, 0.7), (5, 0.02, 0.2))),
    lean_deg=3.0,
    branches=(10, 30, 44),
    longest_mm=(170.0, 78.0, 36.0),
    rise_deg=(16.0, 60.0),
    tip_radius_mm=(1.1, 1.4),
    clear_mm=1.0,
)


def demo_tree() -> Tree:
    """The tree that the pictures show."""
    return tree(SEED, RULES, "Foxbark")


def demo_cameras(made: Tree) -> tuple[Camera, ...]:
    """Where the pictures were taken from: eight low, eight from above."""
    cameras = turntable(wood(made), views=VIEWS, width_px=600, height_px=800, distance_mm=1200.0)
    return tuple(replace(each, name=f"rendered_{n:02d}.jpg") for n, each in enumerate(cameras, start=1))


def write(folder: Path) -> None:
    """Write the pictures and their cameras."""
    folder.mkdir(parents=True, exist_ok=True)
    made = demo_tree()
    surface = wood(made)
    cameras = demo_cameras(made)
    for number, camera in enumerate(cameras):
        shown = picture([surface], camera, noise=0.008, bark=0.04, seed=number)
        grey = np.rint(shown.mean(axis=2)).astype(np.uint8)
        exif = Image.Exif()
        exif[0x010E] = MARK  # ImageDescription
        Image.fromarray(grey).save(folder / camera.name, quality=86, exif=exif)
    text = json.dumps(cameras_to_json(cameras), indent=1)
    (folder / "cameras.json").write_text(text + "\n", encoding="utf-8")


def measure(folder: Path) -> None:
    """Run the command on the pictures and write what the demo yard stores of it."""
    program = "import sys; from ringwise.faces.start import run; run(sys.argv[1:])"
    words = ["measure", "turntable", str(folder), "--cameras", str(folder / "cameras.json"), "--json"]
    command = [sys.executable, "-c", program, *words, "--out", str(folder / "tree.json")]
    told = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    quality = json.loads(told)["quality"]
    kept = {key: value for key, value in quality.items() if key not in ("views", "refused")}
    (folder / "quality.json").write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write(Path(sys.argv[1]))
    if "--measure" in sys.argv[2:]:
        measure(Path(sys.argv[1]))
