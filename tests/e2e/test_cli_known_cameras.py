"""`ringwise measure turntable --cameras`: an upright rod of 12 mm and 60 mm, measured by its own numbers."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from command_line import Cli
from PIL import Image

from ringwise.structure.photo import board

RADIUS_MM, HIGH_MM = 6.0, 60.0
POT_MM = 44.0
AWAY_MM, F_PX, FINE = 400.0, 900.0, 8


@dataclass
class Rod:
    """Eight silhouettes of the rod, drawn by hand: the widths of a cylinder under perspective are exact."""

    folder: Path
    wide_px: int = 240
    high_px: int = 240
    f_px: float = F_PX
    light: bool = False
    pot: bool = False
    root_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)

    def view(self, number: int) -> dict[str, Any]:
        """Camera of one picture, all round at half the rod's height."""
        a = 2 * np.pi * number / 8
        r = np.stack([[-np.sin(a), np.cos(a), 0.0], [0.0, 0.0, -1.0], [-np.cos(a), -np.sin(a), 0.0]])
        apart = np.array([AWAY_MM * np.cos(a), AWAY_MM * np.sin(a), 0.5 * HIGH_MM])
        middle = [(self.wide_px - 1) / 2, (self.high_px - 1) / 2]
        return {
            "image": f"v{number}.png",
            "K": [[self.f_px, 0, middle[0]], [0, self.f_px, middle[1]], [0, 0, 1]],
            "R": r.tolist(),
            "t": (-r @ (apart + self.root_mm)).tolist(),
        }

    def picture(self) -> np.ndarray:
        """The rod as each of the cameras sees it; its ends are taken as level."""
        half = self.f_px * RADIUS_MM / np.sqrt(AWAY_MM**2 - RADIUS_MM**2)
        fine = np.zeros((self.high_px * FINE, self.wide_px * FINE), np.uint8)
        x0, x1 = (round((self.wide_px / 2 + side * half) * FINE) for side in (-1, 1))
        up = 0.5 * HIGH_MM * self.f_px / AWAY_MM
        y0, y1 = (round((self.high_px / 2 + side * up) * FINE) for side in (-1, 1))
        fine[y0:y1, x0:x1] = 255
        if self.pot:  # its rim level with the soil, as wide as it is by its tangents, down to the frame
            half = self.f_px * POT_MM / 2 / np.sqrt(AWAY_MM**2 - POT_MM**2 / 4)
            x0, x1 = (round((self.wide_px / 2 + side * half) * FINE) for side in (-1, 1))
            fine[y1:, x0:x1] = 255
        drawn = cv2.resize(fine, (self.wide_px, self.high_px), interpolation=cv2.INTER_AREA)
        return drawn if self.light else 255 - drawn

    def views(self) -> list[dict[str, Any]]:
        """Pictures written, and their cameras."""
        self.folder.mkdir(exist_ok=True, parents=True)
        for number in range(8):
            cv2.imwrite(str(self.folder / f"v{number}.png"), self.picture())
        return [self.view(number) for number in range(8)]


def written(folder: Path, views: list[dict[str, Any]]) -> Path:
    """The file of the cameras."""
    file = folder / "cameras.json"
    file.write_text(json.dumps({"views": views}))
    return file


def is_the_rod(data: dict[str, Any]) -> None:
    assert data["height_mm"] == pytest.approx(HIGH_MM, abs=1.5)
    girths = {float(height): girth for height, girth in data["girth_mm"].items()}
    middle = girths[min(girths, key=lambda height: abs(height - 30.0))]
    assert middle == pytest.approx(2 * np.pi * RADIUS_MM, rel=0.02)
    assert data["quality"]["heights_deg"] == pytest.approx([0.0, 0.0], abs=0.1)  # level with where they look


@pytest.mark.parametrize("light", [False, True])
def test_silhouettes_of_either_kind(cli: Cli, tmp_path: Path, light: bool) -> None:
    file = written(tmp_path, Rod(tmp_path, light=light).views())
    ran = cli("measure", "turntable", tmp_path, "--cameras", file, "--json")
    assert ran.code == 0, ran.err
    assert ran.data["quality"]["polarity"] == ("light_on_dark" if light else "dark_on_light")
    assert ran.data["quality"]["lens"] == "known"
    is_the_rod(ran.data)


def test_large_pictures_on_their_sides_and_a_tree_far_from_the_origin(
    cli: Cli, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Pictures are measured on smaller than they are; the cameras are those of the files, in and out."""
    known = board.threshold
    monkeypatch.setattr(
        board, "threshold", lambda *key: 250.0 if key == ("picture", "longest_px") else known(*key)
    )
    rod = Rod(tmp_path, wide_px=601, high_px=722, f_px=3 * F_PX, root_mm=(2000.0, -1500.0, 0.0))
    views = rod.views()
    for view in views:
        view |= {"width_px": 601, "height_px": 722}
        turned = Image.fromarray(np.ascontiguousarray(np.rot90(rod.picture())))
        notes = Image.Exif()
        notes[0x0112] = 6  # EXIF 2.32: shown turned by a quarter to the right
        turned.save(tmp_path / view["image"], exif=notes)
    report = tmp_path / "report"
    file = written(tmp_path, views)
    ran = cli("measure", "turntable", tmp_path, "--cameras", file, "--report", report, "--json")
    assert ran.code == 0, ran.err
    is_the_rod(ran.data)
    told = json.loads((report / "cameras.json").read_text())["views"]
    for one, other in zip(told, views, strict=True):
        assert np.allclose(one["K"], other["K"])
        assert (one["width_px"], one["height_px"]) == (601, 722)


def test_a_pot_that_nobody_told_is_found_and_left_out(cli: Cli, tmp_path: Path) -> None:
    file = written(tmp_path, Rod(tmp_path, pot=True, root_mm=(30.0, 10.0, -20.0)).views())
    words = ("measure", "turntable", tmp_path, "--cameras", file, "--soil=-20mm", "--json")
    ran = cli(*words)
    assert ran.code == 0, ran.err
    is_the_rod(ran.data)
    assert (ran.data["tips"], len(ran.data["branches"])) == (1, 0)
    assert ran.data["volume_cm3"] == pytest.approx(np.pi * RADIUS_MM**2 * HIGH_MM / 1000, rel=0.05)
    assert ran.data["quality"]["pot_width_mm"] == pytest.approx(POT_MM, rel=0.02)
    assert any("44 mm wide, was taken for a pot" in note for note in ran.data["quality"]["notes"])
    ran = cli(*words, "--pot", "50mm")
    assert ran.code == 0, ran.err
    is_the_rod(ran.data)
    assert not any("pot" in note for note in ran.data["quality"]["notes"])


def test_cameras_of_the_pictures_before_they_were_turned_or_made_smaller(cli: Cli, tmp_path: Path) -> None:
    rod = Rod(tmp_path, wide_px=300)
    views = rod.views()
    for view in views:
        notes = Image.Exif()
        notes[0x0112] = 6
        Image.fromarray(rod.picture()).save(tmp_path / view["image"], exif=notes)
    ran = cli("measure", "turntable", tmp_path, "--cameras", written(tmp_path, views))
    assert ran.code == 2
    assert "middle in K of the view v0.png is 149.5, 119.5" in ran.one_line
    assert "shown turned" in ran.one_line
    for view in views:
        Image.fromarray(rod.picture()).resize((100, 80)).save(tmp_path / view["image"])
    ran = cli("measure", "turntable", tmp_path, "--cameras", tmp_path / "cameras.json")
    assert ran.code == 2
    assert "within 100 x 80 px" in ran.one_line
    assert "in its own size" in ran.one_line


def test_pictures_alike_in_name_and_pictures_that_are_missing(cli: Cli, tmp_path: Path) -> None:
    views = Rod(tmp_path / "data").views()
    empty = np.full((240, 240), 255, np.uint8)
    for number, view in enumerate(views):
        own = tmp_path / "pictures" / f"{number}" / "side.png"
        own.parent.mkdir(parents=True)
        (tmp_path / "data" / view["image"]).rename(own)
        view["image"] = f"{number}/side.png"
    (tmp_path / "other").mkdir()
    cv2.imwrite(str(tmp_path / "other" / "side.png"), empty)
    file = written(tmp_path / "data", views)
    pictures = [tmp_path / "other" / "side.png", *sorted((tmp_path / "pictures").rglob("side.png"))]
    ran = cli("measure", "turntable", *pictures, "--cameras", file, "--json")
    assert ran.code == 0, ran.err
    is_the_rod(ran.data)
    ran = cli("measure", "turntable", tmp_path / "other", "--cameras", file)
    assert ran.code == 2
    for view in views:
        assert view["image"] in ran.one_line
    assert "take their views out" in ran.one_line


def test_lengths_in_metres_and_poses_the_wrong_way_round(cli: Cli, tmp_path: Path) -> None:
    views = Rod(tmp_path).views()
    metres = [view | {"t": [each / 1000 for each in view["t"]]} for view in views]
    ran = cli("measure", "turntable", tmp_path, "--cameras", written(tmp_path, metres))
    assert ran.code == 2
    assert "distance of all views from where the cameras look is 0.4 mm" in ran.one_line
    assert "multiply metres by 1000" in ran.one_line
    one = [*views[:5], metres[5], *views[6:]]
    ran = cli("measure", "turntable", tmp_path, "--cameras", written(tmp_path, one))
    assert "distance of v5.png from where the cameras look" in ran.one_line
    away = views[2] | {"R": (np.diag([-1.0, 1.0, -1.0]) @ np.array(views[2]["R"])).tolist()}
    away["t"] = (np.diag([-1.0, 1.0, -1.0]) @ np.array(views[2]["t"])).tolist()
    ran = cli(
        "measure", "turntable", tmp_path, "--cameras", written(tmp_path, [*views[:2], away, *views[3:]])
    )
    assert ran.code == 2
    assert "the way of v2.png is away from where the other cameras look" in ran.one_line
    inverse = [
        view | {"R": np.array(view["R"]).T.tolist(), "t": (-np.array(view["R"]).T @ view["t"]).tolist()}
        for view in views
    ]
    ran = cli("measure", "turntable", tmp_path, "--cameras", written(tmp_path, inverse))
    assert ran.code == 2
    assert "the way of all views is the same" in ran.one_line
    assert "not the camera into the world" in ran.one_line
