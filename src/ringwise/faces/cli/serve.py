"""The command that serves the app on this machine."""

from __future__ import annotations

import sys
import threading
from typing import TYPE_CHECKING, Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines, server, show
from ringwise.kit.words import _

if TYPE_CHECKING:
    from pathlib import Path


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    command(app, "serve")(_serve)


def _serve(
    common: Common,
    port: Annotated[
        int | None,
        typer.Option("--port", help=_("Port of this machine; 8451 or the next free one by default.")),
    ] = None,
    open_it: Annotated[bool, typer.Option("--open", help=_("Open the app in the browser."))] = False,
) -> None:
    """Serve the app on this machine, for its browser alone; stop it with Ctrl-C."""
    serve_folder(common, common.folder(), port=port, open_it=open_it)


def serve_folder(common: Common, folder: Path, *, port: int | None, open_it: bool) -> None:
    """Serve a collection until the grower stops it; its address is said as soon as it listens.

    Parameters
    ----------
    common : Common
        Day, seed and how to show.
    folder : Path
        Of the collection; an empty or missing one is made.
    port : int or None
        The one that is wanted; None for the usual one or the next that is free.
    open_it : bool
        Whether the browser is opened.
    """

    def ready(address: str) -> None:
        said = _("{address}  the app of {folder}; stop it with Ctrl-C").format(address=address, folder=folder)
        show(Shown({"address": address, "collection": str(folder)}, lines(said)), common)
        sys.stdout.flush()
        if open_it:
            threading.Thread(target=_open, args=(address,), daemon=True).start()

    server().serve(folder, on=common.on, seed=common.seed, port=port, ready=ready)


def _open(address: str) -> None:
    import webbrowser

    webbrowser.open(address)
