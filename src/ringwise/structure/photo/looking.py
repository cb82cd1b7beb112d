"""OpenCV, loaded where a photo is looked at and nowhere else."""

from __future__ import annotations

from typing import Any

from ringwise.kit.errors import InputError
from ringwise.kit.words import _


def opencv() -> Any:
    """The module cv2, of the extra `photo`.

    Returns
    -------
    module
        As imported.

    Raises
    ------
    InputError
        If it is not installed, with the line that installs it.

    Source
    ------
    own.

    Examples
    --------
    >>> opencv().__name__
    'cv2'
    """
    try:
        import cv2
    except ImportError:
        raise InputError(
            _("photos are measured with OpenCV, which is not installed: pip install 'ringwise[photo]'.")
        ) from None
    cv2.setNumThreads(1)  # the same answer on every machine, and no thread beside the user's work
    return cv2
