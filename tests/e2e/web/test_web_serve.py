"""`ringwise serve` as a process: it says where it is, is only here, and ends when it is asked to."""

from __future__ import annotations

import json
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from asyncio import base_events
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from ringwise.faces.web.listening import PORTS_TRIED, USUAL_PORT, bound_socket
from ringwise.kit.errors import InputError, RangeError

PROGRAM = "from ringwise.faces.start import run; run()"
Serve = Callable[..., tuple["subprocess.Popen[str]", str]]


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Serve]:
    """Start a server; gives the process and the first line that it said."""
    begun: list[subprocess.Popen[str]] = []

    def start(*more: str, folder: Path = tmp_path / "new" / "yard") -> tuple[subprocess.Popen[str], str]:
        process = subprocess.Popen(
            [sys.executable, "-c", PROGRAM, "serve", "--collection", str(folder), *more],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        begun.append(process)
        assert process.stdout is not None
        return process, process.stdout.readline()

    yield start
    for process in begun:
        process.kill()
        process.communicate()


def _asked(address: str) -> tuple[int, str]:
    with urllib.request.urlopen(address, timeout=10) as answer:
        return answer.status, answer.read().decode()


@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGTERM])
def test_it_says_where_it_is_and_ends_when_asked(serve: Serve, tmp_path: Path, end: int) -> None:
    process, line = serve("--port", "0")
    address = line.split()[0]
    assert address.startswith("http://127.0.0.1:")
    status, text = _asked(address + "api/head")
    assert (status, json.loads(text)["trees"]) == (200, 0)
    assert (tmp_path / "new" / "yard").is_dir()
    with urllib.request.urlopen(address + "api/events", timeout=10) as stream:  # a tab is open meanwhile
        assert stream.readline() == b"retry: 2000\n"
        asked = time.monotonic()
        process.send_signal(end)
        out, err = process.communicate(timeout=10)
        assert time.monotonic() - asked < 2.5  # within 2 s, and half a second for a busy machine
    assert (process.returncode, out, err) == (0, "", "")


def test_it_says_so_as_data(serve: Serve) -> None:
    process, text = serve("--port", "0", "--json")
    assert process.stdout is not None
    while not text.endswith("}\n"):
        text += process.stdout.readline()
    told = json.loads(text)
    assert set(told) == {"address", "collection"}
    assert _asked(told["address"] + "api/steps")[0] == 200


def test_a_given_port_that_is_taken_is_one_line(serve: Serve) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        process, line = serve("--port", str(port))
        out, err = process.communicate(timeout=20)
    assert (process.returncode, line + out) == (2, "")
    assert err == f"ringwise: port {port} is taken; name another, or leave --port out\n"


def test_only_this_machine_and_the_next_free_port() -> None:
    with bound_socket(None) as first, bound_socket(None) as second:
        ports = [found.getsockname()[1] for found in (first, second)]
        assert {found.getsockname()[0] for found in (first, second)} == {"127.0.0.1"}
        assert USUAL_PORT <= ports[0] < ports[1] < USUAL_PORT + PORTS_TRIED


@pytest.mark.parametrize("port", [-1, 65536, 10**12])
def test_no_such_port(port: int) -> None:
    with pytest.raises(RangeError, match="0 to 65535"):
        bound_socket(port)


def test_all_ports_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    with bound_socket(0) as taken:
        monkeypatch.setattr("ringwise.faces.web.listening.USUAL_PORT", taken.getsockname()[1])
        monkeypatch.setattr("ringwise.faces.web.listening.PORTS_TRIED", 1)
        with pytest.raises(InputError, match="all taken"):
            bound_socket(None)


def test_small_answers_do_not_wait_for_one_another() -> None:
    # asyncio turns Nagle's waiting off only for sockets that name TCP (CPython, asyncio/base_events.py)
    with bound_socket(0) as found, socket.create_connection(found.getsockname()):
        accepted, _address = found.accept()
        with accepted:
            base_events._set_nodelay(accepted)  # type: ignore[attr-defined]
            assert accepted.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)
