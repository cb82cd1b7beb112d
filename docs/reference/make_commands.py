"""Write docs/reference/commands.md: every command with its options and the keys of its JSON answer.

The meaning of each key stands in json_keys.csv beside this file, once for all commands; a key without a
meaning stops the script, and a test runs it. From the project's root:
.venv/bin/python docs/reference/make_commands.py
"""

from __future__ import annotations

import contextlib
import csv
import io
import json
import os
import shlex
import sys
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
PAGE = HERE / "commands.md"
MEANINGS = HERE / "json_keys.csv"
BY_NAME = frozenset(
    {"closed_share", "files", "finds", "sources", "girth_mm", "photos", "focal_known", "mm_per_px"}
)  # objects whose keys are names, not fields
SHARED = ("--json", "--collection", "--on", "--seed", "--verbose", "--help")

# Each command once, in an order in which it can be run on a fresh demo yard.
EXAMPLES = (
    "demo --no-open",
    "today",
    "outlook T03 --ics CALENDAR",
    "calibration T03",
    "why T03:repot:opens",
    "tree list",
    "tree show T03",
    'tree add "Old Elm" --species "Ulmus procera" --started "about 1990"',
    "tree edit T41 --stage S5",
    "tree history T41",
    "tree retire T41 --reason sold",
    "pot list",
    "pot show P-21",
    'pot add P-90 --shape oval --size "42x31x7.5 cm" --holes "2x20 mm"',
    "pot edit P-90 --colour brown",
    "pot put P-90 -",
    "log T21 stage 03 --not-before 2027-03-01",
    "weigh T17 --after 10min 17.3kg --after 24h 17.05kg --drain 210s",
    "entry show T03-planned-1",
    "entry edit T03-planned-1 --date 2027-03-20",
    "entry withdraw T03-planned-1",
    "undo",
    "backup BACKUPS",
    "check BACKUPS",
    "restore BACKUPS",
    "water",
    "water T10",
    "water --away '8-15 Aug'",
    "weather import WEATHER --columns date=date,tmin_degC=temp_min,tmax_degC=temp_max --station Seattle",
    "weather show --station Seattle",
    "place reading 'bench 1' --min '-1.5 C' --max '48 F'",
    "place readings 'bench 1' --file WEATHER --columns date=date,tmin_degC=temp_min,tmax_degC=temp_max",
    "place kind 'bench 1' wall",
    "place show 'bench 1'",
    "weather describe --monthly 0.6,1.4,4.8,8.9,14.3,17.1,19.2,18.9,14.5,9.7,4.7,2.0 --last-frost '20 Apr'",
    "mix T16 T03 T12 T13",
    "mix T03 --purpose build",
    "component list",
    "component show akadama",
    "component add sharp-clay --vessel 1L --height 10cm --grain 2-5mm --empty 50g --dry 530g --soaked 1350g"
    " --drained 1060g",
    "component remove sharp-clay",
    "worksheet T03 repot --pdf SHEET",
    "measure tape T05 --height 47cm --girth 27cm@2cm --branch 14cm,3,12mm,18cm,24",
    "measure trace T13 FRONT --points POINTS",
    "measure roots T05 --at 3=thick,2cut --at 7-9=fine",
    "measure draw T05 --view 9 --cut 16cm --dimensions --out DRAWING",
    "measure board --pdf SHEET",
    "measure lens BOARDS --square 24mm",
    "measure turntable TURN --cameras CAMERAS",
    "measure show T05 --at 3cm",
    "measure export T01 --out SHAPE",
    "measure import T01 SHAPE",
    "measure compare T01 2027-03-01 2027-03-07",
    "courses T11",
    "cuts T11",
    "aims T01",
    "futures T01 --futures 40 --years 10 --html PAGE",
    "calc pot --shape oval --length 50cm --width 37cm --depth 8cm",
    "calc capacity --mix akadama=2,pumice=1,lava=1 --shape rectangle --bottom 26x18cm --top 30x22cm "
    "--height 7cm --layer 1cm --layer-grain 8mm",
    "calc drain --tr .045 --ts .43 --alpha .145 --n 2.68 --height 10cm --ks 712.8cm/d --at 60s,300s,900s",
    "calc dose --n 20% --p2o5 10% --k2o 20% --dose 1g/L --deficit 0.8L --leach 15% --ec-in 0.6 --ec-out 1.8 "
    "--pot 1.5L --alkalinity 200 --to 80 --tree T03",
    "calc wounds --count 1000 --width-mm 6:45 --diameter-growth-mm 6:14 --years 1,3,5",
    "calc lift --species zelkova_serrata --diameter-mm 40 --futures 4",
    "calc packing --volumes 2,1,1 --sizes 5mm,6mm,6mm --alone .61,.57,.55",
    "calc dry --et0 5mm --leaf-area 0.1m2 --exposure 1.2 --shape rectangle --height 7cm --bottom 26x18cm "
    "--top 30x22cm --mix D",
    "calc potting --shape oval --top 50x37cm --height 8cm --ball 30x22x5cm --tree-height 58cm --trunk 11.8cm",
    "calc tie --area 0.35m2 --gust 18m/s --grip 55cm --ball-mass 14kg --ball-width 28cm --legs 2 --arm 30cm",
    "calc carry --mass 18kg --reach 40cm",
    "calc wait --p-take .5 --sensitivity .85 --specificity .8 --keep-ok 1 --keep-fail .35 --now .7 "
    "--late .66",
    "odds T04",
    "calc odds --prior 5.92,3.19 --successes 3 --failures 1",
    "calc closure --width 20mm --diameter-growth 8mm",
    "calc pipe --levels 8 --tip 1mm --leaf 3000cm2 --diameter 30mm --years 25",
    "calc girth-rate --species zelkova_serrata --age 10",
    "calc daylength --date 2015-07-06 --lat 50.8",
    "calc et0 --date 2015-07-06 --lat 50.8 --elevation 100 --tmin 12.3 --tmax 21.5 --rh-min 63 --rh-max 84 "
    "--wind '10 km/h' --wind-height 10 --sunshine 9.25",
    "calc et0 --weather WEATHER --columns date=date,tmin_degC=temp_min,tmax_degC=temp_max --lat 47.45",
    "calc chill --weather WEATHER --columns date=date,tmin_degC=temp_min,tmax_degC=temp_max --lat 47.45 "
    "--from 2012-11-01 --to 2013-02-28",
    "calc heat --weather WEATHER --columns date=date,tmin_degC=temp_min,tmax_degC=temp_max --base 5 "
    "--method sine --from 2013-01-01 --to 2013-04-30",
    "calc stage --model menzel --species larix_decidua --weather WEATHER "
    "--columns date=date,tmin_degC=temp_min,tmax_degC=temp_max --year 2013",
)


def run(words: list[str]) -> str:
    """What a command prints."""
    from ringwise.faces.start import exit_code

    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()) as err:
        code = exit_code(words)
    if code != 0:
        raise SystemExit(f"ringwise {shlex.join(words)} left with {code}: {err.getvalue()}")
    return out.getvalue()


def keys_of(answer: Any, path: str = "") -> Iterator[str]:
    """Every key path of an answer; list elements are written []."""
    if isinstance(answer, Mapping):
        for key, value in answer.items():
            here = f"{path}.{key}" if path else key
            yield here
            if key in BY_NAME and isinstance(value, Mapping):
                continue
            yield from keys_of(value, here)
    elif isinstance(answer, list):
        for each in answer:
            yield from keys_of(each, path + "[]")


def meanings() -> dict[str, str]:
    """What each key means."""
    with MEANINGS.open(encoding="utf-8", newline="") as handle:
        return {row["key"]: row["meaning"] for row in csv.DictReader(handle)}


def command_of(example: str) -> list[str]:
    """The words that name a command, without its arguments."""
    words = shlex.split(example)
    return (
        words[:2]
        if words[0] in {"tree", "pot", "entry", "weather", "place", "measure", "calc", "component"}
        else words[:1]
    )


def options_of(command: list[str]) -> str:
    """A command's own help, without the options that all share."""
    rows: list[str] = []
    skipping = False
    for row in run([*command, "--help"]).splitlines():
        if row.startswith("  --"):
            skipping = row.split()[0] in SHARED
        elif row.strip() and not row.startswith("    "):
            skipping = False
        if not skipping:
            rows.append(row.rstrip())
    return "\n".join(rows).strip()


def _turned_rod(folder: Path) -> None:
    """Silhouettes of an upright rod of 12 mm from eight sides, and their cameras."""
    from math import cos, pi, sin

    from PIL import Image

    (folder / "turn").mkdir(exist_ok=True)
    views: list[dict[str, Any]] = []
    for number in range(8):
        c, s = cos(pi * number / 4), sin(pi * number / 4)
        image = Image.new("L", (240, 240), 235)
        image.paste(40, (106, 52, 134, 188))
        image.save(folder / "turn" / f"v{number}.png")
        k = [[900, 0, 119.5], [0, 900, 119.5], [0, 0, 1]]
        rotation = [[-s, c, 0.0], [0.0, 0.0, -1.0], [-c, -s, 0.0]]
        views.append({"image": f"v{number}.png", "K": k, "R": rotation, "t": [0.0, 30.0, 400.0], "k1": 0})
    (folder / "turn" / "cameras.json").write_text(json.dumps({"views": views}), encoding="utf-8")


def _tilted_board(folder: Path) -> None:
    """Photos of the loose board, tilted to all sides."""
    import cv2
    import numpy as np

    (folder / "boards").mkdir(exist_ok=True)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_250)
    printed = cv2.aruco.CharucoBoard((16, 11), 24.0, 18.0, dictionary).generateImage((800, 550))
    corners = np.array([[-192, 132, 0], [192, 132, 0], [192, -132, 0], [-192, -132, 0]], float)
    source = np.array([[0, 0], [800, 0], [800, 550], [0, 550]], np.float32) - 0.5
    for number in range(14):
        turn = np.array([0.5 * np.cos(number), 0.5 * np.sin(number), 0.2 * number])
        rotation = np.diag([1.0, -1.0, -1.0]) @ cv2.Rodrigues(turn)[0]
        there = corners @ rotation.T + [10.0 * np.cos(2 * number), 10.0 * np.sin(3 * number), 620.0]
        seen = there[:, :2] / there[:, 2:] * 900.0 + [399.5, 299.5]
        matrix = cv2.getPerspectiveTransform(source, seen.astype(np.float32))
        photo = cv2.warpPerspective(printed, matrix, (800, 600), flags=cv2.INTER_AREA, borderValue=200)
        cv2.imwrite(str(folder / "boards" / f"b{number:02}.png"), photo)


def _traced_post(folder: Path) -> None:
    """A photo of a post before a plain wall, and the clicks along it."""
    from PIL import Image

    image = Image.new("L", (200, 300), 210)
    image.paste(60, (95, 40, 106, 280))
    image.save(folder / "front.png")
    scale = {"kind": "rule", "points": [[20, 280], [180, 280]], "length_mm": 240}
    front = {"width_px": 200, "height_px": 300, "scale": scale}
    trunk = {"id": "trunk", "parent": None, "front": [[100, 270], [100, 150], [100, 50]]}
    points = {"layout": "ringwise-trace", "version": 1, "photos": {"front": front}, "branches": [trunk]}
    (folder / "p.json").write_text(json.dumps(points), encoding="utf-8")


def section(example: str, folder: Path, known: Mapping[str, str]) -> str:
    """One command's part of the page."""
    import vega_datasets

    weather = Path(vega_datasets.__file__).parent / "_data" / "seattle-weather.csv"
    filled = example.replace("WEATHER", shlex.quote(str(weather))).replace(
        "SHEET", shlex.quote(str(folder / "s.pdf"))
    )
    filled = filled.replace("CALENDAR", shlex.quote(str(folder / "w.ics")))
    filled = filled.replace("BACKUPS", shlex.quote(str(folder / "kept")))
    filled = filled.replace("SHAPE", shlex.quote(str(folder / "tree.csv")))
    filled = filled.replace("DRAWING", shlex.quote(str(folder / "tree.svg")))
    if "CAMERAS" in example:
        filled = filled.replace("TURN", str(folder / "turn"))
        filled = filled.replace("CAMERAS", str(folder / "turn" / "cameras.json"))
        _turned_rod(folder)
    if "BOARDS" in example:
        filled = filled.replace("BOARDS", str(folder / "boards"))
        _tilted_board(folder)
    if "POINTS" in example:
        filled = filled.replace("FRONT", str(folder / "front.png")).replace("POINTS", str(folder / "p.json"))
        _traced_post(folder)
    words = shlex.split(filled.replace("PAGE", shlex.quote(str(folder / "p.html"))))
    yard = folder / ("again" if words[0] == "restore" else "yard")
    shared = (
        ["--json"] if words[0] == "calc" and "--tree" not in words else ["--json", "--collection", str(yard)]
    )
    paths = list(dict.fromkeys(keys_of(json.loads(run(words + shared)))))
    missing = sorted({path.split(".")[-1].replace("[]", "") for path in paths} - set(known))
    if missing:
        raise SystemExit(
            f"{' '.join(command_of(example))}: no meaning in json_keys.csv for {', '.join(missing)}"
        )
    rows = [f"| `{path}` | {known[path.split('.')[-1].replace('[]', '')]} |" for path in paths]
    shown = example.replace("WEATHER", "seattle-weather.csv").replace("SHEET", "sheet.pdf")
    shown = shown.replace("SHAPE", "tree.csv").replace("FRONT", "front.jpg").replace("POINTS", "points.json")
    shown = shown.replace("CAMERAS", "cameras.json").replace("TURN", "photos").replace("BOARDS", "photos")
    shown = shown.replace("CALENDAR", "windows.ics").replace("DRAWING", "tree.svg")
    shown = shown.replace("BACKUPS", "/media/stick/yard")
    return "\n".join(
        [
            f"## ringwise {' '.join(command_of(example))}",
            "",
            "```text",
            options_of(command_of(example)),
            "```",
            "",
            f"Keys of `ringwise {shown.replace('PAGE', 'page.html')} --json`:",
            "",
            "| key | meaning |",
            "| --- | --- |",
            *rows,
            "",
        ]
    )


def serving() -> str:
    """The part of the command that does not end by itself."""
    return f"""## ringwise serve

```text
{options_of(["serve"])}
```

Its first line of output is the address, said as soon as it listens; with `--json` an object with
`address` and `collection` instead. `docs/explain/server.md` says who may ask it what.
"""


def fetching() -> str:
    """The part of the command that asks an address, which no page may do."""
    return f"""## ringwise weather fetch

```text
{options_of(["weather", "fetch"])}
```

With `--json` the keys of `ringwise weather import`, and `weather_host` (which host), `answer` (new,
unchanged where the host said so, kept where it was not asked again) and `answer_bytes`.
`docs/explain/fetching-weather.md` says what is asked and what is refused.
"""


@contextlib.contextmanager
def _few_lives() -> Iterator[None]:
    """The demo's own pages with the least of lives: what is written into them is not shown here."""
    from ringwise.faces.cli import demo

    usual, demo.LIVES = demo.LIVES, 20
    try:
        yield
    finally:
        demo.LIVES = usual


def page() -> str:
    """The whole page."""
    os.environ["COLUMNS"] = "100"
    known = meanings()
    head = """# Commands

Written by `docs/reference/make_commands.py` from the program itself. After every subcommand these
are accepted: `--json` (answer with the keys below), `--collection DIR`, `--on DATE` (the day that
counts as today), `--seed N`, `--verbose`, `--help`. Exit codes: 0 done, 2 bad use or bad input (one
line on standard error, nothing stored), 1 a failure, 130 stopped by the user. A key's suffix is its
unit. `lines` is what the terminal shows. `[]` marks an element of a list; null means not known,
never zero. Keys stay; new ones may be added.

The collection is the folder of `--collection`, else of the variable `RINGWISE_COLLECTION`, else the
current folder if it is one, else the user's own; whoever has none yet is shown the demo yard of the
current folder, if there is one. Settings rise from `collection.toml` in that folder over the
variables `RINGWISE_NAME`, `RINGWISE_OWNER`, `RINGWISE_LATITUDE_DEG`, `RINGWISE_LONGITUDE_DEG`,
`RINGWISE_ELEVATION_M`, `RINGWISE_STATION`, `RINGWISE_WEATHER_ADDRESS`, `RINGWISE_WEATHER_COLUMNS`,
`RINGWISE_TODAY`, `RINGWISE_SEED`,
`RINGWISE_INVENTED`, `RINGWISE_WORKERS`, `RINGWISE_UNITS` (metric or inch) and `RINGWISE_LANGUAGE`
(en or de; empty: the language of the environment) to the flags. Language and units change the words,
`lines` and `*_shown`; every other value stays metric.
"""
    with tempfile.TemporaryDirectory() as scratch, _few_lives():
        parts = [section(example, Path(scratch), known) for example in EXAMPLES]
    parts.insert(1, serving())
    parts.append(fetching())
    return head + "\n" + "\n".join(parts)


if __name__ == "__main__":
    text = page()
    PAGE.write_text(text, encoding="utf-8")
    sys.stdout.write(f"{PAGE.name}: {len(EXAMPLES)} commands\n")
