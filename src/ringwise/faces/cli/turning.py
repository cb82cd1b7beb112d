"""The command for a turning: each course lived many times, side by side."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, documents, lines
from ringwise.kit.words import _


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    command(app, "futures")(_futures)


def _futures(
    common: Common,
    tree: Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))],
    course: Annotated[
        list[str] | None,
        typer.Option(
            "--course",
            help=_("A course by key or a TOML file; repeat. By default those of the open question."),
        ),
    ] = None,
    futures: Annotated[int, typer.Option("--futures", help=_("Simulated lives a course."))] = 500,
    years: Annotated[int, typer.Option("--years", help=_("How far to look."))] = 25,
    workers: Annotated[int | None, typer.Option("--workers", help=_("Threads; same result."))] = None,
    scheduler: Annotated[
        str,
        typer.Option(
            "--scheduler",
            metavar="ADDRESS",
            help=_("Have the futures lived by the workers of a Dask scheduler; same result."),
        ),
    ] = "",
    html: Annotated[
        Path | None, typer.Option("--html", metavar="FILE", help=_("Write the page to look at."))
    ] = None,
    pdf: Annotated[
        Path | None, typer.Option("--pdf", metavar="FILE", help=_("Write the report to print."))
    ] = None,
) -> Shown:
    """The tree each course leads to, with odds, hours and what drives the answer."""
    import sys

    from ringwise.desk.turnings import FuturesWish, futures_answer

    progress = None if common.as_json or not sys.stderr.isatty() else _progress
    wish = FuturesWish(tree, tuple(course or ()), futures, years, workers, scheduler)
    answer = futures_answer(common.workspace(), wish, progress=progress)
    wanted = {"html": html, "pdf": pdf}
    written = {kind: str(file) for kind, file in wanted.items() if file is not None}
    view = answer.view() if written else None
    if view is not None and html is not None:
        documents().futures_page(view, html)
    if view is not None and pdf is not None:
        documents().futures_pdf(view, pdf)
    told = [_("page: {file}").format(file=file) for file in written.values()]
    return Shown(answer.data | written, lines(*answer.lines, *told))


def _progress(share_frac: float, text: str) -> None:
    import sys

    sys.stderr.write(f"\r{share_frac:4.0%} {text}   " + ("\n" if share_frac >= 1 else ""))
    sys.stderr.flush()
