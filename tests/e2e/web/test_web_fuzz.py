"""The whole contract against arbitrary requests: no failure, and every answer is what the contract says."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from fastapi import APIRouter, FastAPI
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis import GenerationMode
from schemathesis.core.failures import FailureGroup
from schemathesis.specs.openapi import checks as of_contract
from served import HERE, OWN, THERE, operations

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
# The stream of events has no end; what takes trees away comes last, so that the others find some.
LAST = ("/api/trees/{tree}/retire", "/api/undo")
OPERATIONS = sorted(
    (each for each in operations(contract_document()) if each[1] != "/api/events"),
    key=lambda each: LAST.index(each[1]) if each[1] in LAST else -1,
)


@pytest.fixture(scope="module")
def served(built_demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    """The server of a copy of the demo yard; all that is thrown at it here is thrown at one yard."""
    folder = tmp_path_factory.mktemp("fuzz") / "yard"
    shutil.copytree(built_demo, folder)
    with LivingYard(folder) as yard:
        yield create_app(yard)


def fuzz(
    app: FastAPI, method: str, path: str, *, examples: int, mode: GenerationMode = GenerationMode.POSITIVE
) -> list[int]:
    """Throw arbitrary requests at a route, half of them at what is there; the statuses that came back."""
    schema = schemathesis.openapi.from_dict(app.openapi())
    schema.app = app
    own = OWN | {"Content-Type": accepted_body(method.upper(), path.replace("{tree}", "T01"))[0][0]}
    statuses: list[int] = []

    @given(case=schema[path][method].as_strategy(generation_mode=mode))
    @settings(
        max_examples=examples,
        phases=[Phase.explicit, Phase.generate],
        derandomize=True,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    def throw(case: schemathesis.Case) -> None:
        if len(statuses) % 2 == 0 and case.path_parameters:
            case.path_parameters = {name: THERE[name] for name in case.path_parameters}
        answer = case.call(base_url=HERE, headers=own if method != "get" else {})
        statuses.append(answer.status_code)
        case.validate_response(answer, checks=CHECKS)

    throw()
    return statuses


@pytest.mark.parametrize(("method", "path"), OPERATIONS, ids=[f"{m} {p}" for m, p in OPERATIONS])
def test_every_answer_is_what_the_contract_says(served: FastAPI, method: str, path: str) -> None:
    statuses = fuzz(served, method, path, examples=EXAMPLES)
    assert statuses
    assert not {403, 405, 415} & set(statuses), "the locks kept the requests out"


GIVEN = [
    (method, path)
    for method, path in OPERATIONS
    if {"parameters", "requestBody"} & set(contract_document()["paths"][path][method])
]


@pytest.mark.parametrize(("method", "path"), GIVEN, ids=[f"{m} {p}" for m, p in GIVEN])
def test_what_the_contract_refuses_is_refused_in_its_words(served: FastAPI, method: str, path: str) -> None:
    statuses = fuzz(served, method, path, examples=EXAMPLES, mode=GenerationMode.NEGATIVE)
    assert statuses


def _planted(answer: Any) -> FastAPI:
    """A server with one more route, which does not keep to the contract."""
    app = create_app(None)  # type: ignore[arg-type]
    router = APIRouter()

    @router.get("/api/planted", response_model=None, responses={200: {"model": dict[str, int]}})
    def planted(divisor: int) -> Any:
        return answer(divisor)

    app.router.routes[:0] = router.routes
    document = FastAPI(routes=router.routes).openapi()
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


def test_a_sound_planted_route_passes() -> None:
    statuses = fuzz(_planted(lambda divisor: {"a": divisor}), "get", "/api/planted", examples=10)
    assert set(statuses) == {200}
