"""An answer is made once and handed out again, until anything it was made from changes."""

from __future__ import annotations

import pytest
from served import OWN
from starlette.testclient import TestClient

from ringwise.desk import today_sheet as sheet
from ringwise.desk.living import LivingYard
from ringwise.faces.web.kept import KeptAnswers
from ringwise.faces.web.wishes import Asking


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch, living: LivingYard) -> list[str]:
    """How often today's page was made, its almanac being ready."""
    living.almanac(Asking(living, "").reading_of(living.workspace()), wait=True)
    times: list[str] = []
    make = sheet.today_sheet

    def counted(workspace: object) -> object:
        times.append("made")
        return make(workspace)  # type: ignore[arg-type]

    monkeypatch.setattr(sheet, "today_sheet", counted)
    return times


def test_the_second_reader_gets_the_answer_of_the_first(client: TestClient, made: list[str]) -> None:
    first, second = client.get("/api/today"), client.get("/api/today")
    assert made == ["made"]
    assert second.status_code == 200
    assert second.content == first.content
    for name in ("etag", "cache-control", "content-type", "content-encoding", "x-ringwise-contract", "vary"):
        assert second.headers[name] == first.headers[name], name


def test_another_reader_or_a_change_has_it_made_anew(client: TestClient, made: list[str]) -> None:
    english = client.get("/api/today").json()
    german = client.get("/api/today", headers={"Accept-Language": "de"}).json()
    assert english["sentence"] != german["sentence"]
    assert len(made) == 2
    note = {"what": "note", "value": "something new"}
    assert client.post("/api/trees/T01/entries", headers=OWN, json=note).status_code == 200
    client.get("/api/today")
    assert len(made) == 3


def test_what_changed_while_it_was_made_is_not_kept(
    client: TestClient, living: LivingYard, made: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    make = sheet.today_sheet

    def overtaken(workspace: object) -> object:
        shape = make(workspace)  # type: ignore[arg-type]
        note = {"what": "note", "value": "meanwhile"}
        assert client.post("/api/trees/T01/entries", headers=OWN, json=note).status_code == 200
        return shape

    with monkeypatch.context() as changed:
        changed.setattr(sheet, "today_sheet", overtaken)
        client.get("/api/today")
    client.get("/api/today")
    assert len(made) == 2


def test_a_refusal_is_never_kept(client: TestClient) -> None:
    for _time in range(2):
        assert client.get("/api/trees/T99").status_code == 404


def test_what_was_asked_for_longest_ago_goes_first() -> None:
    kept = KeptAnswers(most_bytes=6)
    kept.put("a", b"123")
    kept.put("b", b"123")
    assert kept.get("a") == b"123"
    kept.put("c", b"123")
    assert [name for name in "abc" if kept.get(name)] == ["a", "c"]
    kept.put("d", b"1234567")
    assert [name for name in "abcd" if kept.get(name)] == ["a", "c"]
