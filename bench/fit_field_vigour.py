"""Fit each taxon's field vigour, so that its free trees thicken in open ground as published equations say.

For every taxon with a row of field thickening: seedlings in open ground are grown for some trial values,
and the value is read off at which their mean yearly thickening, ages 2 to 7 since 2.5 cm, meets the target.
Targets are the increments of the published equations themselves where there are any (a mean over regions),
else the middle of the taxon's own row. Seeds differ from those of the tests. Prints rows for species.csv.
All taxa take a quarter of an hour; names given after the command fit those alone.
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

TRIALS = (0.3, 0.5, 0.7, 1.0, 1.4, 2.0, 3.0, 5.0, 8.0)
TREES, YEARS, SEED = 120, 45, 4711


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


def measured(keys: tuple[str, ...]) -> list[float]:
    """Mean thickening at each trial value."""
    life = biology(keys)
    out = []
    for trial in TRIALS:
        grown = yearly_diameters_mm(
            life, volume_l=math.inf, block=Block(SEED, 0, TREES), years=YEARS, field_vigour_ratio=trial
        )
        each = thickening_cm_year(grown)
        out.append(float(np.nanmean(each)) if np.isfinite(each).mean() > 0.5 else math.nan)
    return out


def main() -> None:
    """Print a row for each taxon; those whose parameters are alike share their trials."""
    seen: dict[tuple[object, ...], list[float]] = {}
    for key, (cm, why) in targets().items():
        if len(sys.argv) > 1 and key not in sys.argv[1:]:
            continue
        keys = (key, key.split("_")[0])
        life = biology(keys)
        alike = (
            life.opposite,
            life.apical_control_ratio,
            life.sapwood.middle,
            life.unit.middle,
            life.back_bud_ratio,
        )
        if alike not in seen:
            seen[alike] = measured(keys)
            print(keys, alike, [round(each, 2) for each in seen[alike]], file=sys.stderr, flush=True)
        rates = np.maximum.accumulate(np.nan_to_num(np.array(seen[alike]), nan=0.0))
        use = np.concatenate(([True], np.diff(rates) > 1e-6)) & (rates > 0)
        fitted = math.exp(float(np.interp(cm, rates[use], np.log(np.array(TRIALS)[use]))))
        basis = "fitted" if why.startswith("ages") else "assumed" if key == "any" else "transferred"
        low, high = 0.7 * fitted, fitted / 0.7  # the spread between trees of one taxon, ln 0.35
        numbers = f"{fitted:.2f},ratio,{low:.2f},{high:.2f},judged,fixed,{basis}"
        note = f'"free trees thicken by {cm:.2f} cm a year: {why}"'
        print(f"{key},field_vigour,{numbers},mcpherson2016,bench/fit_field_vigour.py,yes,open ground,{note}")


if __name__ == "__main__":
    main()
