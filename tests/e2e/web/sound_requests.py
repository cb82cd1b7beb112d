"""For every route of the contract a request that a grower could make, and that must not be refused."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from io import BytesIO
from itertools import count
from typing import Any

from kept_turning import RESULT, keep_a_result
from PIL import Image
from served import OWN
from starlette.testclient import TestClient

from ringwise.desk import clock
from ringwise.desk.living import LivingYard
from ringwise.desk.long_work import put_in_book
from ringwise.desk.turning_kept import TurningWish

TREE, OTHER = "T01", "T02"
TAPE = {
    "height": "44 cm",
    "girths": [{"girth": "13 cm", "at": "2 cm"}],
    "branches": [{"height": "14 cm", "clock": "3", "diameter": "12 mm", "length": "18 cm"}],
    "roots": [3, 9],
}
_NUMBERS = count(1)


@dataclass(frozen=True)
class Sound:
    """What stands in a path, a query and a body."""

    path: dict[str, str] = field(default_factory=dict)
    query: dict[str, Any] = field(default_factory=dict)
    body: Any = None
    sort: str = "application/json"


@dataclass(frozen=True)
class Asked:
    """The server and its yard as they are now, and what a request needs to be there."""

    client: TestClient
    yard: LivingYard

    def read(self, path: str) -> Any:
        """What a route answers."""
        answer = self.client.get(path)
        assert answer.status_code == 200, (path, answer.text)
        return answer.json()

    def note(self) -> str:
        """The id of an entry that was just made."""
        given = {"what": "note", "value": f"note {next(_NUMBERS)}"}
        answer = self.client.post(f"/api/trees/{TREE}/entries", headers=OWN, json=given)
        assert answer.status_code == 200, answer.text
        return str(answer.json()["id"])

    def photo(self) -> tuple[str, str]:
        """The id of the entry of a photo that was just sent, and the hash of the photo."""
        content = picture()
        headers = OWN | {"Content-Type": "image/jpeg"}
        answer = self.client.post(f"/api/trees/{OTHER}/photos", headers=headers, content=content)
        assert answer.status_code == 200, answer.text
        return str(answer.json()["id"]), hashlib.sha256(content).hexdigest()

    def job(self) -> str:
        """The id of long work that is done, so that nothing is computed here."""
        workspace = self.yard.workspace()
        job = put_in_book(workspace, "ahead", OTHER)
        if not job.ended:
            workspace.store.jobs.finish(job.id, clock.now())
        return job.id

    def run(self) -> int:
        """Years of a run that is done, so that nothing is lived here."""
        wish = TurningWish(("accept", "as_it_is"), 50, 3)
        workspace = self.yard.workspace()
        job = put_in_book(workspace, "futures", TREE, wish.text())
        if not job.ended:
            workspace.store.jobs.finish(job.id, clock.now())
        return wish.years

    def result(self) -> dict[str, str]:
        """A kept result, written here as a run of two courses would leave it."""
        keep_a_result(self.yard.workspace(), TREE, RESULT)
        return {"tree": TREE, "result": RESULT}

    def standing(self) -> str:
        """A tree that is not retired, and that no other request is about."""
        trees = [line["id"] for line in self.read("/api/trees?limit=500")["trees"]]
        return str(next(tree for tree in trees if tree not in (TREE, OTHER)))


def picture() -> bytes:
    """A picture that was never sent before."""
    stream = BytesIO()
    Image.new("RGB", (40, 30)).save(stream, "JPEG", comment=_new("picture").encode())
    return stream.getvalue()


def _new(word: str) -> str:
    return f"{word} {next(_NUMBERS)}"


def _aims(asked: Asked) -> Sound:
    """The aims of a tree as its room shows them, one of them counting other than before."""
    held = asked.read(f"/api/trees/{TREE}/turning")["aims"]
    wishes = [{name: each[name] for name in ("measure", "weight", "low", "high")} for each in held["wishes"]]
    wishes[0]["weight"] = f"{next(_NUMBERS) % 97 + 2}"
    body = {"set": held["set"], "wishes": wishes, "revision": held["revision"], **held["time"]}
    return Sound({"tree": TREE}, body=body)


def _traced(asked: Asked, **more: str) -> Sound:
    """One photo of a post before a plain wall, its trunk clicked, a rule beside it."""
    image = Image.new("L", (200, 300), 210)
    image.paste(60, (95, 40, 106, 280))
    stream = BytesIO()
    image.save(stream, "JPEG", quality=95, comment=_new("post").encode())
    headers = OWN | {"Content-Type": "image/jpeg"}
    answer = asked.client.post(f"/api/trees/{OTHER}/photos", headers=headers, content=stream.getvalue())
    assert answer.status_code == 200, answer.text
    scale = {"kind": "rule", "points": [[20, 280], [180, 280]], "length_mm": 240}
    front = {"clock": 6, "width_px": 200, "height_px": 300, "scale": scale}
    trunk = {"id": "trunk", "parent": None, "front": [[100, 270], [100, 150], [100, 50]]}
    body = {"photos": {"front": front}, "entries": {"front": answer.json()["id"]}, "branches": [trunk]}
    return Sound({"tree": OTHER}, body=body | more)


def _turn(asked: Asked, *, photos: int = 0, measured: bool = False) -> dict[str, str]:
    """A turn of photos of the other tree: begun, with photos, or measured as if its photos had been read."""
    start = f"/api/trees/{OTHER}/shape/turntable"
    answer = asked.client.post(start, headers=OWN)
    assert answer.status_code == 200, answer.text
    run = answer.json()["run"]
    headers = OWN | {"Content-Type": "image/jpeg"}
    for number in range(photos):
        taken = asked.client.post(
            f"{start}/{run}/photos?name={number}.jpg", headers=headers, content=picture()
        )
        assert taken.status_code == 200, taken.text
    if measured:
        _as_measured(asked, run)
    return {"tree": OTHER, "run": run}


def _as_measured(asked: Asked, run: str) -> None:
    import json

    import numpy as np

    from ringwise.desk.turntable_result import TurnResult
    from ringwise.desk.turntable_review import prepare_run
    from ringwise.structure.cameras import Camera
    from ringwise.structure.measured import How, measured_of
    from ringwise.structure.table import single_segment

    workspace = asked.yard.workspace()
    prepared = prepare_run(workspace, OTHER, run, {"soil": "40mm"})
    k = np.array([[60.0, 0.0, 19.5], [0.0, 60.0, 14.5], [0.0, 0.0, 1.0]])
    r = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])
    cameras = tuple(
        Camera(path.name, k, r, np.array([0.0, 50.0, 300.0]), 0.0, 40, 30) for path in prepared.photos
    )
    stem = single_segment(length_mm=80.0 + next(_NUMBERS), diameter_mm=9.0)
    tree = measured_of(stem, radius_sd_mm=0.1, position_sd_mm=0.1, how=How.IMAGE)
    quality = {"photos": 1, "polarity": "dark_on_light", "largest_gap_deg": 30.0, "notes": [], "tips": 1}
    text = json.dumps(TurnResult(tree, cameras, (), quality).to_json())
    workspace.store.result_put(str(prepared.key), "turntable", text, made=clock.now())


def _own_tree(asked: Asked) -> Sound:
    return Sound({"tree": TREE})


REQUESTS: dict[tuple[str, str], Callable[[Asked], Sound]] = {
    ("get", "/api/head"): lambda asked: Sound(),
    ("get", "/api/today"): lambda asked: Sound(),
    ("get", "/api/yard"): lambda asked: Sound(),
    ("get", "/api/figures"): lambda asked: Sound(
        query={"keys": asked.read("/api/yard")["benches"][0]["spots"][0]["figure"]}
    ),
    ("post", "/api/yard/move"): lambda asked: Sound(body={"trees": [OTHER], "place": _new("bench")}),
    ("put", "/api/yard/benches/{name}"): lambda asked: Sound(
        {"name": "A bench"}, body={"name": "A bench", "x_mm": 10.0 * next(_NUMBERS), "y_mm": 9000.0}
    ),
    ("get", "/api/steps"): lambda asked: Sound(query={"limit": 5}),
    ("post", "/api/undo"): lambda asked: Sound(query={"step": asked.yard.stamp()} if asked.note() else {}),
    ("get", "/api/why"): lambda asked: Sound(query={"of": f"{TREE}:fact:height_mm"}),
    ("get", "/api/goto"): lambda asked: Sound(query={"q": "a"}),
    ("get", "/api/species"): lambda asked: Sound(query={"q": "acer"}),
    ("get", "/api/trees"): lambda asked: Sound(query={"q": "a", "sort": "-name", "limit": 3}),
    ("post", "/api/trees"): lambda asked: Sound(
        body={"name": _new("Reed"), "species": "Acer palmatum", "height": "40 cm"}
    ),
    ("get", "/api/trees/{tree}"): _own_tree,
    ("patch", "/api/trees/{tree}"): lambda asked: Sound(
        {"tree": TREE},
        body={"revision": asked.read(f"/api/trees/{TREE}")["revision"], "goal": _new("goal")},
    ),
    ("post", "/api/trees/{tree}/retire"): lambda asked: Sound(
        {"tree": asked.standing()}, body={"reason": "sold"}
    ),
    ("get", "/api/trees/{tree}/history"): _own_tree,
    ("get", "/api/trees/{tree}/dial"): _own_tree,
    ("get", "/api/trees/{tree}/season"): _own_tree,
    ("get", "/api/trees/{tree}/pot"): _own_tree,
    ("get", "/api/trees/{tree}/pot/tried"): lambda asked: Sound(
        {"tree": TREE}, {"depth_mm": 60, "tilt_deg": 20, "mix": "V", "beside": "now"}
    ),
    ("get", "/api/trees/{tree}/shape"): lambda asked: Sound({"tree": TREE}, {"which": 1}),
    ("get", "/api/trees/{tree}/shape/tape"): lambda asked: Sound({"tree": TREE}),
    ("post", "/api/trees/{tree}/shape/tape/tried"): lambda asked: Sound({"tree": TREE}, body=TAPE),
    ("post", "/api/trees/{tree}/shape/tape"): lambda asked: Sound({"tree": TREE}, body=TAPE),
    ("get", "/api/trees/{tree}/shape/mesh"): lambda asked: Sound({"tree": TREE}, {"detail": "light"}),
    ("get", "/api/trees/{tree}/shape/drawing"): lambda asked: Sound(
        {"tree": TREE}, {"clock": 3, "elevation_deg": 20, "cut_mm": 200}
    ),
    ("get", "/api/trees/{tree}/shape/trace"): lambda asked: Sound({"tree": OTHER}),
    ("post", "/api/trees/{tree}/shape/trace/edges"): lambda asked: _traced(asked, view="front"),
    ("post", "/api/trees/{tree}/shape/trace/draft"): lambda asked: _traced(asked),
    ("post", "/api/trees/{tree}/shape/trace"): lambda asked: _traced(asked),
    ("get", "/api/trees/{tree}/shape/turntable"): lambda asked: Sound({"tree": _turn(asked)["tree"]}),
    ("post", "/api/trees/{tree}/shape/turntable"): lambda asked: Sound({"tree": OTHER}),
    ("get", "/api/trees/{tree}/shape/turntable/{run}"): lambda asked: Sound(_turn(asked)),
    ("delete", "/api/trees/{tree}/shape/turntable/{run}"): lambda asked: Sound(_turn(asked)),
    ("post", "/api/trees/{tree}/shape/turntable/{run}/photos"): lambda asked: Sound(
        _turn(asked), {"name": "one.jpg"}, picture(), "image/jpeg"
    ),
    ("post", "/api/trees/{tree}/shape/turntable/{run}/measure"): lambda asked: Sound(
        _turn(asked, photos=1), body={"square": "24mm", "soil": "60mm"}
    ),
    ("get", "/api/trees/{tree}/shape/turntable/{run}/photos/{number}.jpg"): lambda asked: Sound(
        _turn(asked, photos=1) | {"number": "1"}
    ),
    ("get", "/api/trees/{tree}/shape/turntable/{run}/photos/{number}/overlay"): lambda asked: Sound(
        _turn(asked, photos=1, measured=True) | {"number": "1"}
    ),
    ("post", "/api/trees/{tree}/shape/turntable/{run}/accept"): lambda asked: Sound(
        _turn(asked, photos=1, measured=True)
    ),
    ("get", "/api/trees/{tree}/turning"): _own_tree,
    ("put", "/api/trees/{tree}/turning/aims"): _aims,
    ("post", "/api/trees/{tree}/turning/runs"): lambda asked: Sound(
        {"tree": TREE}, body={"courses": ["accept", "as_it_is"], "futures": 50, "years": asked.run()}
    ),
    ("post", "/api/trees/{tree}/turning/tried"): lambda asked: Sound(
        {"tree": TREE}, body={"text": 'key = "a"\ntitle = "A"\n'}
    ),
    ("get", "/api/trees/{tree}/turning/results/{result}"): lambda asked: Sound(asked.result()),
    ("get", "/api/trees/{tree}/turning/results/{result}/drawings/{course}"): lambda asked: Sound(
        asked.result() | {"course": "A"}
    ),
    ("get", "/api/pots/season"): lambda asked: Sound(),
    ("get", "/api/trees/{tree}/choices"): _own_tree,
    ("get", "/api/trees/{tree}/entries"): lambda asked: Sound({"tree": TREE}, {"kind": "tape", "limit": 2}),
    ("post", "/api/trees/{tree}/entries"): lambda asked: Sound(
        {"tree": TREE}, body={"what": "height", "value": "50 cm", "date": "2026-05-01"}
    ),
    ("get", "/api/entries/{entry}"): lambda asked: Sound({"entry": asked.note()}),
    ("patch", "/api/entries/{entry}"): lambda asked: Sound(
        {"entry": asked.note()}, body={"what": "note", "value": "put right", "revision": 1}
    ),
    ("delete", "/api/entries/{entry}"): lambda asked: Sound({"entry": asked.note()}, {"revision": 1}),
    ("get", "/api/entries/{entry}/history"): lambda asked: Sound({"entry": asked.note()}),
    ("get", "/api/trees/{tree}/photos"): _own_tree,
    ("post", "/api/trees/{tree}/photos"): lambda asked: Sound(
        {"tree": OTHER}, {"view": "back"}, picture(), "image/jpeg"
    ),
    ("patch", "/api/photos/{entry}"): lambda asked: Sound(
        {"entry": asked.photo()[0]}, body={"revision": 1, "view": "left"}
    ),
    ("get", "/photos/{sha256}/{width_px}.webp"): lambda asked: Sound(
        {"sha256": asked.photo()[1], "width_px": "256"}
    ),
    ("get", "/api/settings"): lambda asked: Sound(),
    ("patch", "/api/settings"): lambda asked: Sound(body={"name": _new("Yard")}),
    ("post", "/api/weather"): lambda asked: Sound(
        {}, {"name": "own"}, b"date,tmin_degC,tmax_degC\n2026-01-01,1,5\n2026-01-02,0,4\n", "text/csv"
    ),
    ("get", "/api/weather"): lambda asked: Sound(),
    ("post", "/api/weather/preview"): lambda asked: Sound(
        {}, {"name": "own"}, b"date,tmin_degC,tmax_degC\n2026-01-01,1,5\n2026-01-02,0,4\n", "text/csv"
    ),
    ("get", "/api/calibration"): lambda asked: Sound(query={"lead": 7}),
    ("get", "/api/microsites"): lambda asked: Sound(),
    ("post", "/api/places/{name}/readings"): lambda asked: Sound(
        {"name": "bench 1"}, body={"low": f"{next(_NUMBERS) % 50 / 10}", "date": "2027-03-01"}
    ),
    ("put", "/api/places/{name}/kind"): lambda asked: Sound({"name": _new("corner")}, body={"kind": "wall"}),
    ("post", "/api/places/{name}/logger"): lambda asked: Sound(
        {"name": "bench 1"}, {}, b"date,tmin_degC,tmax_degC\n2026-01-01,1,5\n", "text/csv"
    ),
    ("get", "/api/jobs"): lambda asked: Sound(),
    ("post", "/api/jobs"): lambda asked: Sound(body={"kind": "ahead", "tree": OTHER if asked.job() else ""}),
    ("get", "/api/jobs/{job}"): lambda asked: Sound({"job": asked.job()}),
    ("post", "/api/jobs/{job}/cancel"): lambda asked: Sound({"job": asked.job()}),
}
