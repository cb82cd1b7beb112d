"""What a sketch or a plan takes for granted where nobody measured: judged numbers, as data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from ringwise.kit.tables import load_table

TABLE = ("ringwise.structure", "drawing")


@dataclass(frozen=True)
class Drawing:
    """Sizes and shares for drawing only; no measure or forecast stands on them.

    `height_to_trunk_ratio` stands in for height or trunk where one is unknown; `spread_ratio` is the width
    that a tree keeps on a bench against its height; the others are shares of a plain sketch.
    """

    unknown_height_mm: float
    height_to_trunk_ratio: float
    spread_ratio: float
    widest_mm: float
    flare_ratio: float
    limb_tip_ratio: float
    whip_limb_ratio: float


@cache
def drawing() -> Drawing:
    """What is taken for granted in sketches and plans.

    Returns
    -------
    Drawing
        Values from the table of drawing, read once.

    Raises
    ------
    ParameterError
        If a row is missing or is no number.

    Source
    ------
    own: table `drawing`, every row assumed, with its range.

    Examples
    --------
    >>> drawing().unknown_height_mm
    350.0
    """
    table = load_table(*TABLE)

    def number(key: str, parameter: str) -> float:
        return table.get(key, parameter).number

    return Drawing(
        unknown_height_mm=number("unknown_size", "height_mm"),
        height_to_trunk_ratio=number("unknown_size", "height_to_trunk_ratio"),
        spread_ratio=number("bench_width", "to_height_ratio"),
        widest_mm=number("bench_width", "widest_mm"),
        flare_ratio=number("trunk", "flare_ratio"),
        limb_tip_ratio=number("limb", "tip_to_foot_ratio"),
        whip_limb_ratio=number("whip", "limb_length_ratio"),
    )
