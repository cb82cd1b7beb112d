"""A pot drawn in plain text: one row a slice of height, as wide as the pot is there, shaded by its water."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from ringwise.kit import show
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.pot_section import Cut
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.records.model import Pot

WIDE = 44  # columns of the rim; numbers stand beside it within 80
SHADES = " ░▒▓█"
DRY_V, WET_V = 0.15, 0.75  # shares of water with the lightest and the darkest shade
LEAST_ROWS, MOST_ROWS = 5, 18
TOLD_LEVELS = 9  # heights in the answer as values
_WET_MARK = "┄"


def pot_drawn(workspace: Workspace, pot: Pot) -> tuple[Shape, list[str]]:
    """The water of a pot by height, as values and as a drawing.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    pot : Pot
        A pot; one that was not measured, or the ground, is not drawn.

    Returns
    -------
    tuple
        Keys saturated_layer_cm and water_by_height, both None where nothing is drawn; and the lines.
    """
    from ringwise.desk.pot_cut import cut_empty, cut_now
    from ringwise.desk.pot_section import spread_of, state_of
    from ringwise.rootzone.cut import water_by_height

    if pot.length_mm is None or pot.depth_mm is None or pot.shape == "ground":
        return {"saturated_layer_cm": None, "water_by_height": None}, []
    facts = workspace.facts.get(pot.tree or "")
    cut = cut_empty(workspace, pot) if facts is None or facts.pot != pot else cut_now(workspace, facts)
    water = water_by_height(cut.curve, cut.pot.fill_height_mm, levels=TOLD_LEVELS)
    each = zip(water.heights_mm, water.low_v, water.median_v, water.high_v, strict=True)
    answer: Shape = {
        "saturated_layer_cm": spread_of(state_of(cut).saturated_layer_cm).median,
        "water_by_height": [
            {"height_mm": height, "low_v": low, "theta_v": median, "high_v": high}
            for height, low, median, high in each
        ],
    }
    said = [] if cut.why else list(cut.assumed)
    return answer, ["", *said, _("Water at each height when no more drips out:"), *drawing_of(cut), ""]


def drawing_of(cut: Cut) -> list[str]:
    """The rows of a drawing, from the rim down to the floor.

    Parameters
    ----------
    cut : Cut
        A level pot with the curve of its mix.

    Returns
    -------
    list of str
        At most 80 columns; at the side the height of each row, its water and the span of that.
    """
    from ringwise.desk.pot_section import spread_of, state_of

    pot = cut.pot
    rows = _rows(pot.length_mm, pot.depth_mm)
    edges_mm = np.linspace(pot.fill_height_mm, 0.0, rows + 1)
    middles_mm = (edges_mm[:-1] + edges_mm[1:]) / 2
    drawn = np.asarray(cut.curve.theta_v(middles_mm / 10.0)).reshape(-1, rows)
    low, median, high = np.percentile(drawn, (10, 50, 90), axis=0)
    wet_mm = spread_of(state_of(cut).saturated_layer_cm).median * 10.0
    widths = [_columns(cut, height) for height in middles_mm]
    rim = _columns(cut, pot.depth_mm - pot.base_drop_mm)
    surface = _("rim; the surface {drop} below it").format(drop=show.length(pot.rim_drop_mm))
    lines = [_row(rim, " ", surface)]
    marked = False
    for height, wide, at, least, most in zip(middles_mm, widths, median, low, high, strict=True):
        told = f"{show.length(height):>7}  {show.percent(at):>4}  ({_span(least, most)})"
        if not marked and height <= wet_mm:
            lines.append(_row(wide, _WET_MARK, _wet_words(wet_mm)))
            marked = True
        lines.append(_row(wide, shade(at), told))
    if not marked:
        lines.append(_row(widths[-1], _WET_MARK, _wet_words(wet_mm)))
    lines.append(_floor(cut, widths[-1]))
    return lines


def shade(water_v: float) -> str:
    """The character for a share of water.

    Parameters
    ----------
    water_v : float
        Share of the volume.

    Returns
    -------
    str
        From a blank for dry to a full block for wet.

    Examples
    --------
    >>> shade(0.1), shade(0.4), shade(0.8)
    (' ', '▒', '█')
    """
    place = (water_v - DRY_V) / (WET_V - DRY_V) * len(SHADES)
    return SHADES[min(len(SHADES) - 1, max(0, int(place)))]


def _rows(length_mm: float, depth_mm: float) -> int:
    """Rows for a pot that is `WIDE` columns long; a row is about twice as high as a column is wide."""
    exact = depth_mm / length_mm * WIDE / 2
    return min(MOST_ROWS, max(LEAST_ROWS, round(exact)))


def _columns(cut: Cut, height_mm: float) -> int:
    """Columns of the fill at a height: by its length there, which its area tells where walls slope."""
    pot = cut.pot
    if pot.bottom_length_mm is None:
        return WIDE
    slope = (pot.length_mm - pot.bottom_length_mm) / pot.depth_mm
    length_mm = pot.bottom_length_mm + slope * (height_mm + pot.base_drop_mm)
    return 2 * round(WIDE * length_mm / pot.length_mm / 2)


def _row(wide: int, filled: str, told: str) -> str:
    left = (WIDE - wide) // 2
    return f"{' ' * left}│{filled * wide}│{' ' * left}  {told}".rstrip()


def _floor(cut: Cut, wide: int) -> str:
    """The floor with a gap for each hole, by its place along the length."""
    left = (WIDE - wide) // 2
    floor = ["─"] * wide
    for hole in cut.ready.holes:
        middle = hole.x_mm / cut.pot.length_mm * WIDE + wide / 2
        half = max(0.5, hole.diameter_mm / cut.pot.length_mm * WIDE / 2)
        for column in range(math.floor(middle - half), math.ceil(middle + half)):
            if 0 <= column < wide:
                floor[column] = " "
    return f"{' ' * left}└{''.join(floor)}┘"


def _span(low: float, high: float) -> str:
    from ringwise.desk.pot_section import share_span

    return share_span(low, high) or show.percent(low)


def _wet_words(wet_mm: float) -> str:
    return _("wet through below {height}").format(height=show.length(wet_mm))
