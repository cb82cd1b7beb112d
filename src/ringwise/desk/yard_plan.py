"""The wish for the yard in plan: benches as the grower set them or in rows, each tree on its spot."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from ringwise.desk.figures import basis_of, figure_key, sizes_of
from ringwise.desk.told import told
from ringwise.kit import show
from ringwise.kit.words import _, from_data
from ringwise.records.model import PLACE_KINDS
from ringwise.structure.drawing import drawing

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts

BENCH_SETTING = "bench:"  # a setting of the record for each bench that the grower placed
DEPTH_MM = {"ground": 1500.0}  # how deep a place is drawn that nobody sized; others as a bench
_BENCH_DEPTH_MM = 700.0
_LEAST_LENGTH_MM = 1800.0
_END_MM = 150.0  # kept free at a bench's ends
_GAP_MM = 80.0  # between two crowns
_PATH_MM = 1300.0  # between two rows, so that the trees of one do not hide the other
_ROW_MM = 7000.0  # a row of places is filled to about this length
_NOWHERE = ""  # trees whose place nobody wrote down


@dataclass(frozen=True)
class BenchPlace:
    """Where a bench lies in the plan and its size; `given` is what the grower set."""

    kind: str
    x_mm: float
    y_mm: float
    length_mm: float
    depth_mm: float
    given: bool


def width_of(facts: TreeFacts) -> float:
    """The width that a tree takes on a bench, in mm.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    float
        By its height; never less than its pot.
    """
    height_mm, _trunk_mm, _known = sizes_of(facts)
    pot_mm = facts.pot.length_mm if facts.pot is not None and facts.pot.length_mm else 0.0
    return min(drawing().widest_mm, max(drawing().spread_ratio * height_mm, pot_mm))


def set_benches(settings: Mapping[str, Any]) -> dict[str, BenchPlace]:
    """The benches that the grower placed, by name.

    Parameters
    ----------
    settings : mapping
        Settings of the record.

    Returns
    -------
    dict of str to BenchPlace
        In the order of their names.
    """
    found = {}
    for key, value in sorted(settings.items()):
        if key.startswith(BENCH_SETTING) and isinstance(value, Mapping):
            x_mm, y_mm, length_mm, depth_mm = (
                float(value[k]) for k in ("x_mm", "y_mm", "length_mm", "depth_mm")
            )
            place = BenchPlace(str(value["kind"]), x_mm, y_mm, length_mm, depth_mm, True)
            found[key.removeprefix(BENCH_SETTING)] = place
    return found


def yard_plan(workspace: Workspace, states: Mapping[str, tuple[str, str]] | None = None) -> Shape:
    """The yard seen from above, every tree on its spot.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    states : mapping of str to (str, str), optional
        For each tree "open", "soon", "blocked" or "quiet", and why in words.

    Returns
    -------
    dict
        Benches with their trees; x to the right, y away from the viewer, in mm.
    """
    standing: dict[str, list[TreeFacts]] = {}
    kinds: dict[str, str] = {}
    for facts in workspace.facts.values():
        name = facts.place.place if facts.place is not None else _NOWHERE
        standing.setdefault(name, []).append(facts)
        kinds.setdefault(name, facts.place.kind if facts.place is not None else "bench")
    given = set_benches(workspace.store.settings())
    places = laid_out(given, {name: (kinds[name], standing[name]) for name in standing})
    benches = [
        _bench(workspace, name, place, standing.get(name, ()), states or {}) for name, place in places.items()
    ]
    return {
        "width_mm": max((b["x_mm"] + b["length_mm"] for b in benches), default=0.0),
        "depth_mm": max((b["y_mm"] + b["depth_mm"] for b in benches), default=0.0),
        "benches": benches,
        "kinds": [{"key": kind, "words": from_data(kind), "more": ""} for kind in PLACE_KINDS],
    }


def laid_out(
    given: Mapping[str, BenchPlace], standing: Mapping[str, tuple[str, Sequence[TreeFacts]]]
) -> dict[str, BenchPlace]:
    """All places: the grower's as they are, the others in rows, behind all where they would meet one.

    Parameters
    ----------
    given : mapping of str to BenchPlace
        As the grower set them.
    standing : mapping of str to (str, sequence of TreeFacts)
        For each place its kind and the trees there.

    Returns
    -------
    dict of str to BenchPlace
        No two of those laid out overlap.
    """
    order = {kind: number for number, kind in enumerate(PLACE_KINDS)}
    names = sorted(standing, key=lambda n: (n == _NOWHERE, order[standing[n][0]], n))
    places = dict(given)
    back_mm = max((b.y_mm + b.depth_mm + _PATH_MM for b in given.values()), default=0.0)
    for name, place in _in_rows(names, standing).items():
        if name in given:
            continue
        if any(_meet(place, other) for other in places.values()):  # what was laid out gives way
            place = replace(place, x_mm=0.0, y_mm=back_mm)
        places[name] = place
        back_mm = max(back_mm, place.y_mm + place.depth_mm + _PATH_MM)
    return places


def _meet(a: BenchPlace, b: BenchPlace) -> bool:
    return (
        a.x_mm < b.x_mm + b.length_mm
        and b.x_mm < a.x_mm + a.length_mm
        and a.y_mm < b.y_mm + b.depth_mm
        and b.y_mm < a.y_mm + a.depth_mm
    )


def _in_rows(
    names: Sequence[str], standing: Mapping[str, tuple[str, Sequence[TreeFacts]]]
) -> dict[str, BenchPlace]:
    """Every place in rows, also those that the grower placed: the others then stay where they were."""
    places: dict[str, BenchPlace] = {}
    x_mm, y_mm, row_depth_mm = 0.0, 0.0, 0.0
    for name in names:
        kind, trees = standing[name]
        length_mm = max(_LEAST_LENGTH_MM, 2 * _END_MM + sum(width_of(f) + _GAP_MM for f in trees))
        depth_mm = DEPTH_MM.get(kind, _BENCH_DEPTH_MM)
        if x_mm > 0.0 and x_mm + length_mm > _ROW_MM:
            x_mm, y_mm, row_depth_mm = 0.0, y_mm + row_depth_mm + _PATH_MM, 0.0
        places[name] = BenchPlace(kind, x_mm, y_mm, length_mm, depth_mm, False)
        x_mm += length_mm + _PATH_MM / 2.0
        row_depth_mm = max(row_depth_mm, depth_mm)
    return places


def spots_of(trees: Sequence[TreeFacts], bench: BenchPlace) -> list[tuple[TreeFacts, float, float, bool]]:
    """Each tree with its spot on a bench: as the grower set it, else in a row from the left around those.

    Parameters
    ----------
    trees : sequence of TreeFacts
        That stand on the bench.
    bench : BenchPlace
        Its size.

    Returns
    -------
    list of (TreeFacts, float, float, bool)
        x from the left end and y from the front edge in mm, and whether the grower set it.
    """
    taken: list[tuple[float, float]] = []
    set_down: dict[str, tuple[float, float]] = {}
    free = []
    for facts in trees:
        place, half_mm = facts.place, width_of(facts) / 2.0
        if place is not None and place.x_mm is not None and place.y_mm is not None:
            set_down[facts.tree.id] = (place.x_mm, place.y_mm)
            taken.append((place.x_mm - half_mm, place.x_mm + half_mm))
        else:
            free.append(facts)
    widths = [width_of(f) for f in free]
    in_row = _around(widths, sorted(taken), bench.length_mm) or _tight(widths, bench.length_mm)
    laid = {f.tree.id: (x_mm, bench.depth_mm / 2.0) for f, x_mm in zip(free, in_row, strict=True)}
    return [(f, *(set_down | laid)[f.tree.id], f.tree.id in set_down) for f in trees]


def _around(
    widths_mm: Sequence[float], taken: Sequence[tuple[float, float]], length_mm: float
) -> list[float] | None:
    """Middles of trees in a row that leaves out what is taken; None where the bench is too short for that."""
    at_mm, middles = _END_MM, []
    for width_mm in widths_mm:
        for left_mm, right_mm in taken:
            if at_mm < right_mm + _GAP_MM and left_mm - _GAP_MM < at_mm + width_mm:
                at_mm = right_mm + _GAP_MM
        middles.append(at_mm + width_mm / 2.0)
        at_mm += width_mm + _GAP_MM
    return middles if at_mm - _GAP_MM <= length_mm - _END_MM + 1e-6 else None


def _tight(widths_mm: Sequence[float], length_mm: float) -> list[float]:
    """Middles of trees in a row as close as the bench demands, whatever else stands there."""
    close = min(1.0, (length_mm - 2 * _END_MM) / max(1.0, sum(w + _GAP_MM for w in widths_mm)))
    at_mm, middles = _END_MM, []
    for width_mm in widths_mm:
        middles.append(at_mm + close * width_mm / 2.0)
        at_mm += close * (width_mm + _GAP_MM)
    return middles


def _bench(
    workspace: Workspace,
    name: str,
    place: BenchPlace,
    trees: Iterable[TreeFacts],
    states: Mapping[str, tuple[str, str]],
) -> Shape:
    spots = spots_of(sorted(trees, key=lambda f: f.tree.id), place)
    return {
        "name": name,
        "kind": place.kind,
        "kind_words": from_data(place.kind),
        "x_mm": place.x_mm,
        "y_mm": place.y_mm,
        "length_mm": place.length_mm,
        "depth_mm": place.depth_mm,
        "given": place.given,
        "spots": [_spot(workspace, *spot, states.get(spot[0].tree.id, ("quiet", ""))) for spot in spots],
    }


def _spot(
    workspace: Workspace, facts: TreeFacts, x_mm: float, y_mm: float, given: bool, state: tuple[str, str]
) -> Shape:
    tree = facts.tree.id
    height_mm, _trunk_mm, _known = sizes_of(facts)
    tall = "" if facts.height_mm is None else _("{height} high").format(height=show.length(facts.height_mm))
    girth = "" if facts.girth_mm is None else show.length(facts.girth_mm)
    return {
        "tree": tree,
        "name": facts.tree.name,
        "botanical_name": facts.taxon.botanical_name if facts.taxon else facts.tree.species,
        "x_mm": x_mm,
        "y_mm": y_mm,
        "given": given,
        "figure": figure_key(workspace, facts),
        "basis": basis_of(facts),
        "width_mm": width_of(facts),
        "height_mm": height_mm,
        "pot_length_mm": None if facts.pot is None else facts.pot.length_mm,
        "pot_depth_mm": None if facts.pot is None else facts.pot.depth_mm,
        "girth_mm": told(facts.girth_mm, girth, f"{tree}:fact:girth_mm"),
        "tall": told(facts.height_mm, tall, f"{tree}:fact:height_mm"),
        "state": state[0],
        "state_words": state[1],
    }
