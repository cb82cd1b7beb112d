"""Trunk, flare and the joints of its branches as one smooth closed surface; what is thinner stays tubes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np

from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray, IntArray
from ringwise.structure.measured import Section
from ringwise.structure.mesh.nebari import AROUND, drawn_flare, root_pieces
from ringwise.structure.mesh.node_radius import upper_radius_mm
from ringwise.structure.mesh.tubes import TreeMesh
from ringwise.structure.orders import Axes
from ringwise.structure.table import Flag, SegmentTable

NEAR_CELLS = 3.0  # cells from the surface beyond which none is crossed
NARROW_CELLS = 2.0  # cells round the wood in which the field is needed


@dataclass(frozen=True)
class SkinRules:
    """Grid of the skin and width of its blends, from the table of the mesh."""

    cells_per_radius: int
    least_cells_ratio: float
    most_cells: int
    blend_ratio: float
    root_blend_ratio: float
    stub_ratio: float


@dataclass(frozen=True)
class Strand:
    """One line of wood in the skin: tapered pieces (foot, top, two radii), their segments, its blend."""

    pieces: FloatArray  # (k, 8)
    rows: IntArray
    blend_mm: float = 0.0


@dataclass(frozen=True)
class Skin:
    """What of the tree is skin: strands, the trunk's first, and how far along each axis it reaches, in mm.

    `flare` is the drawn widening at the foot, as `outlines` gives measured ones; it yields to those.
    """

    strands: tuple[Strand, ...]
    cell_mm: float
    reach_mm: dict[int, float] = field(default_factory=dict)
    flare: tuple[FloatArray, FloatArray] | None = None


@cache
def skin_rules() -> SkinRules:
    """How the skin is made.

    Returns
    -------
    SkinRules
        Values from the table of the mesh.

    Source
    ------
    own: table `mesh`, rows `skin`.

    Examples
    --------
    >>> skin_rules().blend_ratio
    0.3
    """
    row = load_table("ringwise.structure", "mesh").of("skin")
    return SkinRules(
        round(row["cells_per_radius"].number),
        row["least_cells_ratio"].number,
        round(row["most_cells"].number),
        row["blend_ratio"].number,
        row["root_blend_ratio"].number,
        row["stub_ratio"].number,
    )


def skin_of(
    table: SegmentTable, lines: Axes, *, root_sectors: Sequence[bool] | None = None, drawn_roots: bool = False
) -> Skin:
    """Which wood belongs to the skin: the trunk while it is thick, and the foot of each thick branch.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    lines : Axes
        Its axes.
    root_sectors : sequence of bool, optional
        For each hour from 1 to 12 whether a surface root is seen.
    drawn_roots : bool
        Whether to draw surface roots, which no table holds.

    Returns
    -------
    Skin
        Strands and how much of each axis they take.

    Source
    ------
    own: table `mesh`, rows `skin`; surface roots are drawing only.

    Examples
    --------
    >>> from ringwise.structure.orders import axes
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> len(skin_of(stem, axes(stem)).strands)
    1
    """
    rules = skin_rules()
    trunk = lines.of(0)
    own = trunk[(table.flags[trunk] & Flag.FLARE) == 0]
    stem_mm = float(table.diameter_mm[own[0] if len(own) else 0]) / 2.0
    slender_ratio = float(table.end_mm[:, 2].max()) / (2.0 * stem_mm)
    roots, flare = [], None
    if drawn_roots:
        flare = drawn_flare(2.0 * stem_mm, slender_ratio, root_sectors)
        for pieces in root_pieces(2.0 * stem_mm, slender_ratio, root_sectors):
            blend_mm = rules.root_blend_ratio * float(pieces[:, 6].mean())
            roots.append(Strand(pieces, np.zeros(len(pieces), np.int64), blend_mm))
    cell_mm = stem_mm / rules.cells_per_radius
    while True:
        skin = _thick_enough(table, lines, cell_mm, Skin(tuple(roots), cell_mm, {}, flare))
        if not skin.strands:
            return skin
        # A long thin trunk needs wider cells than wished, and less of it is thick enough for those.
        needed_mm = float(_grid(skin, 1.0)[0][3])
        if needed_mm <= cell_mm * (1.0 + 1e-9):
            return skin
        cell_mm = needed_mm


def _thick_enough(table: SegmentTable, lines: Axes, cell_mm: float, drawn: Skin) -> Skin:
    """Trunk and feet of branches that a grid of these cells can hold; nothing where the trunk is too thin."""
    rules = skin_rules()
    radius, upper = table.diameter_mm / 2.0, upper_radius_mm(table)
    trunk = lines.of(0)
    least_mm = rules.least_cells_ratio * cell_mm
    thin = np.nonzero(np.minimum(upper[trunk], radius[trunk]) < least_mm)[0]
    trunk = trunk[: int(thin[0]) if len(thin) else len(trunk)]
    if len(trunk) == 0:
        return Skin((), cell_mm)
    pieces = np.column_stack([table.start_mm[trunk], table.end_mm[trunk], radius[trunk], upper[trunk]])
    strands = [Strand(pieces, trunk)]
    reach_mm = {0: float(table.length_mm[trunk].astype(np.float64).sum())}
    heads = lines.heads
    bearing = np.isin(table.parent[heads], trunk) & (radius[heads] >= least_mm)
    for axis in np.nonzero(bearing)[0].tolist():
        head = int(heads[axis])
        inside_mm, own_mm = float(upper[table.parent[head]]), float(radius[head])
        strand, reach_mm[axis] = _stub(table, lines.of(axis), inside_mm + rules.stub_ratio * own_mm)
        strands.append(Strand(strand.pieces, strand.rows, rules.blend_ratio * min(own_mm, inside_mm)))
    return Skin((*strands, *drawn.strands), cell_mm, reach_mm, drawn.flare)


def _stub(table: SegmentTable, rows: IntArray, wanted_mm: float) -> tuple[Strand, float]:
    """The foot of a branch, cut at the wanted length; the length there is."""
    radius, upper = table.diameter_mm / 2.0, upper_radius_mm(table)
    along_mm, pieces, used = 0.0, [], []
    for row in rows.tolist():
        length_mm = float(table.length_mm[row])
        share = min(1.0, (wanted_mm - along_mm) / length_mm)
        top = table.start_mm[row] + share * (table.end_mm[row] - table.start_mm[row])
        top_radius = radius[row] + share * (upper[row] - radius[row])
        pieces.append(np.concatenate([table.start_mm[row], top, [radius[row], top_radius]]))
        used.append(row)
        along_mm += share * length_mm
        if share < 1.0 or along_mm >= wanted_mm:
            break
    return Strand(np.array(pieces), np.array(used)), along_mm


def outlines(
    sections: Sequence[Section], trunk: Strand, around: int = AROUND
) -> tuple[FloatArray, FloatArray]:
    """Measured outlines as shares of the round trunk at their heights, fading out above the highest.

    Parameters
    ----------
    sections : sequence of Section
        Outlines, by height.
    trunk : Strand
        The trunk's pieces.
    around : int
        Directions in which each is kept.

    Returns
    -------
    (k,) float, (k, around) float
        Heights in mm, and radius against the round one, anticlockwise from +x; empty without outlines.

    Source
    ------
    own: below the lowest outline its shape is kept, above the highest it turns round within a diameter.

    Examples
    --------
    >>> from ringwise.structure.section import section_of
    >>> trunk = Strand(np.array([[0.0, 0.0, 0.0, 0.0, 0.0, 90.0, 20.0, 20.0]]), np.zeros(1, int))
    >>> heights, ratios = outlines([section_of(30.0, [25.0] * 8)], trunk)
    >>> heights.tolist(), ratios[:, 0].tolist()
    ([30.0, 70.0], [1.25, 1.0])
    """
    if not sections:
        return np.zeros(0), np.zeros((0, around))
    nodes = np.append(trunk.pieces[:, 2], trunk.pieces[-1, 5])
    round_mm = np.append(trunk.pieces[:, 6], trunk.pieces[-1, 7])
    upward = np.argsort(nodes, kind="stable")
    heights, ratios = [], []
    turn = np.arange(around) / around
    for each in sections:
        here_mm = float(np.interp(each.height_mm, nodes[upward], round_mm[upward]))
        measured = np.append(each.radii_mm, each.radii_mm[:1]).astype(np.float64)
        radii = np.interp(turn, np.linspace(0.0, 1.0, len(measured)), measured)
        heights.append(each.height_mm)
        ratios.append(radii / here_mm)
    heights.append(heights[-1] + 2.0 * here_mm)
    ratios.append(np.ones(around))
    return np.array(heights), np.array(ratios)


def skin_mesh(skin: Skin, sections: Sequence[Section] = ()) -> TreeMesh:
    """The closed surface round all strands of a skin.

    Parameters
    ----------
    skin : Skin
        Strands, the trunk's first.
    sections : sequence of Section
        Measured outlines of the trunk, which it then follows.

    Returns
    -------
    TreeMesh
        One closed surface, flat on the soil where the trunk stands at height 0.

    Source
    ------
    own: distance field of tapered pieces with blended joints, one vertex a crossed cell of the grid.

    Examples
    --------
    >>> trunk = Strand(np.array([[0.0, 0.0, 0.0, 0.0, 0.0, 90.0, 20.0, 15.0]]), np.zeros(1, int))
    >>> round(float(skin_mesh(Skin((trunk,), 2.0)).positions[:, 2].max()))
    105
    """
    from ringwise.structure.mesh import skin_kernels

    trunk = skin.strands[0]
    outline = outlines(sections, trunk)
    if skin.flare is not None and not sections:
        outline = skin.flare
    swell_ratio = max(1.0, float(outline[1].max())) if outline[1].size else 1.0
    grid, shape = _grid(skin, swell_ratio)
    cell_mm = float(grid[3])
    values = np.full(shape, skin_kernels.FAR_MM, np.float32)
    owner = np.zeros(shape, np.int32)
    none = (np.zeros(0), np.zeros((0, 1)))
    # The outline's field is steeper than one where it is lobed: more room is filled round it.
    reach = np.array([NARROW_CELLS * cell_mm + _widest_blend_mm(skin), swell_ratio])
    skin_kernels.lay_line(trunk.pieces, trunk.rows, outline, grid, reach, values, owner)
    for strand in skin.strands[1:]:
        reach = np.array([NARROW_CELLS * cell_mm + strand.blend_mm, 1.0])
        corner, size = _corner(strand, grid, shape, reach[0])
        scratch = np.full(size, skin_kernels.FAR_MM, np.float32)
        mine = np.zeros(size, np.int32)
        small = np.append(grid[:3] + corner * cell_mm, cell_mm)
        skin_kernels.lay_line(strand.pieces, strand.rows, none, small, reach, scratch, mine)
        skin_kernels.blend_line(scratch, mine, corner, max(strand.blend_mm, 1e-6), values, owner)
    standing = np.zeros(int(max(each.rows.max() for each in skin.strands)) + 1, np.bool_)
    standing[trunk.rows[: _standing(trunk)]] = True
    skin_kernels.cut_flat(values, owner, standing, float(trunk.pieces[0, 2]), grid)
    near_mm = NEAR_CELLS * cell_mm if _gentle(skin) and not outline[1].size else 2.0 * skin_kernels.FAR_MM
    skin_kernels.mend(values, np.float32(near_mm), np.float32(skin_kernels.NUDGE * cell_mm))
    return _netted(values, owner, grid)


def _netted(values: Any, owner: Any, grid: FloatArray) -> TreeMesh:
    from ringwise.structure.mesh import skin_kernels

    cells, edges = skin_kernels.crossings(values)
    out = (np.empty((cells, 3), np.float32), np.empty((cells, 3), np.float32), np.empty(cells, np.uint32))
    numbers = np.full(values.shape, -1, np.int32)
    skin_kernels.net_vertices(values, owner, grid, numbers, out)
    triangles = np.empty((2 * edges, 3), np.uint32)
    filled = skin_kernels.net_faces(values, numbers, triangles)
    return TreeMesh(out[0], out[1], triangles[:filled], out[2])


def _standing(trunk: Strand) -> int:
    """How many pieces of the trunk stand in the soil by their round feet; a cascade's may hang below it."""
    clear = trunk.pieces[:, 2] - trunk.pieces[0, 2] >= trunk.pieces[:, 6]
    return int(np.argmax(clear)) if clear.any() else len(clear)


def _gentle(skin: Skin) -> bool:
    """Whether no piece widens faster than it is long: then the field is nowhere steeper than two."""
    pieces = np.concatenate([each.pieces for each in skin.strands])
    long_mm = np.linalg.norm(pieces[:, 3:6] - pieces[:, :3], axis=1)
    return bool((np.abs(pieces[:, 7] - pieces[:, 6]) <= long_mm).all())


def _widest_blend_mm(skin: Skin) -> float:
    return max((each.blend_mm for each in skin.strands), default=0.0)


def _span(pieces: FloatArray, swell_ratio: float) -> tuple[FloatArray, FloatArray]:
    radius = np.maximum(pieces[:, 6], pieces[:, 7])[:, None] * swell_ratio
    low = np.minimum(pieces[:, :3], pieces[:, 3:6]) - radius
    high = np.maximum(pieces[:, :3], pieces[:, 3:6]) + radius
    return low.min(axis=0), high.max(axis=0)


def _grid(skin: Skin, swell_ratio: float) -> tuple[FloatArray, tuple[int, int, int]]:
    """Where the grid begins and how wide its cells are; wider than wished where there would be too many."""
    rules = skin_rules()
    trunk = skin.strands[0]
    level_mm = float(trunk.pieces[0, 2])
    soil = trunk.rows[: _standing(trunk)]
    lows, highs = [], []
    for number, each in enumerate(skin.strands):
        cut = np.isin(each.rows, soil)  # of these what lies below the soil is cut off
        for pieces, floor_mm in ((each.pieces[cut], level_mm), (each.pieces[~cut], -np.inf)):
            if len(pieces):
                low, high = _span(pieces, 1.0 if number else swell_ratio)
                lows.append(np.maximum(low, [-np.inf, -np.inf, floor_mm]))
                highs.append(high)
    low, high = np.min(lows, axis=0), np.max(highs, axis=0)
    cell_mm = skin.cell_mm
    while True:
        counts = np.ceil((high - low) / cell_mm).astype(np.int64) + 6
        if np.prod(counts) <= rules.most_cells:
            break
        cell_mm *= max(1.02, float(np.prod(counts) / rules.most_cells) ** (1.0 / 3.0))
    a, b, c = (int(each) for each in counts)
    return np.append(low - 3.0 * cell_mm, cell_mm), (a, b, c)


def _corner(
    strand: Strand, grid: FloatArray, shape: tuple[int, int, int], reach_mm: float
) -> tuple[IntArray, tuple[int, int, int]]:
    """The cells of the grid that a strand can reach: the first, and how many each way."""
    low, high = _span(strand.pieces, 1.0)
    first = np.floor((low - reach_mm - grid[:3]) / grid[3]).astype(np.int64)
    last = np.ceil((high + reach_mm - grid[:3]) / grid[3]).astype(np.int64) + 1
    first, last = np.clip(first, 0, shape), np.clip(last, 0, shape)
    a, b, c = (int(each) for each in np.maximum(last - first, 0))
    return first, (a, b, c)
