"""The columns of a written binary glTF file, read here by the format's own rules.

Source: glTF 2.0 specification, "GLB file format" and "Accessors" (recalled): a JSON chunk, then a binary one;
an accessor has a kind, a count and a view; 5123 and 5125 are whole numbers of 16 and 32 bits, 5126 floats.
"""

from __future__ import annotations

import json
import math
import struct
from typing import Any

import numpy as np
import pytest

from ringwise.structure.exchange.glb import glb
from ringwise.structure.measured import MeasuredTree, measured_of
from ringwise.structure.mesh.leaves import leaves_of
from ringwise.structure.mesh.scene import scene_glb
from ringwise.structure.mesh.tree_mesh import tree_mesh
from ringwise.structure.mesh.tubes import Lines, tube_mesh
from ringwise.structure.table import SegmentTable
from ringwise.structure.tape import Tape, TapeBranch, TapeGirth
from ringwise.structure.tape_tree import tree_from_tape

KINDS = {5121: "<u1", 5122: "<i2", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
WIDTHS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4}


class File:
    """A GLB file as its chunks."""

    def __init__(self, data: bytes) -> None:
        length = struct.unpack("<I", data[12:16])[0]
        self.document: dict[str, Any] = json.loads(data[20 : 20 + length])
        self.body = data[20 + length + 8 :]

    def column(self, number: int) -> np.ndarray:
        """An accessor's values, (n, width)."""
        accessor = self.document["accessors"][number]
        view = self.document["bufferViews"][accessor["bufferView"]]
        kind, width = np.dtype(KINDS[accessor["componentType"]]), WIDTHS[accessor["type"]]
        step = view.get("byteStride", kind.itemsize * width)
        start = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
        rows = [np.frombuffer(self.body, kind, width, start + step * row) for row in range(accessor["count"])]
        return np.array(rows)

    def primitive(self, node: str) -> dict[str, Any]:
        """The only primitive of a node's mesh."""
        found = next(each for each in self.document["nodes"] if each["name"] == node)
        return dict(self.document["meshes"][found["mesh"]]["primitives"][0])

    def corners(self, node: str) -> np.ndarray:
        """The corners of a node's triangles or lines, one after another."""
        accessor = self.document["accessors"][self.primitive(node)["indices"]]
        view = self.document["bufferViews"][accessor["bufferView"]]
        kind = KINDS[accessor["componentType"]]
        return np.frombuffer(self.body, kind, accessor["count"], view["byteOffset"]).astype(int)

    def attribute(self, node: str, name: str) -> np.ndarray:
        """A column of a node's mesh."""
        return self.column(self.primitive(node)["attributes"][name])


@pytest.fixture(scope="module")
def tree() -> MeasuredTree:
    branches = tuple(TapeBranch(60.0 + 40.0 * n, 3.3 * n + 1.0, 9.0, 90.0, 6) for n in range(3))
    return measured_of(tree_from_tape(Tape(240.0, (TapeGirth(10.0, 90.0),), branches), seed=3))


def test_normals_of_the_wood_point_out_of_it() -> None:
    """By hand: a straight pole along z; in the file up is y, and a normal leads away from that axis."""
    pole = Lines(
        np.array([0, 2]), np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 90.0]]), np.full(2, 8.0), np.zeros(2, int)
    )
    file = File(glb(tube_mesh(pole, np.array([12]))))
    places, normals = file.attribute("wood", "POSITION"), file.attribute("wood", "NORMAL")
    assert np.linalg.norm(normals, axis=1) == pytest.approx(1.0, abs=1e-4)
    wall = (places[:, 1] > 0.0) & (places[:, 1] < 0.09) | (np.abs(normals[:, 1]) < 0.5)
    assert wall.sum() >= 12
    radius_m = np.hypot(places[wall, 0], places[wall, 2])
    out = places[wall][:, [0, 2]] / radius_m[:, None]
    assert (np.sum(out * normals[wall][:, [0, 2]], axis=1) > 0.9).all()
    top = normals[:, 1] > 0.9
    assert (places[top, 1] > 0.045).all()


def test_corners_of_a_large_mesh_are_all_reached() -> None:
    """More than 65 536 corners need whole numbers of 32 bits: each triangle stays as small as it is."""
    turn = np.linspace(0.0, 300.0, 4500)
    line = np.column_stack([40.0 * np.cos(turn), 40.0 * np.sin(turn), 2.0 * turn])
    long = Lines(np.array([0, len(turn)]), line, np.full(len(turn), 1.0), np.zeros(len(turn), int))
    mesh = tube_mesh(long, np.array([16]))
    assert len(mesh.positions) > 65_536
    file = File(glb(mesh))
    assert (file.corners("wood").reshape(-1, 3) == mesh.triangles).all()


def test_each_corner_of_the_wood_tells_the_segment_that_it_lies_on(tree: MeasuredTree) -> None:
    """By distance: a corner of a tube is as far from its own segment's line as that is thick there."""
    table = tree.table
    file = File(glb(tree_mesh(tree, skin=False)))
    places_mm = file.attribute("wood", "POSITION")[:, [0, 2, 1]] * [1000.0, -1000.0, 1000.0]
    rows = file.attribute("wood", "_SEGMENT").ravel().astype(int)
    start, way = table.start_mm[rows], table.end_mm[rows] - table.start_mm[rows]
    along = np.clip(np.sum((places_mm - start) * way, axis=1) / np.sum(way * way, axis=1), 0.0, 1.0)
    away = np.linalg.norm(places_mm - start - along[:, None] * way, axis=1)
    assert (away < 0.75 * table.diameter_mm[rows] + 0.5).mean() > 0.99
    assert set(rows.tolist()) == set(range(table.n))


def test_each_leaf_stands_on_the_segment_that_it_tells(tree: MeasuredTree) -> None:
    leaves = leaves_of(tree, stage="hardened")
    assert leaves is not None
    file = File(glb(tree_mesh(tree, skin=False), leaves, instanced=True))
    node = next(each for each in file.document["nodes"] if each["name"] == "leaves")
    numbers = node["extensions"]["EXT_mesh_gpu_instancing"]["attributes"]
    places_mm = file.column(numbers["TRANSLATION"])[:, [0, 2, 1]] * [1000.0, -1000.0, 1000.0]
    rows = file.column(numbers["_SEGMENT"]).ravel().astype(int)
    table = tree.table
    start, way = table.start_mm[rows], table.end_mm[rows] - table.start_mm[rows]
    along = np.clip(np.sum((places_mm - start) * way, axis=1) / np.sum(way * way, axis=1), 0.0, 1.0)
    away = np.linalg.norm(places_mm - start - along[:, None] * way, axis=1)
    assert away.max() < 10.0  # a blade stands off by its stalk
    assert len(set(rows.tolist())) > 10


def test_normals_of_leaves_stand_square_on_them(tree: MeasuredTree) -> None:
    """Of a flat triangle the normal is the cross product of two of its sides, whichever way it faces."""
    leaves = leaves_of(tree, stage="hardened")
    file = File(glb(tree_mesh(tree, skin=False), leaves))
    places, normals = file.attribute("leaves", "POSITION"), file.attribute("leaves", "NORMAL")
    corners = file.corners("leaves").reshape(-1, 3)
    across = np.cross(
        places[corners[:, 1]] - places[corners[:, 0]], places[corners[:, 2]] - places[corners[:, 0]]
    )
    across /= np.linalg.norm(across, axis=1)[:, None]
    assert np.median(np.abs(np.sum(across * normals[corners[:, 0]], axis=1))) > 0.9


def test_lines_of_thin_wood_begin_where_their_segments_begin() -> None:
    n = 3300
    turn = np.arange(n) * 0.1
    way = np.column_stack([np.cos(turn), np.sin(turn), np.ones(n)]) / math.sqrt(2.0)
    plain = {
        name: np.zeros(n) for name in ("order", "born", "sapwood_mm2", "leaf_cm2", "buds", "clone", "flags")
    }
    table = SegmentTable(
        parent=np.arange(-1, n - 1),
        length_mm=np.full(n, 5.0),
        direction=way,
        wood_mm2=np.linspace(400.0, 1.0, n),
        **plain,
    )
    file = File(scene_glb(measured_of(table), detail="light"))
    rows = file.attribute("thin wood", "_SEGMENT").ravel().astype(int)
    places_mm = file.attribute("thin wood", "POSITION")[:, [0, 2, 1]] * [1e3, -1e3, 1e3]
    low, high = file.corners("thin wood").reshape(-1, 2).T
    # A corner lies where the segment that it tells begins; the last one where the last segment ends.
    assert places_mm[low] == pytest.approx(table.start_mm[rows[low]], abs=0.01)
    assert places_mm[high[:-1]] == pytest.approx(table.start_mm[rows[high[:-1]]], abs=0.01)
    assert places_mm[high[-1]] == pytest.approx(table.end_mm[-1], abs=0.01)
    assert (high[:-1] == low[1:]).all()
