"""What the twins share: compiled code whose parts are compiled once."""

from __future__ import annotations

import pytest


@pytest.fixture(scope="session", autouse=True)
def years_compiled() -> None:
    """All parts of a year, in this process: what calls one of them alone then takes it from there.

    Parts are shared within a process only; each of some sixty programs would else compile its own.
    """
    from ringwise.futures.compiling import compile_years

    compile_years()
