"""A line drawing as SVG text: few paths, whole numbers, colours by class so that a page can set its own."""

from __future__ import annotations

from collections import defaultdict
from html import escape

import numpy as np

from ringwise.structure.line_marks import LineDrawing, Mark

UNITS_PER_PX = 4.0  # coordinates are whole quarters of a pixel
_DASH = "9 6"  # in pixels
# The look's names with its light values; a page that sets the names (or is dark) has its own.
_STYLE = (
    ".t{--i:var(--ink,#18212b);--f:var(--far,#3d5a80);--h:var(--hair,#c3cad1);--s:var(--ink-2,#4a5764)}"
    "@media(prefers-color-scheme:dark){.t{--i:var(--ink,#e6eaee);--f:var(--far,#8fb0d6);"
    "--h:var(--hair,#37424d);--s:var(--ink-2,#a9b4bf)}}"
    ".t path{fill:none;stroke:var(--i);stroke-linecap:round;stroke-linejoin:round}"
    ".t .gone,.t .gone_twig{stroke:var(--f)}.t .hair{stroke:var(--h)}"
    ".t text{fill:var(--s);font-family:Barlow,sans-serif;font-variant-numeric:tabular-nums}"
)


def svg(drawn: LineDrawing, *, title: str = "") -> str:
    """The drawing as SVG that can stand alone or in a page.

    Parameters
    ----------
    drawn : LineDrawing
        From `line_drawing`.
    title : str
        What a screen reader says of it.

    Returns
    -------
    str
        One `svg` element with a `viewBox`, as wide and high as its plain size in pixels.

    Source
    ------
    own: relative line-to commands of SVG path data, whole numbers.

    Examples
    --------
    >>> from ringwise.structure.line_drawing import line_drawing
    >>> from ringwise.structure.table import single_segment
    >>> text = svg(line_drawing(single_segment(length_mm=400.0, diameter_mm=30.0)), title="A whip")
    >>> text.startswith("<svg "), text.count("<title>A whip</title>")
    (True, 1)
    """
    unit_mm = drawn.mm_per_px / UNITS_PER_PX
    wide = round((drawn.right_mm - drawn.left_mm) / unit_mm)
    high = round((drawn.high_mm - drawn.low_mm) / unit_mm)
    groups: dict[tuple[str, float], list[Mark]] = defaultdict(list)
    for mark in drawn.marks:
        groups[mark.layer, round(mark.width_mm / unit_mm, 1)].append(mark)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="t" role="img" viewBox="0 0 {wide} {high}" '
        f'width="{wide / UNITS_PER_PX:.0f}" height="{high / UNITS_PER_PX:.0f}">',
        f"<title>{escape(title)}</title>" if title else "",
        f"<style>{_STYLE}</style>",
    ]
    for (layer, width), marks in sorted(groups.items(), key=lambda each: each[0]):
        dash = ' stroke-dasharray="' + _dashes() + '"' if layer == "gone" else ""
        text = "".join(_path(mark, drawn, unit_mm) for mark in marks)
        parts.append(f'<path class="{layer}" stroke-width="{width:g}"{dash} d="{text}"/>')
    for each in drawn.labels:
        x = round((each.x_mm - drawn.left_mm) / unit_mm)
        y = round((drawn.high_mm - each.y_mm) / unit_mm)
        turn = f' transform="rotate(-90 {x} {y})"' if each.turned else ""
        size = f"{14 * UNITS_PER_PX:g}"
        parts.append(
            f'<text x="{x}" y="{y}" font-size="{size}" text-anchor="{each.anchor}"{turn}>'
            f"{escape(each.text)}</text>"
        )
    return "".join(parts) + "</svg>\n"


def _dashes() -> str:
    return " ".join(f"{float(each) * UNITS_PER_PX:g}" for each in _DASH.split())


def _path(mark: Mark, drawn: LineDrawing, unit_mm: float) -> str:
    flat = np.column_stack([mark.points_mm[:, 0] - drawn.left_mm, drawn.high_mm - mark.points_mm[:, 1]])
    nodes = np.rint(flat / unit_mm).astype(np.int64)
    steps = np.diff(nodes, axis=0)
    steps = steps[np.any(steps != 0, axis=1)].tolist()
    x, y = nodes[0].tolist()
    return f"M{x} {y}" + ("l" + " ".join(f"{dx} {dy}" for dx, dy in steps) if steps else "h0")
