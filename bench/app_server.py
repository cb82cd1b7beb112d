"""How quick and how small the served app is: pages of two large yards over loopback, and its memory.

Builds two invented yards (300 trees, 30 years, 20,000 entries; 10,000 trees), serves each with
`ringwise serve`, asks for its pages one after the other, and exits with 1 where a budget is missed. About ten
minutes; `--quick` leaves the almanac of the large yard and the idle minute out.
"""

from __future__ import annotations

import argparse
import http.client
import json
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from large_yards import build_yard

PROGRAM = Path(sys.executable).parent / "ringwise"
REQUESTS = 200
SEED = 7
IDLE_AFTER_S = 75.0  # a worker without work ends after a minute
IDLE_MB = 150.0
LONGEST_MAKING_S = 600.0
PAGES = {
    "list": "/api/trees",
    "list, made anew": "/api/trees?limit={limit}",  # what is asked for again as it was is only handed out
    "list, searched": "/api/trees?q=mill+lane",
    "list, by next work": "/api/trees?sort=next",
    "tree page": "/api/trees/{tree}",
    "today": "/api/today",
    "yard": "/api/yard",
    "head": "/api/head",
    "pots of the season": "/api/pots/season",
    "pot of a tree": "/api/trees/{tree}/pot",
    "season of a tree": "/api/trees/{tree}/season",
    "entries of a tree": "/api/trees/{tree}/entries",
    "photos of a tree": "/api/trees/{tree}/photos",
    "what to log": "/api/trees/{tree}/choices",
    "weather": "/api/weather",
    "places": "/api/microsites",
    "past forecasts": "/api/calibration",
    "settings": "/api/settings",
    "app": "/tree/{tree}",
}
# Last: the years ahead and courses of each of these trees are then worked out, which keeps workers busy.
DIAL = {"dial": "/api/trees/{tree}/dial", "futures of a tree": "/api/trees/{tree}/turning"}


@dataclass(frozen=True)
class Measured:
    """A page of a yard; `limit_ms` is None where there is no budget for it."""

    yard: str
    page: str
    p50_ms: float
    p95_ms: float
    limit_ms: float | None

    @property
    def kept(self) -> bool:
        """Whether the budget is kept."""
        return self.limit_ms is None or self.p95_ms <= self.limit_ms


@contextmanager
def served(folder: Path) -> Iterator[tuple[subprocess.Popen[str], int]]:
    """A server of a yard and its port."""
    command = [str(PROGRAM), "serve", "--collection", str(folder), "--port", "0", "--json"]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    try:
        text = ""
        while True:
            text += server.stdout.readline()
            try:
                address = json.loads(text)["address"]
                break
            except ValueError:
                if server.poll() is not None:
                    raise SystemExit("the server did not start") from None
        yield server, int(address.rstrip("/").rsplit(":", 1)[1])
    finally:
        server.terminate()
        server.wait(20)
        server.stdout.close()


def asked(connection: http.client.HTTPConnection, path: str) -> bytes:
    """The answer of a page; anything but 200 ends the measuring."""
    connection.request("GET", path, headers={"Accept-Encoding": "gzip"})
    answer = connection.getresponse()
    body = answer.read()
    if answer.status != 200:
        raise SystemExit(f"{path} answered {answer.status}: {body[:200]!r}")
    return body


def timed(port: int, path: str, trees: Sequence[str], requests: int) -> list[float]:
    """How long each of so many requests took, in ms; each asks for another tree."""
    connection = http.client.HTTPConnection("127.0.0.1", port)
    times = []
    for number in range(-3, requests):  # the first three make what is kept
        asking = path.format(tree=trees[number * 7 % len(trees)], limit=100 + number)
        begin = time.perf_counter()
        asked(connection, asking)
        times.append((time.perf_counter() - begin) * 1000)
    connection.close()
    return times[3:]


def wait_for_almanac(port: int) -> float:
    """How long it took until the almanac was there, in seconds."""
    begin = time.perf_counter()
    connection = http.client.HTTPConnection("127.0.0.1", port)
    while time.perf_counter() - begin < LONGEST_MAKING_S:
        asked(connection, "/api/trees?limit=1")
        connection.request("GET", "/api/head")
        if json.loads(connection.getresponse().read())["almanac"] == "ready":
            return time.perf_counter() - begin
        time.sleep(0.1)
    raise SystemExit("the almanac did not come")


def tree_mb(pid: int) -> tuple[float, int]:
    """The memory of a process and all below it, in MB, and how many processes they are."""
    parents: dict[int, list[int]] = {}
    for status in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = status.read_text().rsplit(")", 1)[1].split()
        except OSError:
            continue
        parents.setdefault(int(fields[1]), []).append(int(status.parent.name))
    todo, kilobytes, count = [pid], 0, 0
    while todo:
        one = todo.pop()
        todo += parents.get(one, [])
        for line in Path(f"/proc/{one}/status").read_text().splitlines():
            if line.startswith("VmRSS:"):
                kilobytes += int(line.split()[1])
                count += 1
    return kilobytes / 1024, count


def pages_of(
    yard: str, port: int, trees: Sequence[str], pages: dict[str, str], limits: dict[str, float], requests: int
) -> list[Measured]:
    """Every page measured."""
    found = []
    for page, path in pages.items():
        times = sorted(timed(port, path, trees, requests))
        p95 = times[min(len(times) - 1, int(0.95 * len(times)))]
        found.append(Measured(yard, page, statistics.median(times), p95, limits.get(page)))
    return found


def main() -> int:
    """Measure, print a table, and say whether all budgets are kept."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--requests", type=int, default=REQUESTS)
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--folder", type=Path, help="where the yards are kept for another run")
    given = parser.parse_args()
    lists = ("list", "list, made anew", "list, searched", "list, by next work")
    sizes = {
        "300 trees": (300, dict.fromkeys((*PAGES, *DIAL), 50.0)),
        "10,000 trees": (10_000, dict.fromkeys(lists, 100.0)),
    }
    found: list[Measured] = []
    kept = True
    with tempfile.TemporaryDirectory() as temporary:
        for name, (count, limits) in sizes.items():
            folder = (given.folder or Path(temporary)) / f"yard-{count}"
            if not folder.is_dir():
                build_yard(folder, trees=count, entries=20_000, years=30, seed=SEED)
            trees = [f"T{number:05}" for number in range(1, count + 1)]
            with served(folder) as (server, port):
                print(f"{name}: after the start {tree_mb(server.pid)[0]:.0f} MB", flush=True)
                if count <= 1000 or not given.quick:
                    print(f"{name}: almanac there after {wait_for_almanac(port):.1f} s", flush=True)
                pages = PAGES if count <= 1000 else {page: PAGES[page] for page in (*lists, "head")}
                found += pages_of(name, port, trees, pages, limits, given.requests)
                if not given.quick:
                    time.sleep(IDLE_AFTER_S)
                    size_mb, processes = tree_mb(server.pid)
                    limit = IDLE_MB if count <= 1000 else None
                    late = limit is not None and size_mb > limit
                    kept = kept and not late
                    told = "" if limit is None else f", limit {limit:.0f} MB{' MISSED' if late else ''}"
                    print(f"{name}: idle {size_mb:.0f} MB in {processes} processes{told}", flush=True)
                if count <= 1000:
                    found += pages_of(name, port, trees, DIAL, limits, given.requests)
    print(f"{'yard':14}{'page':22}{'p50 ms':>8}{'p95 ms':>8}{'limit':>8}")
    for each in found:
        limit_shown = "" if each.limit_ms is None else f"{each.limit_ms:.0f}"
        verdict = "" if each.kept else "  MISSED"
        print(f"{each.yard:14}{each.page:22}{each.p50_ms:8.1f}{each.p95_ms:8.1f}{limit_shown:>8}{verdict}")
    return 0 if kept and all(each.kept for each in found) else 1


if __name__ == "__main__":
    sys.exit(main())
