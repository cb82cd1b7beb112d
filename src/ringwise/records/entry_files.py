"""The files that entries name: photos and measured trees; they lie beside the collection's own file."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path, PurePosixPath

from ringwise.kit.errors import NotFoundError, RingwiseError
from ringwise.kit.words import _
from ringwise.records.model import Entry
from ringwise.records.tree_files import check_tree_file


def check_file(collection: Path, entry: Entry) -> None:
    """Nothing when the file that an entry names is there, or it names none, else an error.

    A measured tree is also read and held against its hash; a photo is not, since it may be large.

    Parameters
    ----------
    collection : Path
        The folder of the collection.
    entry : Entry
        Of any kind.

    Raises
    ------
    NotFoundError
        If the file is not there.
    DamagedError
        If a measured tree is not what was kept.

    Examples
    --------
    >>> from ringwise.records.dates import UNKNOWN
    >>> check_file(Path("yard"), Entry("E1", "T01", "vigour", UNKNOWN, {"score": 3}))
    """
    if entry.kind == "photo":
        file = PurePosixPath(str(entry.data["file"]))
        if file.is_absolute() or ".." in file.parts or not (collection / file).is_file():
            raise NotFoundError(_("there is no photo {file} in the collection.").format(file=file))
    if entry.kind == "shape":
        check_tree_file(collection, str(entry.data["file"]), str(entry.data["sha256"]))


def missing_files(collection: Path, entries: Iterable[Entry]) -> list[str]:
    """What is wrong with the files that entries name, one line each.

    Parameters
    ----------
    collection : Path
        The folder of the collection.
    entries : iterable of Entry
        Those that hold now.

    Returns
    -------
    list of str
        Empty where every file is there.

    Examples
    --------
    >>> from ringwise.records.dates import UNKNOWN
    >>> missing_files(Path("yard"), [Entry("E1", "T01", "photo", UNKNOWN, {"file": "photos/0a/0a.jpg"})])
    ['entry E1: there is no photo photos/0a/0a.jpg in the collection.']
    """
    found = []
    for entry in entries:
        try:
            check_file(collection, entry)
        except RingwiseError as wrong:
            found.append(f"entry {entry.id}: {wrong}")
    return found
