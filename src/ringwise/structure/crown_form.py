"""Whether a crown is carried by one leader or parts into many: how high it leads, its share of the wood."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.structure.measures import base_row, lowest_branch, trunk_mask
from ringwise.structure.measuring_data import measuring
from ringwise.structure.table import SegmentTable


@dataclass(frozen=True)
class CrownForm:
    """Both near 1 where one line leads to the top (excurrent), low where it dissolves (decurrent).

    `leader_frac` is the share of the height up to which no side branch rivals the trunk line;
    `leader_wood_frac` its share of all wood above the lowest branch, None without one.
    """

    leader_frac: float
    leader_wood_frac: float | None


def crown_form(table: SegmentTable) -> CrownForm:
    """How far one leader carries the crown.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    CrownForm
        Both measures.

    Source
    ------
    own: the words are those of crown form; from which thickness on a branch rivals the leader stands in
    the table `measuring`, row `leader`.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> crown_form(single_segment(length_mm=40.0, diameter_mm=4.0))
    CrownForm(leader_frac=1.0, leader_wood_frac=None)
    """
    parent, trunk, wide = table.parent.astype(np.int64), trunk_mask(table), table.diameter_mm
    lowest = lowest_branch(table)
    line = np.nonzero(trunk)[0]
    if lowest is None:
        return CrownForm(float(table.end_mm[line, 2].max() / table.end_mm[:, 2].max()), None)
    rows = np.nonzero(~trunk & trunk[parent])[0]
    least_mm = measuring("branch", "least_frac") * float(wide[base_row(table)])
    ahead_mm = wide[table.continued_by[parent[rows]]]
    rivals = rows[(wide[rows] >= least_mm) & (wide[rows] > measuring("leader", "rival_ratio") * ahead_mm)]
    first = int(parent[rivals].min()) if len(rivals) else int(line[-1])
    top_mm = float(table.end_mm[line[line <= first], 2].max())
    pieces = table.wood_mm2.astype(np.float64) * table.length_mm
    above = line > parent[lowest]
    below = pieces[line[~above]].sum()
    return CrownForm(
        top_mm / float(table.end_mm[:, 2].max()),
        float(pieces[line[above]].sum() / (pieces.sum() - below)),
    )
