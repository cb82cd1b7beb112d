"""A drawing as a file that the user named."""

from __future__ import annotations

from pathlib import Path

from ringwise.kit.errors import InputError
from ringwise.kit.words import _


def write_drawing(file: Path, text: str) -> None:
    """Write a drawing into a file of the user's.

    Parameters
    ----------
    file : Path
        Its name.
    text : str
        SVG.

    Raises
    ------
    InputError
        If the folder is not there or may not be written.
    """
    try:
        file.write_text(text, encoding="utf-8")
    except OSError as wrong:
        raise InputError(
            _("{file} cannot be written: {why}").format(file=file, why=wrong.strerror or wrong)
        ) from None
