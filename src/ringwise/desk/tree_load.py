"""What the wind pushes on at a tree: its outline as measured where it was, else from its height."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.entry_words import shape_source_words
from ringwise.desk.structures import source_of, structure_entry, structure_of
from ringwise.kit.show import length, number
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry
    from ringwise.rootzone.tie_plan import TreeLoad

ROOM = "desk.tree_load"
MM2_PER_M2 = 1e6  # exact


def _row(parameter: str) -> Parameter:
    return load_table("ringwise.rootzone", "wire").get("outline", parameter)


def tree_load(workspace: Workspace, facts: TreeFacts, *, windy: bool = False) -> TreeLoad | None:
    """The wind load of a tree in leaf, for its ties.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    windy : bool
        Whether it stands in a windy place.

    Returns
    -------
    TreeLoad or None
        In leaf also for a bare tree, since ties stay for a season; None where no height was measured.
    """
    entry = structure_entry(facts)
    if entry is not None:
        return _from_structure(workspace, facts, entry, windy)
    return None if facts.height_mm is None else load_of_sizes(facts.height_mm, None, windy=windy)


def _from_structure(workspace: Workspace, facts: TreeFacts, entry: Entry, windy: bool) -> TreeLoad:
    from ringwise.rootzone.tie_plan import TreeLoad
    from ringwise.rootzone.wind import design_gust
    from ringwise.structure.sail import sail

    row = _row("leaf_margin_mm")
    table = structure_of(workspace, facts).table
    low, middle, high = (
        sail(table, leaf_margin_mm=margin) for margin in (row.low or 0.0, row.number, row.high or row.number)
    )
    gust_m_s, gust = design_gust(windy=windy)
    area = number(middle.area_m2, 2)
    words = _("outline {area} m² from the tape").format(area=area)
    if entry.kind == "shape":
        source = shape_source_words(source_of(entry))
        words = _("outline {area} m² from {source}").format(area=area, source=source)
    trace = Trace(
        _("outline"), words, "structure.sail", _("slices"), "own", "assumed", (trace_parameter(row), gust)
    )
    return TreeLoad(middle.area_m2, low.area_m2, high.area_m2, middle.grip_mm, gust_m_s, False, words, trace)


def load_of_sizes(height_mm: float, spread_mm: float | None, *, windy: bool = False) -> TreeLoad:
    """The wind load of a tree whose branches nobody measured.

    Parameters
    ----------
    height_mm : float
        Height above the soil, in mm.
    spread_mm : float or None
        Spread of the crown, in mm; without it wide shares of the height.
    windy : bool
        Whether it stands in a windy place.

    Returns
    -------
    TreeLoad
        Height times spread times a filled share, with a wide range.

    Examples
    --------
    >>> load = load_of_sizes(500.0, 400.0)
    >>> round(load.area_m2, 3), round(load.low_m2, 3), round(load.high_m2, 3)
    (0.13, 0.08, 0.18)
    """
    from ringwise.rootzone.tie_plan import TreeLoad
    from ringwise.rootzone.wind import design_gust

    fill, ratio, grip = (_row(name) for name in ("fill_frac", "spread_per_height_ratio", "grip_frac"))
    if spread_mm is None:
        spreads = tuple(height_mm * share for share in _three(ratio))
        words = _("outline from its height {height} alone, spread guessed").format(height=length(height_mm))
    else:
        spreads = (spread_mm,) * 3
        words = _("outline from height {height} and spread {spread}").format(
            height=length(height_mm), spread=length(spread_mm)
        )
    low, middle, high = (
        share * height_mm * spread / MM2_PER_M2 for share, spread in zip(_three(fill), spreads, strict=True)
    )
    gust_m_s, gust = design_gust(windy=windy)
    rows = (fill, grip) if spread_mm is not None else (fill, ratio, grip)
    trace = Trace(
        _("outline"),
        f"{number(middle, 2)} m²",
        ROOM,
        _("height x spread x filled share"),
        "own",
        "assumed",
        (*(trace_parameter(row) for row in rows), gust),
    )
    return TreeLoad(middle, low, high, grip.number * height_mm, gust_m_s, False, words, trace)


def _three(row: Parameter) -> tuple[float, float, float]:
    return (
        row.number if row.low is None else row.low,
        row.number,
        row.number if row.high is None else row.high,
    )
