"""The contract: what every route answers besides its own shape, and the document that says all of it."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING, Any

from fastapi.openapi.utils import get_openapi

from ringwise.faces.web.shapes.base import Trouble

if TYPE_CHECKING:
    from fastapi import FastAPI

Answers = dict[int | str, dict[str, Any]]

TITLE = "Ringwise"
KEY_HEADER = "X-Ringwise"
CONTRACT_HEADER = "X-Ringwise-Contract"
TAGS = {
    "yard": "The whole yard: head, today's page, the plan, the weather.",
    "trees": "Trees: the list, a tree's room, its dial.",
    "entries": "What was seen, measured, done and planned, and every stored state of it.",
    "photos": "Photos and their small pictures.",
    "settings": "What holds for the yard.",
    "work": "Long work, and the stream of events.",
}

_SAID = {
    400: "Something given does not fit; one line says what is accepted.",
    403: "The request does not come from the app itself.",
    404: "There is no such thing.",
    409: "It contradicts what is stored, or was changed meanwhile.",
    413: "Too large.",
    415: "Not the content type that this route takes.",
    423: "Another process holds the collection; try again.",
    500: "A failure; nothing half was stored.",
}


def _told(statuses: tuple[int, ...]) -> Answers:
    return {status: {"model": Trouble, "description": _SAID[status]} for status in statuses}


READS: Answers = _told((400, 404, 409, 423, 500))
CHANGES: Answers = _told((400, 403, 404, 409, 413, 415, 423, 500))


def body_of(types: tuple[str, ...], what: str) -> dict[str, Any]:
    """The part of a route's document for a body that is a file.

    Parameters
    ----------
    types : tuple of str
        Accepted content types.
    what : str
        What the file is.

    Returns
    -------
    dict
        For `openapi_extra`.

    Examples
    --------
    >>> list(body_of(("text/csv",), "A table.")["requestBody"]["content"])
    ['text/csv']
    """
    content = {kind: {"schema": {"type": "string", "format": "binary"}} for kind in types}
    return {"requestBody": {"required": True, "description": what, "content": content}}


def openapi_of(app: FastAPI) -> dict[str, Any]:
    """The whole contract as an OpenAPI document.

    Parameters
    ----------
    app : FastAPI
        With all routes.

    Returns
    -------
    dict
        Without the answer 422, which is never given; changes need the header `X-Ringwise: 1`.
    """
    document = get_openapi(
        title=TITLE,
        version="1",
        summary="What the server of a yard answers to its own app.",
        routes=app.routes,
        tags=[{"name": name, "description": text} for name, text in TAGS.items()],
        separate_input_output_schemas=True,
    )
    document["components"]["responses"] = _shared_answers(document)
    for path in document["paths"].values():
        for method, operation in path.items():
            if method != "get":
                operation["security"] = [{"ownApp": []}]
    schemas = document["components"]["schemas"]
    for name in ("HTTPValidationError", "ValidationError"):
        schemas.pop(name, None)
    _drop_made_up_titles(document)
    document["components"]["securitySchemes"] = {
        "ownApp": {
            "type": "apiKey",
            "in": "header",
            "name": KEY_HEADER,
            "description": "Always 1. A page of another site cannot send it without asking first.",
        }
    }
    return document


def _shared_answers(document: dict[str, Any]) -> dict[str, Any]:
    """Take the answers that are the same everywhere out of the routes, each said once."""
    shared: dict[str, Any] = {}
    for path in document["paths"].values():
        for operation in path.values():
            answers = operation["responses"]
            answers.pop("422", None)
            for status in sorted(answers):
                if answers[status]["description"] == _SAID.get(int(status)):
                    shared[f"Trouble{status}"] = answers[status]
                    answers[status] = {"$ref": f"#/components/responses/Trouble{status}"}
    return shared


def _drop_made_up_titles(document: dict[str, Any]) -> None:
    """Titles that only repeat the name of a field say nothing."""
    for schema in document["components"]["schemas"].values():
        for field in schema.get("properties", {}).values():
            field.pop("title", None)
    for path in document["paths"].values():
        for operation in path.values():
            for parameter in operation.get("parameters", ()):
                parameter["schema"].pop("title", None)


def canonical(document: dict[str, Any]) -> str:
    """A document as text that is the same wherever it is made.

    Parameters
    ----------
    document : dict
        The contract.

    Returns
    -------
    str
        JSON with sorted keys.

    Examples
    --------
    >>> canonical({"b": 1, "a": [2]})
    '{"a":[2],"b":1}'
    """
    return json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=True)


def contract_of(document: dict[str, Any]) -> str:
    """The short name of a contract, sent with every answer.

    Parameters
    ----------
    document : dict
        The contract.

    Returns
    -------
    str
        The first 12 digits of the SHA-256 of its canonical text.

    Examples
    --------
    >>> len(contract_of({}))
    12
    """
    return hashlib.sha256(canonical(document).encode("ascii")).hexdigest()[:12]
