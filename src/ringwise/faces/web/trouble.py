"""Every error as one line of one shape: which status it has, and what is said where input does not fit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from fastapi.responses import JSONResponse

from ringwise.faces.web.shapes.base import Trouble, TroubleKind
from ringwise.kit import errors
from ringwise.kit.words import _

_KINDS: tuple[tuple[type[errors.RingwiseError], int, TroubleKind], ...] = (
    (errors.UnitError, 400, "unit"),
    (errors.DateError, 400, "date"),
    (errors.RangeError, 400, "range"),
    (errors.UnknownNameError, 400, "unknown-name"),
    (errors.MissingFieldError, 400, "missing"),
    (errors.FileFormatError, 400, "file"),
    (errors.InputError, 400, "input"),
    (errors.NotFoundError, 404, "not-found"),
    (errors.ConflictError, 409, "conflict"),
    (errors.RecordError, 409, "conflict"),
    (errors.NotReadyError, 409, "not-ready"),
    (errors.LockedError, 423, "locked"),
    (errors.WorkspaceError, 500, "damaged"),
    (errors.FetchError, 502, "failure"),  # another's machine; its host stands in `where`
)
_LONGEST_SHOWN = 80  # characters of what was given that are said back


def trouble(status: int, kind: TroubleKind, message: str, where: str = "") -> JSONResponse:
    """An error as an answer.

    Parameters
    ----------
    status : int
        Of the answer.
    kind : str
        What sort of error it is.
    message : str
        One line.
    where : str
        Tree, pot, file or day.

    Returns
    -------
    JSONResponse
        In the one shape of every error; not to be kept by any cache.

    Examples
    --------
    >>> trouble(404, "not-found", "there is no tree T99").status_code
    404
    """
    line = " ".join(_sound(message).split())
    body = Trouble(error=kind, message=line, where=_sound(where)).model_dump()
    return JSONResponse(body, status_code=status, headers={"Cache-Control": "no-store"})


def _sound(text: str) -> str:
    """Without half characters, which no answer can carry."""
    return text.encode("utf-8", "replace").decode("utf-8")


def of_error(error: errors.RingwiseError) -> JSONResponse:
    """What an error of the desk is to the app.

    Parameters
    ----------
    error : RingwiseError
        As raised by a wish.

    Returns
    -------
    JSONResponse
        A `Trouble`.

    Examples
    --------
    >>> of_error(errors.ConflictError("changed meanwhile")).status_code
    409
    """
    for sort, status, kind in _KINDS:
        if isinstance(error, sort):
            return trouble(status, kind, error.message, error.where or error.field)
    return trouble(500, "failure", error.message, error.where or error.field)


def of_input(faults: Sequence[Mapping[str, Any]]) -> JSONResponse:
    """What is said where a query or a body does not fit its type.

    Parameters
    ----------
    faults : sequence of mapping
        As the checker of types lists them; the first is told.

    Returns
    -------
    JSONResponse
        A `Trouble` of status 400 that names the field, the value and what is accepted.

    Examples
    --------
    >>> fault = {"type": "int_parsing", "loc": ("query", "limit"), "input": "many"}
    >>> of_input([fault]).body.decode()
    '{"error":"input","message":"limit is \\\\"many\\\\"; accepted: a whole number.","where":"limit"}'
    """
    fault = faults[0]
    sort = str(fault["type"])
    field = ".".join(str(part) for part in fault["loc"][1:]) or _("the body")
    if sort.startswith("json_"):
        return trouble(400, "input", _("the body does not read as JSON"), "body")
    if sort == "missing":
        return trouble(400, "missing", _("{field} is missing; it must be given.").format(field=field), field)
    if sort == "extra_forbidden":
        line = _("{field} is not known here; leave it out.").format(field=field)
        return trouble(400, "input", line, field)
    kind: TroubleKind = "range" if sort in _BOUNDS else "input"
    line = _("{field} is {given}; accepted: {accepted}.").format(
        field=field, given=_given(fault.get("input")), accepted=_accepted(sort, fault.get("ctx") or {})
    )
    return trouble(400, kind, line, field)


_BOUNDS = {"greater_than_equal", "less_than_equal", "greater_than", "less_than", "finite_number"}
_NUMBERS = {"int_parsing", "int_type", "int_from_float", "int_parsing_size"}


def _given(value: object) -> str:
    if isinstance(value, dict):
        return _("a group of fields")
    if isinstance(value, list):
        return _("a list")
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= _LONGEST_SHOWN else text[:_LONGEST_SHOWN] + "..."


def _accepted(sort: str, bounds: Mapping[str, Any]) -> str:
    if sort in _NUMBERS:
        return _("a whole number")
    if sort in {"float_parsing", "float_type"}:
        return _("a number")
    if sort.startswith("bool"):
        return _("true or false")
    if sort.startswith(("string_too", "too_")):
        return _length(sort, bounds)
    return _bound(sort, bounds)


def _length(sort: str, bounds: Mapping[str, Any]) -> str:
    """At least or at most so long, of texts and of lists."""
    if sort == "string_too_long":
        return _("at most {n} characters").format(n=bounds.get("max_length"))
    if sort == "string_too_short":
        return _("at least {n} characters").format(n=bounds.get("min_length"))
    if sort == "too_long":
        return _("at most {n} of them").format(n=bounds.get("max_length"))
    return _("at least {n} of them").format(n=bounds.get("min_length"))


def _bound(sort: str, bounds: Mapping[str, Any]) -> str:
    if sort in {"greater_than_equal", "greater_than"}:
        return _("{low} or more").format(low=bounds.get("ge", bounds.get("gt")))
    if sort in {"less_than_equal", "less_than"}:
        return _("{high} or less").format(high=bounds.get("le", bounds.get("lt")))
    if sort in {"literal_error", "enum"}:
        return str(bounds.get("expected", ""))
    if sort == "string_pattern_mismatch":
        return _("a text like {pattern}").format(pattern=bounds.get("pattern"))
    if sort == "finite_number":
        return _("a number that is finite")
    if sort.startswith("string"):
        return _("a text")
    if sort.startswith("list"):
        return _("a list")
    return _("a group of fields")
