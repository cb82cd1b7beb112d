"""The whole contract against arbitrary requests: no failure, and every answer is what the contract says."""

from __future__ import annotations

import copy
import os
import shutil
import traceback
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from fastapi import APIRouter, FastAPI
from fastapi.responses import JSONResponse
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis import GenerationMode
from schemathesis.core.failures import Failure, FailureGroup
from schemathesis.core.parameters import ParameterLocation
from schemathesis.specs.openapi import checks as of_contract
from served import HERE, OWN, PATIENCE_S, THERE, operations
from sound_requests import REQUESTS, Asked
from starlette.testclient import TestClient

from ringwise.desk.living import LivingYard
from ringwise.faces.web.app import contract_document, create_app
from ringwise.faces.web.uploads import accepted_body

EXAMPLES = 300 if bool(int(os.environ.get("RINGWISE_LONG", "0"))) else 15
CHECKS: list[Any] = [
    schemathesis.checks.not_a_server_error,
    of_contract.status_code_conformance,
    of_contract.content_type_conformance,
    of_contract.response_headers_conformance,
    of_contract.response_schema_conformance,
]
TOO_LARGE = 413
# What breaks the contract is refused as such; what it asks for may be missing, gone or changed as well.
REFUSED = {400, 404, 409, 413, 415, 423}
# The stream of events has no end; what takes trees away comes last, so that the others find some.
NOT_THROWN_AT = {("get", "/api/events"): "it never ends; test_web_answers listens to it"}
LAST = ("/api/trees/{tree}/retire", "/api/undo")
OPERATIONS = sorted(
    (each for each in operations(contract_document()) if each not in NOT_THROWN_AT),
    key=lambda each: LAST.index(each[1]) if each[1] in LAST else -1,
)
GIVEN = [
    (method, path)
    for method, path in OPERATIONS
    if {"parameters", "requestBody"} & set(contract_document()["paths"][path][method])
]


@pytest.fixture(scope="module")
def fuzzed(built_demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[LivingYard]:
    """A copy of the demo yard; all that is thrown at the server here is thrown at one yard."""
    folder = tmp_path_factory.mktemp("fuzz") / "yard"
    shutil.copytree(built_demo, folder)
    with LivingYard(folder) as yard:
        yield yard


@pytest.fixture(scope="module")
def served(fuzzed: LivingYard) -> FastAPI:
    """Its server."""
    return create_app(fuzzed)


@cache
def schema_of(app: FastAPI) -> Any:
    """The contract of a server without the lock: test_web_locks tries that, here it stays open.

    Else half of what breaks the contract would lack the app's own header and get no further than the lock.
    """
    document = copy.deepcopy(app.openapi())
    for methods in document["paths"].values():
        for operation in methods.values():
            operation.pop("security", None)
    schema = schemathesis.openapi.from_dict(document)
    schema.app = app
    return schema


def operation_of(app: FastAPI, method: str, path: str) -> Any:
    """A route as the contract describes it."""
    return schema_of(app)[path][method]


def fuzz(
    app: FastAPI,
    method: str,
    path: str,
    *,
    examples: int,
    mode: GenerationMode = GenerationMode.POSITIVE,
    checks: Sequence[Any] = (),
    yard: LivingYard | None = None,
) -> list[int]:
    """Throw arbitrary requests at a route, half of them at what is there; the statuses that came back.

    With a yard: each request that is refused must be refused in the one shape and leave the record as it was.
    """
    own = OWN | {"Content-Type": accepted_body(method.upper(), path.replace("{tree}", "T01"))[0][0]}
    statuses: list[int] = []

    @given(case=operation_of(app, method, path).as_strategy(generation_mode=mode))
    @settings(
        max_examples=examples,
        phases=[Phase.explicit, Phase.generate],
        derandomize=True,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    def throw(case: Any) -> None:
        if len(statuses) % 2 == 0 and case.path_parameters and not _wrong_in_path(case):
            case.path_parameters = {name: THERE[name] for name in case.path_parameters}
        before = None if yard is None else yard.stamp()
        answer = case.call(base_url=HERE, headers=own if method != "get" else {}, timeout=PATIENCE_S)
        statuses.append(answer.status_code)
        # what is too large is refused unread; the check of refusals does not know that status
        more = () if answer.status_code == TOO_LARGE else checks
        case.validate_response(answer, checks=[*CHECKS, *more])
        if yard is not None and answer.status_code >= 400:
            is_one_trouble(answer)
            assert answer.status_code in REFUSED, answer.status_code
            assert yard.stamp() == before, "what was refused left a step"

    throw()
    return statuses


def _wrong_in_path(case: Any) -> bool:
    """Whether the path is what breaks the contract: then nothing that is there is put in its stead."""
    part = None if case.meta is None else case.meta.components.get(ParameterLocation.PATH)
    return part is not None and bool(part.mode.is_negative)


def is_one_trouble(answer: Any) -> None:
    """The one shape of every error: three texts, and the message is one line."""
    told = answer.json()
    assert set(told) == {"error", "message", "where"}, told
    assert all(isinstance(text, str) for text in told.values()), told
    assert told["message"].strip()
    assert len(told["message"].splitlines()) == 1, told


def ask_soundly(app: FastAPI, yard: LivingYard, method: str, path: str) -> None:
    """Ask what a grower could ask: the answer must be the one that was asked for, as the contract has it."""
    asked = REQUESTS[method, path](Asked(TestClient(app, base_url=HERE, raise_server_exceptions=False), yard))
    more = {} if asked.body is None else {"body": asked.body, "media_type": asked.sort}
    case = operation_of(app, method, path).Case(path_parameters=asked.path, query=asked.query, **more)
    headers = OWN | {"Content-Type": asked.sort} if method != "get" else {}
    answer = case.call(base_url=HERE, headers=headers, timeout=PATIENCE_S)
    assert answer.status_code == 200, answer.text
    case.validate_response(answer, checks=CHECKS)


def test_every_route_has_a_sound_request() -> None:
    assert set(REQUESTS) == set(OPERATIONS)


@pytest.mark.parametrize(("method", "path"), OPERATIONS, ids=[f"{m} {p}" for m, p in OPERATIONS])
def test_every_answer_is_what_the_contract_says(
    served: FastAPI, fuzzed: LivingYard, method: str, path: str
) -> None:
    """Sound requests around the arbitrary ones: the route works, and still does after all that was thrown."""
    ask_soundly(served, fuzzed, method, path)
    statuses = fuzz(served, method, path, examples=EXAMPLES, yard=fuzzed)
    assert statuses
    assert not {403, 405, 415} & set(statuses), "the locks kept the requests out"
    ask_soundly(served, fuzzed, method, path)


@pytest.mark.parametrize(("method", "path"), GIVEN, ids=[f"{m} {p}" for m, p in GIVEN])
def test_what_the_contract_refuses_is_refused_in_its_words(
    served: FastAPI, fuzzed: LivingYard, method: str, path: str
) -> None:
    statuses = fuzz(
        served,
        method,
        path,
        examples=EXAMPLES,
        mode=GenerationMode.NEGATIVE,
        checks=[of_contract.negative_data_rejection],
        yard=fuzzed,
    )
    assert set(statuses) & REFUSED, "nothing was refused"


def _planted(answer: Any, *, lenient: bool = False) -> FastAPI:
    """A server with one more route, which does not keep to the contract; a lenient one takes any divisor."""
    app = create_app(None)  # type: ignore[arg-type]
    router = APIRouter()

    answers: dict[int | str, dict[str, Any]] = {
        200: {"model": dict[str, int]},
        400: {"model": dict[str, str]},
    }

    @router.get("/api/planted", response_model=None, responses=answers)
    def planted(divisor: int) -> Any:
        return answer(divisor)

    document = FastAPI(routes=router.routes).openapi()
    if lenient:
        router = APIRouter()
        router.add_api_route("/api/planted", lambda: answer(0), response_model=None)
    app.router.routes[:0] = router.routes
    app.openapi = lambda: document  # type: ignore[method-assign]
    return app


@pytest.mark.parametrize(
    "answer",
    [lambda divisor: {"a": 7 // (divisor % 5)}, lambda divisor: {"a": "text"}],
    ids=["fails", "lies"],
)
def test_a_planted_fault_is_found(answer: Any) -> None:
    with pytest.raises((FailureGroup, ExceptionGroup)):
        fuzz(_planted(answer), "get", "/api/planted", examples=100)


class _Steps:
    """Stands in for a yard: the number of its latest step."""

    def __init__(self) -> None:
        self.steps = 0

    def stamp(self) -> int:
        return self.steps


@pytest.mark.parametrize(
    ("fault", "found"),
    [
        ("takes it", "should have been rejected"),
        ("other shape", "Extra items in the right set"),
        ("two lines", "assert 2 == 1"),
        ("leaves a step", "what was refused left a step"),
        ("none", ""),
    ],
)
def test_a_fault_in_refusing_is_found(fault: str, found: str) -> None:
    yard = _Steps()

    def answer(_divisor: int) -> Any:
        yard.steps += fault == "leaves a step"
        told = (
            {"message": "no"} if fault == "other shape" else {"error": "input", "message": "no", "where": ""}
        )
        if fault == "two lines":
            told["message"] = "no\nway"
        return {"a": 1} if fault == "takes it" else JSONResponse(told, 400)

    def throw() -> list[int]:
        return fuzz(
            _planted(answer, lenient=True),
            "get",
            "/api/planted",
            examples=30,
            mode=GenerationMode.NEGATIVE,
            checks=[of_contract.negative_data_rejection],
            yard=yard,  # type: ignore[arg-type]
        )

    if not found:
        assert set(throw()) == {400}
        return
    with pytest.raises((Failure, FailureGroup, ExceptionGroup, AssertionError)) as caught:
        throw()
    assert found in "".join(traceback.format_exception(caught.value))


def test_a_sound_planted_route_passes() -> None:
    statuses = fuzz(_planted(lambda divisor: {"a": divisor}), "get", "/api/planted", examples=10)
    assert set(statuses) == {200}
