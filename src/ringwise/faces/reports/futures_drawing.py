"""Trees, pots and scale bars as SVG: one scale for a page or a row, one height of the soil line."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.faces.reports.futures_markup import Html, join, short, tag
from ringwise.faces.reports.futures_paths import SMALL, tree_paths
from ringwise.futures.view import FuturesView, PotFront
from ringwise.kit import show
from ringwise.kit.words import _
from ringwise.structure.silhouette import Silhouette

WIDTH_PX = 300
TALLEST_PX = 250.0  # the tallest tree on the page, soil to top
SMALL_WIDTH_PX, SMALL_HEIGHT_PX = 150.0, 130.0
MARGIN_PX = 26.0  # above the tallest tree, for its height
FOOT_PX = 34.0  # below the pot, for the scale bar
BARS_MM = (10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0)


@dataclass(frozen=True)
class Scale:
    """Pixels for a millimetre, and what the drawings of a page have to hold."""

    px_per_mm: float
    small_px_per_mm: float
    soil_px: float  # from the top of a drawing down to the soil
    height_px: float
    bar_mm: float
    tallest_mm: float
    half_mm: float  # from the trunk to the furthest wood or pot wall


def scale_of(view: FuturesView, after_years: int | None = None) -> Scale:
    """The scale at which every drawn tree of the page fits, or every one of a year."""
    last = view.horizons[-1]
    cells = [each for each in view.cells if after_years in (None, each.after_years)]
    trees = [tree for cell in cells for tree in (cell.trees if cell.after_years == last else cell.trees[:1])]
    drawn = [each for tree in trees for each in (tree.silhouette, tree.second) if each]
    tallest_mm = max((each.top_mm for each in drawn), default=100.0)
    half_mm = max((max(-each.left_mm, each.right_mm) for each in drawn), default=50.0)
    pots = [each for each in (view.pot, *(cell.pot for cell in cells)) if each is not None]
    pot_half_mm = max((each.length_mm / 2.0 for each in pots), default=0.0)
    depth_mm = max((each.depth_mm for each in pots), default=0.0)
    room_px = WIDTH_PX / 2.0 - 6.0
    px_per_mm = min(TALLEST_PX / tallest_mm, room_px / max(half_mm, pot_half_mm))
    small = min(SMALL_HEIGHT_PX / tallest_mm, SMALL_WIDTH_PX / 2.0 / half_mm)
    soil_px = MARGIN_PX + tallest_mm * px_per_mm
    bar_mm = max((bar for bar in BARS_MM if bar * px_per_mm <= WIDTH_PX / 3.0), default=BARS_MM[0])
    height_px = soil_px + depth_mm * px_per_mm + FOOT_PX
    return Scale(px_per_mm, small, soil_px, height_px, bar_mm, tallest_mm, max(half_mm, pot_half_mm))


def pot_paths(pot: PotFront | None, scale: Scale, centre_px: float, width_px: float = WIDTH_PX) -> Html:
    """The pot in front view below the soil line, or hatched ground for a tree without one."""
    y, k = scale.soil_px, scale.px_per_mm
    if pot is None:
        strokes = "".join(f"M{short(x)} {short(y + 9)}l7-8" for x in np.arange(8.0, width_px - 8.0, 11.0))
        ground = f"M4 {short(y)}h{short(width_px - 8)}"
        return tag("path", class_="thin", d=ground + strokes)
    half, deep = pot.length_mm / 2.0 * k, pot.depth_mm * k
    lip = min(5.0, deep / 4.0)
    draw_in = (0.03 if pot.shape in {"rectangle", "hexagon", "octagon"} else 0.09) * half
    foot = min(4.0, deep / 5.0)
    body = (
        f"M{short(centre_px - half)} {short(y - 1)}h{short(2 * half)}v{short(lip)}h{short(-2 * half)}z"
        f"M{short(centre_px - half + 2)} {short(y - 1 + lip)}"
        f"q1 {short(deep * 0.7)} {short(draw_in)} {short(deep - lip)}"
        f"H{short(centre_px + half - 2 - draw_in)}"
        f"q{short(draw_in - 1)} {short(-deep * 0.3)} {short(draw_in)} {short(lip - deep)}"
    )
    at = f"{short(y + deep - 1)}l2 {short(foot)}h14l2 {short(-foot)}"
    feet = "".join(f"M{short(centre_px + side * half * 0.72 - 9)} {at}" for side in (-1, 1))
    return tag("path", class_="pot", d=body + feet)


def _dimension(drawing: Silhouette, scale: Scale) -> Html:
    """Height as on a drawing: a thin line from the soil to the top with its length beside it."""
    top = scale.soil_px - drawing.top_mm * scale.px_per_mm
    line = f"M3 {short(top)}h10M3 {short(scale.soil_px)}h10M8 {short(top)}V{short(scale.soil_px)}"
    label = tag("text", show.length(drawing.top_mm), x=3, y=top - 7, class_="figure")
    return join(tag("path", class_="thin", d=line), label)


def _bar(scale: Scale) -> Html:
    long_px = scale.bar_mm * scale.px_per_mm
    y = scale.height_px - 8.0
    right = WIDTH_PX - 4.0
    line = f"M{short(right - long_px)} {short(y - 4)}v8m0-4h{short(long_px)}m0-4v8"
    label = tag(
        "text", show.length(scale.bar_mm), x=right - long_px - 6, y=y + 5, class_="figure", text_anchor="end"
    )
    return join(tag("path", class_="thin", d=line), label)


def tree_figure(
    drawing: Silhouette | None, pot: PotFront | None, scale: Scale, names: tuple[str, str, str]
) -> Html:
    """One tree in its pot with height and scale bar; `names` are its id, title and description."""
    key, title, about = names
    centre = WIDTH_PX / 2.0
    if drawing is None:
        words = tag("text", _("lost"), x=centre, y=scale.soil_px - 14, class_="figure", text_anchor="middle")
        inside = join(pot_paths(pot, scale, centre), words)
    else:
        inside = join(
            pot_paths(pot, scale, centre),
            tree_paths(drawing, scale.px_per_mm, centre, scale.soil_px),
            _dimension(drawing, scale),
        )
    return tag(
        "svg",
        tag("title", title, id=f"{key}-t"),
        tag("desc", about, id=f"{key}-d"),
        inside,
        _bar(scale),
        role="img",
        aria_labelledby=f"{key}-t {key}-d",
        class_="tree",
        viewBox=f"0 0 {WIDTH_PX} {short(scale.height_px)}",
        width=WIDTH_PX,
        height=scale.height_px,
    )


def small_figure(drawing: Silhouette | None, scale: Scale, names: tuple[str, str]) -> Html:
    """A further future at the small scale on its piece of soil line; a cross where the tree is lost."""
    key, title = names
    centre, soil = scale.half_mm * scale.small_px_per_mm + 3.0, SMALL_HEIGHT_PX + 3.0
    out = [tag("path", class_="thin", d=f"M1 {short(soil)}h{short(2 * centre - 2)}")]
    if drawing is None:
        cross = f"M{short(centre - 5)} {short(soil - 14)}l10 10m0-10l-10 10"
        out.append(tag("path", class_="thin", d=cross))
    else:
        out.append(tree_paths(drawing, scale.small_px_per_mm, centre, soil, SMALL))
    return tag(
        "svg",
        tag("title", title, id=f"{key}-t"),
        out,
        role="img",
        aria_labelledby=f"{key}-t",
        class_="tree",
        viewBox=f"0 0 {short(2 * centre)} {short(soil + 2)}",
        width=2 * centre,
        height=soil + 2,
    )
