"""A made girth record as the desk knows it: start tree by tape, own growth, and what is held back."""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path

import numpy as np

from ringwise.futures.catalogue import ready_course
from ringwise.futures.hindcast import calibrated
from ringwise.futures.outcome import Lives
from ringwise.futures.simulate import Run, simulate
from ringwise.futures.start import Aim, Start
from ringwise.growth.biology import Biology, biology
from ringwise.growth.calibration import VigourPosterior, vigour_posterior
from ringwise.growth.particles import Particles
from ringwise.growth.seen_growth import SeenGrowth, over_seasons
from ringwise.growth.start import Condition, litres_of_ground
from ringwise.records.taxa import lookup_keys
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.forms import TreeForm, form_for
from ringwise.structure.measures import measures
from ringwise.structure.table import SegmentTable
from ringwise.structure.tape import Tape
from ringwise.structure.tape_tree import tree_from_tape

RECORDS = Path(__file__).parents[1] / "records" / "girth_records.csv"
HELD_YEARS = 2
TAPE_SD_MM = 1.0  # of one reading, as the records were made
LIKELY_TREES = 4  # as the desk takes
MOST_TIPS = 400  # a run takes trees of up to 4,000 segments; a count beyond this is read as this
READABLE_MM = 3.0  # a girth growth below twice the tape's error says nothing by itself: years are joined
WINDOW_YEARS = 6  # of the record that the desk looks back over


@dataclass(frozen=True)
class Winter:
    """One row of a record."""

    year: int
    girth_mm: float
    height_mm: float
    tips_n: int
    repotted: bool


@dataclass(frozen=True)
class Record:
    """A tree's rows, the first winter first."""

    tree: str
    species: str
    pot_l: float
    height_aim_mm: float
    winters: tuple[Winter, ...]

    @property
    def known(self) -> tuple[Winter, ...]:
        """What is not held back."""
        return self.winters[:-HELD_YEARS]

    @property
    def held_back(self) -> tuple[Winter, ...]:
        """The last winters."""
        return self.winters[-HELD_YEARS:]


def records() -> tuple[Record, ...]:
    """All made trees."""
    with RECORDS.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return tuple(_record(tree, list(own)) for tree, own in groupby(rows, key=lambda row: row["tree"]))


def _record(tree: str, rows: Sequence[dict[str, str]]) -> Record:
    winters = tuple(
        Winter(
            int(row["year"]),
            float(row["girth_mm"]),
            float(row["height_mm"]),
            int(row["tips_n"]),
            bool(row["repotted"]),
        )
        for row in rows
    )
    pot = rows[0]["pot_l"]
    return Record(
        tree,
        rows[0]["equation"].split(":")[0],
        float(pot) if pot else litres_of_ground(),
        float(rows[0]["height_aim_mm"]),
        winters,
    )


def _with_tips(tape: Tape, tips_n: int) -> Tape:
    """The counted tips shared over the branches by their thickness, the apex as one of them."""
    weights = [(branch.diameter_mm or 1.0) ** 2 for branch in tape.branches]
    apex = sum(weights) / max(len(weights), 1)
    unit = min(tips_n, MOST_TIPS) / (sum(weights) + apex)
    branches = tuple(
        replace(branch, tips=max(1, round(unit * weight)))
        for branch, weight in zip(tape.branches, weights, strict=True)
    )
    return replace(tape, branches=branches, apex_tips=max(1, round(unit * apex)))


def _tables(winter: Winter, form: TreeForm, trees: int) -> tuple[SegmentTable, ...]:
    tables = []
    for seed in range(trees):
        tape = tape_from_basics(winter.girth_mm / math.pi, winter.height_mm, form, seed=seed)
        known = _with_tips(tape, winter.tips_n)
        tables.append(tree_from_tape(known, seed=seed, form=form, born_year=winter.year))
    return tuple(tables)


def _since_repot(record: Record, place: int) -> float:
    for back, winter in enumerate(reversed(record.winters[: place + 1])):
        if winter.repotted:
            return float(back) + 0.7  # work at bud swell, tape after leaf fall
    return float(place) + 1.0


def start_at(record: Record, place: int, *, trees: int = LIKELY_TREES) -> Start:
    """The tree as the desk would start it from the tape of one winter, cut back to the height aimed at."""
    winter = record.winters[place]
    tables = _tables(winter, form_for(lookup_keys(record.species)), trees)
    size = measures(tables[0])
    height_mm = max(record.height_aim_mm, size.height_mm)
    return Start(
        tables,
        Condition(record.pot_l, 4, _since_repot(record, place)),
        winter.year + 1,
        aim=Aim(height_mm, size.spread_mm * height_mm / size.height_mm),
    )


def life_of(record: Record) -> Biology:
    """What is assumed of its taxon."""
    return biology(lookup_keys(record.species))


def grown(record: Record, start: Start, run: Run) -> Lives:
    """The tree with nothing but routine care."""
    return simulate(start, ready_course("as_it_is"), life_of(record), run)


@dataclass(frozen=True)
class Held:
    """A held-back girth and the band that was foretold for it, tape error included."""

    tree: str
    years_ahead: int
    girth_mm: float
    low_mm: float
    median_mm: float
    high_mm: float

    @property
    def hit(self) -> bool:
        """Whether the girth lies within the band."""
        return self.low_mm <= self.girth_mm <= self.high_mm


def foretold(record: Record, known: Particles | VigourPosterior | None, run: Run) -> tuple[Held, ...]:
    """The 80 % band of each held-back girth; with nothing known the tree is taken as its kind."""
    last = len(record.known) - 1
    start = start_at(record, last)
    if isinstance(known, VigourPosterior):
        start = replace(start, vigour=known)
    elif known is not None:
        start = replace(start, particles=known)
    girth = grown(record, start, run).of("girth_mm")
    # The girth that the band starts from was read by the same tape: two errors.
    dice = np.random.default_rng([run.seed, int(record.tree[1:])])
    out = []
    for ahead, winter in enumerate(record.held_back, start=1):
        error_mm = dice.normal(0.0, TAPE_SD_MM * math.sqrt(2.0), len(girth))
        now_mm = record.winters[last].girth_mm
        low, median, high = np.nanpercentile(now_mm + girth[:, ahead] - girth[:, 0] + error_mm, (10, 50, 90))
        out.append(Held(record.tree, ahead, winter.girth_mm, float(low), float(median), float(high)))
    return tuple(out)


def own_growth(record: Record, *, particles_n: int) -> Particles:
    """What the known girths and heights leave of the uncertain numbers of growth, as the desk reckons it."""
    last = len(record.known) - 1
    first = max(0, last - WINDOW_YEARS)
    winters = record.known[first:]
    seen = SeenGrowth(
        seasons=tuple(float(number) for number in range(len(winters))),
        girths_mm=tuple(each.girth_mm for each in winters),
        height_seasons=tuple(float(number) for number in range(1, len(winters))),
        heights_mm=tuple(each.height_mm for each in winters[1:]),
    )
    places = [first + round(season) for season in over_seasons(seen).seasons[:-1]]
    starts = [start_at(record, place) for place in places]
    return calibrated(starts, life_of(record), seen, seed=7, particles_n=particles_n)


def own_vigour(record: Record, *, futures: int) -> VigourPosterior:
    """Vigour in closed form: each known growth in girth against what an average tree would have grown."""
    ratios, grown_mm = [], []
    observed, modelled = 0.0, 0.0
    for place in range(max(0, len(record.known) - 1 - WINDOW_YEARS), len(record.known) - 1):
        start = replace(start_at(record, place, trees=1), vigour=VigourPosterior(0.0, 1e-9, 0))
        girth = grown(record, start, Run(futures, 1, seed=place + 1, workers=1)).of("girth_mm")
        modelled += float(np.nanmedian(girth[:, 1] - girth[:, 0]))
        observed += record.winters[place + 1].girth_mm - record.winters[place].girth_mm
        if observed >= READABLE_MM:
            ratios.append(observed / max(modelled, 0.05))
            grown_mm.append(observed)
            observed, modelled = 0.0, 0.0
    return vigour_posterior(np.array(ratios), np.array(grown_mm))
