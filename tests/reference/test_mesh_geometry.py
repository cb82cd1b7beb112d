"""Meshes against exact solids, and files of them against an independent reader (trimesh 5, test only)."""

from __future__ import annotations

import io
import json
import math
import struct

import numpy as np
import pytest
import trimesh

from ringwise.structure.exchange.formats import write_tree
from ringwise.structure.exchange.glb import glb
from ringwise.structure.measured import MeasuredTree, measured_of
from ringwise.structure.mesh.leaves import leaves_of
from ringwise.structure.mesh.look import BLADES, STAGES, _looks, leaf_stage, look_for
from ringwise.structure.mesh.parts import SEGMENT, written_out
from ringwise.structure.mesh.scene import scene_glb
from ringwise.structure.mesh.skin import Skin, Strand, skin_mesh
from ringwise.structure.mesh.tree_mesh import tree_mesh
from ringwise.structure.mesh.tubes import Lines, TreeMesh, tube_mesh
from ringwise.structure.section import section_of
from ringwise.structure.table import SegmentTable
from ringwise.structure.tape import Tape, TapeBranch, TapeGirth
from ringwise.structure.tape_tree import tree_from_tape

FRUSTUM_MM3 = math.pi / 3.0 * 100.0 * (20.0**2 + 20.0 * 10.0 + 10.0**2)  # closed form: 73 303.83 mm3


def _body(mesh: TreeMesh) -> trimesh.Trimesh:
    return trimesh.Trimesh(mesh.positions, mesh.triangles, process=False)


def _cone(pieces: int) -> Lines:
    """A straight line from radius 20 to 10 mm over 100 mm, in so many pieces, leaning."""
    share = np.linspace(0.0, 1.0, pieces + 1)
    way = np.array([2.0, -1.0, 2.0]) / 3.0
    rows = np.minimum(np.arange(pieces + 1), pieces - 1)
    return Lines(np.array([0, pieces + 1]), 100.0 * share[:, None] * way, 20.0 - 10.0 * share, rows)


@pytest.fixture(scope="module")
def tree() -> MeasuredTree:
    branches = tuple(
        TapeBranch(90.0 + 45.0 * n, (3.3 * n) % 12.0, 14.0 - 1.4 * n, 150.0 - 14 * n) for n in range(6)
    )
    return measured_of(tree_from_tape(Tape(420.0, (TapeGirth(20.0, 150.0),), branches), seed=3))


@pytest.mark.parametrize("sides", [3, 4, 6, 10, 16])
@pytest.mark.parametrize("pieces", [1, 7])
def test_a_tube_of_a_frustum_has_its_volume(sides: int, pieces: int) -> None:
    body = _body(tube_mesh(_cone(pieces), np.array([sides])))
    assert body.is_watertight
    assert body.is_winding_consistent
    assert body.volume == pytest.approx(FRUSTUM_MM3, rel=1e-3)


def test_corners_of_a_tube_stand_off_its_circle_so_that_the_areas_agree() -> None:
    """Six corners on the circle itself would lose 17.3 % of its area (n sin(2 pi / n) / 2 pi)."""
    upright = Lines(
        np.array([0, 2]), np.array([[0.0, 0, 0], [0, 0, 90.0]]), np.full(2, 20.0), np.zeros(2, int)
    )
    corners = tube_mesh(upright, np.array([6])).positions
    wall = corners[(corners[:, 2] > -1.0) & (np.hypot(corners[:, 0], corners[:, 1]) > 10.0)]
    away_mm = np.hypot(wall[:, 0], wall[:, 1])
    assert (20.0 / away_mm) ** 2 == pytest.approx(np.full(len(wall), 1.0 - 0.173), abs=0.001)


def test_a_table_of_one_frustum_has_its_volume_and_so_has_its_mesh() -> None:
    # The segment that goes on takes over at radius 10; it is so short that it hardly counts.
    table = SegmentTable(
        parent=np.array([-1, 0]),
        order=np.zeros(2),
        born=np.zeros(2),
        length_mm=np.array([100.0, 1e-4]),
        direction=np.array([[0.0, 0.0, 1.0]] * 2),
        wood_mm2=np.pi * np.array([20.0, 10.0]) ** 2,
        sapwood_mm2=np.zeros(2),
        leaf_cm2=np.zeros(2),
        buds=np.zeros(2),
        clone=np.zeros(2),
        flags=np.ones(2),
    )
    radius, end = table.diameter_mm / 2.0, table.end_diameter_mm / 2.0
    volume = np.pi / 3.0 * table.length_mm * (radius**2 + radius * end + end**2)
    assert float(volume[0]) == pytest.approx(FRUSTUM_MM3, rel=1e-6)  # float32 columns
    assert _body(tree_mesh(measured_of(table), skin=False)).volume == pytest.approx(FRUSTUM_MM3, rel=1e-3)


@pytest.mark.parametrize("cell_mm", [1.0, 2.0])
def test_the_skin_of_a_frustum_has_its_volume_and_a_dome(cell_mm: float) -> None:
    pieces = np.array([[0.0, 0.0, 0.0, 0.0, 0.0, 100.0, 20.0, 10.0]])
    body = _body(skin_mesh(Skin((Strand(pieces, np.zeros(1, np.int64)),), cell_mm)))
    dome_mm3 = 2.0 / 3.0 * math.pi * 10.0**3  # the skin ends in half a ball, inside the tube that goes on
    assert body.is_watertight
    assert body.is_winding_consistent
    assert body.volume == pytest.approx(FRUSTUM_MM3 + dome_mm3, rel=0.01)


def test_normals_of_the_skin_point_out() -> None:
    pieces = np.array([[0.0, 0.0, 0.0, 0.0, 0.0, 100.0, 20.0, 20.0]])
    mesh = skin_mesh(Skin((Strand(pieces, np.zeros(1, np.int64)),), 1.5))
    wall = (mesh.positions[:, 2] > 10.0) & (mesh.positions[:, 2] < 90.0)
    out = mesh.positions[wall, :2] / np.linalg.norm(mesh.positions[wall, :2], axis=1, keepdims=True)
    assert np.quantile((mesh.normals[wall, :2] * out).sum(axis=1), 0.01) > 0.99
    assert np.abs(np.linalg.norm(mesh.positions[wall, :2], axis=1) - 20.0).max() < 0.05


def test_the_skin_follows_a_measured_outline() -> None:
    turn = np.arange(72) / 72.0 * 2.0 * math.pi
    lobed = 22.0 * (1.0 + 0.18 * np.cos(3.0 * turn) + 0.08 * np.cos(5.0 * turn + 1.0))
    pieces = np.array([[0.0, 0.0, 0.0, 0.0, 0.0, 120.0, 22.0, 22.0]])
    sections = [section_of(20.0, lobed), section_of(80.0, lobed)]
    mesh = skin_mesh(Skin((Strand(pieces, np.zeros(1, np.int64)),), 1.2), sections)
    assert _body(mesh).is_watertight
    near = (mesh.positions[:, 2] > 25.0) & (mesh.positions[:, 2] < 75.0)
    x, y = mesh.positions[near, 0], mesh.positions[near, 1]
    angle = np.arctan2(y, x)
    wanted = 22.0 * (1.0 + 0.18 * np.cos(3.0 * angle) + 0.08 * np.cos(5.0 * angle + 1.0))
    assert np.abs(np.hypot(x, y) - wanted).max() < 0.35  # a quarter of a cell and the steps of the outline
    high = mesh.positions[:, 2] > 128.0  # above the highest outline it is round again
    assert np.hypot(mesh.positions[high, 0], mesh.positions[high, 1]).max() < 22.0


@pytest.mark.parametrize("roots", [False, True])
def test_every_part_of_a_tree_is_closed_and_wound_alike(tree: MeasuredTree, roots: bool) -> None:
    mesh = tree_mesh(tree, drawn_roots=roots)
    body = _body(mesh)
    assert body.is_watertight
    assert body.is_winding_consistent
    assert np.isfinite(mesh.positions).all()
    assert np.linalg.norm(mesh.normals, axis=1) == pytest.approx(1.0, abs=1e-3)
    assert set(np.unique(mesh.segment)) <= set(range(tree.n))
    skinless = tree_mesh(tree, skin=False)
    assert set(np.unique(skinless.segment)) == set(range(tree.n))


def test_the_skin_and_its_tubes_hold_what_tubes_alone_hold(tree: MeasuredTree) -> None:
    whole = _body(tree_mesh(tree))
    tubes = _body(tree_mesh(tree, skin=False))
    # What overlaps counts twice in both: the skin swallows the feet of thick branches, and adds fillets.
    assert whole.volume == pytest.approx(tubes.volume, rel=0.06)
    assert whole.bounds[1] == pytest.approx(tubes.bounds[1], abs=2.0)


def test_joints_are_inside_one_surface(tree: MeasuredTree) -> None:
    mesh = tree_mesh(tree)
    bodies = _body(mesh).split(only_watertight=False)
    skin = max(bodies, key=lambda each: each.volume)
    axes_apart = len(_body(tree_mesh(tree, skin=False)).split(only_watertight=False))
    assert len(bodies) <= axes_apart + 1
    assert skin.is_watertight
    assert skin.euler_number == 2  # one body without a hole


def _bent(steps: list[tuple[float, float, float]], diameters: list[float]) -> MeasuredTree:
    """One line of wood through places, in mm."""
    ends = np.array(steps, dtype=float)
    pieces = np.diff(np.vstack([np.zeros(3), ends]), axis=0)
    long = np.linalg.norm(pieces, axis=1)
    n = len(ends)
    wood = np.pi / 4.0 * np.array(diameters) ** 2
    return measured_of(
        SegmentTable(
            parent=np.arange(-1, n - 1),
            order=np.zeros(n),
            born=np.zeros(n),
            length_mm=long,
            direction=pieces / long[:, None],
            wood_mm2=wood,
            sapwood_mm2=np.zeros(n),
            leaf_cm2=np.zeros(n),
            buds=np.zeros(n),
            clone=np.zeros(n),
            flags=np.ones(n),
        )
    )


def test_a_cascade_hangs_below_the_soil_and_stands_flat_on_it() -> None:
    tree = _bent([(0, 0, 40), (30, 0, 60), (70, 0, 50), (100, 0, 0), (110, 0, -80)], [30, 28, 26, 24, 22])
    mesh = tree_mesh(tree)
    assert _body(mesh).is_watertight
    assert mesh.positions[:, 2].min() < -80.0
    foot = mesh.positions[np.abs(mesh.positions[:, 0]) < 20.0]
    assert -1.0 < foot[:, 2].min() < 1.0


def test_a_long_whip_is_whole_where_a_fine_grid_would_be_too_large() -> None:
    tree = _bent([(0, 0, 40.0 * n) for n in range(1, 41)], list(np.linspace(9.0, 2.0, 40)))
    mesh = tree_mesh(tree)
    body = _body(mesh)
    assert body.is_watertight
    assert len(body.split(only_watertight=False)) <= 2  # the skin and the tube that goes on
    frustums = (
        np.pi / 12.0 * (1560.0 * (81.0 + 4.0 + 18.0) + 40.0 * (4.0 + 1.44 + 2.4))
    )  # 9 to 2 mm, and the tip
    assert body.volume == pytest.approx(frustums, rel=0.02)


def _scanline_volume_mm3(body: trimesh.Trimesh, step_mm: float) -> float:
    """Volume by counting: along rays parallel to z, lengths between entering and leaving a surface."""
    corner = body.triangles
    low, high = body.bounds
    xs = np.arange(low[0] + step_mm / 2, high[0], step_mm)
    ys = np.arange(low[1] + step_mm / 2, high[1], step_mm)
    crossed: dict[tuple[int, int], list[tuple[float, float]]] = {}
    for a, b, c in corner:
        area = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])
        if abs(area) < 1e-12:
            continue
        first_x, last_x = np.searchsorted(xs, [min(a[0], b[0], c[0]), max(a[0], b[0], c[0])])
        first_y, last_y = np.searchsorted(ys, [min(a[1], b[1], c[1]), max(a[1], b[1], c[1])])
        for i in range(first_x, last_x):
            for j in range(first_y, last_y):
                one = ((xs[i] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (ys[j] - a[1])) / area
                two = ((b[0] - a[0]) * (ys[j] - a[1]) - (xs[i] - a[0]) * (b[1] - a[1])) / area
                if one >= 0 and two >= 0 and one + two < 1:
                    height = a[2] + one * (b[2] - a[2]) + two * (c[2] - a[2])
                    crossed.setdefault((i, j), []).append((height, np.sign(area)))
    total = 0.0
    for hits in crossed.values():
        total += sum(height * way for height, way in hits)
    return total * step_mm**2


def test_volume_by_scan_lines_agrees_with_the_frustum() -> None:
    body = _body(tube_mesh(_cone(4), np.array([16])))
    assert _scanline_volume_mm3(body, 0.5) == pytest.approx(FRUSTUM_MM3, rel=0.005)


def _document(data: bytes) -> dict[str, object]:
    length, kind = struct.unpack("<II", data[12:20])
    assert (data[:4], kind) == (b"glTF", 0x4E4F534A)
    assert struct.unpack("<I", data[8:12])[0] == len(data)
    return dict(json.loads(data[20 : 20 + length]))


def test_a_plain_glb_reads_back_in_metres_with_y_up(tree: MeasuredTree) -> None:
    mesh = tree_mesh(tree)
    data = glb(mesh, leaves_of(tree, stage="hardened"))
    assert "extensionsRequired" not in _document(data)
    scene = trimesh.load(io.BytesIO(data), file_type="glb")
    wood = scene.geometry["wood"]
    assert wood.is_watertight
    assert wood.volume * 1e9 == pytest.approx(_body(mesh).volume, rel=1e-4)
    span = mesh.positions[:, [0, 2, 1]] * np.array([1e-3, 1e-3, -1e-3])
    assert wood.bounds == pytest.approx(
        np.sort(np.stack([span.min(axis=0), span.max(axis=0)]), axis=0), abs=1e-6
    )
    np.testing.assert_array_equal(np.ravel(wood.vertex_attributes[SEGMENT]), mesh.segment)
    assert len(scene.geometry["leaves"].faces) > 100


def test_an_instanced_glb_sets_the_same_blades_as_a_plain_one(tree: MeasuredTree) -> None:
    leaves = leaves_of(tree, stage="spring", keys=("acer_palmatum", "acer"))
    assert leaves is not None
    data = glb(tree_mesh(tree, skin=False), leaves, instanced=True)
    document = _document(data)
    assert document["extensionsRequired"] == ["EXT_mesh_gpu_instancing"]
    node = next(each for each in document["nodes"] if each["name"] == "leaves")
    numbers = node["extensions"]["EXT_mesh_gpu_instancing"]["attributes"]
    move, turn, scale = (_read(data, document, numbers[key]) for key in ("TRANSLATION", "ROTATION", "SCALE"))
    primitive = document["meshes"][node["mesh"]]["primitives"][0]
    points = _read(data, document, primitive["attributes"]["POSITION"])
    written = written_out(leaves, np.arange(leaves.n)).positions
    k = len(points)
    for n in range(0, leaves.n, 37):
        matrix = trimesh.transformations.quaternion_matrix(turn[n][[3, 0, 1, 2]])[:3, :3]
        placed = (matrix @ (points * scale[n]).T).T + move[n]
        wanted = written[n * k : (n + 1) * k][:, [0, 2, 1]] * np.array([1.0, 1.0, -1.0]) / 1000.0
        assert placed == pytest.approx(wanted, abs=1e-5)


def _read(data: bytes, document: dict, number: int) -> np.ndarray:
    accessor = document["accessors"][number]
    view = document["bufferViews"][accessor["bufferView"]]
    start = 20 + struct.unpack("<I", data[12:16])[0] + 8 + view["byteOffset"]
    width = {"SCALAR": 1, "VEC3": 3, "VEC4": 4}[accessor["type"]]
    assert accessor["componentType"] == 5126
    return np.frombuffer(data, "<f4", accessor["count"] * width, start).reshape(-1, width)


def test_the_scene_is_small_and_true(tree: MeasuredTree) -> None:
    full = scene_glb(tree, detail="full", leaves=leaves_of(tree, stage="autumn"))
    plain = glb(tree_mesh(tree), leaves_of(tree, stage="autumn"), instanced=True)
    assert len(full) < 0.75 * len(plain)
    wood = trimesh.load(io.BytesIO(full), file_type="glb").geometry["wood"]
    assert len(wood.vertices) == len(tree_mesh(tree).positions)
    document = _document(full)
    node = next(each for each in document["nodes"] if each["name"] == "wood")
    accessor = document["accessors"][
        document["meshes"][node["mesh"]]["primitives"][0]["attributes"]["POSITION"]
    ]
    top = accessor["max"][1] * node["scale"][1] + node["translation"][1]
    assert top * 1000.0 == pytest.approx(float(tree_mesh(tree).positions[:, 2].max()), abs=0.01)


def test_a_light_scene_keeps_the_thick_wood_solid_and_the_rest_as_lines() -> None:
    n = 3500
    rng = np.random.default_rng(4)
    table = SegmentTable(
        parent=np.arange(-1, n - 1),
        order=np.zeros(n),
        born=np.zeros(n),
        length_mm=np.full(n, 5.0),
        direction=np.array([[0.0, 0.0, 1.0]] * n),
        wood_mm2=np.sort(rng.uniform(1.0, 400.0, n))[::-1].copy(),
        sapwood_mm2=np.zeros(n),
        leaf_cm2=np.zeros(n),
        buds=np.zeros(n),
        clone=np.zeros(n),
        flags=np.zeros(n),
    )
    document = _document(scene_glb(measured_of(table), detail="light"))
    wood, thin = (document["meshes"][n]["primitives"][0] for n in range(2))
    places = [document["accessors"][each["attributes"]["POSITION"]] for each in (wood, thin)]
    # a pole: one tube of rings of 4 corners with two caps, then one line with every second of its nodes
    assert [each["count"] for each in places] == [4 * (1500 + 1) + 2, 2000 // 2 + 1]
    assert document["accessors"][thin["indices"]]["count"] == 2 * (2000 // 2)
    assert thin["mode"] == 1
    assert places[1]["min"][1] == pytest.approx(1500 * 0.005)  # begins where the tube ends
    assert places[1]["max"][1] == pytest.approx(n * 0.005)  # and reaches the tip


@pytest.mark.parametrize("ending", ["obj", "ply"])
def test_mesh_files_read_back(tree: MeasuredTree, ending: str) -> None:
    data = write_tree(tree, ending, stage="hardened")
    body = trimesh.load(io.BytesIO(data), file_type=ending, force="mesh")
    bare = trimesh.load(io.BytesIO(write_tree(tree, ending)), file_type=ending, force="mesh")
    assert bare.volume == pytest.approx(_body(tree_mesh(tree)).volume, rel=1e-3)
    assert len(body.faces) > len(bare.faces)


def test_leaf_area_is_that_of_the_table(tree: MeasuredTree) -> None:
    leaves = leaves_of(tree, stage="hardened", keys=("ulmus",))
    assert leaves is not None
    mesh = written_out(leaves, np.arange(leaves.n))
    drawn_cm2 = float(_body(mesh).area) / 100.0
    # Leaves differ in length by luck around one; the mean square of the draw is a little below one.
    assert drawn_cm2 == pytest.approx(float(tree.table.leaf_cm2.sum()), rel=0.08)


@pytest.mark.parametrize("stage", STAGES)
def test_every_stage_of_every_blade_can_be_drawn(stage: str) -> None:
    tree = measured_of(tree_from_tape(Tape(200.0, (TapeGirth(0.0, 60.0),)), seed=1))
    for blade in BLADES:
        key = next(key for key, look in _looks().items() if look.blade == blade)
        leaves = leaves_of(tree, stage=stage, keys=(key,))
        if stage == "none":
            assert leaves is None
            continue
        assert leaves is not None
        assert np.linalg.norm(leaves.turns, axis=1) == pytest.approx(1.0, abs=1e-5)
        assert (leaves.sizes_mm > 0).all()
        assert leaves.tone.max() < len(leaves.tones)


def test_a_bare_tree_and_an_evergreen_in_winter() -> None:
    assert [leaf_stage(code) for code in (None, 0, 5, 9, 15, 60, 95, 99)] == [
        "none",
        "none",
        "swelling",
        "opening",
        "spring",
        "hardened",
        "autumn",
        "none",
    ]
    assert leaf_stage(None, evergreen=True) == leaf_stage(97, evergreen=True) == "hardened"


def test_colours_are_colours_and_blades_are_known() -> None:
    for key, look in _looks().items():
        for colour in (look.bark, look.bud, look.opening, look.spring, look.hardened, *look.autumn):
            assert len(colour) == 7 and int(colour[1:], 16) >= 0, key  # noqa: PT018
        assert look.blade in BLADES, key
    assert look_for(("pinus_thunbergii", "pinus")).leaf_mm > look_for(("pinus",)).leaf_mm
