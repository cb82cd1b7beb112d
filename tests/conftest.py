"""What holds for every test: fixed seeds, no network, no skips, and no fewer tests than were recorded."""

from __future__ import annotations

import ipaddress
import os
import shutil
import socket
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, settings

if TYPE_CHECKING:
    from playwright.sync_api import Browser

LONG = bool(int(os.environ.get("RINGWISE_LONG", "0")))
EXAMPLES = 50  # a tenth of the full count, which --long runs
FLOOR = Path(__file__).parent / "house" / "floor.txt"
CHROMIUM_FLAGS = (
    "--no-sandbox",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--disable-quic",
    "--enable-unsafe-swiftshader",
)

# Texts are checked in English and metric units, whatever the machine's own; before anything is imported.
os.environ["LC_ALL"] = "C.UTF-8"
for name in ("RINGWISE_LANGUAGE", "RINGWISE_UNITS"):
    os.environ.pop(name, None)

settings.register_profile(
    "ringwise",
    derandomize=True,
    deadline=None,
    database=None,
    max_examples=EXAMPLES * (10 if LONG else 1),
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("ringwise")


def _is_loopback(address: Any) -> bool:
    """Whether a socket address stays on this machine; paths of Unix sockets do."""
    if not isinstance(address, tuple):
        return True
    host = str(address[0])
    if host in {"", "localhost"}:
        return True
    try:
        return ipaddress.ip_address(host.split("%")[0]).is_loopback
    except ValueError:
        return False


@pytest.fixture(scope="session", autouse=True)
def network_guard() -> Iterator[None]:
    """Refuse every connection that would leave this machine."""
    patch = pytest.MonkeyPatch()
    for name in ("connect", "connect_ex"):
        real = getattr(socket.socket, name)

        def guarded(self: socket.socket, address: Any, _real: Any = real) -> Any:
            if not _is_loopback(address):
                raise AssertionError(f"a test tried to reach {address}; nothing leaves this machine")
            return _real(self, address)

        patch.setattr(socket.socket, name, guarded)
    yield
    patch.undo()


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """A headless Chromium of the system; its absence is a failure, not a skip."""
    from playwright.sync_api import sync_playwright

    program = shutil.which("chromium")
    if program is None:
        pytest.fail("chromium is not installed; ./test installs it, ./test --quick leaves the browser out")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=list(CHROMIUM_FLAGS))
        yield browser
        browser.close()


def kind_of_test(nodeid: str, keywords: Any) -> str:
    """Which line of floor.txt counts a test: "browser" by its mark, else its folder below tests/."""
    if "browser" in keywords:
        return "browser"
    parts = nodeid.split("::")[0].split("/")
    return parts[1] if len(parts) > 2 and parts[0] == "tests" else "other"


def read_floor(text: str) -> dict[str, int]:
    """The recorded counts, by kind of test."""
    lines = [line.split("#")[0].split() for line in text.splitlines()]
    return {line[0]: int(line[1]) for line in lines if line}


def below_floor(passed: Counter[str], floor: dict[str, int], *, which: str) -> list[str]:
    """The kinds of which fewer passed than recorded: house, twins, browser, or all the others ("tests")."""
    alone = ("house", "twins", "browser")
    kinds = [which] if which in alone else [kind for kind in floor if kind not in alone]
    return [
        f"{kind}: {passed[kind]} passed, {floor[kind]} are recorded in tests/house/floor.txt"
        for kind in kinds
        if passed[kind] < floor[kind]
    ]


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Turn a green run red where a test was skipped or tests went missing."""
    if hasattr(session.config, "workerinput"):
        return
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    if reporter is None:
        return
    faults = [
        f"{report.nodeid} was {outcome}; a missing part fails, it never skips"
        for outcome in ("skipped", "xfailed", "xpassed")
        for report in reporter.stats.get(outcome, [])
    ]
    which = os.environ.get("RINGWISE_FLOOR", "")
    if which:
        passed = Counter(kind_of_test(r.nodeid, r.keywords) for r in reporter.stats.get("passed", []))
        faults += below_floor(passed, read_floor(FLOOR.read_text()), which=which)
        counts = ", ".join(f"{kind} {number}" for kind, number in sorted(passed.items()))
        reporter.ensure_newline()
        reporter.write_line(f"counted: {counts}")
    if faults and exitstatus == 0:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
    for fault in faults:
        reporter.write_line(f"guard: {fault}", red=True)
