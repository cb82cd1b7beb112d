"""The drawings of a turning as pictures of their own, for paper: black on white, no text but axis ends."""

from __future__ import annotations

from ringwise.faces.reports.futures_drawing import Scale, pot_paths
from ringwise.faces.reports.futures_markup import Html, short, tag
from ringwise.faces.reports.futures_paths import LARGE, tree_paths
from ringwise.futures.view import PotFront
from ringwise.structure.silhouette import Silhouette

SVG = "http://www.w3.org/2000/svg"  # the name of the language; nothing is fetched
_STYLE = (
    ".wood{fill:#000}.edge{fill:none;stroke:#fff;stroke-linejoin:round}"
    ".line{fill:none;stroke:#000;stroke-linecap:round;stroke-linejoin:round}"
    ".thin{fill:none;stroke:#888;stroke-width:1}.pot{fill:#fff;stroke:#333;stroke-width:1}"
    ".figure{fill:#333;font-size:17px;font-family:'Libertinus Serif'}"
    ".dots{fill:none;stroke:#000;stroke-linecap:round}.band{stroke:#000;stroke-width:3}"
    ".median{stroke:#000;stroke-width:1.5}.column{fill:none;stroke:#333}"
)
SIDE_PX = 8.0


def standalone(svg: Html) -> str:
    """A picture of the page as a file of its own."""
    return svg.replace("<svg ", f'<svg xmlns="{SVG}" ', 1).replace(">", f"><style>{_STYLE}</style>", 1)


def tree_picture(drawing: Silhouette | None, pot: PotFront | None, scale: Scale, half_mm: float) -> str:
    """A tree in its pot at the page's scale, cropped to what all trees of the page need."""
    half = half_mm * scale.px_per_mm + SIDE_PX
    inside = [pot_paths(pot, scale, half, 2 * half)]
    if drawing is not None:
        inside.append(tree_paths(drawing, scale.px_per_mm, half, scale.soil_px, LARGE))
    deep = pot.depth_mm * scale.px_per_mm + 6 if pot else 12.0
    top = scale.soil_px - scale.tallest_mm * scale.px_per_mm - 4
    return standalone(
        tag(
            "svg",
            inside,
            viewBox=f"0 {short(top)} {short(2 * half)} {short(scale.soil_px - top + deep)}",
            width=2 * half,
            height=scale.soil_px - top + deep,
        )
    )


def small_picture(drawing: Silhouette | None, scale: Scale, half_mm: float) -> str:
    """One further future at the small scale on its piece of soil line; a cross where the tree is lost."""
    half, soil = half_mm * scale.small_px_per_mm + 2, scale.tallest_mm * scale.small_px_per_mm + 3
    parts = [tag("path", class_="thin", d=f"M1 {short(soil)}h{short(2 * half - 2)}")]
    if drawing is None:
        parts.append(tag("path", class_="thin", d=f"M{short(half - 5)} {short(soil - 14)}l10 10m0-10l-10 10"))
    else:
        parts.append(tree_paths(drawing, scale.small_px_per_mm, half, soil, LARGE))
    box = f"0 0 {short(2 * half)} {short(soil + 2)}"
    return standalone(tag("svg", parts, viewBox=box, width=2 * half, height=soil + 2))
