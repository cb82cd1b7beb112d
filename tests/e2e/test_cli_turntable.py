"""`ringwise measure turntable`, `board`, `lens`: good photos, bad photos, a record that stays as it was."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import turn_photos as drawn_set
from command_line import Cli

from ringwise.records.store import open_store
from ringwise.structure.exchange.formats import read_tree

pytest.importorskip("cv2")

BOARD = ("--square", "20mm", "--columns", "12", "--rows", "9", "--soil", "40mm")


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Nine good photos."""
    folder = tmp_path_factory.mktemp("turn") / "good"
    drawn_set.round_of_photos(folder, 9)
    return folder


@pytest.fixture
def tree(cli: Cli, yard: Path) -> str:
    """A tree in an empty collection."""
    made = cli("tree", "add", "Test", "--species", "acer_palmatum", "--json", folder=yard)
    assert made.code == 0, made.err
    return str(made.data["id"])


def entries(yard: Path, tree: str) -> int:
    with open_store(yard) as store:
        return len(store.entries(tree=tree))


def test_stopped_taken_up_kept_and_undone(
    cli: Cli, yard: Path, tree: str, good: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One turn from its first stop to its undoing; numbers are those that were drawn."""
    import ringwise.desk.turntable_runs as runs

    read, real = [], runs.read_photo

    def reading(source, board, backdrops, most=4):
        if len(read) == most:
            raise KeyboardInterrupt
        read.append(source.name)
        return real(source, board, backdrops)

    out, report = tmp_path / "tree.json", tmp_path / "report"
    words = ("measure", "turntable", good, *BOARD, "--pot", "80mm", "--tree", tree, "--json")
    monkeypatch.setattr(runs, "read_photo", reading)
    assert cli(*words, folder=yard).code != 0
    assert entries(yard, tree) == 0
    monkeypatch.setattr(runs, "read_photo", lambda *given: reading(*given, most=99))
    ran = cli(*words, "--out", out, "--report", report, folder=yard)
    assert ran.code == 0, ran.err
    assert sorted(read) == sorted(file.name for file in good.iterdir())  # each was read once
    _is_the_drawn_tree(ran.data)
    assert len(ran.data["segments"]) == read_tree("tree.json", out.read_bytes()).n
    page = (report / "index.html").read_text()
    assert page.count("<figure>") == 9
    assert (report / "photo_09.jpg").stat().st_size > 1000
    assert len(json.loads((report / "cameras.json").read_text())["views"]) == 9
    again = cli(*words, folder=yard)  # from the stored result
    assert again.data["action"] is None
    assert again.data["segments"] == ran.data["segments"]
    assert entries(yard, tree) == 10
    assert cli("undo", folder=yard).code == 0  # photos and tree were one step
    assert entries(yard, tree) == 0


def _is_the_drawn_tree(data: dict[str, Any]) -> None:
    assert data["height_mm"] == pytest.approx(160.0, rel=0.03)
    # nine photos from one height may leave stubs of a few mm beside the four branches that were drawn
    assert len(drawn_set.BRANCHES) <= data["tips"] <= len(drawn_set.BRANCHES) + 4
    long = [each for each in data["branches"] if each["length_mm"] > 12.0]
    assert len(long) == len(drawn_set.BRANCHES) - 1
    for (x, y, z), (to_x, to_y, to_z), *_radii in drawn_set.BRANCHES[1:]:
        azimuth = np.degrees(np.arctan2(to_y - y, to_x - x)) % 360.0
        off = [abs((each["azimuth_deg"] - azimuth + 180.0) % 360.0 - 180.0) for each in long]
        found = long[int(np.argmin(off))]
        assert min(off) < 5.0
        assert found["height_mm"] == pytest.approx(z - drawn_set.SOIL_MM, abs=5.0)
        length = np.linalg.norm([to_x - x, to_y - y, to_z - z])
        assert found["length_mm"] == pytest.approx(length, rel=0.1)
        assert (found["order"], found["parent"]) == (1, -1)
    quality = data["quality"]
    assert (quality["lens"], quality["polarity"], quality["photos"]) == ("coarse", "dark_on_light", 9)
    assert quality["pot_width_mm"] == pytest.approx(80.0, rel=0.03)


def test_each_bad_photo_is_named_and_nothing_is_stored(
    cli: Cli, yard: Path, tree: str, tmp_path: Path
) -> None:
    folder = tmp_path / "bad"
    drawn_set.round_of_photos(folder, 7)
    whole = drawn_set.drawn(drawn_set.Pose(20.0))
    low = drawn_set.drawn(drawn_set.Pose(150.0, elevation_deg=20.0, aim_mm=5.0))
    drawn_set.save(folder / "upright.jpg", np.ascontiguousarray(np.rot90(whole)))
    drawn_set.save(folder / "black.jpg", np.zeros_like(whole))
    drawn_set.save(folder / "soft.jpg", drawn_set.drawn(drawn_set.Pose(80.0), blur_px=2.6))
    drawn_set.save(folder / "cut.jpg", low)
    drawn_set.save(folder / "zoom.jpg", whole, focal_mm=52.0)
    drawn_set.save(folder / "narrow.jpg", whole[:, 100:])
    drawn_set.save(folder / "twice.jpg", drawn_set.drawn(drawn_set.Pose(270.0)))
    heic = drawn_set.save(folder / "half.heic", whole)
    heic.write_bytes(heic.read_bytes()[: heic.stat().st_size // 2])
    before = entries(yard, tree)
    ran = cli("measure", "turntable", folder, *BOARD, "--tree", tree, folder=yard)
    assert ran.code == 2
    told = ran.one_line
    for name, why, way_out in (
        ("upright.jpg", "lies among photos that stand upright", "camera held"),
        ("black.jpg", "black", "more light"),
        ("soft.jpg", "blurred", "tripod"),
        ("cut.jpg", "out of the frame (top)", "Step back"),
        ("zoom.jpg", "52 mm", "without zoom"),
        ("narrow.jpg", "cropped", "as the camera made it"),
        ("twice.jpg", "same as p00.jpg", "leave this one out"),
        ("half.heic", "does not decode", "Copy it again"),
    ):
        part = told.split(f"{name}: ")[1].split(".jpg: ")[0]
        assert why in part, (name, told)
        assert way_out in part, (name, told)
    assert entries(yard, tree) == before
    assert not list((yard / "photos").rglob("*.jpg"))


def test_four_photos_are_too_few(cli: Cli, good: Path) -> None:
    photos = sorted(good.glob("*.jpg"))[:8:2]
    ran = cli("measure", "turntable", *photos, *BOARD)
    assert ran.code == 2
    assert "4 sound photos are too few, 8 all round are needed" in ran.one_line


def test_all_from_one_side_names_the_gap(cli: Cli, tmp_path: Path) -> None:
    folder = tmp_path / "side"
    drawn_set.round_of_photos(folder, 8, arc_deg=120.0)  # from the front, where it is 6 o'clock, to the right
    ran = cli("measure", "turntable", folder, *BOARD)
    assert ran.code == 2
    # the arc's middle is 52.5 degrees on from the front, between 4 and 5 o'clock; across from it lies 10
    assert "no photo sees the tree from about 10 o'clock" in ran.one_line
    assert "a gap of 255 degrees" in ran.one_line
    assert "take photos all round" in ran.one_line


def test_board_of_the_wrong_print_size(cli: Cli, yard: Path, tree: str, good: Path) -> None:
    ran = cli("measure", "turntable", good, *BOARD, "--row", "193mm")
    assert ran.code == 2
    assert "printed at 96.5% of its size" in ran.one_line
    assert "--square 19.30mm" in ran.one_line
    before = entries(yard, tree)
    ran = cli("measure", "turntable", good, *BOARD, "--pot", "90mm", "--tree", tree, folder=yard)
    assert ran.code == 2
    assert re.search(r"the pot measures (79|80|81) mm on the photos and is 90 mm wide", ran.one_line)
    assert "the pot would speak for 22." in ran.one_line
    assert entries(yard, tree) == before


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ((), "height of the soil above the board is needed"),
        (("--soil", "low"), 'height of the soil above the board is "low"'),
        (("--soil", "2m"), "height of the soil above the board is 2m; accepted: -1000 to 1000 mm"),
        (("--soil", "4cm", "--rod", "0mm"), "rod in the pot is 0mm; accepted: above 0 to 30 mm"),
        (("--soil", "4cm", "--rows", "3"), "squares from back to front is 3; accepted: 4 or more"),
        (("--soil", "4cm", "--pot", "8x7x6"), 'outside width of the pot is "8x7x6"'),
    ],
)
def test_a_size_is_refused_before_a_photo_is_read(
    cli: Cli, good: Path, typed: tuple[str, ...], told: str
) -> None:
    ran = cli("measure", "turntable", good, *typed)
    assert ran.code == 2
    assert told in ran.one_line


def test_another_board_is_told(cli: Cli, good: Path) -> None:
    ran = cli(
        "measure", "turntable", good, "--square", "20mm", "--columns", "16", "--rows", "11", "--soil", "40mm"
    )
    assert ran.code == 2
    assert "the markers in it lie as on another board" in ran.one_line
    assert "own squares from left to right and from back to front" in ran.one_line


def test_lens_of_a_round_is_refused(cli: Cli, yard: Path, tree: str, good: Path, tmp_path: Path) -> None:
    more = [
        drawn_set.save(tmp_path / f"m{number}.jpg", drawn_set.drawn(drawn_set.Pose(15.0 + 130.0 * number)))
        for number in range(3)
    ]
    ran = cli(
        "measure", "lens", good, *more, "--square", "20mm", "--columns", "12", "--rows", "9", folder=yard
    )
    assert ran.code == 2
    assert "was not tilted to different sides" in ran.one_line
    assert not (yard / "lenses.json").exists()


def test_board_is_printed_to_scale(cli: Cli, tmp_path: Path) -> None:
    file = tmp_path / "board.pdf"
    ran = cli("measure", "board", "--pdf", file, "--paper", "a3", "--json")
    assert ran.code == 0, ran.err
    assert ran.data["sheets"] == 1
    assert file.read_bytes()[:5] == b"%PDF-"
    ran = cli("measure", "board", "--pdf", file, "--columns", "40", "--rows", "40")
    assert "at most 500 squares" in ran.one_line
