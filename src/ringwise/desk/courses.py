"""The wish for the courses of a tree: what is offered, what it closes, how long it can wait."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.desk.start_tree import start_of
from ringwise.kit.words import _, from_data
from ringwise.records.taxa import lookup_keys

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.futures.offers import Offer
    from ringwise.records.facts import TreeFacts


def offers_of(workspace: Workspace, facts: TreeFacts) -> tuple[Offer, ...]:
    """The courses that make sense for a tree as it stands.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    tuple of Offer
        Feasible or not, and why.

    Raises
    ------
    MissingFieldError
        If neither a structure nor trunk and height are known.
    """
    from ringwise.futures.offers import offers
    from ringwise.growth.biology import biology

    return offers(start_of(workspace, facts), biology(lookup_keys(facts.tree.species)))


def courses_answer(workspace: Workspace, tree: str) -> Shape:
    """The courses of a tree as the documented keys.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.

    Returns
    -------
    dict
        One row a course.
    """
    from ringwise.desk.setting_dates import last_setting_of, waits_of

    facts = workspace.facts_of(tree)
    offered = offers_of(workspace, facts)
    last = last_setting_of(workspace)
    text = _("{tree} {name}: courses for the tree as it stands")
    rows = []
    for each in offered:
        title, words = each.course.told
        rows.append(
            {
                "key": each.course.key,
                "question": each.course.question,
                "title": title,
                "words": words,
                "feasible": each.feasible,
                "why": each.why,
                "closes": from_data(each.course.closes) if each.course.closes else "",
                "steps": list(each.course.lines),
                "notes": list(each.notes),
                "waits": waits_of(workspace, each.course, last) if each.feasible else "",
            }
        )
    answer: Shape = {
        "tree": facts.tree.id,
        "name": facts.tree.name,
        "heading": text.format(tree=facts.tree.id, name=facts.tree.name),
        "courses": rows,
    }
    return answer
