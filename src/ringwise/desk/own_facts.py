"""What is known of one tree, without reading the entries of the others; of retired trees too."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.records.facts import TreeFacts, tree_facts

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.model import Entry


def own_entries(workspace: Workspace, tree: str) -> tuple[Entry, ...]:
    """All entries of one tree, oldest first.

    Parameters
    ----------
    workspace : Workspace
        The collection; a living one has them at hand.
    tree : str
        Its id.

    Returns
    -------
    tuple of Entry
        Plans for days ahead too.
    """
    at_hand = getattr(workspace, "entries_of", None)
    if at_hand is not None:
        found: tuple[Entry, ...] = at_hand(tree)
        return found
    if "entries" in workspace.__dict__:
        return tuple(entry for entry in workspace.entries if entry.tree == tree)
    return tuple(workspace.store.entries(tree=tree))


def own_facts(workspace: Workspace, name: str) -> TreeFacts:
    """What is known today of one tree.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.

    Returns
    -------
    TreeFacts
        Also of a tree that was retired.
    """
    tree = workspace.tree(name)
    known = workspace.facts if hasattr(workspace, "shared") else workspace.__dict__.get("facts", {})
    if tree.id in known:
        found: TreeFacts = known[tree.id]
        return found
    return tree_facts(
        tree,
        entries=own_entries(workspace, tree.id),
        pots=workspace.pots,
        places=workspace.places,
        on=workspace.today,
    )
