"""The command that builds the demo yard and shows the whole job on it."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ringwise.faces.cli.base import Common, Shown, command, documents, show
from ringwise.faces.cli.serve import serve_folder
from ringwise.kit.words import _

if TYPE_CHECKING:
    from rich.console import Console

    from ringwise.desk.workspace import Workspace

_SHEETS = (("T03", "repot"),)
_TURNINGS = ("T01", "T04", "T08", "T11")
LIVES = 500  # of each course


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    command(app, "demo")(_demo)


def _demo(
    common: Common,
    no_open: Annotated[bool, typer.Option("--no-open", help=_("Build, compute and leave."))] = False,
) -> Shown | None:
    """Build the demo yard (invented data), compute everything, say where to look, and open the app on it."""
    from ringwise.desk.build_demo import build_demo
    from ringwise.desk.compiling import begin_compiling
    from ringwise.desk.today import today_page
    from ringwise.desk.workspace import DEMO_FOLDER

    folder = Path(common.collection) if common.collection else Path.cwd() / DEMO_FOLDER
    workspace = build_demo(folder, on=common.on, seed=common.seed, say=_say)
    begin_compiling()
    page = today_page(workspace)
    files = _documents(workspace, folder / "out")
    data = {
        "collection": str(folder),
        "today": page["today"],
        "trees": len(workspace.trees),
        "entries": len(workspace.entries),
        "due": len(page["due"]),
        "conflicts": len(page["conflicts"]),
        "files": {name: str(file) for name, file in files.items()},
        "seed": workspace.seed,
    }
    shown = Shown(data, lambda console: _draw(console, page, folder, files))
    if no_open or common.as_json or not sys.stdout.isatty():
        return shown
    show(shown, common)
    serve_folder(common, folder, port=None, open_it=True)
    return None


def _documents(workspace: Workspace, out: Path) -> dict[str, Path]:
    from ringwise.desk.demo.turn import TREE, copy_turn
    from ringwise.desk.turnings import FuturesWish, futures_answer
    from ringwise.desk.worksheets import SheetWish, worksheet_answer

    out.mkdir(exist_ok=True)
    files: dict[str, Path] = {}
    files[f"turn_{TREE}"] = copy_turn(out / f"turn_{TREE}")
    for tree, operation in _SHEETS:
        file = out / f"worksheet_{tree}_{operation}.pdf"
        _say(_("worksheet of {tree}").format(tree=tree))
        documents().worksheet_pdf(worksheet_answer(workspace, SheetWish(tree, operation)).sheet, file)
        files[f"worksheet_{tree}"] = file
    for tree in _TURNINGS:
        file = out / f"futures_{tree}.html"
        _say(_("futures of {tree}").format(tree=tree))
        wish = FuturesWish(tree, futures=LIVES)
        documents().futures_page(futures_answer(workspace, wish).view(), file)
        files[f"futures_{tree}"] = file
    return files


def _say(text: str) -> None:
    sys.stderr.write(text + "\n")


def _draw(console: Console, page: dict[str, Any], folder: Path, files: dict[str, Path]) -> None:
    from ringwise.faces.cli.outlook import draw_today

    draw_today(console, page, everything=False)
    console.print()
    console.print(_("Where to look"), style="bold", markup=False)
    for file in files.values():
        console.print(f"  {file}", markup=False, soft_wrap=True)
    try:
        shown = folder.resolve().relative_to(Path.cwd().resolve())
    except ValueError:
        shown = folder
    for words in ("outlook", "tree list", "worksheet T14 repot", "futures T01", "why T03:repot:opens"):
        console.print(f'  ringwise {words} --collection "{shown}"', markup=False, soft_wrap=True)
    cameras = next(file for name, file in files.items() if name.startswith("turn_"))
    turn = f'measure turntable "{cameras.parent}" --cameras "{cameras}"'
    console.print(f"  ringwise {turn}", markup=False, soft_wrap=True)
