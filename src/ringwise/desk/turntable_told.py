"""What a measured turn is told as: documented keys for programs, lines for people."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from ringwise.desk.lives import plain
from ringwise.kit import show
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.turntable_result import TurnResult
    from ringwise.structure.measured import MeasuredTree

_BIG_BRANCHES = 8  # as many are told in words; all of them are in the JSON answer and the files


def turn_data(result: TurnResult) -> dict[str, Any]:
    """The documented keys of a measured turn.

    Parameters
    ----------
    result : TurnResult
        Any.

    Returns
    -------
    dict
        segments, girth_mm, height_mm, branches, tips, total_length_mm, volume_cm3, quality.
    """
    from ringwise.structure.branching import branches

    measured = result.measured
    table = measured.table
    end = table.end_mm
    answer: dict[str, Any] = {
        "segments": _segments(measured),
        "girth_mm": {f"{each.height_mm:g}": round(float(each.girth_mm), 3) for each in _rounded(measured)},
        "height_mm": float(end[:, 2].max()),
        "branches": [
            {
                "height_mm": branch.height_mm,
                "azimuth_deg": branch.heading_deg,
                "angle_deg": branch.angle_deg,
                "base_diameter_mm": branch.base_diameter_mm,
                "length_mm": branch.length_mm,
                "order": branch.order,
                "parent": branch.parent,
            }
            for branch in branches(measured, twigs=True)
        ],
        "tips": result.quality.get("tips", int((table.continued_by < 0).sum())),
        "total_length_mm": result.quality.get("total_length_mm", float(table.length_mm.sum())),
        "volume_cm3": result.quality.get("volume_cm3"),
        "quality": result.quality,
    }
    shaped: dict[str, Any] = plain(answer)
    return shaped


def _rounded(measured: MeasuredTree) -> tuple[Any, ...]:
    """Sections at heights in tenths of a mm, so that the keys of a map read well."""
    from dataclasses import replace

    return tuple(replace(each, height_mm=round(float(each.height_mm), 1)) for each in measured.sections)


def _segments(measured: MeasuredTree) -> list[dict[str, Any]]:
    from ringwise.structure.measured import How

    table = measured.table
    origin = np.asarray(measured.origin_mm)
    start, end = table.start_mm + origin, table.end_mm + origin
    lower, upper = 0.5 * table.diameter_mm, 0.5 * table.end_diameter_mm
    return [
        {
            "start_mm": [round(float(value), 4) for value in start[row]],
            "end_mm": [round(float(value), 4) for value in end[row]],
            "start_radius_mm": float(lower[row]),
            "end_radius_mm": float(upper[row]),
            "parent": int(table.parent[row]),
            "order": int(table.order[row]),
            "radius_sd_mm": float(measured.radius_sd_mm[row]),
            "position_sd_mm": float(measured.position_sd_mm[row]),
            "how": How(int(measured.how[row])).name.lower(),
        }
        for row in range(table.n)
    ]


def turn_lines(result: TurnResult) -> tuple[str, ...]:
    """A measured turn in words.

    Parameters
    ----------
    result : TurnResult
        Any.

    Returns
    -------
    tuple of str
        Lines for the terminal.
    """
    from ringwise.structure.branching import branches

    measured, quality = result.measured, result.quality
    table = measured.table
    found = branches(measured, twigs=True)
    told = [
        _("height {height}, {branches}, {tips}").format(
            height=show.length(float(table.end_mm[:, 2].max())),
            branches=counted("{n} branch", "{n} branches", len(found)),
            tips=_tips(quality),
        ),
        *_girths(measured),
        _("wood {volume} cm3, {length} of branches in all").format(
            volume=show.fixed(float(quality.get("volume_cm3") or 0.0), 1),
            length=show.length(float(quality.get("total_length_mm") or 0.0)),
        ),
    ]
    big = sorted(found, key=lambda each: -each.base_diameter_mm)[:_BIG_BRANCHES]
    told += [
        _("branch at {height}: {diameter} thick, {length} long, {angle} degrees from the upright").format(
            height=show.length(branch.height_mm),
            diameter=show.fine(branch.base_diameter_mm),
            length=show.length(branch.length_mm),
            angle=round(branch.angle_deg),
        )
        for branch in sorted(big, key=lambda each: each.height_mm)
    ]
    return (*told, *quality_lines(result))


def _tips(quality: dict[str, Any]) -> str:
    low, high = quality.get("tips_low"), quality.get("tips_high")
    if low is None or high is None:
        return counted("{n} tip", "{n} tips", int(quality.get("tips", 0)))
    return _("{n} tips ({low} to {high})").format(n=quality["tips"], low=low, high=high)


def _girths(measured: MeasuredTree) -> list[str]:
    if not measured.sections:
        return []
    chosen = measured.sections[:: max(1, len(measured.sections) // 6)]
    parts = ", ".join(
        _("{girth} at {height}").format(
            girth=show.length(float(each.girth_mm)), height=show.length(float(each.height_mm))
        )
        for each in chosen
    )
    return [_("girth {parts}").format(parts=parts)]


def quality_lines(result: TurnResult) -> tuple[str, ...]:
    """How well a turn was measured, in words.

    Parameters
    ----------
    result : TurnResult
        Any.

    Returns
    -------
    tuple of str
        Lines.
    """
    quality = result.quality
    polarity = {
        "dark_on_light": _("dark wood before a light backdrop"),
        "light_on_dark": _("light wood before a dark backdrop"),
    }.get(str(quality["polarity"]), _("wood darker than the backdrop on some photos and lighter on others"))
    told = [
        _("{n} photos used, {polarity}; widest gap between two of them {gap} degrees").format(
            n=quality["photos"], polarity=polarity, gap=round(quality["largest_gap_deg"])
        )
    ]
    if quality.get("rod"):
        rod = quality["rod"]
        told.append(
            _("the rod of {known} measures {measured}: edges moved by {shift} mm").format(
                known=show.fine(rod["known_mm"]),
                measured=show.fine(rod["measured_mm"]),
                shift=show.fixed(rod["edge_shift_mm"], 2),
            )
        )
    if quality.get("pot_width_mm"):
        told.append(_("the pot measures {width} across").format(width=show.length(quality["pot_width_mm"])))
    told += [str(note) for note in quality["notes"]]
    told += [str(each["words"]) for each in quality.get("warnings", ())]
    told += [_("left out: {photo}").format(photo=each.line) for each in result.refused]
    return tuple(told)
