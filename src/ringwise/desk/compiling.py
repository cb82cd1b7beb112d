"""Before the first run of futures on a machine: compile, in a second process where there is time for it."""

from __future__ import annotations

import subprocess
import sys

_PROGRAM = "from ringwise.futures.compiling import compile_years; compile_years()"
_LONGEST_S = 240.0  # a slow machine; beyond it the first run compiles by itself
_helpers: list[subprocess.Popen[bytes]] = []


def begin_compiling() -> None:
    """Start a second process that compiles the years, unless they are in the cache already."""
    from ringwise.kit.kernels import is_compiled

    if not _helpers and not is_compiled("kernels.live"):
        quiet = subprocess.DEVNULL
        _helpers.append(
            subprocess.Popen([sys.executable, "-c", _PROGRAM], stdin=quiet, stdout=quiet, stderr=quiet)
        )


def ensure_compiled() -> None:
    """Make sure that the compiled years are in the cache: wait for who compiles them, or do it here.

    Nothing depends on it: where it fails, the first call compiles by itself and only takes longer.
    """
    from ringwise.kit.kernels import is_compiled

    if is_compiled("kernels.live"):
        return
    if not _helpers:
        from ringwise.futures.compiling import compile_years

        compile_years()
        return
    helper = _helpers.pop()
    try:
        helper.wait(timeout=_LONGEST_S)
    except subprocess.TimeoutExpired:
        pass
    finally:
        helper.kill()
