"""The served process stays small: no page loads what only the worker needs."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from living_yards import small_yard

_PROGRAM = """
import json, sys
from pathlib import Path
from starlette.testclient import TestClient
from ringwise.desk.living import LivingYard
from ringwise.faces.web.app import create_app

with LivingYard(Path(sys.argv[1])) as yard:
    yard.workspace().almanac(wait=True)
    client = TestClient(create_app(yard), base_url="http://127.0.0.1:8451")
    told = {path: client.get(path).status_code for path in sys.argv[2:]}
heavy = ("numba", "llvmlite", "scipy", "PIL", "pandas", "typst", "ringwise.futures.simulate")
print(json.dumps({"told": told, "loaded": [name for name in heavy if name in sys.modules]}))
"""
PAGES = (
    "/api/head",
    "/api/today",
    "/api/trees?q=mill&sort=next",
    "/api/trees/T1",
    "/api/trees/T1/dial",
    "/api/trees/T1/entries",
    "/api/trees/T1/choices",
    "/api/trees/T1/photos",
    "/api/trees/T1/history",
    "/api/yard",
    "/api/steps",
    "/api/settings",
    "/api/goto?q=mill",
    "/api/species?q=oak",
    "/api/jobs",
    "/api/why?of=T1:repot:opens",
)


def test_no_page_loads_what_only_the_worker_needs(tmp_path: Path) -> None:
    """Every page and a why is answered; compiled code, pictures and science libraries stay out."""
    folder = small_yard(tmp_path / "yard")
    command = [sys.executable, "-c", _PROGRAM, str(folder), *PAGES]
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=300)
    answer = json.loads(done.stdout.splitlines()[-1])
    assert answer["told"] == dict.fromkeys(PAGES, 200)
    assert answer["loaded"] == []
