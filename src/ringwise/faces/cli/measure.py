"""The commands `ringwise measure ...`: what the tree is, by tape, photos or a file, and its measures."""

from __future__ import annotations

import typer

from ringwise.faces.cli import measure_show, measure_tape, measure_trace, measure_turntable
from ringwise.kit.words import _

_PARTS = (
    measure_show,
    measure_tape,
    measure_trace,
    measure_turntable,
)  # each adds its own commands to the group


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    group = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help=_("Measure the tree as it is."))
    for part in _PARTS:
        part.add_to(group)
    app.add_typer(group, name="measure")
