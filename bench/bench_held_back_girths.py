"""How often a girth that was held back lies in the band foretold for it: 30 made trees, two years each.

The records (tests/records/make_girth_records.py) come from published rates, the pot factor and noise of
their own, and were committed before growth was tuned. A check of consistency over n = 60, no evidence
about living trees: an honest 80 % band is met by 65 to 92 % of them. The test of the same
name in tests/reference judges the particles; here the closed form of vigour alone can be asked as well.

Run: PYTHONPATH=src .venv/bin/python bench/bench_held_back_girths.py [closed|particles] [trees]
"""

from __future__ import annotations

import sys
from pathlib import Path

from ringwise.futures.simulate import Run

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "reference"))
from held_back import HELD_YEARS, foretold, own_growth, own_vigour, records

FUTURES, PARTICLES = 60, 240


def main() -> None:
    """Print each held-back girth with its band, then the count."""
    how = sys.argv[1] if len(sys.argv) > 1 else "closed"
    trees = int(sys.argv[2]) if len(sys.argv) > 2 else 30
    held = []
    for record in records()[:trees]:
        known = (
            own_growth(record, particles_n=PARTICLES)
            if how == "particles"
            else own_vigour(record, futures=FUTURES)
        )
        for each in foretold(record, known, Run(FUTURES, HELD_YEARS, seed=11, workers=1)):
            held.append(each)
            print(
                f"{each.tree} +{each.years_ahead}: {each.girth_mm:.0f} mm in {each.low_mm:.0f} to"
                f" {each.high_mm:.0f}: {'yes' if each.hit else 'no'}"
            )
    hits, above = sum(each.hit for each in held), sum(each.girth_mm > each.median_mm for each in held)
    print(
        f"{how}: {hits} of {len(held)} in the 80 % band ({hits / len(held):.0%}), {above} above its middle;"
        " wanted 65 to 92 %"
    )


if __name__ == "__main__":
    main()
