"""Tracing through the command: two rendered photos and clicks become a kept tree, bad ones one line."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from command_line import Cli
from PIL import Image

from ringwise.desk.deeds import action
from ringwise.desk.tracing import keep_trace, kept_trace
from ringwise.desk.workspace import open_workspace
from ringwise.records.model import Entry, Withdrawn
from ringwise.structure.exchange.formats import read_tree
from trees.generator import SMALL, tree
from trees.renderer import silhouette
from trees.surfaces import wood
from trees.tracing import clicked, photos


def _entries(folder: Path) -> list[Entry]:
    workspace = open_workspace(folder)
    try:
        return list(workspace.store.entries(tree="T01"))
    finally:
        workspace.store.close()


class Table:
    """Two photos of a known tree and the clicks on them, as files."""

    def __init__(self, folder: Path) -> None:
        self.made = tree(8, SMALL)
        cameras = photos(self.made, width_px=560, height_px=700, px_per_mm=3.2, distance_mm=700.0)
        surface = wood(self.made)
        for name in ("front", "side"):
            share = silhouette(surface, getattr(cameras, name), times=2, noise=0.02, seed=3)
            grey = np.clip(np.rint(205.0 - 150.0 * share), 0, 255).astype(np.uint8)
            Image.fromarray(grey).save(folder / f"{name}.png")
        self.front, self.side = folder / "front.png", folder / "side.png"
        self.clicks = clicked(self.made, cameras, sd_px=1.0, orders=1, seed=2)
        self.folder = folder

    def points(self, clicks: dict[str, Any] | None = None) -> Path:
        file = self.folder / "points.json"
        file.write_text(json.dumps(clicks or self.clicks), encoding="utf-8")
        return file


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> Table:
    return Table(tmp_path_factory.mktemp("traced"))


@pytest.fixture
def elm(cli: Cli, yard: Path) -> Path:
    assert cli("tree", "add", "Old Elm", "--species", "Ulmus procera", folder=yard).code == 0
    return yard


def test_two_photos_are_measured_and_kept(cli: Cli, elm: Path, table: Table, tmp_path: Path) -> None:
    out = tmp_path / "tree.json"
    words = ("measure", "trace", "T01", table.front, table.side, "--points", table.points(), "--out", out)
    ran = cli(*words, "--json", folder=elm)
    assert ran.code == 0, ran.err
    found = ran.data
    top_mm = max(each.points_mm[-1, 2] for each in table.made.branches if each.order <= 1)
    assert found["height_mm"] == pytest.approx(top_mm, rel=0.02)
    assert {row["order"] for row in found["branches"]} == {0, 1}
    trunk = next(row for row in found["branches"] if row["parent"] is None)
    assert trunk["base_how"] in ("traced", "filled", "overlapped")
    girths = {float(height): girth for height, girth in found["girth_mm"].items()}
    low = {height: girth for height, girth in girths.items() if 20.0 < height < 90.0}
    assert len(low) >= 3
    for height, girth in low.items():
        assert girth == pytest.approx(table.made.girth_at_mm(height), rel=0.05)
    assert read_tree(out.name, out.read_bytes()).table.end_mm[:, 2].max() == pytest.approx(top_mm, rel=0.02)
    entries = _entries(elm)
    kinds = sorted(each.kind for each in entries)
    assert kinds == ["photo", "photo", "shape"]
    shape = next(each for each in entries if each.kind == "shape").data
    assert shape["source"] == "trace"
    assert set(shape["photos"]) == set(found["photos"].values())
    # The same photos by the ids of their entries, and no third copy of them.
    ids = [found["photos"][name] for name in ("front", "side")]
    again = cli("measure", "trace", "T01", *ids, "--points", table.points(), "--json", folder=elm)
    assert again.code == 0, again.err
    entries = _entries(elm)
    assert sum(each.kind == "photo" for each in entries) == 2


def test_a_kept_trace_lies_on_the_table_again_as_long_as_its_photos_are_there(
    cli: Cli, elm: Path, table: Table
) -> None:
    words = ("measure", "trace", "T01", table.front, table.side, "--points", table.points(), "--json")
    ids = cli(*words, folder=elm).data["photos"]
    workspace = open_workspace(elm)
    try:
        last = kept_trace(workspace, "T01")["last"]
        given = {each["id"]: each for each in table.clicks["branches"]}
        assert len(last["branches"]) == len(given)
        for branch in last["branches"]:
            for name in ("parent", "front", "side"):
                assert branch[name] == given[branch["id"]][name]
        for name, photo in last["photos"].items():
            assert photo["entry"] == ids[name]
            assert photo["scale"] == table.clicks["photos"][name]["scale"] | {"in_front_mm": 0.0}
            assert photo["focal_35mm_mm"] == table.clicks["photos"][name]["focal_35mm_mm"]
        # Kept again from what came back, it is the same tree.
        clicks = {"layout": "ringwise-trace", "version": 1} | {
            "photos": {
                name: {key: value for key, value in photo.items() if key not in ("entry", "sha256")}
                for name, photo in last["photos"].items()
            },
            "branches": last["branches"],
        }
        keep_trace(workspace, "T01", clicks, ids)
        shapes = [each for each in workspace.store.entries(tree="T01") if each.kind == "shape"]
        assert shapes[0].data["sha256"] == shapes[1].data["sha256"]
        workspace.store.save(action(workspace, None, "withdraw"), [Withdrawn("entry", ids["side"])])
    finally:
        workspace.store.close()
    again = open_workspace(elm)
    try:
        assert kept_trace(again, "T01")["last"] is None
    finally:
        again.store.close()


def test_one_photo_works_and_says_what_it_cannot_know(cli: Cli, elm: Path, table: Table) -> None:
    clicks = copy.deepcopy(table.clicks)
    del clicks["photos"]["side"]
    for branch in clicks["branches"]:
        branch.pop("side")
    ran = cli("measure", "trace", "T01", table.front, "--points", table.points(clicks), folder=elm)
    assert ran.code == 0, ran.err
    assert "one photo: slopes towards and away from the camera are drawn by luck" in ran.out


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (
            lambda c: c["branches"][2].update(parent="b77"),
            "front photo, branch b2: its parent b77 is not there",
        ),
        (
            lambda c: c["branches"][2]["front"].__setitem__(0, [-40, 9]),
            "front photo, branch b2: place 1 of front",
        ),
        (lambda c: c["photos"]["side"].pop("scale"), "side photo: has no scale"),
        (
            lambda c: c["photos"]["side"]["scale"].update(length_mm=190.0),
            "side photo, branch b0: tells heights",
        ),
        (lambda c: c["photos"]["front"].update(width_px=1120, height_px=1400), "front photo: size of"),
    ],
)
def test_bad_points_are_one_line_and_the_record_stays(
    cli: Cli, elm: Path, table: Table, change: Any, says: str
) -> None:
    clicks = copy.deepcopy(table.clicks)
    change(clicks)
    words = ("measure", "trace", "T01", table.front, table.side, "--points", table.points(clicks))
    ran = cli(*words, folder=elm)
    assert ran.code == 2
    assert says in ran.one_line
    assert _entries(elm) == []
    photos_kept = list((elm / "photos").glob("*")) if (elm / "photos").is_dir() else []
    assert [each for each in photos_kept if each.is_file()] == []


def test_a_photo_without_contrast_or_without_pixels_is_refused(
    cli: Cli, elm: Path, table: Table, tmp_path: Path
) -> None:
    grey = tmp_path / "grey.png"
    Image.new("L", (560, 700), 128).save(grey)
    ran = cli("measure", "trace", "T01", grey, table.side, "--points", table.points(), folder=elm)
    assert ran.code == 2
    assert "front photo, branch b0: wood and backdrop look alike" in ran.one_line
    missing = cli("measure", "trace", "T01", "nowhere.jpg", "--points", table.points(), folder=elm)
    assert missing.code == 2
    assert "front photo: there is no file and no photo of T01 called nowhere.jpg" in missing.one_line
    torn = tmp_path / "torn.png"
    torn.write_bytes(table.front.read_bytes()[:2000])
    ran = cli("measure", "trace", "T01", torn, table.side, "--points", table.points(), folder=elm)
    assert ran.code == 2
    assert "torn.png" in ran.one_line
