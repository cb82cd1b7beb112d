"""A tree's mesh as a binary glTF file for other programs: metres, +Y up, `_SEGMENT` at each vertex."""

from __future__ import annotations

from ringwise.structure.mesh.gltf import Gltf
from ringwise.structure.mesh.leaves import Leaves
from ringwise.structure.mesh.look import TreeLook, look_for
from ringwise.structure.mesh.parts import add_leaves, add_wood
from ringwise.structure.mesh.tubes import TreeMesh


def glb(
    mesh: TreeMesh, leaves: Leaves | None = None, *, instanced: bool = False, palette: TreeLook | None = None
) -> bytes:
    """A binary glTF 2.0 file of the wood, and of the leaves where there are any.

    Parameters
    ----------
    mesh : TreeMesh
        The wood, in mm, z up.
    leaves : Leaves, optional
        What stands on the twigs.
    instanced : bool
        Whether leaves use EXT_mesh_gpu_instancing, which not every program knows; else each is written out.
    palette : TreeLook, optional
        Colours; by default those of any tree.

    Returns
    -------
    bytes
        The file.

    Source
    ------
    own; glTF 2.0 (recalled), its extension for instances as published.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.mesh.tree_mesh import tree_mesh
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0))
    >>> glb(tree_mesh(stem, skin=False))[:4]
    b'glTF'
    """
    file = Gltf()
    add_wood(file, mesh, (palette or look_for()).bark)
    if leaves is not None:
        add_leaves(file, leaves, instanced=instanced)
    return file.glb()
