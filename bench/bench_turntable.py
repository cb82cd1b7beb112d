"""Time and memory of a turn: 24 pictures of 1200 x 1600 of a tree, 36 of a dense one, on one core, warm.

Run: python bench/bench_turntable.py [dense]. Wall time, processor time, peak memory and the load are
told; on a busy machine read the processor time. Limits: 15 s and 2 GB for 24, 30 s for 36.
"""

from __future__ import annotations

import os
import resource
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

from ringwise.structure.turntable import View, reconstruct
from ringwise.structure.turntable.samples import rod_views
from trees.generator import DENSE, SPECIMEN, tree
from trees.renderer import silhouettes, turntable
from trees.scoring import score
from trees.surfaces import wood


def main() -> None:
    """Measure one turn and print what it took."""
    dense = "dense" in sys.argv[1:]
    made = tree(3, DENSE if dense else SPECIMEN)
    mesh = wood(made)
    heights = (0.0, 20.0, 40.0) if dense else (5.0, 35.0)
    cameras = turntable(mesh, views=36 if dense else 24, elevations=heights)
    pictures = silhouettes(mesh, cameras, seed=3)
    views = [View(camera, picture) for camera, picture in zip(cameras, pictures, strict=True)]
    reconstruct(rod_views())  # compiles, or loads what was compiled
    wall, busy = time.perf_counter(), time.process_time()
    got = reconstruct(views)
    wall, busy = time.perf_counter() - wall, time.process_time() - busy
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    load = os.getloadavg()[0]
    print(f"{len(views)} views: {wall:.1f} s, processor {busy:.1f} s, peak {peak:.2f} GB, load {load:.1f}")
    print(score(made, got.tree).told())


if __name__ == "__main__":
    main()
