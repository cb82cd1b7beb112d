"""Codes of what a named check of a course looks at, plain integers for compiled code."""

from __future__ import annotations

ROOTED, THICKER_BEYOND, FLUSHED, WILTED, SEVERED, SECTORS_EMPTY, WOUND_CLOSED, GREEN_BELOW = range(8)
VIGOUR_AT_LEAST, GIRTH_AT_LEAST, HEIGHT_AT_LEAST, TIPS_AT_LEAST, SECTORS_FILLED = range(8, 13)

LOOKS: dict[str, int] = {
    "rooted": ROOTED,
    "thicker_beyond": THICKER_BEYOND,
    "flushed": FLUSHED,
    "wilted": WILTED,
    "severed": SEVERED,
    "sectors_empty": SECTORS_EMPTY,
    "wound_closed": WOUND_CLOSED,
    "green_below": GREEN_BELOW,
    "vigour_at_least": VIGOUR_AT_LEAST,
    "girth_at_least": GIRTH_AT_LEAST,
    "height_at_least": HEIGHT_AT_LEAST,
    "tips_at_least": TIPS_AT_LEAST,
    "sectors_filled": SECTORS_FILLED,
}

# Looks that compare a number with one of their own, and whether that number is a length.
MEASURED: dict[str, bool] = {
    "vigour_at_least": False,
    "girth_at_least": True,
    "height_at_least": True,
    "tips_at_least": False,
    "sectors_filled": False,
}
