"""How a tree stands to the trade's usual proportions: below, within or above their range. Common practice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ringwise.kit.tables import Parameter
from ringwise.structure.branching import Branch
from ringwise.structure.measures import Measures, proportions

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
    found: Measures, branches: tuple[Branch, ...], more: Mapping[str, float] | None = None
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
    ratios = [b.base_diameter_mm / b.trunk_mm for b in branches if b.trunk_mm > 0]
    if ratios:
        known["branch_to_trunk.ratio"] = max(ratios)
    return known
