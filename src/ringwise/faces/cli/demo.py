"""The command that builds the demo yard and shows the whole job on it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    command(app, "demo")(_demo)


def _demo(
    common: Common,
    no_open: Annotated[
        bool,
        typer.Option("--no-open", help=_("Build, compute and leave.")),
    ] = False,
) -> Shown:
    """Build the demo yard (invented data), compute everything, and say where to look."""
    import sys

    from ringwise.desk.build_demo import build_demo

    progress = None if common.as_json else _say
    folder = Path(common.collection) if common.collection else Path.cwd() / "demo-yard"
    answer = build_demo(folder, on=common.on, seed=common.seed, say=progress)
    if not no_open and not common.as_json and sys.stdout.isatty():
        import webbrowser

        webbrowser.open(Path(answer["files"]["futures_T01"]).resolve().as_uri())
    return Shown(answer, lines(*answer["lines"]))


def _say(text: str) -> None:
    import sys

    sys.stderr.write(text + "\n")
