"""What the server answers: packed, named, in the reader's language; what it says of changes as they come."""

from __future__ import annotations

import asyncio
import socket
from pathlib import Path
from typing import Any

import pytest
from served import HERE, OWN, filled, operations
from starlette.testclient import TestClient

from ringwise.desk.living import LivingYard
from ringwise.faces.web.app import contract_document, create_app
from ringwise.faces.web.contract import contract_of
from ringwise.faces.web.events import EventHub, EventStream
from ringwise.faces.web.trouble import of_error
from ringwise.faces.web.wishes import Asking
from ringwise.kit import errors

DOCUMENT = contract_document()
READS = [path for method, path in operations(DOCUMENT) if method == "get" and path != "/api/events"]


def test_every_operation_is_described() -> None:
    names = set()
    for path, methods in DOCUMENT["paths"].items():
        for method, operation in methods.items():
            assert operation["summary"], path
            assert operation["description"], path
            assert operation["tags"], path
            assert "422" not in operation["responses"]
            assert ("security" in operation) == (method != "get")
            names.add(operation["operationId"])
            for parameter in operation.get("parameters", ()):
                assert parameter["description"], (path, parameter["name"])
    assert len(names) == len(operations(DOCUMENT))


def test_the_contract_is_named_and_served(client: TestClient) -> None:
    answer = client.get("/api/openapi.json")
    assert answer.json() == DOCUMENT
    assert answer.headers["x-ringwise-contract"] == contract_of(DOCUMENT)
    assert "x-ringwise-contract" not in client.get("/").headers


def test_a_reload_where_nothing_changed_is_304(client: TestClient, living: LivingYard) -> None:
    for path in ("/api/steps", "/api/trees/T01/entries?limit=3"):
        first = client.get(path)
        held = {"If-None-Match": first.headers["etag"]}
        assert first.headers["cache-control"] == "private, no-cache"
        assert client.get(path, headers=held).status_code in {200, 304}  # the almanac may come in between
        first = client.get(path)
        living.almanac(Asking(living, "").reading_of(living.workspace()), wait=True)
        settled = client.get(path)
        held = {"If-None-Match": settled.headers["etag"]}
        again = client.get(path, headers=held)
        assert (again.status_code, again.content) == (304, b"")
        assert client.get(path, headers=held | {"Accept-Language": "de"}).status_code == 200
        note = {"what": "note", "value": "something new"}
        assert client.post("/api/trees/T01/entries", headers=OWN, json=note).status_code == 200
        assert client.get(path, headers=held).status_code == 200


def test_large_answers_are_packed_and_small_ones_not(client: TestClient) -> None:
    assert client.get("/api/trees").headers["content-encoding"] == "gzip"
    assert "content-encoding" not in client.get("/api/goto?q=zzzz").headers
    plain = client.get("/api/trees", headers={"Accept-Encoding": "identity"})
    assert "content-encoding" not in plain.headers
    assert len(plain.content) > 10_000


def test_a_change_is_one_step_and_is_taken_back(client: TestClient, living: LivingYard) -> None:
    before = living.stamp()
    note = {"what": "note", "value": "moss on the soil", "key": "0123456789ab"}
    first = client.post("/api/trees/T01/entries", headers=OWN, json=note).json()
    assert first["action"] == living.stamp() == before + 1
    assert client.post("/api/trees/T01/entries", headers=OWN, json=note).json()["id"] == first["id"]
    assert living.stamp() == before + 1
    shown = client.get(f"/api/entries/{first['id']}").json()
    assert (shown["note"], shown["revision"]) == ("moss on the soil", 1)
    gone = client.delete(f"/api/entries/{first['id']}?revision=7", headers=OWN)
    assert (gone.status_code, gone.json()["error"]) == (409, "conflict")
    assert client.post("/api/undo", headers=OWN).status_code == 200
    assert client.get(f"/api/entries/{first['id']}").status_code == 404


@pytest.mark.parametrize("name", ["last_frost", "first_frost"])
def test_a_frost_day_that_is_none_is_refused_and_not_dropped(
    client: TestClient, living: LivingYard, name: str
) -> None:
    before = living.stamp()
    answer = client.patch("/api/settings", headers=OWN, json={name: "31 Feb"})
    assert (answer.status_code, answer.json()["where"]) == (400, name)
    message = answer.json()["message"]
    assert '"31 Feb"' in message
    assert "such as 10 Apr" in message
    assert living.stamp() == before


def test_a_retired_tree_is_logged_on_no_more(client: TestClient, living: LivingYard) -> None:
    path = "/api/trees/T01/entries"
    assert client.post("/api/trees/T01/retire", headers=OWN, json={"reason": "sold"}).status_code == 200
    before = living.stamp()
    answer = client.post(path, headers=OWN, json={"what": "girth", "value": "30 cm"})
    assert (answer.status_code, answer.json()["error"]) == (409, "conflict")
    assert answer.json()["message"].startswith("T01 ")
    assert "was retired on" in answer.json()["message"]
    assert living.stamp() == before
    for given in (
        {"what": "note", "value": "sold"},
        {"what": "girth", "value": "30 cm", "date": "2026-01-02"},
    ):
        assert client.post(path, headers=OWN, json=given).status_code == 200


def test_the_reader_is_answered_in_the_language_of_the_browser(client: TestClient) -> None:
    german = client.get("/api/trees/T99", headers={"Accept-Language": "de"}).json()["message"]
    english = client.get("/api/trees/T99", headers={"Accept-Language": "en"}).json()["message"]
    assert german != english
    assert client.get("/api/head", headers={"Accept-Language": "fr, de;q=0.5"}).json()["language"] == "de"


def test_figures_are_kept_for_ever(client: TestClient) -> None:
    plan = client.get("/api/yard").json()
    keys = [spot["figure"] for bench in plan["benches"] for spot in bench["spots"]][:3]
    for key in keys:
        answer = client.get("/api/figures", params={"keys": key})
        assert "immutable" in answer.headers["cache-control"]
        assert [figure["key"] for figure in answer.json()["figures"]] == [key]


def test_figures_that_are_put_off_are_not_kept(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ringwise.desk.figures.AT_ONCE_S", -1.0)
    plan = client.get("/api/yard").json()
    keys = [spot["figure"] for bench in plan["benches"] for spot in bench["spots"]][:2]
    answer = client.get("/api/figures", params={"keys": ",".join(keys)})
    assert answer.json()["more"] == keys[1:]
    assert answer.headers["cache-control"] == "no-store"


def test_nothing_leaves_this_machine(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    reached: list[Any] = []

    def refused(_socket: socket.socket, address: Any) -> None:
        reached.append(address)
        raise OSError("no way out")

    monkeypatch.setattr(socket.socket, "connect", refused)
    monkeypatch.setattr(socket.socket, "connect_ex", refused)
    with pytest.raises(OSError, match="no way out"):
        socket.create_connection(("127.0.0.1", 9))
    reached.clear()
    for path in READS:
        client.get(filled(path))
    for room in ("/", "/tree/T01", "/assets/app-1a2b3c4d.js"):
        client.get(room)
    assert reached == []


def test_every_error_of_the_desk_has_its_status() -> None:
    expected = {
        "InputError": 400, "UnitError": 400, "DateError": 400, "MissingFieldError": 400, "RangeError": 400,
        "FileFormatError": 400, "UnknownNameError": 400, "StructureError": 400, "NotFoundError": 404,
        "ConflictError": 409, "RecordError": 409, "NotReadyError": 409, "LockedError": 423,
        "NewerVersionError": 500, "DamagedError": 500, "WorkspaceError": 500, "ParameterError": 500,
        "BalanceError": 500, "StoppedError": 500, "RingwiseError": 500,
        "FetchError": 502,
    }  # fmt: skip
    sorts = {
        name: sort
        for name, sort in vars(errors).items()
        if isinstance(sort, type) and issubclass(sort, errors.RingwiseError)
    }
    assert set(sorts) == set(expected)
    for name, status in expected.items():
        assert of_error(sorts[name]("one line")).status_code == status, name


def test_an_address_that_does_not_answer_is_one_clear_line(
    living: LivingYard, static: Path, monkeypatch: Any
) -> None:
    def unreachable(*_args: object, **_more: object) -> None:
        raise errors.FetchError("did not answer; try again later", where="weather.example")

    monkeypatch.setattr("ringwise.desk.steps.steps", unreachable)
    client = TestClient(create_app(living, static=static), base_url=HERE, raise_server_exceptions=False)
    answer = client.get("/api/steps")
    assert answer.status_code == 502
    said = {"error": "failure", "message": "did not answer; try again later", "where": "weather.example"}
    assert answer.json() == said
    assert answer.headers["cache-control"] == "no-store"


def test_a_bug_is_told_without_its_inside(living: LivingYard, static: Path, monkeypatch: Any) -> None:
    def broken(*_args: object, **_more: object) -> None:
        raise RuntimeError("a secret of the inside")

    monkeypatch.setattr("ringwise.desk.steps.steps", broken)
    client = TestClient(create_app(living, static=static), base_url=HERE, raise_server_exceptions=False)
    answer = client.get("/api/steps")
    assert (answer.status_code, answer.json()["error"]) == (500, "failure")
    assert "secret" not in answer.text
    assert "secret" in (living.folder / "ringwise.log").read_text()
    assert answer.headers["x-content-type-options"] == "nosniff"


def test_streams_tell_what_is_new_and_are_limited(living: LivingYard) -> None:
    client = TestClient(create_app(living), base_url=HERE)

    def write_down() -> None:
        client.post("/api/trees/T02/entries", headers=OWN, json={"what": "note", "value": "heard"})

    async def listen() -> list[str]:
        hub = EventHub(most=1)
        told = []
        async for text in EventStream(hub, Asking(living, "")).texts():
            assert hub.is_full
            told.append(text)
            if text.startswith("event: change"):
                if len([t for t in told if t.startswith("event: change")]) == 1:
                    await asyncio.to_thread(write_down)
                else:
                    hub.close()
        assert not hub.is_full
        return told

    stamp = living.stamp()
    told = asyncio.run(asyncio.wait_for(listen(), 30))
    changes = [text for text in told if text.startswith("event: change")]
    assert changes == [f'event: change\ndata: {{"stamp": {s}}}\n\n' for s in (stamp, stamp + 1)]
