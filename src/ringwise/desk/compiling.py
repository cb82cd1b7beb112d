"""Before the first run of futures on a machine: compile with two processes instead of one."""

from __future__ import annotations

import subprocess
import sys

_PROGRAM = "from ringwise.futures.compiling import compile_part; compile_part('steps')"
_LONGEST_S = 240.0  # a slow machine; beyond it the first run compiles by itself
_helpers: list[subprocess.Popen[bytes]] = []


def begin_compiling() -> None:
    """Start a second process that compiles half of the years, unless they are in the cache already."""
    from ringwise.kit.kernels import is_compiled

    if not _helpers and not is_compiled("kernels.live"):
        quiet = subprocess.DEVNULL
        _helpers.append(
            subprocess.Popen([sys.executable, "-c", _PROGRAM], stdin=quiet, stdout=quiet, stderr=quiet)
        )


def ensure_compiled() -> None:
    """Make sure that the compiled years are in the cache.

    Nothing depends on it: where it fails, the first call compiles by itself and only takes longer.
    """
    begin_compiling()
    if not _helpers:
        return
    from ringwise.futures.compiling import compile_part

    helper = _helpers[0]
    try:
        compile_part("years")
        helper.wait(timeout=_LONGEST_S)
    except subprocess.TimeoutExpired:
        pass
    finally:
        helper.kill()
        _helpers.clear()
