"""Where traced branches lie over each other on a photo: their widths are refused there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.structure.trace.lines import SeenLine
from ringwise.structure.trace.rules import TraceRules

_MARGIN_PX = 1.0  # blur joins what is nearer
_THIN_PCT = 25.0
_MOST_OF_THIN = 2.0  # a branch is about twice as thick at its base as in its thinner part


def without_overlaps(seen: dict[str, SeenLine], rules: TraceRules) -> dict[str, SeenLine]:
    """The lines of one photo, nothing called clean where another traced branch touches a flank.

    Parameters
    ----------
    seen : dict
        Lines by the id of their branch.
    rules : TraceRules
        From the table.

    Returns
    -------
    dict
        The same lines with fewer clean stations; what a person drew stays.

    Source
    ------
    own: a line is touched where, across it, another one's strip reaches one of its edges.

    Examples
    --------
    >>> without_overlaps({}, None)
    {}
    """
    out = {}
    halves = {id: _half_px(line) for id, line in seen.items()}
    for id, line in seen.items():
        bad = np.zeros(len(line.line_px), dtype=bool)
        half = halves[id]
        for other_id, other in seen.items():
            wide = halves[other_id]
            if other_id != id and _boxes_meet(line.line_px, other.line_px, half, wide):
                bad |= _touched(line, half, other, wide, rules)
        out[id] = replace(line, clean=line.clean & (~bad | line.drawn))
    return out


def _half_px(line: SeenLine) -> FloatArray:
    """Half the strip that a line covers; a trend far above the line's thinner part is that of other wood."""
    known = line.trend_px[np.isfinite(line.trend_px)]
    if len(known) == 0:
        return np.full(len(line.trend_px), _MARGIN_PX)
    most = _MOST_OF_THIN * float(np.percentile(known, _THIN_PCT))
    return 0.5 * np.minimum(np.nan_to_num(line.trend_px, nan=most), most)


def _boxes_meet(a: FloatArray, b: FloatArray, half_a: FloatArray, half_b: FloatArray) -> bool:
    room = float(half_a.max() + half_b.max()) + _MARGIN_PX
    return bool(
        np.all(a.min(axis=0) - room <= b.max(axis=0)) and np.all(b.min(axis=0) - room <= a.max(axis=0))
    )


def _touched(
    line: SeenLine, half: FloatArray, other: SeenLine, wide: FloatArray, rules: TraceRules
) -> BoolArray:
    """Stations of a line at which another line lies on a flank, or over all of it."""
    away = other.line_px[None, :, :] - line.line_px[:, None, :]
    normal = line.normals[:, None, :]
    across = np.abs(np.sum(away * normal, axis=2))
    along = np.abs(away[..., 0] * normal[..., 1] - away[..., 1] * normal[..., 0])
    meets = along < wide[None, :] + _MARGIN_PX
    on_flank = np.abs(across - half[:, None]) < wide[None, :] + _MARGIN_PX
    over_all = across + half[:, None] < wide[None, :]
    thick = wide[None, :] > rules.touch_ratio * half[:, None]
    return np.asarray((meets & (on_flank | over_all) & thick).any(axis=1))
