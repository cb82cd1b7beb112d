"""The real server as its own process, and its answers asked for past the browser."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

PATIENCE_S = 60.0
PROGRAM = Path(sys.executable).with_name("ringwise")


def until(ask: Any, what: str, patience_s: float = PATIENCE_S) -> Any:
    """The first true answer of `ask`; a failure that says what was waited for."""
    end_s = time.monotonic() + patience_s
    while time.monotonic() < end_s:
        answer = ask()
        if answer:
            return answer
        time.sleep(0.05)
    raise AssertionError(f"waited {patience_s:.0f} s in vain for {what}")


class Served:
    """`ringwise serve` on a free port of this machine."""

    def __init__(self, folder: Path, *options: str) -> None:
        self.folder = folder
        self._options = options
        self._process: subprocess.Popen[bytes] | None = None
        self.address = ""
        self.start()

    def start(self, port: int = 0) -> None:
        """Start it; on the same port again after `stop` when that is given."""
        said = self.folder.with_name(f"{self.folder.name}.said")
        words = [PROGRAM, "serve", "--json", "--port", str(port), "--collection", self.folder, *self._options]
        with said.open("wb") as out:
            self._process = subprocess.Popen(words, stdout=out, stderr=subprocess.STDOUT)
        process = self._process

        def listens() -> str:
            text = said.read_text()
            assert process.poll() is None, f"the server ended: {text}"
            return text if text.rstrip().endswith("}") else ""

        self.address = json.loads(until(listens, "the server"))["address"]

    @property
    def port(self) -> int:
        """Where it listens."""
        return int(self.address.rstrip("/").rsplit(":", 1)[1])

    def stop(self) -> None:
        """As Ctrl-C does."""
        if self._process is not None:
            self._process.send_signal(signal.SIGINT)
            self._process.wait(PATIENCE_S)
            self._process = None

    def ask(self, method: str, path: str, body: Any = None) -> Any:
        """What the server answers; refusals are failures here."""
        status, answer = self.try_to(method, path, body)
        assert status == 200, answer
        return answer

    def try_to(self, method: str, path: str, body: Any = None) -> tuple[int, Any]:
        """Status and answer."""
        data = None if body is None else json.dumps(body).encode()
        headers = {"X-Ringwise": "1", "Content-Type": "application/json"}
        request = urllib.request.Request(
            self.address.rstrip("/") + path, data=data, headers=headers, method=method
        )
        try:
            with urllib.request.urlopen(request, timeout=PATIENCE_S) as answer:
                return answer.status, json.load(answer)
        except urllib.error.HTTPError as refused:
            with refused:
                return refused.code, json.load(refused)

    def send_photo(self, path: str, jpeg: bytes) -> None:
        """Past the browser."""
        headers = {"X-Ringwise": "1", "Content-Type": "image/jpeg"}
        request = urllib.request.Request(self.address.rstrip("/") + path, jpeg, headers, method="POST")
        with urllib.request.urlopen(request, timeout=PATIENCE_S) as answer:
            assert answer.status == 200

    def get(self, path: str) -> Any:
        """What is read there."""
        return self.ask("GET", path)

    def wait_for_almanac(self) -> None:
        """Until windows and dates fit what is stored."""
        until(lambda: self.get("/api/head")["almanac"] == "ready", "the almanac")
