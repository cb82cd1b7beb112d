"""House rules on code hold everywhere, and each of them catches a planted fault."""

from __future__ import annotations

from collections.abc import Callable

import pytest

import house_code as rules
from house_source import Module, all_modules, package_modules, planted, text_files

Rule = Callable[[Module], list[str]]

EVERYWHERE: list[Rule] = [rules.file_length, rules.body_length, rules.parameter_count, rules.no_attic]
IN_PACKAGE: list[Rule] = [
    rules.no_print,
    rules.no_global_chance,
    rules.no_clock,
    rules.science_is_pure,
    rules.literal_texts,
    rules.words_when_asked,
    rules.lazy_compiler,
]


def _report(faults: list[str]) -> str:
    return "\n".join(["", *faults])


@pytest.mark.parametrize("rule", EVERYWHERE, ids=lambda rule: rule.__name__)
def test_rule_holds_in_package_tests_and_benchmarks(rule: Rule) -> None:
    faults = [fault for module in all_modules() for fault in rule(module)]
    assert not faults, _report(faults)


@pytest.mark.parametrize("rule", IN_PACKAGE, ids=lambda rule: rule.__name__)
def test_rule_holds_in_package(rule: Rule) -> None:
    faults = [fault for module in package_modules() for fault in rule(module)]
    assert not faults, _report(faults)


def test_nothing_published_names_a_machine_or_a_registry() -> None:
    faults = [fault for path, text in text_files() for fault in rules.no_machine_words(path, text)]
    assert not faults, _report(faults)


def test_the_checks_see_the_package() -> None:
    seen = {module.dotted for module in package_modules()}
    assert {"ringwise", "ringwise.kit.tables", "ringwise.kit.chance"} <= seen
    assert "src/ringwise/kit/units.py" in {path for path, _text in text_files()}


LONG_BODY = "def f():\n" + "    a = 1\n" * 41
WIDE = "def f(a, b, c, d, e, f, g, h):\n    return a\n"
COMMAND = WIDE.replace("h)", "h: Annotated[str, typer.Option('--h')])")
PLANTED: list[tuple[Rule, str, str]] = [
    (rules.file_length, "\n" * 400, "src/ringwise/rootzone/planted.py"),
    (rules.body_length, LONG_BODY, "src/ringwise/rootzone/planted.py"),
    (rules.parameter_count, WIDE, "src/ringwise/rootzone/planted.py"),
    (rules.no_attic, "", "src/ringwise/rootzone/utils.py"),
    (rules.no_attic, "", "src/ringwise/common/planted.py"),
    (rules.no_print, "print(1)", "src/ringwise/desk/planted.py"),
    (rules.no_global_chance, "import random", "src/ringwise/desk/planted.py"),
    (rules.no_global_chance, "from numpy.random import default_rng", "src/ringwise/desk/planted.py"),
    (rules.no_global_chance, "import numpy as np\nx = np.random.rand()", "src/ringwise/futures/planted.py"),
    (rules.no_clock, "import datetime\nx = datetime.datetime.now()", "src/ringwise/desk/planted.py"),
    (rules.no_clock, "from datetime import date\nx = date.today()", "src/ringwise/faces/cli/planted.py"),
    (rules.no_clock, "import time\nx = time.time()", "src/ringwise/desk/planted.py"),
    (rules.science_is_pure, "from pathlib import Path\nx = Path()", "src/ringwise/weather/planted.py"),
    (rules.science_is_pure, "def f():\n    import os\n    return os", "src/ringwise/season/planted.py"),
    (rules.science_is_pure, "x = open('a')", "src/ringwise/structure/planted.py"),
    (rules.literal_texts, "x = _(name)", "src/ringwise/season/planted.py"),
    (rules.literal_texts, "x = _(f'{a} b')", "src/ringwise/season/planted.py"),
    (rules.literal_texts, "x = counted('one', many, 2)", "src/ringwise/season/planted.py"),
    (rules.words_when_asked, "X = (_('Jan'), 1)", "src/ringwise/kit/planted.py"),
    (rules.words_when_asked, "class A:\n    x: str = from_data('oval')", "src/ringwise/season/planted.py"),
    (rules.words_when_asked, "def f(a=_('none')):\n    return a", "src/ringwise/season/planted.py"),
    (rules.words_when_asked, "@lru_cache\ndef f():\n    return _('a')", "src/ringwise/season/planted.py"),
    (rules.lazy_compiler, "from numba import njit", "src/ringwise/growth/planted.py"),
    (rules.lazy_compiler, "from ringwise.operations.effects import cut", "src/ringwise/futures/planted.py"),
    (rules.lazy_compiler, "from ringwise.growth import kernels", "src/ringwise/growth/planted.py"),
    (rules.lazy_compiler, "from ringwise.growth.kernels import f", "src/ringwise/growth/planted.py"),
]


@pytest.mark.parametrize(("rule", "text", "path"), PLANTED)
def test_planted_fault_is_caught(rule: Rule, text: str, path: str) -> None:
    assert len(rule(planted(text, path))) >= 1


SOUND: list[tuple[Rule, str, str]] = [
    (rules.file_length, "\n" * 399, "src/ringwise/rootzone/sound.py"),
    (
        rules.body_length,
        'def f():\n    """Long text.\n' + "\n" * 60 + '    """\n' + "    a = 1\n" * 40,
        "sound.py",
    ),
    (rules.parameter_count, COMMAND, "src/ringwise/faces/cli/sound.py"),
    (rules.parameter_count, "def f(self, a, b, c, d, e, f, g):\n    return a\n", "sound.py"),
    (rules.no_clock, "from datetime import datetime\nx = datetime.now()", "src/ringwise/desk/clock.py"),
    (rules.no_global_chance, "from ringwise.kit.chance import uniform", "src/ringwise/futures/sound.py"),
    (rules.literal_texts, "x = _('a {b}').format(b=1)", "src/ringwise/season/sound.py"),
    (rules.words_when_asked, "X = {1: lambda: _('Jan')}", "src/ringwise/kit/sound.py"),
    (rules.words_when_asked, "def f():\n    return _('Jan')", "src/ringwise/kit/sound.py"),
    (rules.words_when_asked, "X = _('Show it.')", "src/ringwise/faces/cli/sound.py"),
    (
        rules.lazy_compiler,
        "def f():\n    from ringwise.growth.kernels import g\n",
        "src/ringwise/growth/sound.py",
    ),
    (rules.lazy_compiler, "from numba import njit", "src/ringwise/growth/kernels.py"),
    (rules.lazy_compiler, "from numba import njit", "src/ringwise/growth/tree_kernels.py"),
    (
        rules.lazy_compiler,
        "if TYPE_CHECKING:\n    from ringwise.growth.kernels import G\n",
        "src/ringwise/growth/sound.py",
    ),
]


@pytest.mark.parametrize(("rule", "text", "path"), SOUND)
def test_sound_code_passes(rule: Rule, text: str, path: str) -> None:
    assert rule(planted(text, path)) == []


def test_planted_machine_words_are_caught() -> None:
    machine = "x = '" + "/Users" + "/somebody/trees'"
    registry = "see https://py" + "pi.org/project/x"
    assert len(rules.no_machine_words("planted.py", f"{machine}\n{registry}\n")) == 2
    assert rules.no_machine_words("planted.py", "/usr/bin/env and src/ringwise/growth/work.py") == []
