"""How every command is made: the options all share, what it shows, how it fails in one line."""

from __future__ import annotations

import functools
import inspect
import json
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Protocol, get_type_hints

import typer

from ringwise.kit.errors import RingwiseError, StoppedError
from ringwise.kit.reading import Reading, process_reading, reading
from ringwise.kit.words import _, from_docstring

if TYPE_CHECKING:
    from rich.console import Console

    from ringwise.desk.calendar_feed import Feed
    from ringwise.desk.turntable_report import TurnReport
    from ringwise.desk.workspace import Workspace
    from ringwise.futures.view import FuturesView
    from ringwise.season.worksheet_content import Worksheet
    from ringwise.structure.photo.tiling import Tiling

Data = Mapping[str, Any]


@dataclass(frozen=True)
class Common:
    """The options accepted after every subcommand."""

    as_json: bool = False
    collection: str | None = None
    on: str | None = None
    seed: int | None = None
    verbose: bool = False

    def workspace(self, *, create: bool = True) -> Workspace:
        """The collection that the options name."""
        from ringwise.desk.workspace import open_workspace

        return open_workspace(
            Path(self.collection) if self.collection else None,
            on=self.on,
            seed=self.seed,
            create=create,
            verbose=self.verbose,
        )

    def folder(self) -> Path:
        """The collection's folder, without opening it."""
        from ringwise.desk.workspace import collection_folder

        return collection_folder(Path(self.collection) if self.collection else None)

    def reading(self) -> Reading:
        """How the collection's people read; where its settings do not read, as the process does."""
        from ringwise.desk.settings import load_settings

        try:
            return load_settings(self.folder()).reading
        except RingwiseError:  # whoever needs the settings says what is wrong with them
            return process_reading()


@dataclass(frozen=True)
class Shown:
    """What a command answers: the documented keys, and how to draw them on a terminal."""

    data: Data
    draw: Callable[[Console], None]


class DocumentWriter(Protocol):
    """What writes documents for a command; handed in, since faces do not know each other."""

    def worksheet_pdf(self, sheet: Worksheet, file: Path) -> None:
        """A worksheet as PDF."""

    def futures_page(self, view: FuturesView, file: Path) -> None:
        """A turning as one self-contained page."""

    def futures_pdf(self, view: FuturesView, file: Path) -> None:
        """A turning as PDF: two minutes on the first page, then a page a course."""

    def board_pdf(self, tiles: Tiling, pot: tuple[float, float, bool] | None, file: Path) -> None:
        """A board to print as PDF."""

    def turntable_report(self, report: TurnReport, folder: Path) -> None:
        """A report on a turn of photos: a page and its pictures in a folder."""

    def calendar_file(self, feed: Feed, file: Path | None) -> None:
        """A calendar of windows into a file, or to standard output where there is none."""


class Server(Protocol):
    """What serves the app for a command; handed in, since faces do not know each other."""

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


_documents: list[DocumentWriter] = []
_servers: list[Server] = []


def use_documents(writer: DocumentWriter) -> None:
    """Set who writes documents."""
    _documents[:] = [writer]


def documents() -> DocumentWriter:
    """Who writes documents."""
    return _documents[0]


def use_server(server: Server) -> None:
    """Set who serves."""
    _servers[:] = [server]


def server() -> Server:
    """Who serves."""
    return _servers[0]


JSON = Annotated[bool, typer.Option("--json", help=_("Answer as JSON with documented keys."))]
COLLECTION = Annotated[
    str | None, typer.Option("--collection", metavar="DIR", help=_("The collection's folder."))
]
ON = Annotated[
    str | None, typer.Option("--on", metavar="DATE", help=_("The day that counts as today, YYYY-MM-DD."))
]
SEED = Annotated[int | None, typer.Option("--seed", help=_("Seed of every random draw."))]
VERBOSE = Annotated[bool, typer.Option("--verbose", help=_("Log lines on standard error as well."))]

_COMMON: tuple[tuple[str, Any, Any], ...] = (
    ("as_json", JSON, False),
    ("collection", COLLECTION, None),
    ("on", ON, None),
    ("seed", SEED, None),
    ("verbose", VERBOSE, False),
)


def command(
    app: typer.Typer, name: str, **more: Any
) -> Callable[[Callable[..., Shown | None]], Callable[..., Shown | None]]:
    """Make a function `f(common, ...)` a command that also takes the common options.

    It answers what is to be shown, or None where it has shown all of it itself.
    """

    def register(function: Callable[..., Shown | None]) -> Callable[..., Shown | None]:
        hints = get_type_hints(function, include_extras=True)
        own = [p for p in inspect.signature(function).parameters.values() if p.name != "common"]

        @functools.wraps(function)
        def outer(**given: Any) -> None:
            common = Common(**{field: given.pop(field) for field, _hint, _default in _COMMON})
            with reading(common.reading()):
                try:
                    shown = function(common, **given)
                except KeyboardInterrupt as stop:  # told here: the option parser would leave without a word
                    words = str(stop) or _("stopped; what was acknowledged is stored")
                    raise StoppedError(words) from None
                if shown is not None:
                    show(shown, common)

        shared = [
            inspect.Parameter(field, inspect.Parameter.KEYWORD_ONLY, default=default, annotation=hint)
            for field, hint, default in _COMMON
        ]
        mine = [p.replace(annotation=hints[p.name], kind=inspect.Parameter.KEYWORD_ONLY) for p in own]
        outer.__signature__ = inspect.Signature(mine + shared)  # type: ignore[attr-defined]
        outer.__annotations__ = {p.name: p.annotation for p in mine + shared}
        del outer.__wrapped__
        app.command(name, help=from_docstring(function.__doc__), **more)(outer)
        return function

    return register


def show(shown: Shown, common: Common) -> None:
    """Print what a command answers, as JSON or drawn."""
    if common.as_json:
        sys.stdout.write(
            json.dumps(shown.data, ensure_ascii=False, indent=2, default=_plain, allow_nan=False)
        )
        sys.stdout.write("\n")
        return
    from rich.console import Console

    shown.draw(Console(highlight=False, soft_wrap=False))


def _plain(value: object) -> object:
    if hasattr(value, "isoformat"):
        return value.isoformat()
    if hasattr(value, "tolist"):
        return value.tolist()
    raise TypeError(f"{type(value).__name__} has no JSON form")


def lines(*texts: str) -> Callable[[Console], None]:
    """A drawing of plain lines, markup switched off so that names print as they are."""

    def draw(console: Console) -> None:
        for text in texts:
            console.print(text, markup=False, soft_wrap=True)

    return draw
