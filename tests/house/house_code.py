"""House rules on code: sizes, names, clocks, chance, texts, and what may load when."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

from house_source import (
    KERNEL_ENDINGS,
    Function,
    Module,
    body_without_docstring,
    functions,
    imported_names,
    parameters,
    top_imports,
)

MOST_LINES = 400
MOST_BODY_LINES = 40
MOST_PARAMETERS = 7
ATTICS = {"utils", "util", "helpers", "helper", "common", "misc"}
IMPURE = {"io", "logging", "os", "pathlib", "random", "shutil", "socket", "subprocess", "tempfile", "time"}
# Pieces, so that this file does not break its own rule.
MACHINE_PATH = re.compile("(?<![\\w.])" + "/(?:root|work|Users)" + "/[A-Za-z.]")
REGISTRY = re.compile(
    "|".join(("pypi[.]org", "python" + "hosted", "registry[.]npm" + "js", "crates[.]" + "io"))
)


def file_length(module: Module) -> list[str]:
    """Files stay short enough to read in one sitting."""
    lines = module.text.count("\n") + 1
    return [f"{module.path}: {lines} lines; at most {MOST_LINES}"] if lines > MOST_LINES else []


def body_length(module: Module) -> list[str]:
    """Function bodies stay on one screen."""
    faults = []
    for function in functions(module):
        body = body_without_docstring(function)
        lines = (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0
        if lines > MOST_BODY_LINES:
            faults.append(f"{module.path}:{function.lineno} {function.name}: body of {lines} lines")
    return faults


def parameter_count(module: Module) -> list[str]:
    """More than seven parameters want to be a dataclass; the options of a command do not count."""
    counts = [
        (function, sum(not _is_option(each) for each in parameters(function)))
        for function in functions(module)
    ]
    return [
        f"{module.path}:{function.lineno} {function.name}: {count} parameters"
        for function, count in counts
        if count > MOST_PARAMETERS
    ]


def _is_option(parameter: ast.arg) -> bool:
    text = ast.unparse(parameter.annotation) if parameter.annotation else ""
    return "typer.Option(" in text or "typer.Argument(" in text


def no_attic(module: Module) -> list[str]:
    """A module has a subject; an attic has none."""
    parts = module.path.removesuffix(".py").split("/")
    return [f"{module.path}: {part} is no subject" for part in parts if part in ATTICS]


def no_print(module: Module) -> list[str]:
    """Only the faces write, and they do it through their console."""
    return [
        f"{module.path}:{node.lineno} print"
        for node in module.nodes
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "print"
    ]


def no_global_chance(module: Module) -> list[str]:
    """Draws come from kit.chance, keyed by where they are used."""
    faults = []
    for node in module.nodes:
        names = [name for name, _line in imported_names(node)]
        if any(name.split(".")[0] == "random" or name.startswith("numpy.random") for name in names):
            faults.append(f"{module.path}:{node.lineno} imports global chance")
        if isinstance(node, ast.Attribute) and ast.unparse(node) in {"np.random", "numpy.random"}:
            faults.append(f"{module.path}:{node.lineno} uses np.random")
    return faults


def no_clock(module: Module) -> list[str]:
    """Today is an argument; only desk/clock.py asks the machine."""
    if module.path == "src/ringwise/desk/clock.py":
        return []
    faults = []
    for node in module.nodes:
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
            continue
        owner = ast.unparse(node.func.value).split(".")[-1]
        asks = node.func.attr in {"now", "today", "utcnow"} and owner.lower() in {"datetime", "date", "dt"}
        if asks or ast.unparse(node.func) in {"time.time", "time.localtime", "time.strftime"}:
            faults.append(f"{module.path}:{node.lineno} {ast.unparse(node.func)} asks the clock")
    return faults


def science_is_pure(module: Module) -> list[str]:
    """The science rooms read no file, no environment and no clock."""
    if not module.is_science:
        return []
    faults = []
    for node in module.nodes:
        for name, line in imported_names(node):
            if name.split(".")[0] in IMPURE and "." not in name:
                faults.append(f"{module.path}:{line} imports {name}")
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "open":
            faults.append(f"{module.path}:{node.lineno} opens a file")
    return faults


def literal_texts(module: Module) -> list[str]:
    """A catalogue can only hold literal texts: `_("...").format(...)`, never `_(name)` or an f-string."""
    if module.path == "src/ringwise/kit/words.py":
        return []
    faults = []
    for node in module.nodes:
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
            continue
        if node.func.id not in {"_", "counted"}:
            continue
        texts = node.args[: 2 if node.func.id == "counted" else 1]
        if not all(isinstance(text, ast.Constant) and isinstance(text.value, str) for text in texts):
            faults.append(f"{module.path}:{node.lineno} {ast.unparse(node)[:60]}: not a literal text")
    return faults


def words_when_asked(module: Module) -> list[str]:
    """Texts are looked up for each wish; at import, or in a kept result, they would freeze one language.

    The options of commands belong to the process, which speaks the language of its environment.
    """
    if module.path.startswith("src/ringwise/faces/cli/"):
        return []
    kept = [
        function
        for function in functions(module)
        if any("cache" in ast.unparse(each) for each in function.decorator_list)
    ]
    calls = [*_import_time_calls(module.tree), *(call for each in kept for call in _calls(each))]
    return [
        f"{module.path}:{call.lineno} {ast.unparse(call)[:60]}: looked up once for every reader"
        for call in calls
        if isinstance(call.func, ast.Name) and call.func.id in {"_", "counted", "from_data"}
    ]


def _calls(node: ast.AST) -> list[ast.Call]:
    return [each for each in ast.walk(node) if isinstance(each, ast.Call)]


def _import_time_calls(node: ast.AST) -> Iterator[ast.Call]:
    """Calls that run when a module is imported: all but those in the bodies of functions."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Call):
            yield child
        if isinstance(child, ast.Lambda):
            continue
        if isinstance(child, Function):
            for each in (*child.decorator_list, child.args):
                yield from (call for call in _calls(each))
            continue
        yield from _import_time_calls(child)


def lazy_compiler(module: Module) -> list[str]:
    """The compiler loads with a kernel module, and a kernel module only inside a checked function."""
    if module.is_kernel:
        return []
    return [
        f"{module.path}:{line} imports {name} at its top"
        for name, line in top_imports(module)
        if name.split(".")[0] == "numba" or name.split(".")[-1].endswith(KERNEL_ENDINGS)
    ]


def no_machine_words(path: str, text: str) -> list[str]:
    """Nothing published names a machine's folders or a package registry."""
    return [
        f"{path}:{number} names {found.group(0)}"
        for number, line in enumerate(text.splitlines(), 1)
        for pattern in (MACHINE_PATH, REGISTRY)
        if (found := pattern.search(line))
    ]
