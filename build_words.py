"""Compiles the catalogues: every `.po` under src/ringwise/kit/locale becomes the `.mo` beside it.

    python build_words.py

Needs nothing but the standard library. The build of a wheel calls `compile_catalogues`; a checkout works
without it, since `ringwise.kit.words` reads the `.po` itself where the `.mo` is missing or older.
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

LOCALE = Path("src/ringwise/kit/locale")
READER = Path("src/ringwise/kit/catalogues.py")


def _reader(root: Path) -> ModuleType:
    """`kit/catalogues.py` by its path: the package need not be installed, nor its parts be loaded."""
    name = "ringwise_catalogues"
    spec = importlib.util.spec_from_file_location(name, root / READER)
    if spec is None or spec.loader is None:
        raise FileNotFoundError(root / READER)
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module


def compile_catalogues(root: Path | str) -> list[Path]:
    """Write every `.mo`; returns the files written, in order. `root` is the project's folder."""
    root = Path(root)
    reader = _reader(root)
    written = []
    for source in sorted((root / LOCALE).glob("*/LC_MESSAGES/*.po")):
        target = source.with_suffix(".mo")
        draft = source.with_suffix(".mo.new")
        draft.write_bytes(reader.packed(reader.read_po(source.read_text(encoding="utf-8"))))
        draft.replace(target)
        written.append(target)
    return written


if __name__ == "__main__":
    for file in compile_catalogues(Path(__file__).resolve().parent):
        sys.stdout.write(f"{file}\n")
