"""Catalogues of translated texts: reads a `.po` file and packs it as the `.mo` that gettext loads.

Nothing but the standard library is imported, so that the build can load this file on its own.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Iterable
from dataclasses import dataclass, field

_MAGIC = 0x950412DE
_FIELDS = ("msgctxt", "msgid_plural", "msgid", "msgstr")


class CatalogueError(ValueError):
    """A catalogue that does not read; the line stands in the message."""


@dataclass(frozen=True)
class Message:
    """A text of a catalogue: its English (one form, or singular and plural) and its translations."""

    ids: tuple[str, ...]
    texts: tuple[str, ...]
    fuzzy: bool = False


@dataclass
class _Draft:
    """A message while its lines are read."""

    parts: dict[str, str] = field(default_factory=dict)
    fuzzy: bool = False

    def message(self) -> Message | None:
        if "msgid" not in self.parts:
            return None
        ids = tuple(self.parts[key] for key in ("msgid", "msgid_plural") if key in self.parts)
        texts = tuple(value for key, value in sorted(self.parts.items()) if key.startswith("msgstr"))
        return Message(ids, texts, self.fuzzy)


def read_po(text: str) -> tuple[Message, ...]:
    """The messages of a `.po` file, the header (an empty id) first; obsolete lines are left out.

    Parameters
    ----------
    text : str
        The file's content.

    Returns
    -------
    tuple of Message
        In the file's order.

    Raises
    ------
    CatalogueError
        If a line is none of the format's; contexts are not used here and are refused.

    Examples
    --------
    >>> read_po('msgid "tree"\\nmsgstr "Baum"\\n')[0].texts
    ('Baum',)
    """
    messages: list[Message] = []
    draft, key = _Draft(), ""
    for number, raw in enumerate([*text.splitlines(), ""], 1):
        line = raw.strip()
        if line.startswith("#~"):
            continue
        starts = line.startswith(("#", "msgid ")) or not line
        if starts and "msgstr" in "".join(draft.parts):
            message = draft.message()
            if message is not None:
                messages.append(message)
            draft, key = _Draft(), ""
        if not line or line.startswith("#"):
            draft.fuzzy = draft.fuzzy or (line.startswith("#,") and "fuzzy" in line)
            continue
        word, quote, rest = line.partition('"')
        if word:
            key = word.strip()
            draft.parts[key] = ""
        if key.split("[")[0] not in _FIELDS[1:] or not quote or not rest.endswith('"'):
            raise CatalogueError(f"line {number}: {line[:60]}: not a line of a catalogue")
        draft.parts[key] += _unquoted(quote + rest, number)
    return tuple(messages)


def _unquoted(text: str, number: int) -> str:
    """A quoted text: the escapes that catalogues use are those of JSON.

    Python's own reader of literals (3.11) was seen to fail under the threads of the server: it counts depth
    for all of them together.
    """
    try:
        return str(json.loads(text, strict=False))
    except json.JSONDecodeError:
        raise CatalogueError(f"line {number}: {text[:60]}: not a line of a catalogue") from None


def packed(messages: Iterable[Message]) -> bytes:
    """The messages as a `.mo` file; fuzzy and empty ones are left out, so that their English shows.

    Parameters
    ----------
    messages : iterable of Message
        From `read_po`.

    Returns
    -------
    bytes
        The file's content.

    Source
    ------
    GNU gettext manual, "The Format of GNU MO Files".

    Examples
    --------
    >>> import gettext, io
    >>> mo = packed(read_po('msgid ""\\nmsgstr "Content-Type: text/plain; charset=UTF-8\\\\n"\\n'
    ...                     'msgid "tree"\\nmsgstr "Baum"\\n'))
    >>> gettext.GNUTranslations(io.BytesIO(mo)).gettext("tree")
    'Baum'
    """
    pairs = sorted(
        ("\0".join(m.ids).encode(), "\0".join(m.texts).encode())
        for m in messages
        if all(m.texts) and m.texts and not (m.fuzzy and m.ids[0])
    )
    table, first = 28, 28 + 16 * len(pairs)
    ids: list[int] = []
    texts: list[int] = []
    body = b""
    for column, offsets in ((0, ids), (1, texts)):
        for pair in pairs:
            offsets += [len(pair[column]), first + len(body)]
            body += pair[column] + b"\0"
    head = struct.pack("<7I", _MAGIC, 0, len(pairs), table, table + 8 * len(pairs), 0, first)
    return head + struct.pack(f"<{len(ids) + len(texts)}I", *ids, *texts) + body


def quoted(text: str) -> str:
    """A text as a `.po` file writes it, in quotes.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        One quoted line.

    Examples
    --------
    >>> print(quoted('pot "P-1"'))
    "pot \\"P-1\\""
    """
    marks = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t")
    return f'"{marks}"'
