"""How compiled code is made: one decorator, and a cache that no other version of the code can be served from.

Numba's own cache looks at the file of a function alone: code that was compiled into a caller in another
file would outlive its change. So the cache folder is named by the content of every compiled module.
"""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numba
from numba import njit
from platformdirs import user_cache_path

_VARIABLE = "NUMBA_CACHE_DIR"  # whoever sets it knows better
_SETTING = "CACHE_DIR"  # of numba.config, which defines its settings at run time
_KEEP_S = 14 * 24 * 3600.0  # folders of other versions unused for so long are let go


def fingerprint(root: Path) -> str:
    """The content of all compiled modules below a folder, as 16 hexadecimal digits.

    Parameters
    ----------
    root : Path
        The package.

    Returns
    -------
    str
        Another value for any changed line.

    Examples
    --------
    >>> len(fingerprint(Path(numba.__file__).parent / "nowhere"))
    16
    """
    digest = hashlib.sha256()
    for file in sorted(root.rglob("*.py")):
        if file.stem.endswith(("kernels", "effects", "layout", "effect_codes")):
            digest.update(file.relative_to(root).as_posix().encode())
            digest.update(file.read_bytes())
    return digest.hexdigest()[:16]


def _own_cache() -> None:
    """Point the compiler's cache at a folder of this very code; forget those of long ago."""
    if os.environ.get(_VARIABLE):
        return
    above = user_cache_path("ringwise") / "compiled"
    mine = above / fingerprint(Path(__file__).resolve().parents[1])
    try:
        mine.mkdir(parents=True, exist_ok=True)
        os.utime(mine)
        used = mine.stat().st_mtime
        for other in above.iterdir():
            if other != mine and used - other.stat().st_mtime > _KEEP_S:
                shutil.rmtree(other, ignore_errors=True)
    except OSError:
        return  # no folder of one's own: the compiler finds a place or compiles anew
    setattr(numba.config, _SETTING, str(mine))


_own_cache()
compiled: Callable[[Callable[..., Any]], Any] = njit(cache=True, nogil=True, error_model="numpy")


def is_compiled(function: str) -> bool:
    """Whether the cache of this code holds a function, so that its first call need not compile.

    Parameters
    ----------
    function : str
        Such as "kernels.live".

    Returns
    -------
    bool
        False also where there is no cache to look into.

    Examples
    --------
    >>> is_compiled("kernels.no_such_function")
    False
    """
    folder = str(getattr(numba.config, _SETTING, ""))
    return bool(folder) and any(Path(folder).rglob(f"{function}-*.nbi"))
