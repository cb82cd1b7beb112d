"""Codes of what a named check of a course looks at, plain integers for compiled code."""

from __future__ import annotations

ROOTED, THICKER_BEYOND, FLUSHED, WILTED, SECTORS_EMPTY, SECTORS_FILLED, WOUND_CLOSED = range(7)
VIGOUR_AT_LEAST, GIRTH_AT_LEAST, HEIGHT_AT_LEAST, TIPS_AT_LEAST, SEVERED, ALIVE_BELOW = range(7, 13)

LOOKS: dict[str, int] = {
    "rooted": ROOTED,
    "thicker_beyond": THICKER_BEYOND,
    "flushed": FLUSHED,
    "wilted": WILTED,
    "sectors_empty": SECTORS_EMPTY,
    "sectors_filled": SECTORS_FILLED,
    "wound_closed": WOUND_CLOSED,
    "vigour_at_least": VIGOUR_AT_LEAST,
    "girth_at_least": GIRTH_AT_LEAST,
    "height_at_least": HEIGHT_AT_LEAST,
    "tips_at_least": TIPS_AT_LEAST,
    "severed": SEVERED,
    "alive_below": ALIVE_BELOW,
}

# Looks that ask for a number to compare with.
NUMBERED = frozenset(
    {
        "sectors_filled",
        "wound_closed",
        "vigour_at_least",
        "girth_at_least",
        "height_at_least",
        "tips_at_least",
    }
)
