"""List every text that the code shows to users, and bring a catalogue up to that list.

From the project's root:
.venv/bin/python docs/reference/extract_words.py               # a template, with the places of each text
.venv/bin/python docs/reference/extract_words.py --update de   # rewrite the catalogue of a language

Found are literal texts in `_()`, `counted()` and `from_data()` and the one line of each command, which is its
help. `--update` keeps translations, adds new texts with an empty one and drops texts that are gone. Texts of
data files are listed by extract_data_words.py.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from importlib import util
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "ringwise"
LOCALE = PACKAGE / "kit" / "locale"
Texts = dict[tuple[str, ...], list[str]]


def _constants(call: ast.Call, most: int) -> tuple[str, ...]:
    found = [each.value for each in call.args[:most] if isinstance(each, ast.Constant)]
    return tuple(text for text in found if isinstance(text, str) and text)


def _commands(tree: ast.Module) -> Iterator[tuple[int, tuple[str, ...]]]:
    """The docstrings of functions that `command(app, "name")` registers."""
    registered = {
        node.args[0].id
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Call)
        and isinstance(node.func.func, ast.Name)
        and node.func.func.id == "command"
        and node.args
        and isinstance(node.args[0], ast.Name)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and node.name in registered and ast.get_docstring(node):
            yield node.lineno, (str(ast.get_docstring(node)),)


def _module_texts(tree: ast.Module) -> Iterator[tuple[int, tuple[str, ...]]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            most = {"_": 1, "counted": 2}.get(node.func.id, 0)
            ids = _constants(node, most)
            if ids:
                yield node.lineno, ids
    yield from _commands(tree)


def code_texts(package: Path = PACKAGE) -> Texts:
    """Every text (one form, or singular and plural) with the files it stands in, in their order."""
    found: Texts = {}
    for file in sorted(package.rglob("*.py")):
        place = file.relative_to(package).as_posix()
        texts = _module_texts(ast.parse(file.read_text(encoding="utf-8")))
        for _line, ids in sorted(texts, key=lambda each: each[0]):
            known = next((key for key in found if key[0] == ids[0]), None)
            key = known if known is not None and len(known) >= len(ids) else ids
            places = found.pop(known, []) if known is not None and key is not known else found.get(key, [])
            found[key] = places if place in places else [*places, place]
    return found


def catalogue_tools() -> ModuleType:
    """`kit/catalogues.py`, by its path: Ringwise need not be installed."""
    spec = util.spec_from_file_location("ringwise_catalogues", PACKAGE / "kit" / "catalogues.py")
    assert spec is not None
    assert spec.loader is not None
    module = util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def catalogue(texts: Texts, known: dict[tuple[str, ...], tuple[str, ...]], header: str) -> str:
    """The content of a `.po` file: header, then each text with its places and its translation."""
    quoted = catalogue_tools().quoted
    parts = ['msgid ""\nmsgstr ""\n' + "".join(quoted(line) + "\n" for line in header.splitlines(True))]
    for ids, places in texts.items():
        lines = [f"#: {place}" for place in places]
        lines.append(f"msgid {quoted(ids[0])}")
        if len(ids) > 1:
            lines.append(f"msgid_plural {quoted(ids[1])}")
            forms = (*known.get(ids, ()), "", "")
            lines += [f"msgstr[{n}] {quoted(forms[n])}" for n in (0, 1)]
        else:
            lines.append(f"msgstr {quoted((*known.get(ids, ()), '')[0])}")
        parts.append("\n".join(lines) + "\n")
    return "\n".join(parts)


def update(language: str) -> int:
    """Bring a language's catalogue up to the code; how many texts it now lacks."""
    file = LOCALE / language / "LC_MESSAGES" / "ringwise.po"
    messages = catalogue_tools().read_po(file.read_text(encoding="utf-8"))
    known = {each.ids: each.texts for each in messages if each.ids[0]}
    texts = code_texts()
    file.write_text(catalogue(texts, known, messages[0].texts[0]), encoding="utf-8")
    return sum(not all(known.get(ids, ("",))) for ids in texts)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--update"]:
        sys.stdout.write(f"{update(sys.argv[2])} texts lack a translation\n")
    else:
        sys.stdout.write(catalogue(code_texts(), {}, "Content-Type: text/plain; charset=UTF-8\n"))
