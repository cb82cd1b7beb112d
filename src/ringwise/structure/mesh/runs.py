"""Parts of lines of wood: those of some segments, and with nodes left out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ringwise.structure.mesh.tubes import Lines


def runs(lines: Lines, chosen: NDArray[np.bool_]) -> Lines:
    """The pieces of lines that belong to some segments, each unbroken run as a line of its own.

    Parameters
    ----------
    lines : Lines
        Of a tree.
    chosen : (n,) bool
        For each segment of the table whether it is wanted.

    Returns
    -------
    Lines
        Without any where none is wanted.

    Source
    ------
    own.

    Examples
    --------
    >>> nodes = np.array([[0.0, 0.0, z] for z in range(4)])
    >>> rod = Lines(np.array([0, 4]), nodes, np.ones(4), np.array([0, 1, 2, 2]))
    >>> part = runs(rod, np.array([True, False, True]))
    >>> part.first.tolist(), part.nodes_mm[:, 2].tolist(), part.rows.tolist()
    ([0, 2, 4], [0.0, 1.0, 2.0, 3.0], [0, 0, 2, 2])
    """
    is_piece = chosen[lines.rows]
    is_piece[lines.first[1:] - 1] = False  # from the last node of a line no piece goes on
    pieces = np.nonzero(is_piece)[0]
    is_last = np.append(np.diff(pieces) != 1, True)[: len(pieces)]
    ends = np.nonzero(is_last)[0]
    nodes = np.insert(pieces, ends + 1, pieces[ends] + 1)
    owners = np.insert(pieces, ends + 1, pieces[ends])
    first = np.append(0, ends + 1 + np.arange(1, len(ends) + 1)).astype(np.int64)
    return Lines(first, lines.nodes_mm[nodes], lines.radius_mm[nodes], lines.rows[owners])


def fewer_nodes(lines: Lines, step: int) -> Lines:
    """Lines with every so many-th of their nodes, and both ends.

    Parameters
    ----------
    lines : Lines
        Of a tree.
    step : int
        1 keeps all.

    Returns
    -------
    Lines
        As many, of the same ends.

    Source
    ------
    own.

    Examples
    --------
    >>> nodes = np.array([[0.0, 0.0, z] for z in range(4)])
    >>> rod = Lines(np.array([0, 4]), nodes, np.ones(4), np.array([0, 1, 2, 2]))
    >>> fewer_nodes(rod, 2).nodes_mm[:, 2].tolist()
    [0.0, 2.0, 3.0]
    """
    place = np.arange(len(lines.rows)) - np.repeat(lines.first[:-1], np.diff(lines.first))
    keep = place % step == 0
    keep[lines.first[1:] - 1] = True
    first = np.append(0, np.cumsum(keep))[lines.first]
    return Lines(first, lines.nodes_mm[keep], lines.radius_mm[keep], lines.rows[keep])
