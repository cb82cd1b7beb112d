"""Which bytes become a tree, and into which a tree is written, by the ending of the file's name."""

from __future__ import annotations

import json
from dataclasses import dataclass

from ringwise.kit.errors import FileFormatError, InputError, unknown_name
from ringwise.kit.words import _
from ringwise.structure.exchange.cylinder_files import (
    cylinders_from_csv,
    cylinders_from_mat,
    is_cylinder_table,
)
from ringwise.structure.exchange.cylinders import CylinderReport, Cylinders, tree_from_cylinders
from ringwise.structure.exchange.glb import glb
from ringwise.structure.exchange.mtg import tree_to_mtg
from ringwise.structure.exchange.mtg_tree import tree_from_mtg
from ringwise.structure.exchange.obj import obj
from ringwise.structure.exchange.ply import ply
from ringwise.structure.exchange.table_csv import tree_from_csv, tree_to_csv
from ringwise.structure.exchange.tree_json import tree_from_json, tree_to_json
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.mesh.leaves import leaves_of
from ringwise.structure.mesh.look import look_for
from ringwise.structure.mesh.tree_mesh import tree_mesh

READ = ("json", "csv", "mtg", "mat", "txt")
WRITTEN = ("json", "csv", "mtg", "glb", "obj", "ply")


@dataclass(frozen=True)
class ReadTree:
    """A tree from a file; `source` is "tree" (own layouts, MTG) or "cylinders" (a cylinder model)."""

    tree: MeasuredTree
    source: str
    cylinders: CylinderReport | None = None


def read_file(name: str, data: bytes) -> ReadTree:
    """A tree from the bytes of a file, with what is to be said about it.

    Parameters
    ----------
    name : str
        Name of the file, for its ending and for errors.
    data : bytes
        What it holds.

    Returns
    -------
    ReadTree
        The tree, and the report where it was a cylinder model.

    Raises
    ------
    InputError
        With the file's name, the place in it and why.

    Source
    ------
    own: endings in docs/reference/tree_formats.md.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0))
    >>> read_file("t.csv", write_tree(stem, "csv")).tree.n
    1
    """
    ending = _ending(name)
    if ending not in READ:
        raise unknown_name(_("ending of the file"), ending, READ)
    try:
        return _read(ending, data)
    except InputError as wrong:
        raise FileFormatError(str(wrong), where=name) from wrong


def _ending(name: str) -> str:
    return name.rsplit(".", 1)[-1].strip().lower() if "." in name else name.strip().lower()


def _read(ending: str, data: bytes) -> ReadTree:
    if ending == "mat":
        return _cylinder_tree(cylinders_from_mat(data))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileFormatError(_("it is no text in UTF-8")) from None
    if ending == "json":
        try:
            return ReadTree(tree_from_json(json.loads(text)), "tree")
        except json.JSONDecodeError as wrong:
            raise FileFormatError(
                _("no JSON: {why}").format(why=wrong.msg), where=_("line {line}").format(line=wrong.lineno)
            ) from None
    if ending == "mtg" or "ENTITY-CODE" in text:
        return ReadTree(tree_from_mtg(text), "tree")
    if is_cylinder_table(text):
        return _cylinder_tree(cylinders_from_csv(text))
    return ReadTree(tree_from_csv(text), "tree")


def _cylinder_tree(model: Cylinders) -> ReadTree:
    tree, told = tree_from_cylinders(model)
    return ReadTree(tree, "cylinders", told)


def read_tree(name: str, data: bytes) -> MeasuredTree:
    """A tree from the bytes of a file.

    Parameters
    ----------
    name : str
        Name of the file.
    data : bytes
        What it holds.

    Returns
    -------
    MeasuredTree
        Checked.

    Raises
    ------
    InputError
        With the file's name, the place in it and why.

    Source
    ------
    own: as `read_file`.

    Examples
    --------
    >>> read_tree("t.json", b"")
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.FileFormatError: t.json: line 1: no JSON: Expecting value
    """
    return read_file(name, data).tree


def write_tree(
    measured: MeasuredTree,
    suffix: str,
    *,
    keys: tuple[str, ...] = (),
    stage: str = "none",
    skin: bool = True,
    instanced: bool = False,
) -> bytes:
    """A tree as the bytes of a file.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    suffix : str
        Ending of the file's name: json, csv and mtg hold the table, glb, obj and ply the mesh.
    keys : tuple of str
        Species, genus, group: whose colours and leaves; only for a mesh.
    stage : str
        What stands on the twigs; only for a mesh.
    skin : bool
        Whether trunk and joints are one smooth surface; only for a mesh.
    instanced : bool
        Whether leaves in a glb use EXT_mesh_gpu_instancing.

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    UnknownNameError
        For another ending or an unknown stage.

    Source
    ------
    own: endings in docs/reference/tree_formats.md.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0))
    >>> write_tree(stem, ".ply", skin=False)[:3]
    b'ply'
    """
    ending = _ending(suffix)
    if ending == "json":
        return (json.dumps(tree_to_json(measured), allow_nan=False) + "\n").encode()
    if ending == "csv":
        return tree_to_csv(measured).encode()
    if ending == "mtg":
        return tree_to_mtg(measured).encode()
    if ending not in WRITTEN:
        raise unknown_name(_("ending of the file"), ending, WRITTEN)
    mesh = tree_mesh(measured, skin=skin)
    leaves = leaves_of(measured, stage=stage, keys=keys)
    if ending == "glb":
        return glb(mesh, leaves, instanced=instanced, palette=look_for(keys))
    return obj(mesh, leaves) if ending == "obj" else ply(mesh, leaves)
