"""Lines of nodes: the way along them, places on the way, and what lies nearest to them."""

from __future__ import annotations

import numpy as np

from ringwise.kit.types import FloatArray


def way_along(nodes: FloatArray) -> FloatArray:
    """Way along a line of nodes from its first.

    Parameters
    ----------
    nodes : (n, k) float
        In the plane or in space.

    Returns
    -------
    (n,) float
        In the unit of the nodes.

    Source
    ------
    own.

    Examples
    --------
    >>> way_along(np.array([[0.0, 0, 0], [0, 0, 2], [0, 3, 2]])).tolist()
    [0.0, 2.0, 5.0]
    """
    steps = np.linalg.norm(np.diff(nodes, axis=0), axis=1)
    return np.concatenate([[0.0], np.cumsum(steps)])


def places_at(nodes: FloatArray, way: FloatArray, at: FloatArray) -> FloatArray:
    """Places on a line of nodes.

    Parameters
    ----------
    nodes : (n, k) float
        The line.
    way : (n,) float
        What rises along it: the way from its first node, or the number of the node.
    at : (m,) float
        Where on that way; beyond an end the end itself.

    Returns
    -------
    (m, k) float
        Straight between the nodes.

    Source
    ------
    own.

    Examples
    --------
    >>> places_at(np.array([[0.0, 0.0], [0.0, 4.0]]), np.array([0.0, 1.0]), np.array([0.25, 2.0])).tolist()
    [[0.0, 1.0], [0.0, 4.0]]
    """
    return np.stack([np.interp(at, way, column) for column in nodes.T], axis=1)
