"""What a bad day or a hostile page can bring: full disks, torn uploads, other collections, bursts of tabs."""

from __future__ import annotations

import asyncio
import errno
import os
import time
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from served import HERE, OWN
from starlette.testclient import TestClient

from ringwise.desk.living import LivingYard
from ringwise.desk.settings import write_settings
from ringwise.desk.settings_room import change_settings
from ringwise.faces.web import uploads
from ringwise.faces.web.app import create_app
from ringwise.faces.web.events import EventHub, EventStream
from ringwise.faces.web.wishes import Asking

PNG = OWN | {"Content-Type": "image/png"}


def test_a_refused_photo_is_called_by_its_own_name(client: TestClient, demo: Path) -> None:
    for query, said in (
        ("?name=IMG_1.png", "photo IMG_1.png "),
        ("", "photo "),
        ("?name=..%2Fa%0Ab.png", "b.png"),
    ):
        answer = client.post(f"/api/trees/T01/photos{query}", headers=PNG, content=b"no picture")
        assert answer.status_code == 400
        assert said in answer.json()["message"]
        assert str(demo) not in answer.text
        assert ".incoming" not in answer.text


@pytest.mark.parametrize("path", ["/api/trees/T01/photos", "/api/weather", "/api/weather/preview"])
def test_a_full_disk_is_one_clear_line(
    client: TestClient, living: LivingYard, monkeypatch: pytest.MonkeyPatch, path: str
) -> None:
    real = uploads.tempfile.NamedTemporaryFile

    def on_full_disk(*given: Any, **more: Any) -> Any:
        file = real(*given, **more)

        def full(_piece: bytes) -> int:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        file.write = full
        return file

    monkeypatch.setattr(uploads.tempfile, "NamedTemporaryFile", on_full_disk)
    before = living.stamp()
    sort = "image/png" if path.endswith("photos") else "text/csv"
    answer = client.post(path, headers=OWN | {"Content-Type": sort}, content=b"x" * 100_000)
    assert answer.status_code == 500
    assert "No space left on device" in answer.json()["message"]
    assert living.stamp() == before
    assert not list(living.folder.glob(".incoming-*"))


def test_what_a_killed_server_left_is_swept_but_not_what_is_coming_in(tmp_path: Path) -> None:
    inner = tmp_path / "photos" / "incoming"
    inner.mkdir(parents=True)
    old = [tmp_path / ".incoming-old", inner / "tmpold"]
    kept = [
        tmp_path / ".incoming-new",
        inner / "tmpnew",
        tmp_path / "collection.sqlite",
        tmp_path / "photos/a.jpg",
    ]
    for file in (*old, *kept):
        file.write_bytes(b"x")
    for file in (*old, *kept[2:]):
        os.utime(file, (time.time() - 90_000, time.time() - 90_000))
    uploads.sweep(tmp_path)
    assert not any(file.exists() for file in old)
    assert all(file.exists() for file in kept)
    uploads.sweep(tmp_path / "nowhere")  # a folder without any is no fault


def test_a_torn_upload_is_no_failure(living: LivingYard, static: Path) -> None:
    app = create_app(living, static=static)
    told: list[Any] = []
    pieces = [
        {"type": "http.request", "body": b"x" * 1000, "more_body": True},
        {"type": "http.disconnect"},
    ]

    async def receive() -> Any:
        return pieces.pop(0) if pieces else {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        told.append(message)

    headers = [(k.lower().encode(), v.encode()) for k, v in (PNG | {"Host": "localhost"}).items()]
    scope = {
        "type": "http",
        "method": "POST",
        "path": "/api/trees/T01/photos",
        "raw_path": b"/api/trees/T01/photos",
        "query_string": b"",
        "headers": headers,
        "server": ("127.0.0.1", 8451),
        "scheme": "http",
        "http_version": "1.1",
        "root_path": "",
    }
    before = living.stamp()
    asyncio.run(app(scope, receive, send))
    assert told[0]["status"] == 400  # nobody is there to read it, and it is not in the log as a failure
    assert living.stamp() == before
    assert not list(living.folder.glob(".incoming-*"))


def test_answers_of_two_collections_have_two_names(tmp_path: Path, static: Path) -> None:
    names = []
    for name in ("one", "two"):
        with LivingYard(tmp_path / name, on="2027-03-07") as yard:
            client = TestClient(create_app(yard, static=static), base_url=HERE)
            yard.almanac(Asking(yard, "").reading_of(yard.workspace()), wait=True)
            names.append(client.get("/api/settings").headers["etag"])
    assert names[0] != names[1]


def test_a_bench_may_have_a_slash_in_its_name(client: TestClient) -> None:
    bench = {"kind": "bench", "x_mm": 0, "y_mm": 0, "length_mm": 1000, "depth_mm": 500}
    for typed, name in (("North%2FSouth", "North/South"), ("50%25", "50%"), ("a%3Fb%23c", "a?b#c")):
        answer = client.put(f"/api/yard/benches/{typed}", headers=OWN, json=bench | {"name": name})
        assert answer.status_code == 200, answer.text
        assert answer.json()["id"] == name


def test_a_burst_of_tabs_finds_the_door_shut(living: LivingYard) -> None:
    """Streams that were let in at the same moment are counted again when they begin."""
    hub = EventHub(most=2)

    async def burst() -> list[list[str]]:
        streams = [EventStream(hub, Asking(living, "")).texts() for _n in range(4)]
        firsts = [await anext(stream, None) for stream in streams]
        seconds = [await anext(stream, None) for stream in streams]
        for stream in streams:
            await stream.aclose()
        return [[text for text in pair if text is not None] for pair in zip(firsts, seconds, strict=True)]

    told = asyncio.run(burst())
    assert [len(texts) for texts in told[:2]] == [2, 2]
    assert [len(texts) for texts in told[2:]] == [1, 1]


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_another_site_cannot_set_heavy_work_going(client: TestClient, site: str) -> None:
    sent = {"Sec-Fetch-Site": site, "Sec-Fetch-Mode": "no-cors", "Sec-Fetch-Dest": "image"}
    for path in ("/api/trees/T01/dial", "/api/why?of=T03:repot:opens", "/api/head", "/api/events"):
        answer = client.get(path, headers=sent)
        assert (answer.status_code, answer.json()["where"]) == (403, "Sec-Fetch-Site"), path
    assert client.get("/tree/T01", headers=sent).status_code == 200  # a link to a room is no harm
    assert client.get("/api/head", headers={"Sec-Fetch-Site": "none"}).status_code == 200  # typed by hand


def _figure_names(client: TestClient) -> list[str]:
    plan = client.get("/api/yard").json()
    return [spot["figure"] for bench in plan["benches"] for spot in bench["spots"]]


def test_figures_of_a_name_that_comes_back_after_an_undo_are_not_kept(client: TestClient) -> None:
    (name,) = (each for each in _figure_names(client) if each.startswith("T02~"))
    height = {"what": "height", "value": "777 mm"}
    assert client.post("/api/trees/T02/entries", headers=OWN, json=height).status_code == 200
    gone = client.get(f"/api/figures?keys={name}")
    assert gone.json()["figures"] == []
    assert gone.headers["cache-control"] == "no-store"
    assert client.post("/api/undo", headers=OWN).status_code == 200
    back = client.get(f"/api/figures?keys={name}")
    assert [figure["key"] for figure in back.json()["figures"]] == [name]
    assert "immutable" in back.headers["cache-control"]


def test_figures_worded_in_another_language_have_other_names(client: TestClient) -> None:
    words: dict[str, str] = {}
    for language in ("en", "de"):
        assert client.patch("/api/settings", headers=OWN, json={"language": language}).status_code == 200
        for name in _figure_names(client)[:3]:
            for figure in client.get(f"/api/figures?keys={name}").json()["figures"]:
                assert words.setdefault(figure["key"], figure["basis_words"]) == figure["basis_words"]
    assert len(words) == 6
    assert len(set(words.values())) > 1


def test_open_tabs_are_told_of_another_day_and_of_other_units(tmp_path: Path) -> None:
    """Neither is a step of the record, yet what is on screen is old, and so is the almanac."""
    folder = tmp_path / "yard"
    with LivingYard(folder) as yard:
        desk = Asking(yard, "")
        stream = EventStream(EventHub(), desk)

        def told() -> list[str]:
            yard.almanac(desk.reading_of(yard.workspace()), wait=True)
            return [text.partition("\n")[0] for text in stream._news()]

        write_settings(folder, {"today": date(2027, 3, 7)})
        assert "event: almanac" in told()
        assert told() == []
        write_settings(folder, {"today": date(2027, 3, 8)})
        assert told() == ["event: almanac"]
        for units in ("inch", "metric"):
            change_settings(yard.workspace(), {"units": units})
            assert told() == ["event: almanac"], units
        assert told() == []
