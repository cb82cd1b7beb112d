"""The documented JSON shape of each stored value; the same for command line and app."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from ringwise.kit import show
from ringwise.kit.words import _, from_data
from ringwise.records.model import Entry, Place, Pot, Tree
from ringwise.records.taxa import taxon

if TYPE_CHECKING:
    from ringwise.records.dates import FuzzyDate
    from ringwise.records.facts import TreeFacts

Shape = dict[str, Any]


def day_text(when: date | None) -> str | None:
    """A day as ISO text, or None.

    Parameters
    ----------
    when : date or None
        The day.

    Returns
    -------
    str or None
        ISO 8601.

    Examples
    --------
    >>> day_text(date(2027, 3, 7))
    '2027-03-07'
    """
    return None if when is None else when.isoformat()


def fuzzy_shape(when: FuzzyDate | None) -> Shape | None:
    """A date as typed and as the interval it means.

    Parameters
    ----------
    when : FuzzyDate or None
        The date.

    Returns
    -------
    dict or None
        Keys typed, earliest, latest, precision.

    Examples
    --------
    >>> from ringwise.records.dates import parse_fuzzy_date
    >>> fuzzy_shape(parse_fuzzy_date("spring 2021", field="started"))["earliest"]
    '2021-03-01'
    """
    if when is None:
        return None
    return {
        "typed": when.typed,
        "earliest": day_text(when.earliest),
        "latest": day_text(when.latest),
        "precision": when.precision,
    }


def tree_shape(tree: Tree) -> Shape:
    """A tree's sheet.

    Parameters
    ----------
    tree : Tree
        The tree.

    Returns
    -------
    dict
        Keys as documented for `ringwise tree show`.

    Examples
    --------
    >>> tree_shape(Tree("T01", "Hollow Lane", "morus_alba"))["botanical_name"]
    'Morus alba'
    """
    return {
        "id": tree.id,
        "name": tree.name,
        "species": tree.species,
        "botanical_name": taxon(tree.species).botanical_name,
        "species_sure": tree.species_sure,
        "origin": tree.origin,
        "started": fuzzy_shape(tree.started),
        "stage": tree.stage or "",
        "parent": tree.parent,
        "front_mark": tree.front_mark,
        "goal": tree.goal,
        "size_class": tree.size_class,
        "quarantine_until": day_text(tree.quarantine_until),
        "retired": fuzzy_shape(tree.retired),
        "note": tree.note,
    }


def pot_words(pot: Pot | None) -> str:
    """A pot in a few words: "P-21, oval 53 x 39 x 8 cm".

    Parameters
    ----------
    pot : Pot or None
        The pot.

    Returns
    -------
    str
        Blank for none.

    Examples
    --------
    >>> pot_words(Pot("P-21", "oval", 530.0, 390.0, 80.0))
    'P-21, oval 53 × 39 × 8 cm'
    """
    if pot is None:
        return ""
    sizes = [pot.length_mm, None if pot.shape == "round" else pot.width_mm, pot.depth_mm]
    known = [size for size in sizes if size is not None]
    return f"{pot.id}, {from_data(pot.shape)} " + (show.dimensions(known) if known else _("size unknown"))


def pot_shape_of(pot: Pot) -> Shape:
    """A pot's sheet.

    Parameters
    ----------
    pot : Pot
        The pot.

    Returns
    -------
    dict
        Keys as documented for `ringwise pot show`.

    Examples
    --------
    >>> pot_shape_of(Pot("P-21", "oval", 530.0, 390.0, 80.0))["depth_mm"]
    80.0
    """
    return {
        "id": pot.id,
        "shape": pot.shape,
        "length_mm": pot.length_mm,
        "width_mm": pot.width_mm,
        "depth_mm": pot.depth_mm,
        "typed": pot.typed,
        "holes": [{"diameter_mm": h.diameter_mm, "x_mm": h.x_mm, "y_mm": h.y_mm} for h in pot.holes],
        "material": pot.material,
        "colour": pot.colour,
        "tree": pot.tree,
        "note": pot.note,
    }


def place_shape(place: Place) -> Shape:
    """Where a tree stands.

    Parameters
    ----------
    place : Place
        The stay.

    Returns
    -------
    dict
        Keys place, kind, since, until.

    Examples
    --------
    >>> from ringwise.records.dates import UNKNOWN
    >>> place_shape(Place("1", "T01", "south bench 1", "bench", UNKNOWN))["kind"]
    'bench'
    """
    return {
        "place": place.place,
        "kind": place.kind,
        "since": fuzzy_shape(place.since),
        "until": fuzzy_shape(place.until),
    }


def entry_shape(entry: Entry) -> Shape:
    """An entry with who wrote it and when.

    Parameters
    ----------
    entry : Entry
        The entry.

    Returns
    -------
    dict
        Keys as documented for `ringwise log`.

    Examples
    --------
    >>> from ringwise.records.dates import parse_fuzzy_date
    >>> entry_shape(Entry("1", "T01", "note", parse_fuzzy_date("2027-03-07", field="date")))["kind"]
    'note'
    """
    return {
        "id": entry.id,
        "tree": entry.tree,
        "kind": entry.kind,
        "on": fuzzy_shape(entry.on),
        "data": dict(entry.data),
        "note": entry.note,
        "by": entry.by,
        "confirmed_by": entry.confirmed_by,
        "recorded_at": None if entry.recorded_at is None else entry.recorded_at.isoformat(),
        "revision": entry.revision,
    }


def facts_shape(facts: TreeFacts) -> Shape:
    """A tree's line in a list: what is known of it today.

    Parameters
    ----------
    facts : TreeFacts
        From `records.facts`.

    Returns
    -------
    dict
        The tree's sheet with vigour, trunk, height, pot and place.
    """
    trunk_mm = facts.trunk_mm
    return tree_shape(facts.tree) | {
        "group": "" if facts.taxon is None else facts.taxon.group,
        "vigour": facts.vigour,
        "trunk_mm": trunk_mm,
        "trunk_shown": "" if trunk_mm is None else show.length(trunk_mm),
        "height_mm": facts.height_mm,
        "last_repot": fuzzy_shape(facts.last_repot),
        "drain_seconds": facts.drain_seconds,
        "days_to_dry": facts.days_to_dry,
        "pot": None if facts.pot is None else facts.pot.id,
        "pot_shown": pot_words(facts.pot),
        "place": None if facts.place is None else facts.place.place,
    }
