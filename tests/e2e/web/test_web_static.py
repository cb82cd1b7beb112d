"""The built app: packed as the browser takes it, kept where its name says so, nothing else handed out."""

from __future__ import annotations

from pathlib import Path

import pytest
from served import HERE
from starlette.testclient import TestClient

from ringwise.desk.living import LivingYard
from ringwise.faces.web.app import create_app

ASSET = "/assets/app-1a2b3c4d.js"


@pytest.mark.parametrize(
    "room", ["/", "/yard", "/tree/T01", "/tree/%C3%BC%20x", "/start", "/settings", "/weather"]
)
def test_every_room_is_the_page(refusing: TestClient, room: str) -> None:
    answer = refusing.get(room)
    assert answer.status_code == 200
    assert answer.text == "<!doctype html>app"
    assert answer.headers["cache-control"] == "no-cache"
    again = refusing.get(room, headers={"If-None-Match": answer.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert refusing.head(room).status_code == 200


@pytest.mark.parametrize(
    ("accepted", "packing"),
    [("gzip, br", "br"), ("gzip", "gzip"), ("br;q=0, gzip", "gzip"), ("identity", None), ("", None)],
)
def test_files_are_packed_as_the_browser_takes_them(
    refusing: TestClient, accepted: str, packing: str | None
) -> None:
    with refusing.stream("GET", ASSET, headers={"Accept-Encoding": accepted}) as answer:
        raw = b"".join(answer.iter_raw())
    assert answer.headers.get("content-encoding") == packing
    assert answer.headers["cache-control"] == "public, max-age=31536000, immutable"
    assert answer.headers["content-type"].startswith("text/javascript")
    assert "accept-encoding" in answer.headers["vary"].lower()
    assert raw.startswith({"br": b"br of", "gzip": b"\x1f\x8b", None: b"let a"}[packing])


@pytest.mark.parametrize(
    "path",
    [
        "/nothing",
        "/assets/nothing.js",
        "/secret.js",
        "/../secret.js",
        "/%2e%2e/secret.js",
        "/assets/../../secret.js",
        "/assets/%2e%2e/%2e%2e/secret.js",
        "/assets/..%2f..%2fsecret.js",
        "/assets/%2e%2e%5c%2e%2e%5csecret.js",
        "/assets//etc/passwd",
        "//etc/passwd",
        "/assets/app-1a2b3c4d.js%00.css",
        "/assets",
        "/assets/",
        "/index.html.gz",
        "/assets/app-1a2b3c4d.js.gz",
        "/api",
        "/api/nothing",
        "/docs",
        "/redoc",
        "/photos/../../secret.js",
    ],
)
def test_nothing_else_is_handed_out(refusing: TestClient, path: str) -> None:
    answer = refusing.get(HERE + path)
    assert answer.status_code == 404, answer.text
    assert "secret" not in answer.text.replace("secret.js", "")
    assert answer.json()["error"] == "not-found"


@pytest.mark.parametrize(
    "name", ["0" * 64 + "/300", "../" * 3 + "x/256", "%2e%2e%2f%2e%2e/256", "A" * 64 + "/256"]
)
def test_no_other_small_pictures(refusing: TestClient, name: str) -> None:
    assert refusing.get(f"/photos/{name}.webp").status_code in {400, 404}


def test_an_app_that_is_not_built_says_so(living: LivingYard, tmp_path: Path) -> None:
    client = TestClient(create_app(living, static=tmp_path / "none"), base_url=HERE)
    answer = client.get("/yard")
    assert answer.status_code == 503
    assert "npm run build" in answer.text
    assert client.get("/api/settings").status_code == 200


def test_an_app_built_again_is_found(client: TestClient, static: Path) -> None:
    assert client.get("/assets/new-5e6f7a8b.css").status_code == 404
    (static / "assets" / "new-5e6f7a8b.css").write_text("p {}")
    (static / "index.html").write_text("<!doctype html>newer")
    assert client.get("/", headers={"Accept-Encoding": "identity"}).text == "<!doctype html>newer"
    assert client.get("/assets/new-5e6f7a8b.css").status_code == 200
