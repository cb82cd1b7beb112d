"""Weather from a set address, against a stand-in on loopback that also misbehaves: a fault stores nothing."""

from __future__ import annotations

import gzip
import socket
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, timezone
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from command_line import Cli

from ringwise import __version__
from ringwise.desk import clock, fetching
from ringwise.desk.settings import write_settings
from ringwise.records.store import open_store

TODAY = date(2027, 3, 7)


def own_csv(days: int = 60, low: float = 1.0) -> bytes:
    """The project's own header, daily up to the day before today."""
    rows = ["date,tmin_degC,tmax_degC,rain_mm"]
    for back in range(days, 0, -1):
        rows.append(f"{TODAY - timedelta(days=back)},{low},{low + 8},0.0")
    return ("\n".join(rows) + "\n").encode()


class Handler(BaseHTTPRequestHandler):
    """Answers as the test says and keeps what was asked."""

    def do_GET(self) -> None:
        stand_in: StandIn = self.server.stand_in  # type: ignore[attr-defined]
        stand_in.asked.append((self.path, dict(self.headers)))
        stand_in.answer(self)

    def send(self, body: bytes, *, status: int = 200, kind: str = "text/csv", **headers: str) -> None:
        self.send_response(status)
        if kind:
            self.send_header("Content-Type", kind)
        for name, value in {"Content_Length": str(len(body)), **headers}.items():
            self.send_header(name.replace("_", "-"), value)
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *args: object) -> None:
        del format, args


@dataclass
class StandIn:
    """A host on loopback."""

    port: int = 0
    answer: Callable[[Handler], None] = lambda handler: handler.send(own_csv())
    asked: list[tuple[str, dict[str, str]]] = field(default_factory=list)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/daily.csv"


def served(stand_in: StandIn) -> Iterator[StandIn]:
    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    server.stand_in = stand_in  # type: ignore[attr-defined]
    stand_in.port = server.server_address[1]
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    yield stand_in
    server.shutdown()
    server.server_close()


@pytest.fixture
def host() -> Iterator[StandIn]:
    yield from served(StandIn())


@pytest.fixture
def elsewhere() -> Iterator[StandIn]:
    yield from served(StandIn())


class Watch:
    """A clock that the test moves."""

    now = datetime(2027, 3, 7, 9, 0, tzinfo=timezone(timedelta(hours=-11)))

    def on(self, **more: float) -> None:
        self.now += timedelta(**more)


@pytest.fixture
def watch(monkeypatch: pytest.MonkeyPatch) -> Watch:
    made = Watch()
    monkeypatch.setattr(clock, "now", lambda: made.now)
    return made


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    for name in ("HTTP_PROXY", "HTTPS_PROXY", "ALL_PROXY"):
        monkeypatch.delenv(name, raising=False)
        monkeypatch.delenv(name.lower(), raising=False)
    return tmp_path / "cache"


@pytest.fixture
def folder(yard: Path) -> Path:
    write_settings(yard, {"latitude_deg": 52.4, "today": TODAY})
    return yard


def imports(folder: Path) -> list[str]:
    """The imports that count: any new one would have a new id."""
    with open_store(folder) as store:
        return sorted(store.weather_batches())


def test_without_an_address_nothing_is_asked(cli: Cli, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_args: object) -> None:
        raise AssertionError("asked")

    monkeypatch.setattr(socket.socket, "connect", never)
    monkeypatch.setattr(socket, "getaddrinfo", never)
    ran = cli("weather", "fetch", folder=folder)
    assert (ran.code, ran.out) == (2, "")
    assert "no weather address is set" in ran.one_line


def test_set_in_the_settings(cli: Cli, folder: Path, host: StandIn, watch: Watch) -> None:
    address = f"http://127.0.0.1:{host.port}/a/daily.csv?from={{first}}&to={{last}}&key=secret"
    write_settings(folder, {"latitude_deg": 52.4, "today": TODAY, "weather_address": address})
    ran = cli("weather", "fetch", "--json", folder=folder)
    assert ran.code == 0, ran.err
    assert (ran.data["days"], ran.data["new_days"], ran.data["answer"]) == (60, 60, "new")
    assert "secret" not in ran.out
    (asked,) = host.asked
    assert asked[0] == "/a/daily.csv?from=2007-01-01&to=2027-03-07&key=secret"
    assert asked[1]["User-Agent"] == f"ringwise/{__version__}"
    assert cli("weather", "show", "--json", folder=folder).data["last"] == "2027-03-06"
    # The next time only the end is asked for: 14 days before the last stored one.
    watch.on(minutes=2)
    assert cli("weather", "fetch", "--json", folder=folder).code == 0
    assert host.asked[1][0].startswith("/a/daily.csv?from=2027-02-20&to=2027-03-07")


def test_days_to_come_are_kept_as_a_forecast(cli: Cli, folder: Path, host: StandIn, watch: Watch) -> None:
    rows = [f"{TODAY + timedelta(days=k)},2.0,9.0,0.0\n" for k in range(1, 8)]
    host.answer = lambda handler: handler.send(own_csv() + "".join(rows).encode())
    ran = cli("weather", "fetch", "--address", host.address, "--json", folder=folder)
    assert (ran.data["new_days"], ran.data["new_forecast_days"]) == (60, 7)
    assert cli("weather", "show", "--json", folder=folder).data["forecast"]["last"] == "2027-03-14"


def test_polite(cli: Cli, folder: Path, host: StandIn, watch: Watch) -> None:
    def answer(handler: Handler) -> None:
        if handler.headers.get("If-None-Match") == '"v1"':
            handler.send(b"", status=304, kind="")
        else:
            handler.send(own_csv(), ETag='"v1"', Last_Modified="Sat, 06 Mar 2027 20:00:00 GMT")

    host.answer = answer
    fetch = ("weather", "fetch", "--address", host.address, "--json")
    first = cli(*fetch, folder=folder)
    watch.on(minutes=9)
    kept = cli(*fetch, folder=folder)
    assert (kept.data["answer"], kept.data["new_days"], len(host.asked)) == ("kept", 0, 1)
    watch.on(minutes=2)
    same = cli(*fetch, folder=folder)
    assert (same.data["answer"], same.data["days"], len(host.asked)) == ("unchanged", 60, 2)
    assert host.asked[1][1]["If-Modified-Since"] == "Sat, 06 Mar 2027 20:00:00 GMT"
    assert first.data["answer"] == "new"
    # Another address of the same host within a minute is not asked.
    ran = cli("weather", "fetch", "--address", host.address + "?b", folder=folder)
    assert ran.code == 1
    assert "ask again from 09:12:00" in ran.one_line
    assert len(host.asked) == 2


def test_a_host_that_wants_a_pause_gets_it(cli: Cli, folder: Path, host: StandIn, watch: Watch) -> None:
    host.answer = lambda handler: handler.send(b"", status=429, Retry_After="600")
    fetch = ("weather", "fetch", "--address", host.address)
    assert "status 429" in cli(*fetch, folder=folder).one_line
    watch.on(minutes=9)
    assert "pause" in cli(*fetch, folder=folder).one_line
    assert len(host.asked) == 1
    watch.on(minutes=2)
    host.answer = lambda handler: handler.send(own_csv())
    assert cli(*fetch, folder=folder).code == 0


def trickle(handler: Handler) -> None:
    """A byte now and then: each arrives in time, the whole never does."""
    import time

    handler.send_response(200)
    handler.send_header("Content-Type", "text/csv")
    handler.end_headers()
    for _byte in range(200):
        try:
            handler.wfile.write(b"d")
        except OSError:
            return
        time.sleep(0.1)


def endless(handler: Handler) -> None:
    handler.send_response(200)
    handler.send_header("Content-Type", "text/csv")
    handler.end_headers()
    try:
        for _part in range(22):
            handler.wfile.write(b"x" * 1024 * 1024)
    except OSError:
        return


def cut_off(handler: Handler) -> None:
    handler.send(own_csv()[:500], Content_Length="5000")


def moved(place: str, status: int = 302) -> Callable[[Handler], None]:
    return lambda handler: handler.send(b"", status=status, Location=place)


BOMB = gzip.compress(b"0" * (21 * 1024 * 1024))
FAULTS: dict[str, tuple[Callable[[Handler], None], str]] = {
    "too large": (endless, "more than 20 MB"),
    "says it is too large": (lambda h: h.send(b"date", Content_Length="99999999"), "more than 20 MB"),
    "too large unpacked": (lambda h: h.send(BOMB, Content_Encoding="gzip"), "more than 20 MB"),
    "too slow": (trickle, "within 1 s"),
    "a page": (lambda h: h.send(b"<html>", kind="text/html; charset=utf-8"), 'sent "text/html"'),
    "a picture": (lambda h: h.send(b"\x89PNG", kind="image/png"), 'sent "image/png"'),
    "cut off": (cut_off, "broke off"),
    "closed at once": (lambda h: h.connection.close(), ""),
    "does not unpack": (lambda h: h.send(b"plain", Content_Encoding="gzip"), "does not unpack"),
    "empty": (lambda h: h.send(b""), "empty answer"),
    "not found": (lambda h: h.send(b"no", status=404), "status 404"),
    "broken": (lambda h: h.send(b"no", status=500), "status 500"),
    "unasked 304": (lambda h: h.send(b"", status=304, kind=""), "status 304"),
    "another host": (moved("http://localhost:1/daily.csv"), "leads to another place (http://localhost:1)"),
    "another port": (moved("http://127.0.0.1:1/daily.csv"), "another place"),
    "a file": (moved("file:///etc/hostname"), "another place"),
    "in a circle": (moved("/daily.csv", 307), "without end"),
    "no weather": (lambda h: h.send(b"apples,pears\n1,2\n"), ""),
    "weather with a fault": (lambda h: h.send(own_csv().replace(b",9.0,", b",warm,", 1)), ""),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_one_line_and_stores_nothing(
    cli: Cli, folder: Path, host: StandIn, watch: Watch, monkeypatch: pytest.MonkeyPatch, fault: str
) -> None:
    monkeypatch.setattr(fetching, "LONGEST_S", 1.0 if fault == "too slow" else 20.0)
    fetch = ("weather", "fetch", "--address", host.address)
    assert cli(*fetch, folder=folder).code == 0
    before = cli("weather", "show", "--json", folder=folder).out
    stored = imports(folder)
    watch.on(minutes=30)
    host.answer, said = FAULTS[fault]
    ran = cli(*fetch, folder=folder)
    assert ran.code in {1, 2}
    assert said in ran.one_line
    assert cli("weather", "show", "--json", folder=folder).out == before
    assert imports(folder) == stored
    # Once the host is well again, so is the fetch.
    watch.on(minutes=30)
    host.answer = lambda handler: handler.send(own_csv(low=2.0))
    assert cli(*fetch, "--json", folder=folder).data["new_days"] == 60


def test_no_step_to_another_host_is_taken(
    cli: Cli, folder: Path, host: StandIn, elsewhere: StandIn, watch: Watch
) -> None:
    host.answer = moved(elsewhere.address)
    assert cli("weather", "fetch", "--address", host.address, folder=folder).code == 1
    assert (len(host.asked), elsewhere.asked) == (1, [])


def test_a_step_on_the_same_host_is_taken(cli: Cli, folder: Path, host: StandIn, watch: Watch) -> None:
    host.answer = lambda handler: (
        handler.send(own_csv()) if handler.path == "/there.csv" else moved("/there.csv", 308)(handler)
    )
    assert cli("weather", "fetch", "--address", host.address, folder=folder).code == 0
    assert [path for path, _headers in host.asked] == ["/daily.csv", "/there.csv"]


@pytest.mark.parametrize(
    "address",
    [
        "ftp://127.0.0.1/a.csv",
        "file:///etc/hostname",
        "daily.csv",
        "http://",
        "http://127.0.0.1:99999/a",
        "http://127.0.0.1/{year}.csv",
        "http://127.0.0.1/a b",
        "http://[::1/a",
        "javascript:alert(1)",
    ],
)
def test_no_address_is_one_line(cli: Cli, folder: Path, address: str) -> None:
    ran = cli("weather", "fetch", "--address", address, folder=folder)
    assert ran.code == 2
    assert "weather address" in ran.one_line


def test_days_in_the_wrong_order(cli: Cli, folder: Path, host: StandIn) -> None:
    words = ("--first", "2027-03-02", "--last", "2027-03-01")
    ran = cli("weather", "fetch", "--address", host.address, *words, folder=folder)
    assert ran.code == 2
    assert "2027-03-02" in ran.one_line
    assert host.asked == []


def test_a_kept_answer_is_no_key(
    cli: Cli, folder: Path, host: StandIn, watch: Watch, own_cache: Path
) -> None:
    assert cli("weather", "fetch", "--address", host.address + "?key=secret", folder=folder).code == 0
    files = [file for file in own_cache.rglob("*") if file.is_file()]
    assert files
    assert not any(b"secret" in file.read_bytes() or "secret" in file.name for file in files)
