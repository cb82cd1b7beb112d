"""The command for a turning: each course lived many times, side by side."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, TextIO

import typer

from ringwise.faces.cli.base import Common, Shown, command, documents, lines
from ringwise.kit.words import _

_WIDEST = 78  # signs in a line of progress: a line that wraps cannot be written anew


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
    from ringwise.desk.out_file import check_out
    from ringwise.desk.turnings import FuturesWish, futures_answer

    wanted = {kind: file for kind, file in (("html", html), ("pdf", pdf)) if file is not None}
    for file in wanted.values():
        check_out(file)
    progress = None if common.as_json or not sys.stderr.isatty() else _progress_of(sys.stderr)
    wish = FuturesWish(tree, tuple(course or ()), futures, years, workers, scheduler)
    try:
        answer = futures_answer(common.workspace(), wish, progress=progress)
    except KeyboardInterrupt:
        raise KeyboardInterrupt(_stopped(progress is not None)) from None
    written = {kind: str(file) for kind, file in wanted.items()}
    view = answer.view() if written else None
    if view is not None and html is not None:
        documents().futures_page(view, html)
    if view is not None and pdf is not None:
        documents().futures_pdf(view, pdf)
    told = [_("page: {file}").format(file=file) for file in written.values()]
    return Shown(answer.data | written, lines(*answer.lines, *told))


def _stopped(on_terminal: bool) -> str:
    """What is said of a run that was stopped; it does not follow the line of progress on the same line."""
    if on_terminal:
        sys.stderr.write("\r\x1b[2K")
    return _("stopped; the futures lived so far are kept: the same command goes on from there")


def _progress_of(terminal: TextIO) -> Callable[[float, str], None]:
    """One line on the terminal that is written anew: the share done of the course that is lived."""

    def tell(share_frac: float, course: str) -> None:
        words = _("{share}, {course}").format(share=f"{share_frac:4.0%}", course=course)
        terminal.write("\r\x1b[2K" + words[:_WIDEST] + ("\n" if share_frac >= 1 else ""))
        terminal.flush()

    return tell
