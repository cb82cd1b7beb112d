"""How a tree stands to the trade's usual proportions: below, within or above their range. Common practice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ringwise.kit.tables import Parameter
from ringwise.structure.branching import Branch
from ringwise.structure.faults import limit
from ringwise.structure.measures import Measures, proportions

_OF_BRANCHES = ("first_branch.height_frac", "branch_to_trunk.ratio", "ramification.strahler_order")
_OF_LINES = ("movement.offset_frac",)
BELOW, WITHIN, ABOVE = "below", "within", "above"


@dataclass(frozen=True)
class Standing:
    """One proportion of a tree beside the trade's range; the row of the table says what it is."""

    row: Parameter
    found_ratio: float
    place: str

    @property
    def key(self) -> str:
        """The row's own name: its key and parameter."""
        return f"{self.row.key}.{self.row.parameter}"


def standings(
    found: Measures,
    branches: tuple[Branch, ...],
    more: Mapping[str, float] | None = None,
    *,
    branches_seen: bool = True,
    lines_seen: bool = True,
) -> tuple[Standing, ...]:
    """A tree beside the trade's proportions.

    Parameters
    ----------
    found : Measures
        Of the tree.
    branches : tuple of Branch
        Of its trunk.
    more : mapping of str to float, optional
        What only the record knows, by key and parameter, such as "pot.depth_to_base_ratio".
    branches_seen : bool
        Whether the branches were measured; what luck drew stands to nothing.
    lines_seen : bool
        Whether the way of the trunk was measured.

    Returns
    -------
    tuple of Standing
        Of the proportions that are known of this tree, in the order of the table.

    Source
    ------
    practice: table `proportions`.

    Examples
    --------
    >>> from ringwise.structure.measures import measures
    >>> from ringwise.structure.table import single_segment
    >>> pole = measures(single_segment(length_mm=400.0, diameter_mm=10.0))
    >>> [(each.key, each.place) for each in standings(pole, ())][0]
    ('height_to_base.ratio', 'above')
    """
    known = _known(found, branches) | dict(more or {})
    unseen = (() if branches_seen else _OF_BRANCHES) + (() if lines_seen else _OF_LINES)
    known = {key: ratio for key, ratio in known.items() if key not in unseen}
    out = []
    for row in proportions():
        ratio = known.get(f"{row.key}.{row.parameter}")
        if ratio is None:
            continue
        low = -np.inf if row.low is None else row.low
        high = np.inf if row.high is None else row.high
        place = BELOW if ratio < low else ABOVE if ratio > high else WITHIN
        out.append(Standing(row, ratio, place))
    return tuple(out)


def _known(found: Measures, branches: tuple[Branch, ...]) -> dict[str, float]:
    known = {
        "height_to_base.ratio": found.height_to_base_ratio,
        "taper.half_to_base_ratio": found.taper_ratio,
        "movement.offset_frac": found.movement_frac,
        "ramification.strahler_order": float(found.strahler),
    }
    if found.first_branch_frac is not None:
        known["first_branch.height_frac"] = found.first_branch_frac
    if found.root_sectors_filled is not None:
        known["root_sectors.filled_of_twelve"] = float(found.root_sectors_filled)
    top_mm = limit("bar", "top_frac") * found.height_mm
    ratios = [b.base_diameter_mm / b.trunk_mm for b in branches if b.height_mm < top_mm]
    if ratios:
        known["branch_to_trunk.ratio"] = max(ratios)
    return known
