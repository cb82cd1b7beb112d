"""What the tests of the app share: the app built, a demo yard with its almanac, servers, watched pages."""

from __future__ import annotations

import fcntl
import importlib.util
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any

import pytest
from kept_turning import RESULT, keep_a_result
from playwright.sync_api import expect

from app.serving import Served
from app.watching import Watched
from ringwise.desk.living import LivingYard

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext

ROOT = Path(__file__).resolve().parents[3]
PATIENCE_MS = 20_000

expect.set_options(timeout=PATIENCE_MS)


@dataclass(frozen=True)
class Device:
    """What the app is looked at with."""

    name: str
    width_px: int
    height_px: int
    theme: str
    is_phone: bool

    def context(self, **more: Any) -> dict[str, Any]:
        """For `new_context`."""
        settings: dict[str, Any] = {
            "viewport": {"width": self.width_px, "height": self.height_px},
            "color_scheme": self.theme,
            "locale": "en-GB",
            "timezone_id": "Europe/London",
            "reduced_motion": "reduce",
        }
        if self.is_phone:
            settings |= {"has_touch": True, "is_mobile": True, "device_scale_factor": 2}
        return settings | more


PHONE = Device("phone", 390, 844, "light", True)
PHONE_DARK = Device("phone-dark", 390, 844, "dark", True)
DESK = Device("desk", 1280, 800, "light", False)

Look = Callable[..., Watched]


def _build_app() -> ModuleType:
    spec = importlib.util.spec_from_file_location("build_app", ROOT / "build_app.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def app_built() -> None:
    """The app as the server hands it out; built where it is missing, and a broken build is a failure."""
    build = _build_app()
    if not (ROOT / build.PAGE).is_file():
        build.ensure_app(ROOT)
    assert (ROOT / build.PAGE).is_file()


@pytest.fixture(scope="session")
def ready_yard(app_built: None, tmp_path_factory: pytest.TempPathFactory, request: Any) -> Path:
    """The demo yard with its almanac made, once for all workers; to be copied, never changed."""
    shared = tmp_path_factory.getbasetemp()
    if hasattr(request.config, "workerinput"):
        shared = shared.parent
    folder = shared / "ready" / "yard"
    folder.parent.mkdir(exist_ok=True)
    with (shared / "ready.lock").open("w") as held:
        fcntl.flock(held, fcntl.LOCK_EX)  # the second worker waits and finds it there
        if not folder.exists():
            from ringwise.desk.build_demo import build_demo

            making = folder.with_name("making")
            shutil.rmtree(making, ignore_errors=True)
            build_demo(making)
            server = Served(making)
            server.wait_for_almanac()
            server.stop()
            making.rename(folder)
    return folder


@pytest.fixture(scope="session")
def read_only(ready_yard: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One server for all tests of a worker that change nothing."""
    folder = tmp_path_factory.mktemp("read") / "yard"
    shutil.copytree(ready_yard, folder)
    with LivingYard(folder) as yard:
        keep_a_result(yard.workspace(), "T01", RESULT)
    server = Served(folder)
    # something that can be taken back, on a tree that no test looks at
    server.ask("POST", "/api/trees/T40/entries", {"what": "note", "value": "A label was renewed"})
    server.wait_for_almanac()
    yield server
    server.stop()


@pytest.fixture
def started() -> Iterator[list[Served]]:
    """Servers of one test; they are stopped after its pages were checked and closed."""
    servers: list[Served] = []
    yield servers
    for server in servers:
        server.stop()


@pytest.fixture
def own(ready_yard: Path, tmp_path: Path, started: list[Served]) -> Served:
    """A server of its own on a demo yard that may be changed."""
    folder = tmp_path / "yard"
    shutil.copytree(ready_yard, folder)
    started.append(Served(folder))
    return started[-1]


@pytest.fixture
def empty(app_built: None, tmp_path: Path, started: list[Served]) -> Served:
    """A server on a collection that is not there yet, on the demo yard's day."""
    started.append(Served(tmp_path / "yard", "--on", "2027-03-07"))
    return started[-1]


@pytest.fixture
def look(chromium: Browser, started: list[Served]) -> Iterator[Look]:
    """Opens pages under watch; all of them are checked when the test is over."""
    contexts: list[BrowserContext] = []
    pages: list[Watched] = []

    def open_page(
        server: Served, device: Device = DESK, *, beside: Watched | None = None, **more: Any
    ) -> Watched:
        if beside is None:
            context = chromium.new_context(**device.context(**more))
            context.set_default_timeout(PATIENCE_MS)
            contexts.append(context)
        else:
            context = beside.page.context  # another tab of the same browser
        watched = Watched(context.new_page(), server.address)
        pages.append(watched)
        return watched

    yield open_page
    try:
        for watched in pages:
            watched.check()
    finally:
        for context in contexts:
            context.close()
