"""House rules on docstrings and on names that carry units."""

from __future__ import annotations

import ast
import csv
import inspect
import re
from functools import lru_cache

from house_source import (
    DOCUMENTED,
    PACKAGE,
    ROOT,
    Function,
    Module,
    functions,
    parameters,
)

FLOATS = {"float", "float | None", "None | float", "Optional[float]"}
_UNDERLINE = re.compile(r"^-{3,}$")


def sections(docstring: str) -> dict[str, list[str]]:
    """The numpydoc sections of a docstring: heading to lines."""
    lines = inspect.cleandoc(docstring).splitlines()
    found: dict[str, list[str]] = {}
    heading = ""
    for number, line in enumerate(lines):
        if number + 1 < len(lines) and _UNDERLINE.match(lines[number + 1]):
            heading = line.strip()
            found[heading] = []
        elif heading and not _UNDERLINE.match(line):
            found[heading].append(line)
    return found


def described(lines: list[str]) -> set[str]:
    """Parameter names that a Parameters section describes."""
    heads = [line.split(":")[0] for line in lines if line and not line.startswith(" ")]
    return {name.strip().lstrip("*") for head in heads for name in head.split(",")}


def raises_directly(function: Function) -> bool:
    """Whether the body raises an error that a caller can meet; an assertion is a bug, not an answer."""
    todo: list[ast.AST] = list(function.body)
    while todo:
        node = todo.pop()
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda | ast.ClassDef):
            continue
        if isinstance(node, ast.Raise) and node.exc is not None and "Assertion" not in ast.unparse(node.exc):
            return True
        todo.extend(ast.iter_child_nodes(node))
    return False


@lru_cache(maxsize=1)
def source_keys() -> frozenset[str]:
    """The keys of the list of sources."""
    with (PACKAGE / "kit" / "data" / "sources.csv").open(encoding="utf-8", newline="") as file:
        return frozenset(row["key"] for row in csv.DictReader(file))


def _names_source(lines: list[str]) -> bool:
    """A key of the list, own reasoning, or the rows of a table, each of which names its own source."""
    text = " ".join(lines)
    named = bool(set(re.findall(r"[a-z_]+[0-9a-z]*", text)) & source_keys())
    return named or "own reasoning" in text.lower() or bool(re.search(r"\brows?\b|[.]csv\b", text))


def docstring_sections(module: Module) -> list[str]:
    """Public functions of the science rooms, the kit and the records say all that a caller needs."""
    if module.room not in DOCUMENTED or module.is_migration:
        return []
    faults = []
    for node in module.tree.body:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            if node.name.startswith("_") and node.name != "_":
                continue
            if module.is_kernel:  # called by its checked public function alone, which says the rest
                lacks = [] if ast.get_docstring(node) else ["no docstring"]
            else:
                lacks = _lacking(node, science=module.is_science)
            if lacks:
                faults.append(f"{module.path}:{node.lineno} {node.name}: {', '.join(lacks)}")
    return faults


def _lacking(function: Function, *, science: bool) -> list[str]:
    text = ast.get_docstring(function)
    if not text:
        return ["no docstring"]
    found = sections(text)
    returns = ast.unparse(function.returns) if function.returns else "None"
    wanted = {
        "Parameters": bool(parameters(function)),
        "Returns": returns not in {"None", "NoReturn"} and "Yields" not in found,
        "Raises": raises_directly(function),
        "Source": science,
        "Examples": True,
    }
    lacks = [f"no {name}" for name, needed in wanted.items() if needed and name not in found]
    names = {each.arg for each in parameters(function)}
    if names and "Parameters" in found:
        listed = described(found["Parameters"])
        lacks += [f"{name} is not described" for name in sorted(names - listed)]
        lacks += [f"{name} is described but no parameter" for name in sorted(listed - names)]
    if "Examples" in found and not any(">>>" in line for line in found["Examples"]):
        lacks.append("Examples hold no example")
    if science and "Source" in found and not _names_source(found["Source"]):
        lacks.append("Source names no key of the list of sources, no row, nor own reasoning")
    return lacks


def has_docstrings(module: Module) -> list[str]:
    """Every module and every public class or method says what it is in one line at least."""
    if not module.path.startswith("src/") or module.is_migration:
        return []
    faults = (
        [] if ast.get_docstring(module.tree) or not module.text.strip() else [f"{module.path}: no docstring"]
    )
    for node in module.nodes:
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            public = [
                each
                for each in node.body
                if isinstance(each, ast.FunctionDef) and not each.name.startswith("_")
            ]
            faults += [
                f"{module.path}:{each.lineno} {each.name}: no docstring"
                for each in (node, *public)
                if not ast.get_docstring(each)
            ]
    return faults


def _first_column(heading: str) -> list[str]:
    text = (ROOT / "docs" / "nomenclature.md").read_text(encoding="utf-8")
    part = text.split(f"## {heading}\n", 1)[1].split("\n## ", 1)[0]
    return re.findall(r"^\| `([^`]+)` \|", part, flags=re.MULTILINE)


@lru_cache(maxsize=1)
def endings() -> tuple[str, ...]:
    """The unit endings that docs/nomenclature.md allows."""
    return tuple(_first_column("Unit endings"))


@lru_cache(maxsize=1)
def plain_names() -> frozenset[str]:
    """The names that docs/nomenclature.md allows without an ending."""
    return frozenset(_first_column("Plain names"))


def carries_unit(name: str) -> bool:
    """Whether a name ends in a unit, is one ("days"), or is on the list of plain names."""
    bare = name.strip("_")
    return bare in plain_names() or any(bare.endswith(end) or bare == end[1:] for end in endings())


def _is_float(annotation: ast.expr | None) -> bool:
    if annotation is None:
        return False
    text = annotation.value if isinstance(annotation, ast.Constant) else ast.unparse(annotation)
    return text in FLOATS


def unit_endings(module: Module) -> list[str]:
    """A float in a science room says its unit in its name."""
    if not module.is_science:
        return []
    named = [
        (f"{function.name}({each.arg})", each.arg, each.lineno)
        for function in functions(module)
        for each in parameters(function)
        if _is_float(each.annotation)
    ]
    for node in module.nodes:
        if isinstance(node, ast.ClassDef):
            named += [
                (f"{node.name}.{each.target.id}", each.target.id, each.lineno)
                for each in node.body
                if isinstance(each, ast.AnnAssign)
                and isinstance(each.target, ast.Name)
                and _is_float(each.annotation)
            ]
    return [f"{module.path}:{line} {shown}: no unit" for shown, name, line in named if not carries_unit(name)]
