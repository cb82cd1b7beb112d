"""Settings in rising order, checked; and keys of stored results."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from ringwise.desk.results import result_key
from ringwise.desk.settings import load_settings, write_settings
from ringwise.kit.errors import FileFormatError, InputError


def test_the_environment_wins_over_the_file(tmp_path: Path) -> None:
    write_settings(tmp_path, {"latitude_deg": 52.4, "seed": 7, "name": 'The "old" yard'})
    assert load_settings(tmp_path, {}).latitude_deg == 52.4
    assert load_settings(tmp_path, {}).name == 'The "old" yard'
    assert load_settings(tmp_path, {"RINGWISE_LATITUDE_DEG": "-34"}).south
    assert load_settings(tmp_path, {"RINGWISE_SEED": "9"}).seed == 9


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("latitude_deg = 91", "-90 to 90"),
        ("latitud_deg = 50", "latitude_deg"),
        ('today = "2026-02-30"', "2026-02-30"),
        ("seed = -1", "seed"),
        ('latitude_deg = "far"', "-90 to 90"),
        ("name = ", "TOML"),
    ],
)
def test_a_bad_setting_is_named(tmp_path: Path, text: str, says: str) -> None:
    (tmp_path / "collection.toml").write_text(text)
    with pytest.raises((InputError, FileFormatError), match=says):
        load_settings(tmp_path, {})


def test_a_bad_setting_is_not_written(tmp_path: Path) -> None:
    write_settings(tmp_path, {"seed": 7})
    with pytest.raises(InputError):
        write_settings(tmp_path, {"seed": 8, "latitude_deg": 200})
    assert load_settings(tmp_path, {}).seed == 7


def test_a_result_key_changes_with_everything_it_is_made_from(monkeypatch: pytest.MonkeyPatch) -> None:
    tables = [("ringwise.rootzone", "mixes")]
    inputs = {"day": date(2027, 3, 7), "trees": ["T01"]}
    base = result_key("outlook", inputs, tables, 1)
    assert base == result_key("outlook", dict(reversed(inputs.items())), tables, 1)
    others = {
        result_key("today", inputs, tables, 1),
        result_key("outlook", inputs | {"day": date(2027, 3, 8)}, tables, 1),
        result_key("outlook", inputs, [], 1),
        result_key("outlook", inputs, tables, 2),
    }
    monkeypatch.setattr("ringwise.desk.results.engine_version", lambda: "another engine")
    others.add(result_key("outlook", inputs, tables, 1))
    assert len(others | {base}) == 6
