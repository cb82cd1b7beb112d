"""List every text of the data files that users are shown, with the file, row and column it stands in.

The German catalogue `ringwise_data.po` is held to this list by a test. From the project's root:
.venv/bin/python docs/reference/extract_data_words.py               # a CSV: file, row, column, text
.venv/bin/python docs/reference/extract_data_words.py --update de   # rewrite the catalogue of a language

`--update` keeps head and translations, adds new texts with an empty one and drops texts that are gone.

Left out: where a row comes from (source, locator, and the notes of parameter rows, which no page shows),
codes, and the records of the demonstration yard, which are a grower's own words.
"""

from __future__ import annotations

import ast
import csv
import io
import re
import sys
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import util
from pathlib import Path
from types import ModuleType
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "ringwise"

# Columns shown to users, by table; in parameter tables the rows of a parameter are shown instead.
COLUMNS = {
    "operations/data/operations.csv": ("name", "noun"),
    "operations/data/hazards.csv": ("text",),
    "operations/data/cross_rules.csv": ("text", "way_out"),
    "operations/data/aftercare.csv": ("do", "ends"),
    "operations/data/timing.csv": ("sign", "closes_by", "note"),
    "operations/data/conflicts.csv": ("note",),
    "phenology/data/stage_looks.csv": ("look",),
    "season/data/splits.csv": ("why",),
}
SIGNS = (
    "operations/data/aftercare.csv",
    "ends",
)  # several in a field; stages among them have their own words
STAGE = re.compile(r"[A-Z0-9]{2}")
PARAMETERS = {
    "records/data/taxa.csv": (("common_name", "value"),),
    "rootzone/data/mixes.csv": (("parts", "scope"), ("why", "value")),
    "rootzone/data/components.csv": (("name", "value"), ("provenance", "value")),
    "rootzone/data/purpose.csv": (("looks_for", "value"),),
}
# Keys of the TOML files; what is a list or a table below them is walked through.
PROCEDURE_KEYS = (
    "why",
    "preconditions",
    "not_when",
    "checks",
    "judge",
    "risk",
    "record",
    "kit",
    "step",
    "found",
    "hazard",
)
STEP_TEXTS = frozenset({"text", "needs", "what", "do", "roots", "branches", "materials"})
COURSE_KEYS = ("title", "words", "closes")
# Words that a record or a table holds as keys and that are shown through `from_data`.
CONSTANTS = {
    "records/model.py": ("POT_SHAPES", "PLACE_KINDS"),
}
LITERALS = {  # file: what it is, its words; their code passes them on as variables
    "desk/entry_words.py": ("key of a work", ("pot", "mix")),
    "faces/cli/outlook.py": (
        "model",
        ("thermal time", "chill exponential", "unichill threshold", "photoperiod chill", "mean"),
    ),
    "futures/course.py": ("site of a step", ("base", "graft", "roots")),
}


@dataclass(frozen=True, order=True)
class Text:
    """A text with its origin: file below the package, row (line, or place in a TOML file), column."""

    file: str
    row: str
    column: str
    text: str


def _rows(file: str) -> Iterator[tuple[int, dict[str, str]]]:
    with (PACKAGE / file).open(encoding="utf-8", newline="") as opened:
        reader = csv.DictReader(opened)
        for row in reader:
            yield reader.line_num, row


def _in_sentence(name: str) -> str:
    """A name as it stands inside a sentence, with a small first letter."""
    return name[:1].lower() + name[1:]


def _tables() -> Iterator[Text]:
    for file, columns in COLUMNS.items():
        for line, row in _rows(file):
            for column in columns:
                texts = row[column].split("|") if (file, column) == SIGNS else [row[column]]
                for text in texts:
                    if not STAGE.fullmatch(text):
                        yield Text(file, str(line), column, text)
                if (file, column) == ("operations/data/operations.csv", "name"):
                    yield Text(file, str(line), "name in a sentence", _in_sentence(row[column]))
    for file, shown in PARAMETERS.items():
        for line, row in _rows(file):
            for parameter, column in shown:
                if row["parameter"] == parameter:
                    yield Text(file, str(line), f"{parameter}.{column}", row[column])


def _bases() -> Iterator[Text]:
    """How well a number is known: the grades in use, each once, where it stands first."""
    seen: set[str] = set()
    for path in sorted(PACKAGE.glob("*/data/*.csv")):
        file = path.relative_to(PACKAGE).as_posix()
        for line, row in _rows(file):
            basis = row.get("basis") or ""
            if basis not in seen:
                seen.add(basis)
                yield Text(file, str(line), "basis", basis)


def _walk(value: Any, place: str, column: str) -> Iterator[tuple[str, str, str]]:
    if isinstance(value, str):
        yield place, column, value
    elif isinstance(value, list):
        for number, each in enumerate(value, 1):
            yield from _walk(each, f"{place} {number}".strip(), column)
    elif isinstance(value, dict):
        for key, each in value.items():
            if key in STEP_TEXTS:
                yield from _walk(each, f"{place} {key}", key)


def _procedures() -> Iterator[Text]:
    for path in sorted((PACKAGE / "operations/data/procedures").glob("*.toml")):
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        file = path.relative_to(PACKAGE).as_posix()
        for key in PROCEDURE_KEYS:
            for place, column, text in _walk(data.get(key, ""), key, key):
                yield Text(file, place, column, text)


def _courses() -> Iterator[Text]:
    for path in sorted((PACKAGE / "futures/data/courses").glob("*.toml")):
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        file = path.relative_to(PACKAGE).as_posix()
        for key in COURSE_KEYS:
            yield Text(file, key, key, data.get(key, ""))
        yield Text(file, "key", "key as words", data["key"].replace("_", " ").capitalize())
        for check in data.get("check", ()):
            yield Text(file, "check", "name", check["name"])


def _words_in_code() -> Iterator[Text]:
    for file, names in CONSTANTS.items():
        for node in ast.parse((PACKAGE / file).read_text(encoding="utf-8")).body:
            if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
                name = node.targets[0].id
                if name in names:
                    for word in ast.literal_eval(node.value):
                        yield Text(file, name, "word", word)
    for file, (column, words) in LITERALS.items():
        for word in words:
            yield Text(file, "words", column, word)


def texts() -> tuple[Text, ...]:
    """Every text with its origin, in a fixed order; empty fields are left out."""
    found = [*_tables(), *_bases(), *_procedures(), *_courses(), *_words_in_code()]
    return tuple(each for each in found if each.text)


def by_text() -> dict[str, tuple[str, ...]]:
    """Each text once, with the files below the package it stands in, in the order of the list."""
    files: dict[str, dict[str, None]] = {}
    for each in texts():
        files.setdefault(each.text, {})[each.file] = None
    return {text: tuple(names) for text, names in files.items()}


def _catalogue_tools() -> ModuleType:
    """`kit/catalogues.py`, by its path: Ringwise need not be installed."""
    spec = util.spec_from_file_location("ringwise_catalogues", PACKAGE / "kit" / "catalogues.py")
    assert spec is not None
    assert spec.loader is not None
    module = util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def updated(content: str) -> str:
    """A catalogue's content brought up to the list."""
    tools = _catalogue_tools()
    known = {message.ids[0]: message.texts[0] for message in tools.read_po(content)}
    parts = [content.split("\n\n", 1)[0] + "\n"]
    for text, files in by_text().items():
        places = "".join(f"#: {file}\n" for file in files)
        parts.append(f"{places}msgid {tools.quoted(text)}\nmsgstr {tools.quoted(known.get(text, ''))}\n")
    return "\n".join(parts)


def listing() -> str:
    """The list as CSV."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("file", "row", "column", "text"))
    writer.writerows((each.file, each.row, each.column, each.text) for each in texts())
    return out.getvalue()


def main() -> None:
    """Print the list, or with --update LANGUAGE rewrite that language's catalogue."""
    if sys.argv[1:2] == ["--update"]:
        file = PACKAGE / "kit" / "locale" / sys.argv[2] / "LC_MESSAGES" / "ringwise_data.po"
        content = updated(file.read_text(encoding="utf-8"))
        file.write_text(content, encoding="utf-8")
        lacking = content.count('\nmsgstr ""\n\n') + content.endswith('\nmsgstr ""\n')
        sys.stdout.write(f"{lacking} texts lack a translation\n")
    else:
        sys.stdout.write(listing())


if __name__ == "__main__":
    main()
