"""No other page, no other machine: every route against every way in that a foreign page has."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from served import CHANGING, HERE, OWN, filled, operations
from starlette.testclient import TestClient

from ringwise.desk.living import LivingYard
from ringwise.faces.web.app import contract_document
from ringwise.faces.web.locks import is_own_host, is_own_origin
from ringwise.faces.web.uploads import accepted_body

DOCUMENT = contract_document()
CHANGES = [(method, path) for method, path in operations(DOCUMENT) if method in CHANGING]
READS = [(method, path) for method, path in operations(DOCUMENT) if method not in CHANGING]

# What a foreign page, or a name of somebody else that points here, can send: headers to change, status.
FAULTS: dict[str, tuple[dict[str, str | None], int]] = {
    "foreign host": ({"Host": "evil.test:8451"}, 400),
    "host by another address": ({"Host": "192.168.1.7:8451"}, 400),
    "host with another port": ({"Host": "127.0.0.1:80"}, 400),
    "host with a name in front": ({"Host": "127.0.0.1.evil.test"}, 400),
    "no own header": ({"X-Ringwise": None}, 403),
    "own header with another value": ({"X-Ringwise": "0"}, 403),
    "foreign origin": ({"Origin": "http://evil.test"}, 403),
    "origin of a sandbox": ({"Origin": "null"}, 403),
    "origin of another port": ({"Origin": "http://127.0.0.1:9999"}, 403),
    "origin by https": ({"Origin": "https://127.0.0.1:8451"}, 403),
    "sent across sites": ({"Sec-Fetch-Site": "cross-site"}, 403),
    "sent from a sister": ({"Sec-Fetch-Site": "same-site"}, 403),
    "plain text": ({"Content-Type": "text/plain"}, 415),
    "form": ({"Content-Type": "application/x-www-form-urlencoded"}, 415),
    "form in parts": ({"Content-Type": "multipart/form-data; boundary=x"}, 415),
    "no content type": ({"Content-Type": None}, 415),
    "JSON in another guise": ({"Content-Type": "text/plain; application/json"}, 415),
}


def _own(method: str, path: str) -> dict[str, str]:
    return OWN | {"Content-Type": accepted_body(method.upper(), path)[0][0]}


def _kept(yard: LivingYard) -> tuple[int, list[tuple[str, int]]]:
    """What must not change: the latest step, the files of the folder but for the log and the open store."""
    files = [
        f for f in yard.folder.rglob("*") if f.is_file() and "log" not in f.name and "-wal" not in f.name
    ]
    return yard.stamp(), sorted((f.name, f.stat().st_size) for f in files if "-shm" not in f.name)


def _is_trouble(answer: Any) -> None:
    told = answer.json()
    assert set(told) == {"error", "message", "where"}, told
    assert "\n" not in told["message"]
    assert told["message"]


@pytest.mark.parametrize("fault", FAULTS)
def test_no_change_gets_in(refusing: TestClient, untouched: LivingYard, fault: str) -> None:
    changed, status = FAULTS[fault]
    before = _kept(untouched)
    assert len(CHANGES) >= 14
    for method, path in CHANGES:
        address = filled(path)
        given = _own(method, address)
        headers = {k: v for k, v in (given | changed).items() if v is not None}
        answer = refusing.request(method, address, headers=headers, content=b'{"name":"x","species":"y"}')
        assert answer.status_code == status, (method, path, answer.text)
        _is_trouble(answer)
    assert _kept(untouched) == before


@pytest.mark.parametrize("host", [v["Host"] for v, status in FAULTS.values() if status == 400])
def test_no_reading_under_another_name(refusing: TestClient, host: str) -> None:
    for method, path in READS:
        answer = refusing.request(method, filled(path), headers={"Host": host})
        assert answer.status_code == 400, path
        _is_trouble(answer)
    assert refusing.get("/", headers={"Host": host}).status_code == 400


def test_getting_what_changes_changes_nothing(refusing: TestClient, untouched: LivingYard) -> None:
    before = _kept(untouched)
    read = {path for _method, path in READS}
    for _method, path in CHANGES:
        answer = refusing.get(filled(path), headers=OWN)
        if path not in read:
            assert answer.status_code == 405, path
            _is_trouble(answer)
    assert _kept(untouched) == before


@pytest.mark.parametrize("method", ["TRACE", "PROPFIND", "OPTIONS", "CONNECT"])
def test_other_methods_are_refused(refusing: TestClient, untouched: LivingYard, method: str) -> None:
    before = _kept(untouched)
    for _method, path in CHANGES:
        answer = refusing.request(method, filled(path), headers=OWN)
        assert answer.status_code == 405, path
        assert "access-control-allow-origin" not in answer.headers
    assert _kept(untouched) == before


@pytest.mark.parametrize("origin", [None, HERE, "http://localhost:8451", "http://[::1]:8451"])
def test_the_app_itself_gets_in(client: TestClient, living: LivingYard, origin: str | None) -> None:
    before = living.stamp()
    headers = OWN | ({} if origin is None else {"Origin": origin, "Sec-Fetch-Site": "same-origin"})
    wish = {"what": "note", "value": "seen from the app"}
    answer = client.post("/api/trees/T01/entries", headers=headers, json=wish)
    assert answer.status_code == 200, answer.text
    assert living.stamp() == before + 1


@pytest.mark.parametrize(
    ("path", "sort", "most_bytes"),
    [
        ("/api/trees", "application/json", 1_000_000),
        ("/api/trees/T01/photos", "image/jpeg", 60_000_000),
        ("/api/weather", "text/csv", 20_000_000),
        ("/api/weather/preview", "text/csv", 20_000_000),
    ],
)
def test_bodies_have_an_end(
    client: TestClient, living: LivingYard, path: str, sort: str, most_bytes: int
) -> None:
    before = _kept(living)
    headers = OWN | {"Content-Type": sort}
    told = client.post(path, headers=headers | {"Content-Length": str(most_bytes + 1)}, content=b"x")
    assert told.status_code == 413
    piece = b"x" * 500_000
    pieces = (piece for _n in range(most_bytes // len(piece) + 1))
    counted = client.post(path, headers=headers, content=pieces)
    assert counted.status_code == 413, counted.text
    assert counted.json()["error"] == "too-large"
    assert _kept(living) == before


def test_protective_headers_are_on_every_answer(client: TestClient) -> None:
    asked = [each for each in operations(DOCUMENT) if each[1] != "/api/events"]  # a stream has no end
    answers = [client.request(method, filled(path)) for method, path in asked[::3]]
    answers += [client.get("/"), client.get("/nothing"), client.get("/", headers={"Host": "evil.test"})]
    for answer in answers:
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "no-referrer"
        assert answer.headers["cross-origin-opener-policy"] == "same-origin"
        assert answer.headers["cross-origin-resource-policy"] == "same-origin"
        policy = answer.headers["content-security-policy"]
        assert "unsafe" not in policy
        assert "default-src 'self'" in policy or "default-src 'none'" in policy
        assert "server" not in answer.headers


@pytest.mark.parametrize(
    ("host", "is_own"),
    [
        ("localhost", True),
        ("LOCALHOST:8451", True),
        ("[::1]", True),
        ("[::1]:8451", True),
        ("127.0.0.1", True),
        ("127.0.0.1:", False),
        ("127.0.0.1:8451 ", False),
        ("127.0.0.1:８４５１", False),
        ("localhost.", False),
        ("0.0.0.0:8451", False),
        ("[::1]evil:8451", False),
        ("::1", False),
        ("", False),
    ],
)
def test_names_of_this_machine(host: str, is_own: bool) -> None:
    assert is_own_host(host, 8451) is is_own


def test_origins_of_this_server() -> None:
    assert is_own_origin("http://127.0.0.1", "localhost")
    assert not is_own_origin("http://127.0.0.1:8451", "localhost")
    assert not is_own_origin("http://127.0.0.1:8451.evil.test", "127.0.0.1:8451")
    assert is_own_origin("http://[::1]:8451", "[::1]:8451")
    assert is_own_origin("http://[::1]", "[::1]")


def test_what_does_not_read_is_told_in_one_line(client: TestClient, living: LivingYard) -> None:
    before = living.stamp()
    for body in (b"{", b"[1]", b'"x"', b"\xff\xfe", b"[" * 100_000, b'{"name":"a","species":NaN}', b""):
        answer = client.post("/api/trees", headers=OWN, content=body)
        assert answer.status_code == 400, body[:20]
        _is_trouble(answer)
    cases: list[tuple[dict[str, Any], str]] = [
        ({"name": "a"}, "species is missing"),
        ({"name": "a", "species": "b", "colour": "c"}, "colour is not known"),
        ({"name": 7, "species": "b"}, "name is 7; accepted: a text"),
    ]
    for given, said in cases:
        answer = client.post("/api/trees", headers=OWN, content=json.dumps(given))
        assert answer.status_code == 400
        assert said in answer.json()["message"]
    for query, said in (
        ("limit=0", 'limit is "0"; accepted: 1 or more'),
        ("limit=x", 'limit is "x"; accepted: a whole number'),
        ("state=odd", "state is"),
        ("colour=red", "colour is not known"),
    ):
        answer = client.get(f"/api/trees?{query}")
        assert answer.status_code == 400
        assert said in answer.json()["message"]
    assert living.stamp() == before


def test_no_file_is_left_behind(client: TestClient, demo: Path) -> None:
    answer = client.post("/api/trees/T01/photos", headers=OWN | {"Content-Type": "image/png"}, content=b"no")
    assert answer.status_code == 400
    assert not list(demo.glob(".incoming-*"))


@pytest.mark.parametrize("name", ["left bench", "a\nb", "shelf/two", "ü"])
def test_a_logger_file_is_taken_for_a_place_of_any_name(name: str) -> None:
    assert accepted_body("POST", f"/api/places/{name}/logger")[0] == ("text/csv",)
