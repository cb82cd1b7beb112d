"""Small trees that are hard to measure in one way each."""

from __future__ import annotations

from dataclasses import replace

from trees.generator import SMALL, Outline, Rules

_BASE = replace(SMALL, height_mm=220.0, base_radius_mm=13.0, branches=(8, 16, 16))

ODD: dict[str, Rules] = {
    "leaning": replace(_BASE, lean_deg=38.0),
    "two trunks": replace(_BASE, twin=0.75),
    "bare": replace(_BASE, branches=(0, 0, 0)),
    "weeping": replace(_BASE, hanging=1.0, rise_deg=(-5.0, 40.0), longest_mm=(170.0, 40.0, 18.0)),
    "thick": replace(_BASE, height_mm=170.0, base_radius_mm=28.0, flare=0.5),
    "thick and lobed": replace(
        _BASE,
        height_mm=150.0,
        base_radius_mm=38.0,
        outline=Outline(flat=0.7, turn_rad=0.3, lobes=((3, 0.16, 0.2), (5, 0.07, 1.0))),
        flare=0.5,
    ),
}
SEED = 4
