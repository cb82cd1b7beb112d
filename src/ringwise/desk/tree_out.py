"""A measured tree into files that other programs read, by the ending of their names."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk.out_file import write_out
from ringwise.kit.errors import NotFoundError, unknown_name
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.structure.measured import MeasuredTree


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
        from ringwise.structure.exchange.formats import write_tree

        for path in self.paths:
            write_out(path, write_tree(measured, path.suffix.lower().removeprefix(".")))


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
    UnknownNameError
        If an ending is not known.
    NotFoundError
        If a folder is not there.
    """
    from ringwise.structure.exchange.formats import WRITTEN

    for path in paths:
        ending = path.suffix.lower().removeprefix(".")
        if ending not in WRITTEN:
            raise unknown_name(_("ending of --out"), ending or path.name, WRITTEN)
        if not path.parent.is_dir():
            raise NotFoundError(_("there is no folder {folder}; make it first").format(folder=path.parent))
    return TreeFiles(paths)
