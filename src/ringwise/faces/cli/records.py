"""Commands that write down what was seen and done, and take it back."""

from __future__ import annotations

from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _

_WHAT = _(
    "stage 03 | girth 28cm | trunk 41mm | height 59cm | vigour 3 | drain 140s | dry 1.2 | weight 21kg | "
    'watered | graft 6.3mm/5.9mm | wound 15mm | note "..." | photo FILE | work OPERATION | '
    'plan OPERATION | question "..."'
)


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    command(app, "log")(_log)
    command(app, "undo")(_undo)


def _log(
    common: Common,
    tree: Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))],
    what: Annotated[list[str], typer.Argument(metavar="WHAT...", help=_WHAT)],
    date: Annotated[
        str, typer.Option("--date", help=_('When: a day, "March 2021", "spring 21"; today by default.'))
    ] = "",
    extent: Annotated[
        str, typer.Option("--extent", help=_("first, most or late_branch (stages); first by default"))
    ] = "",
    not_before: Annotated[
        str, typer.Option("--not-before", metavar="DATE", help=_("Last visit at which it was not there yet."))
    ] = "",
    at: Annotated[
        str, typer.Option("--at", help=_("Height of the measurement, clock position, or tilt."))
    ] = "",
    root_removed: Annotated[
        str, typer.Option("--root-removed", help=_("Share of the roots, such as 30%."))
    ] = "",
    pot: Annotated[str, typer.Option("--pot", help=_("Pot it went into (work repot)."))] = "",
    mix: Annotated[str, typer.Option("--mix", help=_("Mix used (work repot)."))] = "",
    minutes: Annotated[str, typer.Option("--minutes", help=_("How long it took."))] = "",
    ties: Annotated[
        str, typer.Option("--ties", help=_('Ties set: number, wire, route, as "4, 2.5mm, crossing".'))
    ] = "",
    reason: Annotated[
        str,
        typer.Option("--reason", help=_("Why; for a planned work also the reason to override a hard stop.")),
    ] = "",
    view: Annotated[
        str, typer.Option("--view", help=_("front, right, back, left, top, underside or detail (photos)"))
    ] = "",
    when: Annotated[
        str,
        typer.Option(
            "--when",
            help=_(
                "drained_level, drained_tilted, after_10_min, after_24_h, before_watering, pot_empty or "
                "other (weights)"
            ),
        ),
    ] = "",
    review: Annotated[
        str, typer.Option("--review", metavar="DATE", help=_("When to look at a decision again."))
    ] = "",
    note: Annotated[str, typer.Option("--note", help=_("Anything else worth remembering."))] = "",
    by: Annotated[str | None, typer.Option("--by", help=_("Who did it; the owner where not given."))] = None,
    confirmed_by: Annotated[str | None, typer.Option("--confirmed-by", help=_("Who confirmed it."))] = None,
) -> Shown:
    """Write down an observation, a work done, a plan or a photo."""
    from ringwise.desk.entries import Given, log_entry
    from ringwise.desk.watering_log import log_place, means_place

    given = Given(
        what=tuple(what),
        date=date,
        extent=extent,
        not_before=not_before,
        at=at,
        root_removed=root_removed,
        pot=pot,
        mix=mix,
        minutes=minutes,
        ties=ties,
        review=review,
        reason=reason,
        view=view,
        when=when,
        note=note,
        by=by,
        confirmed_by=confirmed_by,
    )
    workspace = common.workspace()
    answer = (
        log_place(workspace, tree, given)
        if means_place(workspace, tree, given)
        else log_entry(workspace, tree, given)
    )
    told = _("{line} (stored; take it back with: ringwise undo)").format(line=answer["line"])
    return Shown(answer, lines(told))


def _undo(
    common: Common,
    by: Annotated[str | None, typer.Option("--by", help=_("Who takes it back."))] = None,
) -> Shown:
    """Take back the latest thing written; again for the one before. The taken-back stays in the history."""
    from ringwise.desk.entries import undo_last

    answer = undo_last(common.workspace(), by=by)
    return Shown(answer, lines(answer["line"]))
