"""Where the trunk stands in the pot, and how pot and tree go together: common practice, never a must."""

from __future__ import annotations

from dataclasses import dataclass

from ringwise.kit.show import length, length_span, number
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _
from ringwise.rootzone.pot import PotShape

ROOM = "rootzone.placing"
LONG_SHAPES = frozenset({"oval", "rectangle"})  # these have a long side that is the front


@dataclass(frozen=True)
class Place:
    """The trunk's centre from the left wall and from the front wall, and from the middle of the pot."""

    left_mm: float
    front_mm: float
    behind_mm: float
    trace: Trace


@dataclass(frozen=True)
class Hint:
    """One proportion of pot to tree: what is here, what is usual, and whether it lies outside."""

    key: str
    words: str
    outside: bool
    trace: Trace


def _row(key: str, parameter: str) -> Parameter:
    return load_table("ringwise.rootzone", "potting").get(key, parameter)


def place_of(pot: PotShape) -> Place:
    """Where the trunk's centre goes, seen from the front.

    Parameters
    ----------
    pot : PotShape
        The pot, its long side to the front.

    Returns
    -------
    Place
        Centred from left to right; in an oval or rectangle a little behind the middle, room at the back left.

    Source
    ------
    practice: centred as seen from the front, slightly behind the middle in long pots.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> there = place_of(pot_shape("oval", PotLengths(500, 370, 80)))
    >>> round(there.left_mm), round(there.front_mm)
    (250, 200)
    """
    row = _row("placing", "behind_frac")
    behind = row.number if pot.shape in LONG_SHAPES else 0.0
    # whole millimetres: nobody sets a trunk closer
    behind_mm = float(round(behind * pot.width_mm))
    left_mm, front_mm = pot.length_mm / 2, pot.width_mm / 2 + behind_mm
    shown = _("{left} from the left, {front} from the front").format(
        left=length(left_mm), front=length(front_mm)
    )
    rows = (trace_parameter(row),) if behind_mm else ()
    formula = _("middle of the pot, in a long pot a little behind it")
    return Place(
        left_mm,
        front_mm,
        behind_mm,
        Trace(_("trunk centre"), shown, ROOM, formula, row.source, row.basis, rows),
    )


def hints(
    pot: PotShape, *, trunk_mm: float | None = None, height_mm: float | None = None
) -> tuple[Hint, ...]:
    """How the pot goes with the tree, by the trade's usual proportions.

    Parameters
    ----------
    pot : PotShape
        The pot.
    trunk_mm, height_mm : float, optional
        Trunk diameter above the flare and height of the tree, in mm.

    Returns
    -------
    tuple of Hint
        Only what can be told; empty where nothing was measured.

    Source
    ------
    practice: depth about the trunk, length about two thirds of the height.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> told = hints(pot_shape("oval", PotLengths(500, 370, 80)), trunk_mm=118.0, height_mm=580.0)
    >>> [(hint.key, hint.outside) for hint in told]
    [('depth', True), ('length', True), ('width', False)]
    """
    told = []
    if trunk_mm:
        told.append(_hint("depth", "depth_per_trunk_ratio", pot.depth_mm, trunk_mm))
    if height_mm:
        told.append(_hint("length", "length_per_height_ratio", pot.length_mm, height_mm))
    if pot.shape in LONG_SHAPES and told:
        told.append(_hint("width", "width_per_length_ratio", pot.width_mm, pot.length_mm))
    return tuple(told)


def _hint(key: str, parameter: str, here_mm: float, of_mm: float) -> Hint:
    row = _row("proportion", parameter)
    low, high = row.low or row.number, row.high or row.number
    ratio = here_mm / of_mm
    outside = not low <= ratio <= high
    usual = length_span(low * of_mm, high * of_mm)
    text = {
        "depth": _("pot depth {here}; by the trunk {usual} are usual"),
        "length": _("pot length {here}; by the tree's height {usual} are usual"),
        "width": _("pot width {here}; by its length {usual} are usual"),
    }[key]
    words = text.format(here=length(here_mm), usual=usual)
    trace = Trace(
        _("pot and tree"), number(ratio, 2), ROOM, words, row.source, row.basis, (trace_parameter(row),)
    )
    return Hint(key, words, outside, trace)
