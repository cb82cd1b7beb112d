"""Makes yearly girth, height and tip records of 30 invented trees, to see whether futures are honest.

    python tests/records/make_girth_records.py

It writes girth_records.csv beside this script. The records were committed before growth was tuned, and
neither they nor the rules below were changed afterwards. They are made, so a comparison with them is a
check that the model is consistent with published rates and with what it says of its own spread. It is no
evidence about living trees.

Nothing here is read from the growth model. Only the published coefficients of stem diameter against age
(McPherson, van Doorn & Peper 2016, Urban tree database, RDS-2016-0005) are read, as plain text:

    yearly growth of the diameter = mean of the equation over ages 2 to 20
        x (litres / 50) ** 0.516, at most 1   (Poorter et al. 2012: volume x 2 gives x 1.43; 50 L assumed)
        x exp(tree), sd 0.35                  (residuals of the log-log fits of the same database)
        x exp(year), memory 0.3, sd 0.15      (assumed)
        x 0.85 in a year of hard repotting    (assumed)

The girth is read by a tape to 1 mm with an error of 1 mm (one standard deviation, assumed). Height and
tips follow plain rules of a tree in training; all of them are assumed: a whip stands at 70 times its
diameter, a tree gains 25 mm of height for each mm of diameter until it reaches the height it is cut back
to, and it carries 0.6 tips times its diameter in mm to the power 1.3.
"""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass
from pathlib import Path
from random import Random

FIELD = Path(__file__).parents[2] / "src" / "ringwise" / "growth" / "data" / "field_growth.csv"
RECORDS = Path(__file__).with_name("girth_records.csv")
SEED = 20141
TREES = 30
IN_GROUND = frozenset({5, 12, 20, 28})
FIRST_YEAR = 2010
COLUMNS = (
    "tree", "species", "equation", "pot_l", "height_aim_mm", "year", "age_years",
    "girth_mm", "girth_at_mm", "height_mm", "tips_n", "repotted",
)  # fmt: skip
NAMES = {"malus": "Malus"}


@dataclass(frozen=True)
class Made:
    """One tree before its life: what it is, where it stands, how it differs from its kind."""

    number: int
    equation: str
    pot_l: float | None
    height_aim_mm: float
    years: int
    diameter_mm: float
    tree_log: float
    repot_every_years: int


def increments_cm(text: str) -> dict[str, float]:
    """Mean yearly growth of the diameter over ages 2 to 20 of each equation, in cm."""
    powers: dict[str, dict[int, float]] = {}
    for row in csv.DictReader(io.StringIO(text)):
        if not row["key"].startswith("any:"):
            powers.setdefault(row["key"], {})[int(row["parameter"][1:])] = float(row["value"])

    def diameter_cm(key: str, age_years: float) -> float:
        return sum(value * age_years**power for power, value in powers[key].items())

    return {key: (diameter_cm(key, 20.0) - diameter_cm(key, 2.0)) / 18.0 for key in powers}


def _made(number: int, equations: list[str], dice: Random) -> Made:
    pot_l = None if number in IN_GROUND else round(2.0 * 25.0 ** dice.random() * 2.0) / 2.0
    aim_mm = dice.uniform(1200.0, 3000.0) if pot_l is None else 300.0 * pot_l**0.35 * dice.uniform(0.8, 1.5)
    return Made(
        number=number,
        equation=equations[(number - 1) % len(equations)],
        pot_l=pot_l,
        height_aim_mm=round(aim_mm, -1),
        years=dice.randint(6, 14),
        diameter_mm=dice.uniform(5.0, 8.0),
        tree_log=dice.gauss(0.0, 0.35),
        repot_every_years=dice.randint(2, 4),
    )


def _repotted(tree: Made, year: int, dice: Random) -> str:
    if tree.pot_l is None or year == 0 or year % tree.repot_every_years:
        return ""
    return "hard" if dice.random() < 1.0 / 3.0 else "light"


def _row(
    tree: Made, year: int, diameter_mm: float, height_mm: float, repotted: str, dice: Random
) -> dict[str, object]:
    taxon = tree.equation.split(":", maxsplit=1)[0]
    tips = 0.6 * diameter_mm**1.3 * math.exp(dice.gauss(0.0, 0.15))
    return {
        "tree": f"G{tree.number:02}",
        "species": NAMES.get(taxon, taxon.replace("_", " ").capitalize()),
        "equation": tree.equation,
        "pot_l": "" if tree.pot_l is None else f"{tree.pot_l:.1f}",
        "height_aim_mm": f"{tree.height_aim_mm:.0f}",
        "year": FIRST_YEAR + year,
        "age_years": 2 + year,
        "girth_mm": round(math.pi * diameter_mm + dice.gauss(0.0, 1.0)),
        "girth_at_mm": 30,
        "height_mm": 10 * round(height_mm * math.exp(dice.gauss(0.0, 0.04)) / 10.0),
        "tips_n": max(2, round(tips)),
        "repotted": repotted,
    }


def _life(tree: Made, field_cm: float, dice: Random) -> list[dict[str, object]]:
    """The tree as a whip in the first winter, then each winter after a summer's growth."""
    pot_frac = 1.0 if tree.pot_l is None else min(1.0, (tree.pot_l / 50.0) ** 0.516)
    diameter_mm, height_mm = tree.diameter_mm, min(70.0 * tree.diameter_mm, tree.height_aim_mm)
    rows = [_row(tree, 0, diameter_mm, height_mm, "", dice)]
    year_log = dice.gauss(0.0, 0.15)
    for year in range(1, tree.years + 1):
        repotted = _repotted(tree, year, dice)
        loss = 0.85 if repotted == "hard" else 1.0
        grown_mm = field_cm * 10.0 * pot_frac * math.exp(tree.tree_log + year_log) * loss
        diameter_mm += grown_mm
        height_mm = min(height_mm + 25.0 * grown_mm, tree.height_aim_mm)
        rows.append(_row(tree, year, diameter_mm, height_mm, repotted, dice))
        year_log = 0.3 * year_log + dice.gauss(0.0, 0.15 * math.sqrt(1.0 - 0.3**2))
    return rows


def girth_records() -> str:
    """The records as the text of the file."""
    field_cm = increments_cm(FIELD.read_text(encoding="utf-8"))
    dice = Random(SEED)
    equations = sorted(field_cm)
    dice.shuffle(equations)
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for number in range(1, TREES + 1):
        tree = _made(number, equations, dice)
        writer.writerows(_life(tree, field_cm[tree.equation], dice))
    return out.getvalue()


if __name__ == "__main__":
    RECORDS.write_text(girth_records(), encoding="utf-8")
