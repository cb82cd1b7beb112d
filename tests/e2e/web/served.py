"""How the tests of the server ask: this machine's name, the app's headers, paths filled in."""

from __future__ import annotations

from typing import Any

HERE = "http://127.0.0.1:8451"
OWN = {"X-Ringwise": "1", "Content-Type": "application/json"}
PATIENCE_S = 120.0  # the first request for a shape may compile what reckons it; nothing is timed here
CHANGING = ("post", "put", "patch", "delete")


THERE = {
    "result": "0123456789abcdef",
    "course": "A",
    "tree": "T01",
    "entry": "T01-vigour-1",
    "run": "0" * 32,
    "number": "1",
    "name": "A bench",
    "job": "none",
    "sha256": "0" * 64,
    "width_px": "256",
}


def filled(path: str) -> str:
    """A path of the contract with names that are in the demo yard."""
    for name, value in THERE.items():
        path = path.replace("{" + name + "}", value)
    return path


def operations(document: dict[str, Any]) -> list[tuple[str, str]]:
    """Method and path of everything in a contract."""
    return [(method, path) for path, methods in document["paths"].items() for method in methods]
