"""Docstrings say what a caller needs and floats carry their unit; each rule catches a planted fault."""

from __future__ import annotations

from collections.abc import Callable

import pytest

import house_docs as rules
from house_source import Module, package_modules, planted

Rule = Callable[[Module], list[str]]

GOOD = '''
"""A room."""


def volume_cm3(depth_mm: float, *, names: list[str]) -> float:
    """Volume of a thing.

    Parameters
    ----------
    depth_mm : float
        Depth.
    names : list of str
        Names.

    Returns
    -------
    float
        Volume, in cm3.

    Raises
    ------
    ValueError
        If the depth is negative.

    Source
    ------
    own reasoning

    Examples
    --------
    >>> volume_cm3(1.0, names=[])
    1.0
    """
    if depth_mm < 0:
        raise ValueError(depth_mm)
    return depth_mm
'''


@pytest.mark.parametrize(
    "rule",
    [rules.docstring_sections, rules.has_docstrings, rules.unit_endings],
    ids=lambda rule: rule.__name__,
)
def test_rule_holds_in_package(rule: Rule) -> None:
    faults = [fault for module in package_modules() for fault in rule(module)]
    assert not faults, "\n".join(["", *faults])


def test_sound_function_passes() -> None:
    module = planted(GOOD)
    assert rules.docstring_sections(module) == []
    assert rules.has_docstrings(module) == []
    assert rules.unit_endings(module) == []


@pytest.mark.parametrize("section", ["Parameters", "Returns", "Raises", "Source", "Examples"])
def test_missing_section_is_caught(section: str) -> None:
    underline = f"    {section}\n    {'-' * len(section)}\n"
    assert underline in GOOD
    faults = rules.docstring_sections(planted(GOOD.replace(underline, "")))
    assert any(f"no {section}" in fault for fault in faults)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("    names : list of str\n        Names.\n", "", "names is not described"),
        ("    names : list", "    words : list", "words is described but no parameter"),
        (">>> ", "", "Examples hold no example"),
        ("own reasoning", "a book somewhere", "Source names no key"),
    ],
)
def test_weak_docstring_is_caught(old: str, new: str, says: str) -> None:
    faults = rules.docstring_sections(planted(GOOD.replace(old, new)))
    assert any(says in fault for fault in faults)


@pytest.mark.parametrize("text", ["practice", "neely1979, table 2", "see its row", "odds.csv"])
def test_named_source_passes(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rules, "source_keys", lambda: frozenset({"practice", "neely1979"}))
    assert rules.docstring_sections(planted(GOOD.replace("own reasoning", text))) == []


def test_kit_needs_no_source_but_the_rest() -> None:
    text = GOOD.replace("    Source\n    ------\n", "").replace("own reasoning", "")
    assert rules.docstring_sections(planted(text, "src/ringwise/kit/planted.py")) == []
    assert rules.docstring_sections(planted(text, "src/ringwise/growth/planted.py")) != []


def test_a_kernel_needs_one_line() -> None:
    path = "src/ringwise/growth/planted_kernels.py"
    assert rules.docstring_sections(planted('def grow():\n    """Grow."""\n', path)) == []
    assert rules.docstring_sections(planted("def grow():\n    return 1\n", path)) != []


def test_missing_docstrings_are_caught() -> None:
    text = "class Pot:\n    def fill(self):\n        return 1\n"
    assert len(rules.has_docstrings(planted(text))) == 3


@pytest.mark.parametrize(
    "text",
    [
        "def f(depth: float): ...",
        "def _f(depth: float | None = None): ...",
        "def f(*, depth_inch: 'float'): ...",
        "class Pot:\n    depth: float\n",
        "class Pot:\n    depth: float | None = None\n",
    ],
)
def test_float_without_unit_is_caught(text: str) -> None:
    assert len(rules.unit_endings(planted(text))) == 1


def test_nomenclature_lists_are_read_from_the_page() -> None:
    assert {"_mm", "_degC", "_cm3", "_prob", "_per_cm"} <= set(rules.endings())
    assert "value" in rules.plain_names()
    assert rules.carries_unit("depth_mm")
    assert not rules.carries_unit("depth_inch")


def test_units_are_asked_of_science_rooms_only() -> None:
    assert rules.unit_endings(planted("def f(depth: float): ...", "src/ringwise/kit/planted.py")) == []
