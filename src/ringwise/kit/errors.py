"""The error tree: every error a user can meet, drawn once.

RingwiseError                     what was given, what is allowed, what to do next
  InputError                      the user or caller can mend it (exit 2)
    UnitError  RangeError  DateError  UnknownNameError (offers near names)
    MissingFieldError  FileFormatError (file, row, column)
  RecordError                     NotFoundError  ConflictError  (exit 2)
  WorkspaceError                  LockedError  NewerVersionError  DamagedError  (exit 1)
  FetchError                      an address does not answer as it should (exit 1)
  ParameterError                  a parameter table is wrong or used out of scope (exit 1)
  StructureError                  a segment table that is no tree (exit 2)
  BalanceError                    a balance that does not close (exit 1)
  NotReadyError                   an operation's conditions are unmet (exit 2)
  StoppedError                    the user stopped the command (exit 130)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from difflib import get_close_matches

from ringwise.kit.words import _


class RingwiseError(Exception):
    """Anything that Ringwise reports in one line; `where` names tree, pot, file or day.

    `field` is the key of the form's field that the line is about, for faces that show it there; else blank.
    """

    exit_code = 1
    field = ""

    def __init__(self, message: str, *, where: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.where = where

    def __str__(self) -> str:
        return f"{self.where}: {self.message}" if self.where else self.message


class InputError(RingwiseError, ValueError):
    """The user or caller gave something that can be mended."""

    exit_code = 2


class UnitError(InputError):
    """A unit that is unknown or does not fit the field."""


class DateError(InputError):
    """A text that is no date in the calendar."""


class MissingFieldError(InputError):
    """A field or column that is needed is not there."""


class RangeError(InputError):
    """A value outside its accepted range."""


class FileFormatError(InputError):
    """A file that does not read; `where` is file, row and column."""


class UnknownNameError(InputError):
    """A name that is not in the list; the nearest names are offered."""


class RecordError(RingwiseError):
    """The record refuses: nothing was changed."""

    exit_code = 2


class NotFoundError(RecordError):
    """There is no such tree, pot, entry or result."""


class ConflictError(RecordError):
    """The change contradicts what is stored."""


class WorkspaceError(RingwiseError):
    """The collection's folder or file cannot be used as it is."""


class LockedError(WorkspaceError):
    """Another process is writing to the collection."""


class NewerVersionError(WorkspaceError):
    """The collection was written by a newer Ringwise."""


class DamagedError(WorkspaceError):
    """The collection's file is damaged or no collection at all."""


class FetchError(RingwiseError):
    """An address that was asked did not answer as it should; nothing was stored; `where` is its host."""


class ParameterError(RingwiseError):
    """A parameter row is missing, malformed or used out of its scope."""


class StructureError(InputError):
    """A segment table that is not a tree."""


class BalanceError(RingwiseError):
    """A balance of water, carbon or reserves that does not close."""


class StoppedError(RingwiseError):
    """The user stopped the command."""

    exit_code = 130


class NotReadyError(RingwiseError):
    """Conditions of an operation are unmet."""

    exit_code = 2


_MOST_LISTED = 50  # a longer list helps nobody on one line


def near_names(name: str, known: Iterable[str], *, most: int = 3) -> list[str]:
    """Known names closest in spelling to a given one.

    Parameters
    ----------
    name : str
        What was typed.
    known : iterable of str
        The accepted names.
    most : int
        How many to offer.

    Returns
    -------
    list of str
        At most `most` names, nearest first; empty where nothing is near.

    Examples
    --------
    >>> near_names("acer_palmatun", ["acer_palmatum", "ulmus_procera"])
    ['acer_palmatum']
    """
    folded: dict[str, str] = {}
    for each in known:
        folded.setdefault(each.casefold(), each)
    hits = get_close_matches(name.casefold(), list(folded), n=most, cutoff=0.5)
    return [folded[hit] for hit in hits]


def unknown_name(field: str, name: str, known: Iterable[str]) -> UnknownNameError:
    """The one-line error for a name that is not in a list.

    Parameters
    ----------
    field : str
        What the name stands for, as the user knows it.
    name : str
        What was typed.
    known : iterable of str
        The accepted names.

    Returns
    -------
    UnknownNameError
        To be raised by the caller.

    Examples
    --------
    >>> str(unknown_name("species", "acer palmatun", ["acer palmatum"]))
    'species is "acer palmatun", which is unknown. Did you mean: acer palmatum?'
    """
    accepted = list(known)
    near = near_names(name, accepted)
    if near:
        hint = _("Did you mean: {names}?").format(names=", ".join(near))
    elif len(accepted) <= _MOST_LISTED:
        hint = _("Accepted: {names}.").format(names=", ".join(sorted(accepted)))
    else:
        hint = _("There are {n} accepted names; none is near.").format(n=len(accepted))
    return UnknownNameError(
        _('{field} is "{name}", which is unknown. {hint}').format(field=field, name=name, hint=hint)
    )


def out_of_range(field: str, given: str, accepted: str, *, reason: str = "", way_out: str = "") -> RangeError:
    """The one-line error for a value outside its range: field, value, range, reason, way out.

    Parameters
    ----------
    field, given, accepted : str
        The field's name, the value as the user would write it, the accepted range.
    reason, way_out : str
        Why the range is so; what to do next.

    Returns
    -------
    RangeError
        To be raised by the caller.

    Examples
    --------
    >>> str(out_of_range("pot depth", "-3 cm", "0.5 to 200 cm"))
    'pot depth is -3 cm; accepted: 0.5 to 200 cm.'
    """
    why = f" ({reason})" if reason else ""
    text = _("{field} is {given}; accepted: {accepted}{why}.").format(
        field=field, given=given, accepted=accepted, why=why
    )
    return RangeError(f"{text} {way_out}".strip())


@contextmanager
def at_field(key: str) -> Iterator[None]:
    """Mark an error raised inside as one about a field of a form, so that its line can stand there.

    Parameters
    ----------
    key : str
        The field's key, as the form sends it.

    Yields
    ------
    None
        While the field is read.

    Examples
    --------
    >>> try:
    ...     with at_field("height"):
    ...         raise InputError("height is blank")
    ... except InputError as wrong:
    ...     print(wrong.field, wrong)
    height height is blank
    """
    try:
        yield
    except RingwiseError as wrong:
        wrong.field = wrong.field or key
        raise
