"""Cylinder models and clouds of real trees against what was published of them: run by hand on files one has.

    .venv/bin/python bench/check_outside_trees.py FOLDER

FOLDER (and what lies in it) holds cylinder models (`*.mat`, TreeQSM) and clouds (`*.txt`, x y z in metres).
A cloud belongs to the model whose name begins alike: `tree_1_pc.txt` to `tree_1_qsm.mat`. Nothing is fetched
and nothing is kept; `docs/science/outside_trees.md` says where such files are published. Ends with 1 where a
figure is off by more than it may.
"""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from ringwise.kit.errors import RingwiseError
from ringwise.structure.cloud import cloud_from_text, height_gap, stem_circle
from ringwise.structure.exchange.cylinder_files import cylinders_from_mat
from ringwise.structure.exchange.cylinders import (
    BREAST_HEIGHT_MM,
    CylinderReport,
    Cylinders,
    tree_from_cylinders,
)
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.measures import trunk_mask

PUBLISHED_FRAC = 0.005  # a model read in against what its file says of itself
CLOUD_FRAC = 0.03  # the cloud's circle against the cylinders' diameter


@dataclass(frozen=True)
class Checked:
    """One figure: what came out, what it is held against, and how far off it may be (None: only told)."""

    what: str
    found: float
    against: float
    unit: str
    within: float | None

    @property
    def off(self) -> float:
        """Share by which it is off."""
        return self.found / self.against - 1.0

    @property
    def passed(self) -> bool:
        """Whether it is near enough."""
        return self.within is None or abs(self.off) <= self.within

    def told(self) -> str:
        """A line to read."""
        mark = "told" if self.within is None else ("ok" if self.passed else "OFF")
        limit = "" if self.within is None else f" (within {100 * self.within:g} %)"
        values = f"{self.found:.4g} {self.unit}, {self.against:.4g}: {100 * self.off:+.2f} %"
        return f"  {mark:4} {self.what}: {values}{limit}"


def published(file: Path) -> dict[str, float]:
    """What the file says of its own tree: `treedata` of TreeQSM, one number a name."""
    from scipy.io import loadmat

    def walk(value: Any) -> dict[str, float] | None:
        if isinstance(value, np.ndarray) and value.dtype == object and value.size:
            return walk(value.ravel()[0])
        if hasattr(value, "treedata"):
            data = value.treedata
            names = [name for name in data._fieldnames if np.size(getattr(data, name)) == 1]
            return {name: float(getattr(data, name)) for name in names}
        for name in getattr(value, "_fieldnames", ()):
            found = walk(getattr(value, name))
            if found is not None:
                return found
        return None

    variables = loadmat(file, squeeze_me=True, struct_as_record=False)
    for value in variables.values():
        found = walk(value)
        if found is not None:
            return found
    return {}


def imported_height_mm(tree: MeasuredTree) -> float:
    """From the lowest to the highest end of a segment, of the tree as it was read in."""
    ends = np.concatenate([tree.table.start_mm[:, 2], tree.table.end_mm[:, 2]])
    return float(ends.max() - ends.min())


def told_height_mm(model: Cylinders) -> float:
    """As TreeQSM tells it: from the lowest foot of a cylinder to the end of the one that begins highest."""
    feet = model.start_mm[:, 2]
    last = int(np.argmax(feet))
    return float(max(feet[last], model.end_mm[last, 2]) - feet.min())


def imported_diameter_mm(tree: MeasuredTree, along_mm: float) -> float:
    """Of the stem of the tree as it was read in, at a way along it."""
    stem = np.nonzero(trunk_mask(tree.table))[0]
    along = np.append(0.0, np.cumsum(tree.table.length_mm[stem]))
    wide = np.append(tree.table.diameter_mm[stem], tree.table.end_diameter_mm[stem[-1]])
    return float(np.interp(along_mm, along, wide))


def model_checks(model: Cylinders, tree: MeasuredTree, told: dict[str, float]) -> list[Checked]:
    """The imported model against its published height and diameter."""
    out = []
    ends = np.concatenate([model.start_mm[:, 2], model.end_mm[:, 2]])
    highest = float(ends.max() - ends.min()) / 1000.0
    height = imported_height_mm(tree) / 1000.0
    out.append(
        Checked("height of the imported tree, highest to lowest end", height, highest, "m", PUBLISHED_FRAC)
    )
    if "TreeHeight" in told:
        as_told = told_height_mm(model) / 1000.0
        out.append(Checked("height as the file tells it", as_told, told["TreeHeight"], "m", PUBLISHED_FRAC))
    if "DBHqsm" in told:
        diameter = imported_diameter_mm(tree, BREAST_HEIGHT_MM) / 1000.0
        out.append(Checked("diameter at 1.3 m", diameter, told["DBHqsm"], "m", PUBLISHED_FRAC))
    return out


def cloud_checks(
    points_mm: np.ndarray, report: CylinderReport, tree: MeasuredTree, told: dict[str, float]
) -> list[Checked]:
    """The cloud's circle against the cylinders' diameter; its height only told, with where the rest lies."""
    circle = stem_circle(points_mm)
    against = told.get("DBHcyl", (report.breast_diameter_mm or np.nan) / 1000.0)
    out = [Checked("diameter of the cloud at 1.3 m", circle.diameter_mm / 1000.0, against, "m", CLOUD_FRAC)]
    foot = float(tree.origin_mm[2] + min(tree.table.start_mm[:, 2].min(), tree.table.end_mm[:, 2].min()))
    gap = height_gap(points_mm, foot, foot + imported_height_mm(tree))
    out.append(Checked("height of the cloud", gap.cloud_mm / 1000.0, gap.model_mm / 1000.0, "m", None))
    above, below = gap.above_mm / 1000.0, gap.below_mm / 1000.0
    print(f"       of it {above:.2f} m above the model's top, {below:.2f} m below its foot")
    return out


def cloud_of(model: Path, clouds: list[Path]) -> Path | None:
    """The cloud whose name begins as the model's does."""
    begins = re.split(r"_?(qsm|mat)", model.stem)[0]
    named = [cloud for cloud in clouds if re.split(r"_?(pc|cloud)", cloud.stem)[0] == begins]
    return named[0] if named else None


def check(folder: Path) -> int:
    """Print each model's figures; how many are off."""
    models, clouds = sorted(folder.rglob("*.mat")), sorted(folder.rglob("*.txt"))
    if not models:
        raise SystemExit(f"{folder} holds no cylinder model (*.mat)")
    bad = 0
    for model in models:
        print(model.relative_to(folder))
        try:
            cylinders = cylinders_from_mat(model.read_bytes())
            tree, report = tree_from_cylinders(cylinders)
            told = published(model)
            checks = model_checks(cylinders, tree, told)
            cloud = cloud_of(model, clouds)
            if cloud is not None:
                points = cloud_from_text(cloud.read_text(encoding="utf-8"))
                checks += cloud_checks(points, report, tree, told)
        except RingwiseError as wrong:
            print(f"  OFF  {wrong}")
            bad += 1
            continue
        gaps = f"{report.bridges} bridges, widest gap {report.widest_gap_mm:.1f} mm"
        print(f"  {report.cylinders} cylinders, {gaps}")
        for each in checks:
            print(each.told())
            bad += not each.passed
    return bad


if __name__ == "__main__":
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    raise SystemExit(1 if check(Path(sys.argv[1])) else 0)
