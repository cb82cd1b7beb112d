"""Meshes of arbitrary trees: closed, wound alike, finite, each vertex of a segment that there is."""

from __future__ import annotations

import io
import json
import struct

import numpy as np
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from measured_trees import measured_trees

from ringwise.structure.measured import MeasuredTree
from ringwise.structure.mesh.leaves import leaves_of
from ringwise.structure.mesh.look import STAGES
from ringwise.structure.mesh.scene import scene_glb
from ringwise.structure.mesh.tree_mesh import tree_mesh
from ringwise.structure.orders import axes


@settings(max_examples=12)
@given(measured_trees(most=8), st.booleans(), st.booleans())
def test_any_tree_gives_closed_surfaces(tree: MeasuredTree, skin: bool, roots: bool) -> None:
    mesh = tree_mesh(tree, skin=skin, drawn_roots=roots)
    body = trimesh.Trimesh(mesh.positions, mesh.triangles, process=False)
    assert body.is_watertight
    assert body.is_winding_consistent
    assert np.isfinite(mesh.positions).all()
    assert np.isfinite(mesh.normals).all()
    assert mesh.segment.max() < tree.n


@given(measured_trees(most=25))
def test_every_segment_is_on_one_axis(tree: MeasuredTree) -> None:
    table = tree.table
    lines = axes(table)
    assert sorted(lines.rows.tolist()) == list(range(table.n))
    for axis in range(lines.n):
        rows = lines.of(axis)
        assert (table.parent[rows[1:]] == rows[:-1]).all()
        assert (table.continued_by[rows[:-1]] == rows[1:]).all()
        assert table.continued_by[rows[-1]] < 0


@settings(max_examples=12)
@given(measured_trees(most=8), st.sampled_from(STAGES), st.sampled_from(["full", "light"]))
def test_any_scene_is_a_sound_file(tree: MeasuredTree, stage: str, detail: str) -> None:
    leaves = leaves_of(tree, stage=stage)
    data = scene_glb(tree, detail=detail, leaves=leaves)
    assert struct.unpack("<4sII", data[:12]) == (b"glTF", 2, len(data))
    document = json.loads(data[20 : 20 + struct.unpack("<I", data[12:16])[0]])
    for view in document["bufferViews"]:
        assert view["byteOffset"] % 4 == 0
        assert view["byteOffset"] + view["byteLength"] <= document["buffers"][0]["byteLength"]
    for number in range(len(document["accessors"])):
        assert document["accessors"][number]["count"] > 0
    assert "wood" in trimesh.load(io.BytesIO(data), file_type="glb").geometry
