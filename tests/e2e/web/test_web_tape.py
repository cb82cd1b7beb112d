"""The tape's form by its routes: drawn while it is typed, stored once, refused at its field."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from served import HERE, OWN
from starlette.testclient import TestClient

from ringwise.desk.living import LivingYard
from ringwise.faces.web.app import create_app

TAPE: dict[str, Any] = {
    "height": "44 cm",
    "girths": [{"girth": "13 cm", "at": "2 cm"}],
    "branches": [{"height": "14 cm", "clock": "3", "diameter": "12 mm"}],
    "roots": [3, 9],
}
PATH = "/api/trees/T01/shape/tape"


@pytest.fixture
def client(yard: Path, static: Path) -> Iterator[TestClient]:
    with LivingYard(yard) as living:
        client = TestClient(create_app(living, static=static), base_url=HERE)
        tree = {"name": "Old Elm", "species": "Ulmus procera"}
        assert client.post("/api/trees", headers=OWN, json=tree).status_code == 200
        yield client


def test_a_tape_is_drawn_while_it_is_typed_and_stores_nothing(client: TestClient) -> None:
    answer = client.post(f"{PATH}/tried", headers=OWN, json={**TAPE, "clock": 9})
    assert answer.status_code == 200, answer.text
    assert ElementTree.fromstring(answer.json()["svg"]).tag.endswith("svg")
    other = client.post(f"{PATH}/tried", headers=OWN, json={**TAPE, "clock": 9, "which": 1}).json()
    assert other["svg"] != answer.json()["svg"]
    assert client.get(PATH).json()["last"] is None


def test_sent_twice_under_its_key_it_is_stored_once(client: TestClient) -> None:
    sent = {**TAPE, "key": "tape-of-a-test-1", "note": "first"}
    one, two = (client.post(PATH, headers=OWN, json=sent) for _time in range(2))
    assert one.status_code == two.status_code == 200, one.text
    assert one.json() == two.json()
    kept = client.get("/api/trees/T01/entries?kind=tape").json()
    assert len(kept["entries"]) == 1
    last = client.get(PATH).json()["last"]
    assert (last["height_mm"], last["roots"]) == (440.0, [3, 9])
    assert last["branches"][0]["length_mm"] is None
    other = client.post(PATH, headers=OWN, json={**sent, "height": "50 cm"})
    assert other.status_code == 409


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"height": ""}, "height"),
        ({"height": "forty"}, "height"),
        ({"girths": []}, "girths.0.girth"),
        ({"girths": [{"girth": "13 cm", "at": "60 cm"}]}, "girths.0.at"),
        ({"girths": [{"girth": "13 cm", "at": "2 cm"}, {"girth": "9 cm", "at": "2 cm"}]}, "girths.1.at"),
        ({"branches": [{"height": "14 cm"}, {"height": "9 cm", "clock": "14"}]}, "branches.1.clock"),
        ({"branches": [{"height": ""}]}, "branches.0.height"),
        ({"branches": [{"height": "9 cm", "tips": "0"}]}, "branches.0.tips"),
        ({"lean": "9 m"}, "lean"),
        ({"lean_clock": "x"}, "lean_clock"),
    ],
)
def test_an_error_stands_at_its_field_and_nothing_is_stored(
    client: TestClient, change: dict[str, Any], where: str
) -> None:
    answer = client.post(PATH, headers=OWN, json={**TAPE, **change})
    assert answer.status_code == 400
    assert answer.json()["where"] == where
    assert client.get(PATH).json()["last"] is None
