"""What tracing takes for granted, judges by and calls uncertain: the table `trace`, read once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from ringwise.kit.tables import load_table
from ringwise.structure.photo.edge_snap import SnapRule

TABLE = ("ringwise.structure", "trace")


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

    def number(key: str, parameter: str) -> float:
        return table.get(key, parameter).number

    return TraceRules(
        snap=SnapRule(
            step_px=number("snap", "step_px"),
            near_px=number("snap", "near_px"),
            edge_zone_px=number("snap", "edge_zone_px"),
            blur_px=number("snap", "blur_px"),
            least_contrast_frac=number("snap", "least_contrast_frac"),
            least_width_px=number("snap", "least_width_px"),
            least_levels_apart=number("snap", "least_levels_apart"),
        ),
        unknown_focal_mm=number("camera", "unknown_focal_mm"),
        frame_diagonal_mm=number("camera", "frame_diagonal_mm"),
        scales_apart_frac=number("camera", "scales_apart_frac"),
        scale_sd_frac=number("camera", "scale_sd_frac"),
        mirrored_px=number("camera", "mirrored_px"),
        station_px=number("line", "station_px"),
        smooth_px=number("line", "smooth_px"),
        click_sd_px=number("line", "click_sd_px"),
        level_deg=number("line", "level_deg"),
        trend_frac=number("width", "trend_frac"),
        trend_mm=number("width", "trend_mm"),
        noise_px=number("width", "noise_px"),
        edge_sd_px=number("width", "edge_sd_px"),
        overlapped_sd_frac=number("width", "overlapped_sd_frac"),
        filled_sd_frac=number("width", "filled_sd_frac"),
        collar_ratio=number("width", "collar_ratio"),
        thin_mm=number("width", "thin_mm"),
        pipe_sd_frac=number("width", "pipe_sd_frac"),
        most_of_parent_frac=number("width", "most_of_parent_frac"),
        node_step_mm=number("nodes", "step_mm"),
        closest_mm=number("nodes", "closest_mm"),
        branch_slope_deg=number("depth", "branch_slope_deg"),
        trunk_slope_deg=number("depth", "trunk_slope_deg"),
        most_slope_deg=number("depth", "most_slope_deg"),
        section_step_mm=number("section", "step_mm"),
        girth_sd_frac=number("section", "girth_sd_frac"),
        level_sd_frac=number("depth", "level_sd_frac"),
        agree_frac=number("width", "agree_frac"),
        touch_ratio=number("width", "touch_ratio"),
        least_clear_frac=number("line", "least_clear_frac"),
        flare_frac=number("trunk", "flare_frac"),
        fork_gap_ratio=number("width", "fork_gap_ratio"),
        steepest_taper_ratio=number("width", "steepest_taper_ratio"),
        lone_mm=number("width", "lone_mm"),
        unlikely_ratio=number("width", "unlikely_ratio"),
    )
