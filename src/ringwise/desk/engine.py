"""Which engine made a result: the version and a fingerprint of the code that computes."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from pathlib import Path

import ringwise

_ROOMS = ("kit", "structure", "weather", "phenology", "rootzone", "growth", "operations", "futures", "season")


@lru_cache(maxsize=1)
def engine_version() -> str:
    """The version with a fingerprint of the science rooms' sources and data.

    Two installations of the same code agree; a changed line gives another engine, so that a result
    made by old code is never served as if it were new.

    Returns
    -------
    str
        Such as "0.1.0+3f9a0c1b22d4".

    Examples
    --------
    >>> engine_version().startswith(ringwise.__version__)
    True
    """
    root = Path(ringwise.__file__).resolve().parent
    digest = hashlib.sha256()
    for room in _ROOMS:
        for file in sorted((root / room).rglob("*")):
            if file.suffix in {".py", ".csv", ".toml"}:
                digest.update(file.relative_to(root).as_posix().encode())
                digest.update(file.read_bytes())
    return f"{ringwise.__version__}+{digest.hexdigest()[:12]}"
