"""What can still be written down of a tree that was retired."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.kit.errors import ConflictError
from ringwise.kit.words import _
from ringwise.records.date_shown import date_shown

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.dates import FuzzyDate
    from ringwise.records.model import Tree

AFTERWARDS = "note"  # the kind of entry that a retired tree may still get


def refuse_on_retired(workspace: Workspace, tree: Tree, kind: str, on: FuzzyDate) -> None:
    """Refuse an entry of a tree of a day on which it was retired already.

    A tree that was sold or died is not measured, photographed or worked on by this grower any more; such an
    entry is most often meant for another tree. What was seen or done before that day may still come in late,
    and so may an entry whose date is so wide that it may lie before. The day itself counts as after: the hour
    is not recorded. A note stays possible for ever, because what became of a tree is only known afterwards:
    it states no measure and no work, so nothing is reckoned from it. No deed brings a tree back; retiring it
    by mistake is taken back as the last step.

    Parameters
    ----------
    workspace : Workspace
        For today, which stands in where the day of retiring is not known.
    tree : Tree
        Of the entry; nothing is refused where it was not retired.
    kind : str
        Of the entry.
    on : FuzzyDate
        Its day.

    Raises
    ------
    ConflictError
        It names tree, day and both ways out.
    """
    if tree.retired is None or kind == AFTERWARDS or on.earliest is None:
        return
    if on.earliest >= (tree.retired.by or workspace.today):
        raise ConflictError(
            _(
                "{id} {name} was retired on {retired}, so nothing of {day} can be logged but a note. Give a "
                "date before it was retired, or write a note."
            ).format(id=tree.id, name=tree.name, retired=date_shown(tree.retired), day=date_shown(on))
        )
