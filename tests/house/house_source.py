"""The project's own source, parsed once, for the house checks; and planted samples that must be caught."""

from __future__ import annotations

import ast
import gc
import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "ringwise"
SCIENCE = (
    "structure",
    "weather",
    "phenology",
    "rootzone",
    "growth",
    "operations",
    "futures",
    "season",
)
DOCUMENTED = (*SCIENCE, "kit", "records")
KERNEL_ENDINGS = ("kernels", "effects")  # only modules named so may import the compiler at their top

Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True)
class Module:
    """One Python file: its path from the project's root, its text and its syntax tree."""

    path: str
    text: str
    tree: ast.Module

    @cached_property
    def nodes(self) -> tuple[ast.AST, ...]:
        """Every node of its tree, as `ast.walk` gives them."""
        return tuple(ast.walk(self.tree))

    @property
    def name(self) -> str:
        """File name without ending."""
        return self.path.rsplit("/", 1)[-1].removesuffix(".py")

    @property
    def room(self) -> str:
        """The room it lies in; empty outside the package."""
        found = re.match(r"src/ringwise/([^/]+)/", self.path)
        return found.group(1) if found else ""

    @property
    def dotted(self) -> str:
        """Its import name."""
        return self.path.removeprefix("src/").removesuffix(".py").removesuffix("/__init__").replace("/", ".")

    @property
    def is_science(self) -> bool:
        """Whether it lies in a room that does no input or output."""
        return self.room in SCIENCE

    @property
    def is_kernel(self) -> bool:
        """Whether compiled code may live here."""
        return self.name.endswith(KERNEL_ENDINGS)

    @property
    def is_migration(self) -> bool:
        """Whether it is a step from one version of the record to the next."""
        return "/migrations/" in self.path


def planted(text: str, path: str = "src/ringwise/rootzone/planted.py") -> Module:
    """A module that exists only in a test."""
    return Module(path, text, ast.parse(text))


@lru_cache(maxsize=1)
def package_modules() -> tuple[Module, ...]:
    """Every module of the package."""
    return _parsed(sorted(PACKAGE.rglob("*.py")))


@lru_cache(maxsize=1)
def all_modules() -> tuple[Module, ...]:
    """Every module of the package, the tests and the benchmarks."""
    others = [path for folder in ("tests", "bench") for path in sorted((ROOT / folder).rglob("*.py"))]
    return (*package_modules(), *_parsed(others))


def _parsed(paths: Iterable[Path]) -> tuple[Module, ...]:
    """Files as modules: millions of nodes that stay, so nobody need look again and again for which may go."""
    gc.disable()
    try:
        return tuple(_parse(path) for path in paths)
    finally:
        gc.freeze()
        gc.enable()


def _parse(path: Path) -> Module:
    text = path.read_text(encoding="utf-8")
    return Module(path.relative_to(ROOT).as_posix(), text, ast.parse(text))


@lru_cache(maxsize=1)
def text_files() -> tuple[tuple[str, str], ...]:
    """Path and text of every file that is published with the project."""
    folders = ("src", "tests", "bench", "docs", ".ci", "frontend")
    loose = [path for path in sorted(ROOT.iterdir()) if path.is_file() and path.name != ".git"]
    found = []
    for path in (*loose, *(path for folder in folders for path in _files_below(ROOT / folder))):
        try:
            found.append((path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8")))
        except UnicodeDecodeError:
            continue  # a picture, a font or a database
    return tuple(found)


def _files_below(folder: Path) -> list[Path]:
    """The files of a folder without what is built or fetched into it, in order."""
    found: list[Path] = []
    for here, names, files in os.walk(folder):
        names[:] = [name for name in names if name not in {"__pycache__", "node_modules", "static"}]
        found += [Path(here, name) for name in files]
    return sorted(found)


def functions(module: Module) -> Iterator[Function]:
    """Every function and method of a module, nested ones too."""
    for node in module.nodes:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node


def parameters(function: Function) -> list[ast.arg]:
    """Its parameters without `self` and `cls`."""
    spec = function.args
    every = [*spec.posonlyargs, *spec.args, *spec.kwonlyargs]
    every += [extra for extra in (spec.vararg, spec.kwarg) if extra is not None]
    return [each for each in every if each.arg not in {"self", "cls"}]


def body_without_docstring(function: Function) -> list[ast.stmt]:
    """The statements of a function after its docstring."""
    return function.body[1:] if ast.get_docstring(function) is not None else function.body


def top_imports(module: Module) -> Iterator[tuple[str, int]]:
    """Names imported when the module loads, with their line: not inside functions, not for types only."""
    todo: list[ast.stmt] = list(module.tree.body)
    while todo:
        node = todo.pop(0)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            todo = [*node.orelse, *todo]
        elif isinstance(node, ast.If | ast.Try | ast.With | ast.ClassDef):
            blocks = [getattr(node, name, []) for name in ("body", "orelse", "finalbody")]
            handlers = [handler.body for handler in getattr(node, "handlers", [])]
            todo = [*(each for block in (*blocks, *handlers) for each in block), *todo]
        else:
            yield from imported_names(node)


def imported_names(node: ast.AST) -> Iterator[tuple[str, int]]:
    """The dotted names that one import statement brings in."""
    if isinstance(node, ast.Import):
        yield from ((alias.name, node.lineno) for alias in node.names)
    elif isinstance(node, ast.ImportFrom) and node.module:
        yield node.module, node.lineno
        yield from ((f"{node.module}.{alias.name}", node.lineno) for alias in node.names)
