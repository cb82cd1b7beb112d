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

from numba.core import config
from platformdirs import user_cache_path

from ringwise.kit.part_kernels import Kernel

_VARIABLE = "NUMBA_CACHE_DIR"  # names another folder for those of all versions
_SETTING = "CACHE_DIR"  # of numba.config, which defines its settings at run time
_MAKERS = frozenset(
    {"empty", "zeros", "ones", "full", "array", "arange", "copy", "median", "sort", "argsort"}
)
_NAME = "[0-9a-f]" * 16  # of a folder, see fingerprint
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
    >>> len(fingerprint(Path("no such folder")))
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
    named = os.environ.get(_VARIABLE)
    above = Path(named) if named else user_cache_path("ringwise") / "compiled"
    mine = above / fingerprint(Path(__file__).resolve().parents[1])
    try:
        mine.mkdir(parents=True, exist_ok=True)
        os.utime(mine)
        used = mine.stat().st_mtime
        for other in above.glob(_NAME):
            if other != mine and used - other.stat().st_mtime > _KEEP_S:
                shutil.rmtree(other, ignore_errors=True)
    except OSError:
        return  # no folder of one's own: the compiler finds a place or compiles anew
    setattr(config, _SETTING, str(mine))


_own_cache()


def compiled(function: Callable[..., Any]) -> Any:
    """Compile a function when Python first calls it, or as a part of the compiled function that calls it.

    Parameters
    ----------
    function : callable
        In the part of Python that the compiler knows.

    Returns
    -------
    callable
        Kept in the cache of this code where Python calls it; the function itself where compiling is off.

    Examples
    --------
    >>> @compiled
    ... def twice(values):
    ...     return 2.0 * values
    >>> twice(1.5)
    3.0
    """
    return _kernel(function, makes_arrays=True)


def compiled_in_place(function: Callable[..., Any]) -> Any:
    """As `compiled`, for a function that makes no arrays: nobody counts then who still uses one.

    Parameters
    ----------
    function : callable
        Works on the arrays it is given, and on views of them.

    Returns
    -------
    callable
        As `compiled`.

    Raises
    ------
    TypeError
        If the function makes an array, which nobody would let go.

    Examples
    --------
    >>> @compiled_in_place
    ... def half(value):
    ...     return 0.5 * value
    >>> half(3.0)
    1.5
    """
    _makes_no_array(function)
    return _kernel(function, makes_arrays=False)


def compiled_inside(function: Callable[..., Any]) -> Any:
    """As `compiled_in_place`, for a short function that loops over segments call for each of them.

    Its code is put into the loop: a call hands on every number that tells of every array, some forty of them,
    which takes longer than such a function itself. Code grows by it, so long functions are not for this.

    Parameters
    ----------
    function : callable
        Works on the arrays it is given, and on views of them.

    Returns
    -------
    callable
        As `compiled`.

    Raises
    ------
    TypeError
        If the function makes an array.

    Examples
    --------
    >>> @compiled_inside
    ... def half(value):
    ...     return 0.5 * value
    >>> half(3.0)
    1.5
    """
    _makes_no_array(function)
    return _kernel(function, makes_arrays=False, inside=True)


def _makes_no_array(function: Callable[..., Any]) -> None:
    made = _MAKERS.intersection(function.__code__.co_names)
    if made:
        raise TypeError(f"{function.__qualname__} makes arrays ({', '.join(sorted(made))}): use compiled")


def _kernel(function: Callable[..., Any], *, makes_arrays: bool, inside: bool = False) -> Any:
    if config.DISABLE_JIT:
        return function
    options = {"nopython": True, "nogil": True, "error_model": "numpy", "_nrt": makes_arrays}
    kernel = Kernel(function, **options, forceinline=inside)
    if Path(function.__code__.co_filename).is_file():
        kernel.enable_caching()
    return kernel


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
    folder = str(getattr(config, _SETTING, ""))
    return bool(folder) and any(Path(folder).rglob(f"{function}-*.nbi"))
