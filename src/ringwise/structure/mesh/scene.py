"""The tree as the app draws it: in full with skin and leaves, or light while it is turned or cut."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ringwise.kit.errors import unknown_name
from ringwise.kit.tables import load_table
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.mesh.gltf import Gltf
from ringwise.structure.mesh.leaves import Leaves
from ringwise.structure.mesh.look import TreeLook, look_for
from ringwise.structure.mesh.node_radius import upper_radius_mm
from ringwise.structure.mesh.parts import add_leaves, add_thin, add_wood
from ringwise.structure.mesh.tree_mesh import tree_mesh
from ringwise.structure.mesh.tubes import Lines, TreeMesh, tube_mesh

DETAILS = ("full", "light")


def scene_glb(
    measured: MeasuredTree,
    *,
    detail: str = "full",
    leaves: Leaves | None = None,
    palette: TreeLook | None = None,
    drawn_roots: bool = False,
    root_sectors: Sequence[bool] | None = None,
) -> bytes:
    """A binary glTF file for the app's own view.

    Nodes: "wood" (one indexed mesh with `_SEGMENT`), "thin wood" (lines, only when light), "leaves",
    "leaves 2" and so on, one a tone, instanced with `_SEGMENT` of each.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    detail : str
        "full": skin and tubes, places in 16 bits. "light": the thickest segments as plain prisms, the others
        as lines, for while the tree is turned.
    leaves : Leaves, optional
        What stands on the twigs; left out when light.
    palette : TreeLook, optional
        Colours.
    drawn_roots : bool
        Whether surface roots are drawn at the foot, which no table holds.
    root_sectors : sequence of bool, optional
        For each hour from 1 to 12 whether a root is seen.

    Returns
    -------
    bytes
        The file, in metres, +Y up.

    Raises
    ------
    UnknownNameError
        For a detail that is not known.

    Source
    ------
    own: table `mesh`, rows `light`.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0))
    >>> scene_glb(stem, detail="light")[:4]
    b'glTF'
    """
    look = palette or look_for()
    file = Gltf()
    if detail == "full":
        mesh = tree_mesh(measured, drawn_roots=drawn_roots, root_sectors=root_sectors)
        add_wood(file, mesh, look.bark, packed=True)
        if leaves is not None:
            add_leaves(file, leaves, instanced=True)
    elif detail == "light":
        thick = _thickest(measured)
        add_wood(file, _prisms(measured, thick), look.bark, packed=True)
        thin = np.setdiff1d(np.arange(measured.n), thick)
        if len(thin):
            add_thin(file, measured.table.start_mm[thin], measured.table.end_mm[thin], thin, look.bark)
    else:
        raise unknown_name("detail", detail, DETAILS)
    return file.glb()


def _thickest(measured: MeasuredTree) -> np.ndarray:
    most = round(load_table("ringwise.structure", "mesh").get("light", "segments").number)
    order = np.argsort(-measured.table.wood_mm2, kind="stable")
    return np.sort(order[:most])


def _prisms(measured: MeasuredTree, rows: np.ndarray) -> TreeMesh:
    """Each segment for itself as a closed prism of a few sides."""
    table = measured.table
    sides = round(load_table("ringwise.structure", "mesh").get("light", "sides").number)
    nodes = np.stack([table.start_mm[rows], table.end_mm[rows]], axis=1).reshape(-1, 3)
    radius = np.stack([table.diameter_mm[rows] / 2.0, upper_radius_mm(table)[rows]], axis=1).ravel()
    lines = Lines(np.arange(0, 2 * len(rows) + 1, 2), nodes, radius, np.repeat(rows, 2))
    return tube_mesh(lines, np.full(len(rows), sides, np.int64))
