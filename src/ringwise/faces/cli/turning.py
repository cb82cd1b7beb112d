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
    years: Annotated[int, typer.Option("--years", help=_("How far to look."))] = 20,
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
) -> Shown:
    """The tree each course leads to, with odds, hours and what drives the answer."""
    import sys

    from ringwise.desk.turnings import FuturesWish, futures_answer

    progress = None if common.as_json or not sys.stderr.isatty() else _progress
    wish = FuturesWish(tree, tuple(course or ()), futures, years, workers, scheduler)
    answer = futures_answer(common.workspace(), wish, progress=progress)
    if html is not None:
        documents().futures_page(answer.view(), html)
    data = answer.data | ({"html": str(html)} if html is not None else {})
    return Shown(data, lines(*answer.lines, *([_("page: {file}").format(file=html)] if html else [])))


def _progress(share_frac: float, text: str) -> None:
    import sys

    sys.stderr.write(f"\r{share_frac:4.0%} {text}   " + ("\n" if share_frac >= 1 else ""))
    sys.stderr.flush()
