"""Write what the server answers of the demo yard as files, against which the app's own tests run."""

from __future__ import annotations

import json
import re
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from starlette.testclient import TestClient

FOLDER = Path(__file__).with_name("snapshots")
ASKED = {
    "Head": "/api/head",
    "Today": "/api/today",
    "TreeList": "/api/trees?limit=4",
    "TreePage": "/api/trees/T03",
    "Dial": "/api/trees/T03/dial",
    "SeasonLine": "/api/trees/T03/season",
    "PotRoom": "/api/trees/T03/pot",
    "PotTried": "/api/trees/T03/pot/tried?depth_mm=60&beside=mix:V",
    "ShapeRoom": "/api/trees/T31/shape",
    "TapePage": "/api/trees/T31/shape/tape",
    "TracePage": "/api/trees/T31/shape/trace",
    "TurnPage": "/api/trees/T31/shape/turntable",
    "TurningRoom": "/api/trees/T01/turning",
    "SeasonPots": "/api/pots/season",
    "Entries": "/api/trees/T03/entries?limit=6",
    "Entry": "/api/entries/T01-vigour-1",
    "History": "/api/entries/T01-vigour-1/history",
    "LogChoices": "/api/trees/T03/choices",
    "Strips": "/api/trees/T03/photos",
    "Plan": "/api/yard",
    "Steps": "/api/steps",
    "Why": "/api/why?of=T03:repot:opens",
    "Hits": "/api/goto?q=T0",
    "SpeciesList": "/api/species?q=acer",
    "Settings": "/api/settings",
    "Jobs": "/api/jobs",
    "WeatherRoom": "/api/weather",
    "Calibration": "/api/calibration",
    "Microsites": "/api/microsites",
    "Trouble": "/api/trees/T99",
}
# What differs from one run or machine to the next, and what stands for it.
MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[\d.]*(?:Z|[+-]\d\d:\d\d)?")
FIGURE = re.compile(
    r"~[0-9a-f]{12}(?![0-9a-f])"
)  # the names of figures change with the engine that draws them
PASSING: dict[str, Any] = {
    "version": "0.0.0",
    "folder": "demo-yard",
    "at_shown": "7 Mar 2027",
    "recorded_shown": "7 Mar 2027",
    "light_mesh": "0" * 24,  # the names of meshes change with the engine that makes them
    "full_mesh": "0" * 24,
}
_DIGITS = 6


def settled(value: Any, key: str = "") -> Any:
    """An answer without what passes: moments, the folder, names of figures, the last digits of numbers."""
    if key in PASSING:
        return PASSING[key]
    if isinstance(value, dict):
        return {name: settled(each, name) for name, each in value.items()}
    if isinstance(value, list):
        return [settled(each) for each in value]
    if isinstance(value, float):
        return float(f"{value:.{_DIGITS}g}")
    if isinstance(value, str):
        return FIGURE.sub("~000000000000", MOMENT.sub("2027-03-07T12:00:00", value))
    return value


def snapshots(folder: Path) -> dict[str, str]:
    """The files by their names, from a demo yard that lies in a folder."""
    from starlette.testclient import TestClient

    from ringwise.desk.living import LivingYard
    from ringwise.faces.web.app import create_app
    from ringwise.kit.reading import Reading

    with LivingYard(folder) as yard:
        yard.almanac(Reading("en", "metric"), wait=True)
        client = TestClient(create_app(yard), base_url="http://127.0.0.1")
        client.headers["Accept-Language"] = "en"
        found = {name: client.get(path).json() for name, path in ASKED.items()}
        found["Figures"] = _figures(client, found["Plan"])
        found["Dial"] |= {"ahead": [], "ahead_state": "making", "ahead_words": "", "ahead_why": None}
        found["Jobs"] = {"jobs": []}
        found["TurningRoom"] = _turning(found["TurningRoom"])
    return {
        f"{name}.json": json.dumps(settled(answer), indent=1, ensure_ascii=False) + "\n"
        for name, answer in found.items()
    }


def _turning(room: dict[str, Any]) -> dict[str, Any]:
    """The room as it is while its worker finds out which courses can be done."""
    asked = [course | {"can": None, "why": "", "notes": [], "waits": ""} for course in room["courses"]]
    kept = [course for course in asked if course["asked"] or course["entry"]]
    return room | {"courses": kept, "offers_state": "making", "offers_words": ""}


def _figures(client: TestClient, plan: dict[str, Any]) -> Any:
    keys = [spot["figure"] for bench in plan["benches"] for spot in bench["spots"]][:2]
    one_by_one = [client.get("/api/figures", params={"keys": key}).json() for key in keys]  # none is put off
    return {"figures": [figure for each in one_by_one for figure in each["figures"]], "more": []}


if __name__ == "__main__":
    from ringwise.desk.build_demo import build_demo

    with tempfile.TemporaryDirectory() as place:
        build_demo(Path(place) / "yard")
        files = snapshots(Path(place) / "yard")
    FOLDER.mkdir(exist_ok=True)
    for old in FOLDER.glob("*.json"):
        old.unlink()
    for name, text in files.items():
        (FOLDER / name).write_text(text, encoding="utf-8")
    sys.stdout.write(f"{len(files)} snapshots written\n")
