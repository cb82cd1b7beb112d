"""A file that the user named, to be read: its text, or what JSON it holds."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from ringwise.kit.errors import FileFormatError, NotFoundError
from ringwise.kit.words import _


def given_text(file: Path, *, most_bytes: int, too_large: str) -> str:
    """The text of a file of the user's.

    Parameters
    ----------
    file : Path
        Its name.
    most_bytes : int
        A larger one is not read.
    too_large : str
        What is said of a larger one.

    Returns
    -------
    str
        Of UTF-8, with or without a mark of its order.

    Raises
    ------
    NotFoundError
        If it is not there.
    FileFormatError
        If it is too large or no text.

    Examples
    --------
    >>> import tempfile
    >>> file = Path(tempfile.mkdtemp()) / "tape.csv"
    >>> file.write_text("what,height")
    11
    >>> given_text(file, most_bytes=100, too_large="is too large for a tape")
    'what,height'
    """
    if not file.is_file():
        raise NotFoundError(_("there is no file {file}").format(file=file))
    if file.stat().st_size > most_bytes:
        raise FileFormatError(too_large, where=file.name)
    try:
        return file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as wrong:
        raise FileFormatError(_("does not read as UTF-8: {why}").format(why=wrong), where=file.name) from None


def json_of(text: str, file: Path) -> Any:
    """What a text of JSON holds.

    Parameters
    ----------
    text : str
        From `given_text`.
    file : Path
        Where it is from, for the error line.

    Returns
    -------
    dict, list or plain value
        Not checked further.

    Raises
    ------
    FileFormatError
        If it is no JSON, or nested beyond all use.

    Examples
    --------
    >>> json_of('{"height_mm": 440}', Path("tape.json"))
    {'height_mm': 440}
    """
    try:
        return json.loads(text)
    except (json.JSONDecodeError, RecursionError) as wrong:
        raise FileFormatError(_("does not read as JSON: {why}").format(why=wrong), where=file.name) from None
