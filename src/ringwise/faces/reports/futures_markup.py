"""HTML and SVG text in which nothing reaches the page unescaped: plain strings always are, `Html` never.

Control characters and marks that turn the direction of writing are left out of every plain string: the first
have no place in HTML, the second could make one text look like another.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from typing import TypeAlias
from unicodedata import category

VOID = frozenset({"meta", "input", "br", "hr"})
_TURNS = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
_KEPT = frozenset("\n\t")


def clean(text: str) -> str:
    """A text without control characters, lone halves of pairs and marks that turn the writing round."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        each
        for each in text
        if each in _KEPT
        or not (category(each) in ("Cc", "Cs") or each in _TURNS or ord(each) & 0xFFFE == 0xFFFE)
    )


class Html(str):
    """Text that is markup already; only `tag`, `join` and this module make it."""

    __slots__ = ()


Child: TypeAlias = "Html | str | Iterable[Html | str] | None"


def join(*children: Child) -> Html:
    """Children in a row; plain strings are escaped, None is left out."""
    parts: list[str] = []
    for child in children:
        if child is None:
            continue
        if isinstance(child, Html):
            parts.append(child)
        elif isinstance(child, str):
            parts.append(escape(clean(child), quote=False))
        else:
            parts.extend(join(each) for each in child)
    return Html("".join(parts))


def tag(name: str, /, *children: Child, **attributes: str | float | int | None) -> Html:
    """An element; attribute names drop a trailing underscore and turn others into hyphens."""
    written = []
    for key, value in attributes.items():
        if value is None:
            continue
        label = key.rstrip("_").replace("_", "-")
        if label == "viewBox" or label.islower():
            written.append(f' {label}="{escape(_plain(value))}"')
        else:
            raise ValueError(f"attribute {label} is not written in lower case")
    opening = f"<{name}{''.join(written)}>"
    return Html(opening if name in VOID else f"{opening}{join(*children)}</{name}>")


def _plain(value: str | float | int) -> str:
    return clean(value) if isinstance(value, str) else short(value)


def short(value: float) -> str:
    """A drawing coordinate with at most one decimal."""
    text = f"{value:.1f}".rstrip("0").rstrip(".") if value else "0"
    return "0" if text == "-0" else text
