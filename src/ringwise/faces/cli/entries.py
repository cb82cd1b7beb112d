"""Commands for one entry: look at it, correct it, take it out of view."""

from __future__ import annotations

from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _

ID = Annotated[str, typer.Argument(metavar="ID", help=_("Id of the entry, as --json shows it."))]
BY = Annotated[str | None, typer.Option("--by", help=_("Who corrects it; the owner where not given."))]


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    entries = typer.Typer(
        no_args_is_help=True, rich_markup_mode=None, help=_("Single entries: show, correct, withdraw.")
    )
    command(entries, "show")(_show)
    command(entries, "edit")(_edit)
    command(entries, "withdraw")(_withdraw)
    app.add_typer(entries, name="entry")


def _show(common: Common, id: ID) -> Shown:
    """An entry with every state in which it was stored, newest first."""
    from ringwise.desk.entry_history import show_entry

    answer = show_entry(common.workspace(), id)
    return Shown(answer, lines(*answer["lines"]))


def _edit(
    common: Common,
    id: ID,
    value: Annotated[str | None, typer.Option("--value", help=_("What was seen, measured or done."))] = None,
    date: Annotated[str | None, typer.Option("--date", help=_("When it was."))] = None,
    extent: Annotated[
        str | None, typer.Option("--extent", help=_("first, most or late_branch (stages)"))
    ] = None,
    not_before: Annotated[
        str | None,
        typer.Option("--not-before", metavar="DATE", help=_("Last visit at which it was not there yet.")),
    ] = None,
    at: Annotated[
        str | None, typer.Option("--at", help=_("Height of the measurement, clock position, or tilt."))
    ] = None,
    root_removed: Annotated[
        str | None, typer.Option("--root-removed", help=_("Share of the roots, such as 30%."))
    ] = None,
    pot: Annotated[str | None, typer.Option("--pot", help=_("Pot it went into (work repot)."))] = None,
    mix: Annotated[str | None, typer.Option("--mix", help=_("Mix used (work repot)."))] = None,
    minutes: Annotated[str | None, typer.Option("--minutes", help=_("How long it took."))] = None,
    reason: Annotated[
        str | None,
        typer.Option("--reason", help=_("Why; for a planned work also the reason to override a hard stop.")),
    ] = None,
    view: Annotated[
        str | None,
        typer.Option("--view", help=_("front, right, back, left, top, underside or detail (photos)")),
    ] = None,
    when: Annotated[
        str | None,
        typer.Option(
            "--when",
            help=_(
                "drained_level, drained_tilted, after_10_min, after_24_h, before_watering, pot_empty or "
                "other (weights)"
            ),
        ),
    ] = None,
    review: Annotated[
        str | None, typer.Option("--review", metavar="DATE", help=_("When to look at a decision again."))
    ] = None,
    note: Annotated[str | None, typer.Option("--note", help=_("Anything else worth remembering."))] = None,
    done_by: Annotated[str | None, typer.Option("--done-by", help=_("Who saw or did it."))] = None,
    confirmed_by: Annotated[str | None, typer.Option("--confirmed-by", help=_("Who confirmed it."))] = None,
    by: BY = None,
) -> Shown:
    """Correct an entry; what is left out stays, and the old wording is kept in its history."""
    from ringwise.desk.entry_changes import edit_entry

    changes = {
        "value": value,
        "date": date,
        "extent": extent,
        "not_before": not_before,
        "at": at,
        "root_removed": root_removed,
        "pot": pot,
        "mix": mix,
        "minutes": minutes,
        "reason": reason,
        "view": view,
        "when": when,
        "review": review,
        "note": note,
        "by": done_by,
        "confirmed_by": confirmed_by,
    }
    answer = edit_entry(common.workspace(), id, changes, by=by)
    return Shown(answer, lines(answer["line"]))


def _withdraw(common: Common, id: ID, by: BY = None) -> Shown:
    """Take an entry out of view; it stays in the history."""
    from ringwise.desk.entry_changes import withdraw_entry

    workspace = common.workspace()
    seen = workspace.store.entry(id)
    answer = withdraw_entry(workspace, id, revision=seen.revision, by=by)
    return Shown(answer, lines(answer["line"]))
