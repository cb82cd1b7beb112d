"""Fit each taxon's field vigour, so that its free trees thicken in open ground as published equations say.

For every taxon with a row of field thickening: seedlings in open ground are grown with the row of now, and
the value is moved by how far their mean yearly thickening, ages 2 to 7 since 2.5 cm, misses the target.
Targets are the increments of the published equations themselves where there are any (a mean over regions),
else the middle of the taxon's own row. Seeds differ from those of the tests. Prints rows for species.csv.
All taxa take some minutes; names given after the command fit those alone.
"""

from __future__ import annotations

import math
import sys

import numpy as np

from ringwise.growth.biology import biology
from ringwise.growth.draws import Block
from ringwise.growth.field import field_diameter_mm, field_keys
from ringwise.growth.population import FIRST_AGE, LAST_AGE, thickening_cm_year, yearly_diameters_mm
from ringwise.kit.tables import load_table

TREES, YEARS, SEED, ROUNDS = 200, 45, 4711, 2
STEP = 0.9  # thickening follows field vigour by somewhat more than one to one


def targets() -> dict[str, tuple[float, str]]:
    """What each taxon shall do in cm a year, and from where."""
    out: dict[str, list[float]] = {}
    for key in field_keys():
        early, late = (field_diameter_mm(key, float(age)) for age in (FIRST_AGE, LAST_AGE))
        out.setdefault(key.split(":")[0], []).append((late - early) / (LAST_AGE - FIRST_AGE) / 10.0)
    told = {key: (float(np.mean(each)), "ages 2 to 7 of its equations") for key, each in out.items()}
    for row in load_table("ringwise.growth", "species").rows:
        if row.parameter == "field_rate" and row.key not in told:
            told[row.key] = (row.number, "its row of field thickening")
    return told


def fitted(keys: tuple[str, ...], cm: float) -> float:
    """The field vigour at which the taxon's trees thicken as they shall, from the row it has now."""
    life = biology(keys)
    ratio = life.field_vigour_ratio
    for round_ in range(ROUNDS):
        block = Block(SEED + round_, 0, TREES)
        grown = yearly_diameters_mm(
            life, volume_l=math.inf, block=block, years=YEARS, field_vigour_ratio=ratio
        )
        rate = float(np.nanmean(thickening_cm_year(grown)))
        print(keys, round(ratio, 2), round(rate, 2), "for", round(cm, 2), file=sys.stderr, flush=True)
        ratio *= (cm / rate) ** (STEP / (round_ + 1))
    return ratio


def main() -> None:
    """Print a row for each taxon, or for those named after the command."""
    for key, (cm, why) in targets().items():
        if len(sys.argv) > 1 and key not in sys.argv[1:]:
            continue
        ratio = fitted((key, key.split("_")[0]), cm)
        basis = "fitted" if why.startswith("ages") else "assumed" if key == "any" else "transferred"
        low, high = 0.7 * ratio, ratio / 0.7  # the spread between trees of one taxon, ln 0.35
        numbers = f"{ratio:.2f},ratio,{low:.2f},{high:.2f},judged,fixed,{basis}"
        note = f'"free trees thicken by {cm:.2f} cm a year: {why}"'
        print(
            f"{key},field_vigour,{numbers},mcpherson2016,bench/fit_field_vigour.py,yes,open ground,{note}",
            flush=True,
        )


if __name__ == "__main__":
    main()
