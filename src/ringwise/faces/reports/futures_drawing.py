"""Trees, pots and scale bars as SVG: one scale for a whole page, soil line at the same height everywhere."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.faces.reports.futures_markup import Html, join, short, tag
from ringwise.futures.view import FuturesView, PotFront
from ringwise.kit import show
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.structure.silhouette import Silhouette

WIDTH_PX = 300
TALLEST_PX = 250.0  # the tallest tree on the page, soil to top
SMALL_WIDTH_PX, SMALL_HEIGHT_PX = 57.0, 66.0
MARGIN_PX = 26.0  # above the tallest tree, for its height
FOOT_PX = 34.0  # below the pot, for the scale bar
HALO_FROM_PX = 2.4  # thinner wood has no room for a light edge
FINE_PX, SMALL_FINE_PX = 0.5, 1.4  # nodes closer than this are one on paper
SMALL_LEAST_PX = 3.2  # a shoot shorter than this is left out of a small drawing
BARS_MM = (10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0)


@dataclass(frozen=True)
class Scale:
    """Pixels for a millimetre, and what the drawings of a page have to hold."""

    px_per_mm: float
    small_px_per_mm: float
    soil_px: float  # from the top of a drawing down to the soil
    height_px: float
    bar_mm: float


def scale_of(view: FuturesView) -> Scale:
    """The one scale at which every tree of the page fits."""
    drawn = [tree.silhouette for cell in view.cells for tree in cell.trees if tree.silhouette]
    tallest_mm = max((each.top_mm for each in drawn), default=100.0)
    half_mm = max((max(-each.left_mm, each.right_mm) for each in drawn), default=50.0)
    pot_half_mm = view.pot.length_mm / 2.0 if view.pot else 0.0
    depth_mm = view.pot.depth_mm if view.pot else 0.0
    room_px = WIDTH_PX / 2.0 - 6.0
    px_per_mm = min(TALLEST_PX / tallest_mm, room_px / max(half_mm, pot_half_mm))
    small = min(SMALL_HEIGHT_PX / tallest_mm, SMALL_WIDTH_PX / 2.0 / half_mm)
    soil_px = MARGIN_PX + tallest_mm * px_per_mm
    bar_mm = max((bar for bar in BARS_MM if bar * px_per_mm <= WIDTH_PX / 3.0), default=BARS_MM[0])
    return Scale(px_per_mm, small, soil_px, soil_px + depth_mm * px_per_mm + FOOT_PX, bar_mm)


_TENTHS = {number: short(number / 10) for number in range(-400, 401)}  # most steps of a drawing are short


def _tenth(number: int) -> str:
    return _TENTHS.get(number) or short(number / 10)


def path_text(points: FloatArray, closed: bool, fine_px: float = FINE_PX) -> str:
    """SVG path data in steps of a tenth of a pixel, nodes that fall together left out."""
    ticks = np.rint(points * 10.0).astype(np.int64).tolist()
    least = fine_px * 10.0
    x, y = ticks[0]
    text = [f"M{_tenth(x)} {_tenth(y)}l"]
    last = len(ticks) - 1
    for number in range(1, last + 1):
        across, down = ticks[number][0] - x, ticks[number][1] - y
        if number < last and abs(across) + abs(down) < least:
            continue
        text.append(_tenth(across) if across < 0 or len(text) == 1 else " " + _tenth(across))
        text.append(_tenth(down) if down < 0 else " " + _tenth(down))
        x, y = ticks[number]
    return "".join(text) + ("z" if closed else "")


def _placed(drawing: Silhouette, px_per_mm: float, centre_px: float, soil_px: float) -> list[FloatArray]:
    """The points of every shape on the page; wood ends at the soil, what lies deeper is the pot's."""
    every = np.concatenate([shape.points_mm for shape in drawing.shapes])
    every = every * np.array([px_per_mm, -px_per_mm]) + np.array([centre_px, soil_px])
    every[:, 1] = np.minimum(every[:, 1], soil_px)
    cuts = np.cumsum([len(shape.points_mm) for shape in drawing.shapes])[:-1]
    return np.split(every, cuts)


def tree_paths(drawing: Silhouette, px_per_mm: float, centre_px: float, soil_px: float) -> Html:
    """The tree itself: outlines from the back to the front, then its twigs, those of one width together."""
    small = px_per_mm * drawing.top_mm < SMALL_HEIGHT_PX + 1.0
    fine_px, least_px = (SMALL_FINE_PX, SMALL_LEAST_PX) if small else (FINE_PX, 0.0)
    out: list[Html] = []
    twigs: dict[float, list[str]] = {}
    for shape, points in zip(drawing.shapes, _placed(drawing, px_per_mm, centre_px, soil_px), strict=True):
        if small and float((points.max(axis=0) - points.min(axis=0)).max()) < least_px:
            continue
        text = path_text(points, shape.width_mm == 0.0, fine_px)
        if shape.width_mm > 0.0:
            width_px = max(0.3, shape.width_mm * px_per_mm)
            twigs.setdefault(round(width_px, 1 if small else 2), []).append(text)
            continue
        out.append(tag("path", class_="wood", d=text))
        if not small and _thick_px(points) >= HALO_FROM_PX:
            sides = points[1 : len(points) - shape.foot - 1] if shape.foot else points
            out.append(tag("path", class_="edge", d=path_text(sides, False, fine_px)))
    lines = [
        tag("path", class_="line", d="".join(texts), stroke_width=f"{width_px:.2f}")
        for width_px, texts in sorted(twigs.items(), reverse=True)
    ]
    return join(out, lines)


def _thick_px(points: FloatArray) -> float:
    """Rough mean width of an outline: its area over half its way round."""
    x, y = points[:, 0], points[:, 1]
    area = abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2.0
    around = float(np.linalg.norm(points - np.roll(points, -1, axis=0), axis=1).sum())
    return 2.0 * area / max(around, 1e-6)


def pot_paths(pot: PotFront | None, scale: Scale, centre_px: float) -> Html:
    """The pot in front view below the soil line, or hatched ground for a tree without one."""
    y, k = scale.soil_px, scale.px_per_mm
    if pot is None:
        strokes = "".join(f"M{short(x)} {short(y + 9)}l7-8" for x in np.arange(8.0, WIDTH_PX - 8.0, 11.0))
        ground = f"M4 {short(y)}h{WIDTH_PX - 8}"
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


def small_figures(drawings: list[Silhouette | None], scale: Scale, names: tuple[str, str]) -> Html:
    """Further futures in a row at the small scale, each on its own piece of soil line."""
    key, title = names
    step, soil = WIDTH_PX / 5.0, SMALL_HEIGHT_PX + 4.0
    out: list[Html] = []
    for number, drawing in enumerate(drawings[:5]):
        centre = (number + 0.5) * step
        ground = f"M{short(centre - step / 2 + 4)} {short(soil)}h{short(step - 8)}"
        out.append(tag("path", class_="thin", d=ground))
        if drawing is None:
            cross = f"M{short(centre - 5)} {short(soil - 14)}l10 10m0-10l-10 10"
            out.append(tag("path", class_="thin", d=cross))
        else:
            out.append(tree_paths(drawing, scale.small_px_per_mm, centre, soil))
    return tag(
        "svg",
        tag("title", title, id=f"{key}-t"),
        out,
        role="img",
        aria_labelledby=f"{key}-t",
        class_="tree",
        viewBox=f"0 0 {WIDTH_PX} {short(soil + 3)}",
        width=WIDTH_PX,
        height=soil + 3,
    )
