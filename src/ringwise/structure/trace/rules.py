"""What tracing takes for granted, judges by and calls uncertain: the table `trace`, read once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from ringwise.kit.tables import load_table
from ringwise.structure.photo.edge_snap import SnapRule

TABLE = ("ringwise.structure", "trace")
_SNAP = (
    "step_px",
    "near_px",
    "edge_zone_px",
    "blur_px",
    "least_contrast_frac",
    "least_width_px",
    "least_apart_index",
)
_ROWS = {  # the names of the rules under each key of the table
    "camera": (
        "unknown_focal_mm",
        "frame_diagonal_mm",
        "scales_apart_frac",
        "scale_sd_frac",
        "mirrored_px",
    ),
    "line": (
        "station_px",
        "smooth_px",
        "click_sd_px",
        "level_deg",
        "least_clear_frac",
    ),
    "width": (
        "trend_frac",
        "trend_mm",
        "noise_px",
        "edge_sd_px",
        "overlapped_sd_frac",
        "filled_sd_frac",
        "collar_ratio",
        "thin_mm",
        "pipe_sd_frac",
        "most_of_parent_frac",
        "agree_frac",
        "touch_ratio",
        "fork_gap_ratio",
        "steepest_taper_ratio",
        "lone_mm",
        "unlikely_ratio",
    ),
    "nodes": (
        "node_step_mm",
        "closest_mm",
    ),
    "depth": (
        "branch_slope_deg",
        "trunk_slope_deg",
        "most_slope_deg",
        "level_sd_frac",
    ),
    "section": (
        "section_step_mm",
        "girth_sd_frac",
    ),
    "trunk": ("flare_frac",),
}


@dataclass(frozen=True)
class TraceRules:
    """The numbers of the table of tracing, grouped as there; each row says what it means."""

    snap: SnapRule
    unknown_focal_mm: float
    frame_diagonal_mm: float
    scales_apart_frac: float
    scale_sd_frac: float
    mirrored_px: float
    station_px: float
    smooth_px: float
    click_sd_px: float
    level_deg: float
    trend_frac: float
    trend_mm: float
    noise_px: float
    edge_sd_px: float
    overlapped_sd_frac: float
    filled_sd_frac: float
    collar_ratio: float
    thin_mm: float
    pipe_sd_frac: float
    most_of_parent_frac: float
    node_step_mm: float
    closest_mm: float
    branch_slope_deg: float
    trunk_slope_deg: float
    most_slope_deg: float
    section_step_mm: float
    girth_sd_frac: float
    level_sd_frac: float
    agree_frac: float
    touch_ratio: float
    least_clear_frac: float
    flare_frac: float
    fork_gap_ratio: float
    steepest_taper_ratio: float
    lone_mm: float
    unlikely_ratio: float


@cache
def trace_rules() -> TraceRules:
    """The rules of tracing.

    Returns
    -------
    TraceRules
        From the table.

    Raises
    ------
    ParameterError
        If a row is missing or is no number.

    Source
    ------
    own: table `trace`, every row assumed, with its range.

    Examples
    --------
    >>> trace_rules().thin_mm
    3.0
    """
    table = load_table(*TABLE)
    numbers = {name: table.get(key, name).number for key, names in _ROWS.items() for name in names}
    return TraceRules(snap=SnapRule(*(table.get("snap", name).number for name in _SNAP)), **numbers)
