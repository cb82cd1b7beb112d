"""The log of a collection: a small rotating file with what was called and how long it took.

No notes, no names of people and no coordinates are written to it.
"""

from __future__ import annotations

import logging
from logging.handlers import RotatingFileHandler
from pathlib import Path

_SIZE = 512 * 1024  # bytes a file; three are kept
_NAME = "ringwise"


def start_log(folder: Path, *, verbose: bool = False) -> logging.Logger:
    """The logger of a collection.

    Parameters
    ----------
    folder : Path
        The collection's folder; the log is `ringwise.log` in it.
    verbose : bool
        Whether lines also go to standard error.

    Returns
    -------
    logging.Logger
        Ready; calling twice adds no second handler.

    Examples
    --------
    >>> import tempfile
    >>> start_log(Path(tempfile.mkdtemp())).name
    'ringwise'
    """
    logger = logging.getLogger(_NAME)
    logger.setLevel(logging.INFO)
    logger.propagate = False
    for old in list(logger.handlers):
        logger.removeHandler(old)
        old.close()
    form = logging.Formatter("%(asctime)s %(levelname)s %(message)s")
    if folder.is_dir():
        handler: logging.Handler = RotatingFileHandler(
            folder / "ringwise.log", maxBytes=_SIZE, backupCount=2, encoding="utf-8", delay=True
        )
        handler.setFormatter(form)
        logger.addHandler(handler)
    if verbose:
        loud = logging.StreamHandler()
        loud.setFormatter(form)
        logger.addHandler(loud)
    return logger
