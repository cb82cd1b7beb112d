"""Where the faces meet: the command is handed the writers of documents, so that neither knows the other."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk.out_file import write_out
from ringwise.faces.cli.base import use_documents, use_server
from ringwise.faces.cli.main import exit_code as command_exit_code
from ringwise.kit.errors import InputError, NotFoundError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.calendar_feed import Feed
    from ringwise.desk.turntable_report import TurnReport
    from ringwise.futures.view import FuturesView
    from ringwise.season.worksheet_content import Worksheet
    from ringwise.structure.photo.tiling import Tiling


class Documents:
    """Writes documents into files; each writer is imported when it is used."""

    def worksheet_pdf(self, sheet: Worksheet, file: Path) -> None:
        """A worksheet as PDF."""
        from ringwise.faces.reports.worksheet_pdf import worksheet_pdf

        write_out(file, worksheet_pdf(sheet))

    def futures_page(self, view: FuturesView, file: Path) -> None:
        """A turning as one self-contained page."""
        from ringwise.faces.reports.futures_page import futures_page

        write_out(file, futures_page(view).encode("utf-8"))

    def futures_pdf(self, view: FuturesView, file: Path) -> None:
        """A turning as PDF."""
        from ringwise.faces.reports.futures_pdf import futures_pdf

        write_out(file, futures_pdf(view))

    def board_pdf(self, tiles: Tiling, pot: tuple[float, float, bool] | None, file: Path) -> None:
        """A board to print as PDF."""
        from ringwise.faces.reports.board_pdf import board_pdf

        write_out(file, board_pdf(tiles, pot))

    def turntable_report(self, report: TurnReport, folder: Path) -> None:
        """A report on a turn of photos: a page and its pictures in a folder."""
        from ringwise.faces.reports.turntable_page import picture_name, turntable_page

        if folder.exists() and not folder.is_dir():
            raise InputError(_("{file} is no folder; name a folder for the report").format(file=folder))
        if not folder.parent.is_dir():
            raise NotFoundError(_("there is no folder {folder}; make it first").format(folder=folder.parent))
        folder.mkdir(exist_ok=True)
        for number, view in enumerate(report.views, start=1):
            write_out(folder / picture_name(number), view.picture)
        write_out(folder / "cameras.json", json.dumps(report.data, indent=1).encode())
        write_out(folder / "index.html", turntable_page(report).encode("utf-8"))

    def calendar_file(self, feed: Feed, file: Path | None) -> None:
        """A calendar of windows into a file, or to standard output where there is none."""
        from ringwise.faces.reports.calendar_file import calendar_file

        content = calendar_file(feed)
        if file is not None:
            write_out(file, content)
            return
        sys.stdout.flush()
        sys.stdout.buffer.write(content)  # as it is: no break of a line is changed on the way
        sys.stdout.buffer.flush()


class Server:
    """Serves the app; imported when it is used."""

    def serve(
        self,
        folder: Path,
        *,
        on: str | None,
        seed: int | None,
        port: int | None,
        ready: Callable[[str], None],
    ) -> None:
        """Serve a collection until it is stopped; `ready` is told the address."""
        from ringwise.desk.living import LivingYard
        from ringwise.faces.web.listening import serve

        with LivingYard(folder, on=on, seed=seed) as yard:
            yard.worker.take_up(yard.workspace().settings.reading)
            serve(yard, port, ready)


def exit_code(arguments: list[str] | None = None) -> int:
    """Run one command; its exit code."""
    use_documents(Documents())
    use_server(Server())
    return command_exit_code(arguments)


def run(arguments: list[str] | None = None) -> None:
    """Run one command and leave with its exit code: 0 done, 2 bad use, 1 a failure."""
    sys.exit(exit_code(arguments))
