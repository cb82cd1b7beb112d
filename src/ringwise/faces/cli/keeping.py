"""Commands that keep a collection safe: back it up, bring it back, check it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines, show
from ringwise.kit.words import _

PLACE = Annotated[Path, typer.Argument(metavar="PLACE", help=_("The folder with the backups."))]


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    command(app, "backup")(_backup)
    command(app, "restore")(_restore)
    command(app, "check")(_check)


def _backup(common: Common, place: PLACE) -> None:
    """Back the collection up with photos, measured trees and all: only what is new is copied."""
    from ringwise.desk.backups import back_up

    _told(back_up(common.workspace(create=False), place), common)


def _restore(
    common: Common,
    place: PLACE,
    name: Annotated[
        str, typer.Option("--backup", metavar="NAME", help=_("Which backup; the newest by default."))
    ] = "",
) -> None:
    """Bring a backup back into an empty folder, the one that --collection names."""
    from ringwise.desk.backups import restore

    _told(restore(place, common.folder(), name), common)


def _check(
    common: Common,
    place: Annotated[
        Path | None,
        typer.Argument(metavar="PLACE", help=_("A folder with backups; the collection itself without it.")),
    ] = None,
) -> None:
    """Check the collection, or all backups in a place, file by file."""
    from ringwise.desk.backups import check_backups, check_collection

    found = check_collection(common.workspace(create=False)) if place is None else check_backups(place)
    _told(found, common)


def _told(answer: dict[str, Any], common: Common) -> None:
    """Show an answer; the exit code tells a clock that runs it that something is to be looked at."""
    show(Shown(answer, lines(*answer["lines"])), common)
    if answer["amiss"]:
        raise typer.Exit(1)
