"""Draws the ways in which one picture of a tree's life was tried, from an invented tree; see `dial.md`.

    python docs/design/dial/make_sketches.py

Writes the SVG files beside this script. The chosen one is drawn by the app itself and is in `docs/tour`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

HERE = Path(__file__).parent
INK, SECOND, HAIR, FAR, COPPER, WOOD = "#18212b", "#4a5764", "#c3cad1", "#3d5a80", "#9a4a18", "#dfd8cf"
GIRTH_GROWN_MM = (6, 9, 14, 22, 26, 24, 12, 9, 4, 3, 7, 8)  # one invented tree: grown on, potted, cut back
MARKS = ((3, 0.41, "repot"), (6, 0.38, "chop"), (8, 0.60, "layer"), (10, 0.40, "repot"))
WINDOW = (0.36, 0.45)
TODAY = 0.345


def at(frac: float, radius: float) -> tuple[float, float]:
    """A point clockwise from the top."""
    return radius * math.sin(2 * math.pi * frac), -radius * math.cos(2 * math.pi * frac)


def path(points: list[tuple[float, float]]) -> str:
    """A line through points."""
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)


def sweep(start: float, end: float, radius: Callable[[float], float]) -> list[tuple[float, float]]:
    """Points of an arc whose radius may change."""
    count = max(2, math.ceil(abs(end - start) * 120))
    turns = [start + (end - start) * i / count for i in range(count + 1)]
    return [at(turn, radius(turn)) for turn in turns]


def stroke(points: list[tuple[float, float]], colour: str, width: float = 1.5, dash: str = "") -> str:
    """A drawn line."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<path d="{path(points)}" fill="none" stroke="{colour}" stroke-width="{width}"{dashed}/>'


def label(x: float, y: float, text: str, colour: str = INK) -> str:
    """A direct label."""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" fill="{colour}" font-size="15" font-family="sans-serif">{text}</text>'
    )


def equal_rings() -> list[str]:
    """Closed rings of one width: every year weighs alike, growth cannot be seen."""
    parts = []
    for number in range(len(GIRTH_GROWN_MM)):
        parts.append(stroke(sweep(0, 1, lambda _f, n=number: 20.0 + 14.0 * n), INK, 1))
    for year, frac, name in MARKS:
        x, y = at(frac, 20.0 + 14.0 * year)
        parts += [f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="{INK}"/>', label(x + 8, y + 5, name)]
    parts.append(stroke(sweep(*WINDOW, lambda _f: 20.0 + 14.0 * len(GIRTH_GROWN_MM)), COPPER, 8))
    return parts


def spokes() -> list[str]:
    """A year as a spoke: growth is its length; the time within the year has no place."""
    parts = []
    for number, grown_mm in enumerate(GIRTH_GROWN_MM):
        frac = number / (len(GIRTH_GROWN_MM) + 4)
        parts.append(stroke([at(frac, 40), at(frac, 40 + 6 * grown_mm)], INK, 9))
        x, y = at(frac, 52 + 6 * grown_mm)
        parts.append(label(x - 16, y + 5, str(2015 + number), SECOND))
    for ahead in range(4):
        frac = (len(GIRTH_GROWN_MM) + ahead) / (len(GIRTH_GROWN_MM) + 4)
        parts.append(stroke([at(frac, 40), at(frac, 88)], FAR, 9, "4 4"))
    return parts


def bent_line() -> list[str]:
    """A time line bent round once: it reads like a clock of years, and has no size."""
    parts = [
        stroke(sweep(0, 0.75, lambda _f: 170), INK, 3),
        stroke(sweep(0.75, 0.97, lambda _f: 170), FAR, 3, "6 6"),
    ]
    years = len(GIRTH_GROWN_MM)
    for number in range(years):
        frac = 0.75 * number / years
        parts.append(stroke([at(frac, 162), at(frac, 178)], INK))
        x, y = at(frac, 200)
        parts.append(label(x - 16, y + 5, str(2015 + number), SECOND))
    for year, frac, name in MARKS:
        x, y = at(0.75 * (year + frac) / years, 140)
        parts.append(label(x - 16, y + 5, name))
    return parts


def spiral() -> list[str]:
    """One line whose radius is the girth: it rests in winter and moves outward while the tree grows."""
    scale = 150 / sum(GIRTH_GROWN_MM)

    def radius(time: float) -> float:
        year, frac = int(time), time - int(time)
        share = min(1.0, max(0.0, (frac - 0.45) / 0.4))
        grown = sum(GIRTH_GROWN_MM[:year]) + (
            GIRTH_GROWN_MM[year] * share if year < len(GIRTH_GROWN_MM) else 0
        )
        return 4 + scale * grown

    years = len(GIRTH_GROWN_MM)
    wood = sweep(years - 1, years, radius)
    parts = [f'<path d="{path(wood)}Z" fill="{WOOD}"/>', stroke(sweep(0, years + TODAY, radius), INK, 1.2)]
    parts += [stroke(sweep(0, 1, lambda _f, r=r: r), HAIR, 1) for r in (162, 196)]
    parts.append(stroke(sweep(*WINDOW, lambda _f: 180), COPPER, 12))
    parts.append(stroke([at(TODAY, 160), at(TODAY, 210)], INK, 3))
    parts += [stroke(sweep(n, n + 1, lambda f, n=n: 202 + 5 * f), FAR, 1, "4 4") for n in range(3)]
    for year, frac, name in MARKS:
        x, y = at(frac, radius(year + frac))
        parts += [stroke([(x - 6, y - 6), (x + 6, y + 6)], INK, 2.5), label(x + 9, y + 14, name)]
    return parts


def main() -> None:
    """Write all four."""
    for draw in (equal_rings, spokes, bent_line, spiral):
        body = "".join(draw())
        box = 'viewBox="-240 -240 480 480"'
        ground = '<rect x="-240" y="-240" width="480" height="480" fill="#eef0f2"/>'
        text = f'<svg xmlns="http://www.w3.org/2000/svg" {box}>{ground}{body}</svg>\n'
        (HERE / f"{draw.__name__}.svg").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
