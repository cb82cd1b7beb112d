"""What the build of the package adds to it: the compiled catalogues and the app that the server hands out.

An editable install gets the catalogues alone; `./run` and `./test` build the app. A wheel or an archive of
the sources gets both or is not made: one without its app would install well and then show nothing.
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


def _beside(root: Path, name: str) -> ModuleType:
    """A module that lies in the project's folder; while a package is built, it is on no path."""
    spec = importlib.util.spec_from_file_location(name, root / f"{name}.py")
    if spec is None or spec.loader is None:
        raise FileNotFoundError(root / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


class BuildHook(BuildHookInterface[Any]):
    """Runs before hatchling collects the files of a wheel or of the source archive."""

    PLUGIN_NAME = "custom"

    def dependencies(self) -> list[str]:
        """Node as a wheel, into the throw-away environment of the build, where it is needed and missing."""
        return _beside(Path(self.root), "build_app").node_wanted(Path(self.root))

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Compile the catalogues; build the app unless the install is editable."""
        root = Path(self.root)
        _beside(root, "build_words").compile_catalogues(root)
        if version != "editable":
            _beside(root, "build_app").ensure_app(root)
