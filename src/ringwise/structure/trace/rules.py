"""What tracing takes for granted, judges by and calls uncertain: the table `trace`, read once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields
from functools import cache

from ringwise.kit.tables import load_table
from ringwise.structure.photo.edge_snap import SnapRule

TABLE = ("ringwise.structure", "trace")


@dataclass(frozen=True)
class TraceRules:
    """The numbers of the table of tracing by the names of its rows; each row says what it means."""

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
    one_side_sd_frac: float
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
    key_of = {row.parameter: row.key for row in table}

    def numbers(names: Iterable[str]) -> dict[str, float]:
        return {name: table.get(key_of.get(name, ""), name).number for name in names}

    snap = SnapRule(**numbers(each.name for each in fields(SnapRule)))
    return TraceRules(snap=snap, **numbers(each.name for each in fields(TraceRules) if each.name != "snap"))
