"""What the tests get back from a command that they run in this process."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Ran:
    """What a command gave back."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        """Its JSON answer."""
        return json.loads(self.out)

    @property
    def one_line(self) -> str:
        """Its error, which must be one line."""
        assert self.err.count("\n") == 1, self.err
        assert self.err.startswith("ringwise: ")
        return self.err.strip()


Cli = Callable[..., Ran]
