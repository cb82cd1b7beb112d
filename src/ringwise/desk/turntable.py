"""The wish to measure a turn of photos: run it, keep it where a tree is named, tell it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringwise.desk.turntable_files import stored_lenses
from ringwise.desk.turntable_report import TurnReport, turn_report
from ringwise.desk.turntable_result import TurnResult
from ringwise.desk.turntable_runs import run_turn
from ringwise.desk.turntable_told import turn_data, turn_lines
from ringwise.desk.turntable_wish import TurntableWish, turn_of
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace

__all__ = ["TurntableWish", "measure_turntable"]
Progress = Callable[[float, str], None]


@dataclass(frozen=True)
class TurnAnswer:
    """The documented keys, the lines for the terminal, and the report's content made on demand."""

    result: TurnResult
    data: dict[str, Any]
    lines: tuple[str, ...]
    report: Callable[[], TurnReport]


def measure_turntable(
    wish: TurntableWish,
    workspace: Workspace | None = None,
    folder: Path | None = None,
    *,
    progress: Progress | None = None,
) -> TurnAnswer:
    """Measure a turn of photos; with a tree it is kept in the record.

    Parameters
    ----------
    wish : TurntableWish
        As typed.
    workspace : Workspace, optional
        The collection of the tree that is named.
    folder : Path, optional
        Of a collection whose stored lenses are used; it need not exist.
    progress : callable, optional
        Told the share done, and of what.

    Returns
    -------
    TurnAnswer
        Keys, lines and report.

    Raises
    ------
    InputError, NotReadyError
        If the photos cannot be measured; the line names each with its reason and the way out, and nothing is
        stored.
    """
    place = folder if workspace is None else workspace.folder
    lenses = () if place is None else stored_lenses(place)
    facts = None if workspace is None or wish.tree is None else workspace.facts_of(wish.tree)
    turn = turn_of(wish, facts, lenses)
    result = run_turn(turn, workspace=workspace, progress=progress)
    data, told = turn_data(result), list(turn_lines(result))
    title = _("A turn of photos, measured")
    if workspace is not None and facts is not None:
        from ringwise.desk.turntable_keep import keep_turn

        kept = keep_turn(workspace, facts, turn, result, by=wish.by)
        data |= {"tree": facts.tree.id, "action": kept["action"], "entry": kept["id"]}
        title = _("{tree}: a turn of photos, measured").format(tree=f"{facts.tree.id} {facts.tree.name}")
        told.append(
            _("kept for {tree}").format(tree=f"{facts.tree.id} {facts.tree.name}")
            if kept["action"] is not None
            else _("{tree} holds this turn already").format(tree=facts.tree.id)
        )
    if progress is not None:
        progress(1.0, _("done"))
    data["lines"] = told
    return TurnAnswer(result, data, tuple(told), lambda: turn_report(turn, result, title))
