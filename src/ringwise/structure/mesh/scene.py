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
from ringwise.structure.mesh.parts import add_leaves, add_thin, add_wood
from ringwise.structure.mesh.runs import fewer_nodes, runs
from ringwise.structure.mesh.tree_mesh import axis_lines, tree_mesh
from ringwise.structure.mesh.tubes import Lines, TreeMesh, tube_mesh
from ringwise.structure.orders import axes
from ringwise.structure.table import SegmentTable

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
        "full": skin and tubes, places in 16 bits. "light": the thickest segments as tubes of a few sides, the
        others as lines that leave nodes out, for while the tree is turned.
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
        solid, thin = _light(measured.table)
        add_wood(file, solid, look.bark, packed=True)
        if thin.n:
            add_thin(file, thin, look.bark)
    else:
        raise unknown_name("detail", detail, DETAILS)
    return file.glb()


def _light(table: SegmentTable) -> tuple[TreeMesh, Lines]:
    """The thickest wood as tubes of a few sides, and all other as lines with fewer nodes."""
    row = load_table("ringwise.structure", "mesh").of("light")
    thick = np.zeros(table.n, np.bool_)
    thick[np.argsort(-table.wood_mm2, kind="stable")[: round(row["segments"].number)]] = True
    lines = axis_lines(table, axes(table), {})
    solid = runs(lines, thick)
    sides = np.full(solid.n, round(row["sides"].number), np.int64)
    return tube_mesh(solid, sides), fewer_nodes(runs(lines, ~thick), round(row["node_step"].number))
