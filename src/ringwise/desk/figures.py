"""The wish for silhouettes in the yard: from the structure where one was measured, else a plain sketch."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from ringwise.desk import clock
from ringwise.desk.engine import engine_version
from ringwise.desk.entry_words import shape_source_words
from ringwise.desk.results import result_key
from ringwise.desk.structures import source_of, structure_entry
from ringwise.kit.reading import SOURCE_LANGUAGE, current_reading
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.structure.figure import Figure

TABLES = tuple(("ringwise.structure", name) for name in ("basics", "drawing", "forms"))
AT_ONCE_S = 0.6  # figures are made for this long before an answer is given; the rest is asked for again


def sizes_of(facts: TreeFacts) -> tuple[float, float, bool]:
    """Height and trunk of a tree as far as known, for a sketch.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    (float, float, bool)
        Height and trunk width in mm, and whether both were measured.
    """
    import math

    from ringwise.structure.drawing import drawing

    assumed = drawing()
    trunk_mm = facts.trunk_mm or (facts.girth_mm / math.pi if facts.girth_mm else None)
    height_mm = facts.height_mm
    if height_mm is None:
        height_mm = trunk_mm * assumed.height_to_trunk_ratio if trunk_mm else assumed.unknown_height_mm
        return height_mm, trunk_mm or height_mm / assumed.height_to_trunk_ratio, False
    return height_mm, trunk_mm or height_mm / assumed.height_to_trunk_ratio, trunk_mm is not None


def basis_of(facts: TreeFacts) -> str:
    """Whether a figure stands on the tree's structure or is a plain sketch.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    str
        "structure" or "plain".
    """
    return "plain" if structure_entry(facts) is None else "structure"


def figure_key(workspace: Workspace, facts: TreeFacts) -> str:
    """The name of a tree's figure: another drawing or wording has another name, so that it is kept for ever.

    Parameters
    ----------
    workspace : Workspace
        For the seed.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    str
        The tree's id, 12 hexadecimal digits, and the language of its words where that is not the source's.
    """
    language = current_reading().language
    return _drawing_key(workspace, facts) + ("" if language == SOURCE_LANGUAGE else f".{language}")


def _drawing_key(workspace: Workspace, facts: TreeFacts) -> str:
    entry = structure_entry(facts)
    made_from = {
        "tree": facts.tree.id,
        "species": facts.tree.species,
        "year": 0 if entry is None else workspace.year.label,
        "size": sizes_of(facts)[:2] if entry is None else dict(entry.data),
    }
    return f"{facts.tree.id}~{result_key('figure', made_from, TABLES, workspace.seed)[:12]}"


def figures(workspace: Workspace, keys: Sequence[str]) -> Shape:
    """Figures by their names; those that are not ready within a moment are asked for again.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    keys : sequence of str
        From `figure_key`; a name that no tree has any more is left out.

    Returns
    -------
    dict
        Keys figures and more (names to ask for again).
    """
    begun = clock.monotonic_s()
    answer: list[Shape] = []
    later: list[str] = []
    for key in dict.fromkeys(keys):
        facts = workspace.facts.get(key.rpartition("~")[0])
        if facts is None or figure_key(workspace, facts) != key:
            continue
        if answer and clock.monotonic_s() - begun > AT_ONCE_S:
            later.append(key)
            continue
        answer.append(_figure(workspace, facts, key))
    return {"figures": answer, "more": later}


def _figure(workspace: Workspace, facts: TreeFacts, key: str) -> Shape:
    basis = basis_of(facts)
    stored_as = f"figure:{_drawing_key(workspace, facts)}"
    stored = workspace.store.result_get(stored_as) if basis == "structure" else None
    drawn: dict[str, Any] = json.loads(stored) if stored is not None else _drawn(workspace, facts, basis)
    if stored is None and basis == "structure":
        workspace.store.result_put(
            stored_as,
            "figure",
            json.dumps(drawn),
            made=clock.now(),
            engine_version=engine_version(),
            seed=workspace.seed,
        )
    return drawn | {"key": key, "basis": basis, "basis_words": basis_words(facts, basis)}


def _drawn(workspace: Workspace, facts: TreeFacts, basis: str) -> dict[str, Any]:
    if basis == "structure":
        from ringwise.desk.structures import structure_of
        from ringwise.structure.figure import figure_of
        from ringwise.structure.silhouette import silhouette

        return _plain(figure_of(silhouette(structure_of(workspace, facts).table)))
    from ringwise.desk.measuring import tree_seed
    from ringwise.records.taxa import lookup_keys
    from ringwise.structure.figure import plain_figure
    from ringwise.structure.forms import form_for

    height_mm, trunk_mm, _known = sizes_of(facts)
    form = form_for(lookup_keys(facts.tree.species) if facts.taxon is not None else ("any",))
    seed = tree_seed(workspace, facts.tree.id, 0)
    return _plain(plain_figure(form, height_mm=height_mm, trunk_mm=trunk_mm, seed=seed))


def _plain(figure: Figure) -> dict[str, Any]:
    return {
        "left_mm": round(figure.left_mm, 1),
        "right_mm": round(figure.right_mm, 1),
        "top_mm": round(figure.top_mm, 1),
        "base_mm": round(figure.base_mm, 1),
        "strokes": [
            {
                "points": [round(float(v), 1) for v in stroke.points_mm.ravel()],
                "width_mm": round(stroke.width_mm, 2),
                "tone": stroke.tone,
            }
            for stroke in figure.strokes
        ],
    }


def basis_words(facts: TreeFacts, basis: str) -> str:
    """How a figure was made, in words."""
    if basis == "structure":
        entry = structure_entry(facts)
        if entry is not None and entry.kind == "shape":
            return _("drawn from {source}").format(source=shape_source_words(source_of(entry)))
        return _("drawn from the tape; forks and twigs are reckoned")
    if sizes_of(facts)[2]:
        return _("a plain sketch by species, height and trunk")
    return _("a plain sketch by species; its size was not measured")
