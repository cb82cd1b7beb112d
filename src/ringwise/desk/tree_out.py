"""A measured tree into files that other programs read, by the ending of their names."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.kit.errors import InputError, NotFoundError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.structure.measured import MeasuredTree

ENDINGS = (".json", ".glb")


@dataclass(frozen=True)
class TreeFiles:
    """Files that a tree shall be written to, checked before the work begins."""

    paths: tuple[Path, ...]

    def write(self, measured: MeasuredTree) -> None:
        """Write all of them, each in one step.

        Parameters
        ----------
        measured : MeasuredTree
            The tree.
        """
        for path in self.paths:
            draft = path.with_name(path.name + ".new")
            draft.write_bytes(tree_as(measured, path.suffix.lower()))
            draft.replace(path)


def tree_files(paths: tuple[Path, ...]) -> TreeFiles:
    """Files to write, refused before anything is measured where they cannot be written.

    Parameters
    ----------
    paths : tuple of Path
        As typed.

    Returns
    -------
    TreeFiles
        Checked.

    Raises
    ------
    InputError
        If an ending is not known.
    NotFoundError
        If a folder is not there.
    """
    for path in paths:
        if path.suffix.lower() not in ENDINGS:
            raise InputError(
                _("{file} has no ending that says what it shall be; accepted: {endings}").format(
                    file=path, endings=", ".join(ENDINGS)
                )
            )
        if not path.parent.is_dir():
            raise NotFoundError(_("there is no folder {folder}; make it first").format(folder=path.parent))
    return TreeFiles(paths)


def tree_as(measured: MeasuredTree, ending: str) -> bytes:
    """A tree as the content of a file.

    Parameters
    ----------
    measured : MeasuredTree
        The tree.
    ending : str
        One of `ENDINGS`.

    Returns
    -------
    bytes
        The content.
    """
    if ending == ".glb":
        from ringwise.structure.exchange.glb import glb
        from ringwise.structure.mesh.tree_mesh import tree_mesh

        return glb(tree_mesh(measured))
    from ringwise.desk.structures import tree_bytes

    return tree_bytes(measured)
