"""The page of commands is what the program does: every command, every key, every meaning."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "reference" / "commands.md"


def script() -> ModuleType:
    path = ROOT / "docs" / "reference" / "make_commands.py"
    spec = importlib.util.spec_from_file_location("make_commands", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["make_commands"] = module
    spec.loader.exec_module(module)
    return module


def test_the_page_is_fresh() -> None:
    stored = PAGE.read_text(encoding="utf-8")
    assert script().page() == stored, "run: .venv/bin/python docs/reference/make_commands.py"


def test_every_command_is_on_the_page() -> None:
    import typer

    from ringwise.faces.cli.main import app

    module = script()
    shown = {" ".join(module.command_of(example)) for example in module.EXAMPLES}
    shown.add("serve")  # told in a section of its own: it answers nothing and runs until it is stopped
    shown.add("weather fetch")  # so is this one: it asks an address
    page = PAGE.read_text(encoding="utf-8")
    assert "## ringwise serve" in page
    assert "## ringwise weather fetch" in page
    group = typer.main.get_command(app)
    names = set()
    for name, command in group.commands.items():  # type: ignore[attr-defined]
        below = getattr(command, "commands", None)
        names |= {f"{name} {each}" for each in below} if below else {name}
    assert names == shown
